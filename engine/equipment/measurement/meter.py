"""A meter or battery monitor."""

from __future__ import annotations

from typing import Annotated, ClassVar, Literal

from engine.equipment._facts import StandbyW
from engine.equipment._systems import lines_of, word
from engine.equipment.base import ALL, Equipment, Role, Terminal
from engine.record import Fact
from engine.words import N_

__all__ = ["Meter"]


class Meter(Equipment, frozen=True, kw_only=True):
    """It takes next to nothing; its sense leads need protection like any conductor."""

    KIND: ClassVar[str] = "meter"
    NAME: ClassVar[str] = N_("Meter")
    LETTERS: ClassVar[tuple[str, ...]] = ("P",)
    ROLE: ClassVar[Role] = "meter"
    OFF_TO_TEST_INSULATION: ClassVar[bool] = True

    measures: Annotated[
        Literal["", "voltage", "current", "frequency", "power", "energy", "state of charge", "several"],
        Fact(N_("what it shows")),
    ] = ""
    scale: Annotated[str, Fact(N_("its scale, as written on it"))] = ""
    shunt: Annotated[str, Fact(N_("shunt or transformer it reads"), refers="equipment")] = ""
    alarm: Annotated[bool | None, Fact(N_("gives an alarm: yes, no or not known"))] = None
    standby_w: StandbyW = None

    def terminals(self) -> tuple[Terminal, ...]:
        """What it reads."""
        return (Terminal("sense", ALL, "bottom", must=True, help=N_("what it reads")),)

    def summary(self) -> tuple[str, ...]:
        """What it shows."""
        return lines_of(word(self.measures))
