"""A pre-charge device: fills the capacitors of what follows through a resistor before the main contact closes."""

from __future__ import annotations

from typing import Annotated, ClassVar

from engine.equipment._facts import ControlledBy, Poles
from engine.equipment._systems import figure, lines_of, opened, together
from engine.equipment.base import ALL, CLOSED, OPEN_CLOSED, Contact, Equipment, Role, Terminal
from engine.equipment.parting import Opens
from engine.record import Fact
from engine.words import N_

__all__ = ["PreCharge"]


class PreCharge(Equipment, frozen=True, kw_only=True):
    """Its resistor is rated for seconds: it is closed only while charging, and stands open."""

    KIND: ClassVar[str] = "pre_charge"
    NAME: ClassVar[str] = N_("Pre-charge")
    LETTERS: ClassVar[tuple[str, ...]] = ("R", "Q")
    ROLE: ClassVar[Role] = "switch"
    OFF_TO_TEST_INSULATION: ClassVar[bool] = True

    poles: Poles = ()
    resistance_ohm: Annotated[float | None, Fact(N_("resistor"), "ohm", low=0)] = None
    resistor_w: Annotated[float | None, Fact(N_("power of the resistor"), "W", low=0)] = None
    charge_s: Annotated[float | None, Fact(N_("time it takes"), "s", low=0)] = None
    automatic: Annotated[bool | None, Fact(N_("works by itself: yes, no or not known"))] = None
    controlled_by: ControlledBy = ""
    bridges: Annotated[str, Fact(N_("switch or contactor it goes round"), refers="equipment")] = ""

    def terminals(self) -> tuple[Terminal, ...]:
        """Supply and what is charged."""
        return (
            Terminal("in", ALL, "bottom", must=True, help=N_("supply")),
            Terminal("out", ALL, "top", must=True, help=N_("what is charged")),
        )

    def positions(self) -> tuple[str, ...]:
        """Open, closed."""
        return OPEN_CLOSED

    def normal_position(self) -> str:
        """Open: it works for seconds."""
        return "open"

    def contacts(self) -> tuple[Contact, ...]:
        """Through the resistor when closed; every other conductor passes straight."""
        return (Contact("in", "out", opened(self.poles), CLOSED),)

    def parts(self) -> Opens:
        """Its resistor limits the current."""
        return super().parts()._replace(gentle=True)

    def summary(self) -> tuple[str, ...]:
        """Resistor and time."""
        return lines_of(together(figure(self.resistance_ohm, "ohm"), figure(self.charge_s, "s")))
