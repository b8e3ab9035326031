"""A shore adapter: joins a cord of one form to an inlet or outlet of another."""

from __future__ import annotations

from typing import Annotated, ClassVar

from engine.equipment._facts import PassesEarth, RatingA
from engine.equipment._systems import figure, first, lines_of
from engine.equipment.base import AC, Contact, Equipment, Role, Terminal
from engine.record import Fact
from engine.words import N_, _

__all__ = ["ShoreAdapter"]


class ShoreAdapter(Equipment, frozen=True, kw_only=True):
    """It has no protection of its own: what stands ashore protects the smaller cord, or nothing does."""

    KIND: ClassVar[str] = "shore_adapter"
    NAME: ClassVar[str] = N_("Shore adapter")
    LETTERS: ClassVar[tuple[str, ...]] = ("X",)
    ROLE: ClassVar[Role] = "junction"

    rating_a: RatingA = None
    from_form: Annotated[str, Fact(N_("form towards the shore"))] = ""
    to_form: Annotated[str, Fact(N_("form towards the boat"))] = ""
    feeds_both_legs: Annotated[
        bool | None, Fact(N_("feeds both legs of the boat from one line, in phase: yes, no or not known"))
    ] = None
    passes_earth: PassesEarth = None

    def terminals(self) -> tuple[Terminal, ...]:
        """Shore and boat."""
        return (
            Terminal("in", AC, "bottom", must=True, help=N_("towards the shore")),
            Terminal("out", AC, "top", must=True, help=N_("towards the boat")),
        )

    def contacts(self) -> tuple[Contact, ...]:
        """Like pins together; earth too unless the record denies it; line 1 to both legs unless it does not do that."""
        through = Contact("in", "out", ("L1", "L2", "L3", "N"), straight=self.passes_earth is not False)
        if self.feeds_both_legs is False:
            return (through,)
        supposed = "feeds_both_legs" if self.feeds_both_legs is None else ""
        return (through, Contact("in", "out", cross=("L1", "L2"), straight=False, supposed=supposed))

    def through_limit(self, terminal: str) -> float | None:
        """The smaller of its two forms."""
        return first(self.through_a, self.rating_a)

    def missing_for_current(self) -> tuple[str, ...]:
        """Its rating."""
        return ("rating_a",) if self.through_limit("in") is None else ()

    def summary(self) -> tuple[str, ...]:
        """Rating; whether it feeds both legs."""
        return lines_of(
            figure(self.through_limit("in"), "A"), _("both legs from one line") if self.feeds_both_legs else ""
        )
