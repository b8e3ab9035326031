"""What may be asked of the labels."""

from __future__ import annotations

from typing import Literal, NamedTuple

from engine.words import N_

__all__ = ["KINDS", "Kind", "LabelsWanted"]

Kind = Literal["legends", "markers", "plates", "signs", "strips"]
KINDS: dict[Kind, str] = {  # what each is called, passed through `_` where it is shown
    "legends": N_("Panel legends"),
    "markers": N_("Run markers"),
    "plates": N_("Device plates"),
    "signs": N_("Warning signs and inlet plates"),
    "strips": N_("Legend strips of kept panels"),
}


class LabelsWanted(NamedTuple):
    """Which labels, on what. `grid`: one for every kind, as typed; none: a usual one for each kind."""

    kinds: tuple[Kind, ...] = tuple(KINDS)
    grid: str = ""
    skip: int = 0  # cells of the first label sheet that are used up already
    marker_width_mm: float | None = None  # of the printed part along the cable; None: as wide as the cell
    outline: bool = False  # lines around the cells, for plain paper that is cut
    only_new: bool = False  # labels of new equipment and new runs alone
    pitch_mm: float | None = None  # of a kept panel's positions; None: assumed, and told
    strip_mm: float = 18.0  # height of a strip
    beside: bool = True  # every label sheet as a picture in a file of its own
    sheets_only: bool = False  # no page that tells what there is
