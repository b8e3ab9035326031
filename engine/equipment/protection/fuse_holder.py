"""A fuse holder whose link is not a piece of equipment of its own: it may be empty, or the link not known."""

from __future__ import annotations

from typing import Annotated, ClassVar

from engine.equipment._facts import Conductor, FuseClass, LetThrough, TimePoints
from engine.equipment._systems import breaks, figure, lines_of, opened, together, word
from engine.equipment.base import ALL, Contact, Equipment, Protection, Role, Terminal
from engine.equipment.behaviour import Trip
from engine.record import Fact
from engine.words import N_, _

__all__ = ["FuseHolder"]


class FuseHolder(Equipment, frozen=True, kw_only=True):
    """Without `link_a` it is a protective device of unknown rating. `through_a` is the rating of the holder itself."""

    KIND: ClassVar[str] = "fuse_holder"
    NAME: ClassVar[str] = N_("Fuse holder")
    LETTERS: ClassVar[tuple[str, ...]] = ("F", "X")
    ROLE: ClassVar[Role] = "protection"

    link_a: Annotated[float | None, Fact(N_("rated current of the link in it"), "A", low=0, above=0)] = None
    link_class: FuseClass = ""
    conductor: Conductor = ""
    time_points: TimePoints = ()
    let_through_a2s: LetThrough = None

    def terminals(self) -> tuple[Terminal, ...]:
        """Line side and load side."""
        return (
            Terminal("in", ALL, "bottom", must=True, help=N_("line side")),
            Terminal("out", ALL, "top", must=True, help=N_("load side")),
        )

    def _poles(self) -> tuple[str, ...]:
        return (self.conductor,) if self.conductor else ()

    def contacts(self) -> tuple[Contact, ...]:
        """One pole through the link; every other conductor passes straight."""
        link = Protection(self.link_a, "fuse", "link_a")
        return (Contact("in", "out", opened(self._poles()), protection=link),)

    def trip(self) -> Trip:
        """Class and band of the link in it."""
        return Trip(
            self.link_a,
            self.link_class,
            tuple((p.multiple, p.fastest_s, p.slowest_s) for p in self.time_points),
            let_through_a2s=self.let_through_a2s,
            form_field="link_class",
            rating_field="link_a",
        )

    def missing_for_current(self) -> tuple[str, ...]:
        """The rating of the holder."""
        return ("through_a",) if self.through_a is None else ()

    def summary(self) -> tuple[str, ...]:
        """Link; breaking capacity; rating of the holder."""
        holder = self.through_a
        return lines_of(
            together(word(self.link_class), figure(self.link_a, "A")),
            breaks(self.breaking, self._poles()),
            "" if holder is None else _("holder {amps}").format(amps=figure(holder, "A")),
        )
