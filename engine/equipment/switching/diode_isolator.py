"""A diode isolator: one charging source feeds several banks, and no bank feeds another."""

from __future__ import annotations

from typing import Annotated, ClassVar

from engine.equipment._facts import DcVolts, RatingA
from engine.equipment._systems import System, figure, first, lines_of
from engine.equipment.base import ALL, Contact, Equipment, Role, Terminal
from engine.record import Fact
from engine.words import N_, _

__all__ = ["DiodeIsolator"]

OUTPUTS = ("out1", "out2", "out3")


class DiodeIsolator(Equipment, frozen=True, kw_only=True):
    """Positive conducts from `in` to each output only; every other conductor is common."""

    KIND: ClassVar[str] = "diode_isolator"
    NAME: ClassVar[str] = N_("Diode isolator")
    LETTERS: ClassVar[tuple[str, ...]] = ("R",)
    ROLE: ClassVar[Role] = "switch"
    OFF_TO_TEST_INSULATION: ClassVar[bool] = True

    dc_v: DcVolts = None
    rating_a: RatingA = None
    output_a: Annotated[float | None, Fact(N_("rating of one output"), "A", low=0)] = None
    drop_v: Annotated[float | None, Fact(N_("voltage lost in it"), "V", low=0)] = None
    low_drop: Annotated[bool | None, Fact(N_("of a low-drop form: yes, no or not known"))] = None

    def terminals(self) -> tuple[Terminal, ...]:
        """One source, up to three banks."""
        return (
            Terminal("in", ALL, "bottom", must=True, help=N_("charging source")),
            Terminal("out1", ALL, "top", must=True, help=N_("first bank")),
            Terminal("out2", ALL, "top", must=True, help=N_("second bank")),
            Terminal("out3", ALL, "top", help=N_("third bank")),
        )

    def contacts(self) -> tuple[Contact, ...]:
        """One way for the positive, both ways for what passes straight."""
        return tuple(Contact("in", out, ("+",), one_way=True) for out in OUTPUTS)

    def nominal_volts(self, terminal: str) -> System:
        """The system it is made for."""
        return "dc", self.dc_v

    def diode_v(self) -> float | None:
        """Volts lost in it."""
        return self.drop_v

    def through_limit(self, terminal: str) -> float | None:
        """Its rating; that of one output at an output where it is recorded."""
        whole = first(self.through_a, self.rating_a)
        return whole if terminal == "in" else first(self.output_a, whole)

    def missing_for_current(self) -> tuple[str, ...]:
        """Its rating."""
        return ("rating_a",) if self.through_limit("in") is None else ()

    def summary(self) -> tuple[str, ...]:
        """Rating; voltage lost."""
        return lines_of(
            figure(self.through_limit("in"), "A"),
            "" if self.drop_v is None else _("drop {volts}").format(volts=figure(self.drop_v, "V")),
        )
