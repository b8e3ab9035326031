"""Impressed-current protection: a small DC through the sea to the bonded metal."""

from __future__ import annotations

from typing import Annotated, ClassVar

from engine.equipment._facts import DcVolts
from engine.equipment._systems import System, consumer_draw, figure, lines_of, negative
from engine.equipment.base import DC, Contact, Draw, Equipment, Role, Terminal
from engine.record import Fact
from engine.words import N_

__all__ = ["ImpressedCurrent"]


class ImpressedCurrent(Equipment, frozen=True, kw_only=True):
    """Its current returns through hull and bonding by design; `anode` is its output, no part of the live circuit."""

    KIND: ClassVar[str] = "impressed_current"
    NAME: ClassVar[str] = N_("Impressed-current protection")
    LETTERS: ClassVar[tuple[str, ...]] = ("F", "T")
    ROLE: ClassVar[Role] = "load"
    OFF_TO_TEST_INSULATION: ClassVar[bool] = True

    dc_v: DcVolts = None
    power_w: Annotated[float | None, Fact(N_("power it takes"), "W", low=0)] = None
    current_a: Annotated[float | None, Fact(N_("current it takes"), "A", low=0)] = None
    output_a: Annotated[float | None, Fact(N_("largest protecting current"), "A", low=0)] = None
    reference_v: Annotated[float | None, Fact(N_("potential of the hull it is set to hold"), "V", low=-2, high=2)] = (
        None
    )

    def terminals(self) -> tuple[Terminal, ...]:
        """Supply, negative drawn apart, anode."""
        return (
            Terminal("in", DC, "bottom", must=True, help=N_("supply")),
            Terminal("neg", ("-",), "bottom", help=N_("negative drawn apart")),
            Terminal("anode", ("PE",), "right", help=N_("to its anodes")),
        )

    def contacts(self) -> tuple[Contact, ...]:
        """One negative."""
        return (negative("in"),)

    def draws(self) -> tuple[Draw, ...]:
        """What it takes."""
        return (
            consumer_draw(
                terminal="in",
                behaves="",
                power_w=self.power_w,
                current_a=self.current_a,
                dc_v=self.dc_v,
                ac_v=None,
                phases="L1",
                neutral=None,
                power_factor=None,
                count=self.quantity,
            ),
        )

    def nominal_volts(self, terminal: str) -> System | None:
        """The supply."""
        return None if terminal == "anode" else ("dc", self.dc_v)

    def summary(self) -> tuple[str, ...]:
        """Protecting current."""
        return lines_of(figure(self.output_a, "A"))
