"""How far from what a protective device may stand, by a book."""

from __future__ import annotations

import math
from typing import Literal, NamedTuple

from engine.equipment.base import Source

__all__ = ["Distances", "Supply", "supply_of"]

Supply = Literal["", "battery", "charging", "ac"]  # what a way is measured from; "": any other supply point


class Distances(NamedTuple):
    """The book's limits, m. Where it sets none for charging sources or for AC, those are as any other supply point."""

    bare: float
    sheathed: float
    battery: float
    battery_needs_sheath: bool
    limited_source_may_end_run: bool
    charging: float | None = None  # whatever the covering
    ac: float | None = None
    ac_sheathed_to_panel: bool = False

    def allowed(self, supply: Supply, sheathed: bool) -> float:
        """How far from the supply the device may stand."""
        if supply == "battery" and (sheathed or not self.battery_needs_sheath):
            return self.battery
        if supply == "charging" and self.charging is not None:
            return self.charging
        if supply == "ac" and self.ac is not None:
            return math.inf if sheathed and self.ac_sheathed_to_panel else self.ac
        return self.sheathed if sheathed else self.bare

    @property
    def least(self) -> float:
        """The shortest of them."""
        return min(m for m in (self.bare, self.sheathed, self.battery, self.charging, self.ac) if m is not None)

    def name(self, supply: Supply, allowed_m: float) -> str:
        """The name of the book's value that gave a distance."""
        if supply == "charging" and self.charging is not None:
            return "charging"
        if supply == "ac" and self.ac is not None:
            return "ac"
        if allowed_m == self.bare:
            return "bare"
        return "battery" if supply == "battery" and allowed_m == self.battery else "sheathed"


def supply_of(source: Source) -> Supply:
    """What a source counts as."""
    if source.battery:
        return "battery"
    return "ac" if source.system == "ac" else "charging"
