"""An insulation monitor: warns when an unearthed system leaks to earth."""

from __future__ import annotations

from typing import Annotated, ClassVar

from engine.equipment._systems import case, figure, lines_of
from engine.equipment.base import ALL, Contact, Equipment, Role, Terminal
from engine.record import Fact
from engine.words import N_, _

__all__ = ["InsulationMonitor"]


class InsulationMonitor(Equipment, frozen=True, kw_only=True):
    """It measures between the system and earth and is no bond between them."""

    KIND: ClassVar[str] = "insulation_monitor"
    NAME: ClassVar[str] = N_("Insulation monitor")
    LETTERS: ClassVar[tuple[str, ...]] = ("B", "P")
    ROLE: ClassVar[Role] = "meter"
    OFF_TO_TEST_INSULATION: ClassVar[bool] = True

    alarm_ohm: Annotated[float | None, Fact(N_("insulation resistance below which it warns"), "ohm", low=0)] = None
    inner_ohm: Annotated[float | None, Fact(N_("its own resistance to earth"), "ohm", low=0)] = None
    opens: Annotated[bool | None, Fact(N_("also opens the supply: yes, no or not known"))] = None

    def terminals(self) -> tuple[Terminal, ...]:
        """The system it watches, and earth."""
        return (
            Terminal("sense", ALL, "bottom", must=True, help=N_("system it watches")),
            Terminal("earth", ("PE",), "right", help=N_("earth")),
        )

    def contacts(self) -> tuple[Contact, ...]:
        """The earth that comes with the system is its earth."""
        return (case("sense"),)

    def summary(self) -> tuple[str, ...]:
        """Where it warns."""
        alarm = figure(self.alarm_ohm, "ohm")
        return lines_of(alarm and _("warns below {ohms}").format(ohms=alarm))
