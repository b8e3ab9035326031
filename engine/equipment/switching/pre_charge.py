"""Pre-charge."""

from __future__ import annotations

from typing import ClassVar

from engine.equipment.base import ALL, Equipment, Role, Terminal
from engine.words import N_

__all__ = ["PreCharge"]


class PreCharge(Equipment, frozen=True, kw_only=True):
    """Pre-charge."""

    KIND: ClassVar[str] = "pre_charge"
    NAME: ClassVar[str] = N_("Pre-charge")
    LETTERS: ClassVar[tuple[str, ...]] = ("R", "Q")
    ROLE: ClassVar[Role] = "switch"

    def terminals(self) -> tuple[Terminal, ...]:
        """Where runs arrive."""
        return (
            Terminal("in", ALL, "bottom", must=True),
            Terminal("out", ALL, "top", must=True),
        )
