"""A changeover switch: one of two sources to a common, with or without an off between them."""

from __future__ import annotations

from typing import Annotated, ClassVar, Literal

from engine.equipment._facts import BreaksLoad, ContinuousA, MakesBeforeBreaks, Poles
from engine.equipment._systems import figure, first, lines_of, opened, poles_in_words, together
from engine.equipment.base import ALL, Contact, Equipment, Role, Terminal
from engine.equipment.behaviour import Carries, Remote
from engine.record import Fact
from engine.words import N_, _

__all__ = ["Changeover"]


class Changeover(Equipment, frozen=True, kw_only=True):
    """`poles` of `L1 N` switches live and neutral together."""

    KIND: ClassVar[str] = "changeover"
    NAME: ClassVar[str] = N_("Changeover switch")
    LETTERS: ClassVar[tuple[str, ...]] = ("Q", "S")
    ROLE: ClassVar[Role] = "switch"

    poles: Poles = ()
    has_off: Annotated[bool, Fact(N_("has an off position between the two"))] = True
    continuous_a: ContinuousA = None
    breaks_load: BreaksLoad = None
    makes_before_breaks: MakesBeforeBreaks = None
    automatic: Annotated[bool | None, Fact(N_("changes over by itself: yes, no or not known"))] = None
    transfer_ms: Annotated[float | None, Fact(N_("time it takes to transfer"), "ms", low=0)] = None
    on_loss: Annotated[Literal["", "0", "1", "2", "stays"], Fact(N_("position it takes when its control is lost"))] = ""

    def terminals(self) -> tuple[Terminal, ...]:
        """Two sources, one common."""
        return (
            Terminal("one", ALL, "bottom", must=True, help=N_("source 1")),
            Terminal("two", ALL, "bottom", must=True, help=N_("source 2")),
            Terminal("common", ALL, "top", must=True, help=N_("common")),
        )

    def positions(self) -> tuple[str, ...]:
        """0, 1, 2; without 0 where it has no off."""
        return ("0", "1", "2") if self.has_off else ("1", "2")

    def normal_position(self) -> str:
        """Source 1."""
        return "1"

    def moves_itself(self) -> bool | None:
        """As recorded; a plain changeover is worked by hand unless somebody wrote that it is not."""
        return bool(self.automatic)

    def moves(self) -> tuple[tuple[str, str], ...]:
        """From one source to the other through off, where it has one."""
        pairs = (("0", "1"), ("0", "2")) if self.has_off else (("1", "2"),)
        return tuple(sorted((a, b) for pair in pairs for a, b in (pair, pair[::-1])))

    def remotes(self) -> tuple[Remote, ...]:
        """The whole of it, where it changes over by itself."""
        return (Remote("", self.on_loss),) if self.automatic else ()

    def contacts(self) -> tuple[Contact, ...]:
        """One source to the common; every other conductor passes straight."""
        return (
            Contact("one", "common", opened(self.poles), frozenset({"1"})),
            Contact("two", "common", opened(self.poles), frozenset({"2"})),
        )

    def through_limit(self, terminal: str) -> float | None:
        """Its continuous rating."""
        return first(self.through_a, self.continuous_a)

    def missing_for_current(self) -> tuple[str, ...]:
        """Its continuous rating."""
        return ("continuous_a",) if self.through_limit("common") is None else ()

    def carries(self) -> Carries:
        """Its ratings."""
        return Carries(first(self.continuous_a, self.through_a), None, None)

    def summary(self) -> tuple[str, ...]:
        """Continuous rating and poles; positions."""
        rating = figure(self.through_limit("common"), "A")
        order = "1-0-2" if self.has_off else _("1-2, no off")
        return lines_of(together(rating, poles_in_words(self.poles)), order)
