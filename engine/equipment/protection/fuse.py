"""A fuse with its link. The holder alone is `fuse_holder`."""

from __future__ import annotations

from typing import Annotated, ClassVar

from engine.equipment._facts import Conductor, ContinuousPercent, FuseClass, LetThrough, TimePoints
from engine.equipment._systems import breaks, figure, lines_of, opened, together, word
from engine.equipment.base import ALL, Contact, Equipment, Protection, Role, Terminal
from engine.equipment.behaviour import Trip
from engine.record import Fact
from engine.words import N_

__all__ = ["Fuse"]


class Fuse(Equipment, frozen=True, kw_only=True):
    """Opens one conductor for good when the current through it is too high for too long."""

    KIND: ClassVar[str] = "fuse"
    NAME: ClassVar[str] = N_("Fuse")
    LETTERS: ClassVar[tuple[str, ...]] = ("F",)
    ROLE: ClassVar[Role] = "protection"

    rating_a: Annotated[float | None, Fact(N_("rated current of the link"), "A", low=0, above=0)] = None
    fuse_class: FuseClass = ""
    conductor: Conductor = ""
    time_points: TimePoints = ()
    let_through_a2s: LetThrough = None
    continuous_percent: ContinuousPercent = None
    holder_a: Annotated[float | None, Fact(N_("rating of its holder"), "A", low=0)] = None
    supplied_with_equipment: Annotated[
        bool | None, Fact(N_("in-line, supplied with the equipment it serves: yes, no or not known"))
    ] = None
    blown_shows: Annotated[bool | None, Fact(N_("shows when it has blown: yes, no or not known"))] = None

    def pieces(self) -> int:
        """None where it came with the equipment it serves."""
        return 0 if self.supplied_with_equipment else self.quantity

    def terminals(self) -> tuple[Terminal, ...]:
        """Line side and load side; which is which does not matter to a fuse."""
        return (
            Terminal("in", ALL, "bottom", must=True, help=N_("line side")),
            Terminal("out", ALL, "top", must=True, help=N_("load side")),
        )

    def _poles(self) -> tuple[str, ...]:
        return (self.conductor,) if self.conductor else ()

    def contacts(self) -> tuple[Contact, ...]:
        """One pole; every other conductor passes straight."""
        return (Contact("in", "out", opened(self._poles()), protection=Protection(self.rating_a, "fuse")),)

    def trip(self) -> Trip:
        """Its class and what its maker's sheet says."""
        return Trip(
            self.rating_a,
            self.fuse_class,
            tuple((p.multiple, p.fastest_s, p.slowest_s) for p in self.time_points),
            let_through_a2s=self.let_through_a2s,
            continuous_percent=self.continuous_percent,
        )

    def summary(self) -> tuple[str, ...]:
        """Class where it has a name, rating, breaking capacity."""
        kind = "" if self.fuse_class == "other" else word(self.fuse_class)  # "other" tells a reader nothing
        return lines_of(together(kind, figure(self.rating_a, "A")), breaks(self.breaking, self._poles()))
