"""A polarity indicator: shows that live and neutral of a polarised supply are exchanged."""

from __future__ import annotations

from typing import Annotated, ClassVar, Literal

from engine.equipment._systems import figure, lines_of
from engine.equipment.base import AC, Equipment, Role, Terminal
from engine.record import Fact
from engine.words import N_

__all__ = ["PolarityIndicator"]


class PolarityIndicator(Equipment, frozen=True, kw_only=True):
    """Its impedance to earth must be high."""

    KIND: ClassVar[str] = "polarity_indicator"
    NAME: ClassVar[str] = N_("Polarity indicator")
    LETTERS: ClassVar[tuple[str, ...]] = ("P",)
    ROLE: ClassVar[Role] = "meter"
    OFF_TO_TEST_INSULATION: ClassVar[bool] = True

    impedance_ohm: Annotated[float | None, Fact(N_("impedance between its conductors"), "ohm", low=0)] = None
    shows_by: Annotated[Literal["", "light", "sound", "light and sound"], Fact(N_("how it warns"))] = ""
    opens: Annotated[bool | None, Fact(N_("also opens the supply: yes, no or not known"))] = None

    def terminals(self) -> tuple[Terminal, ...]:
        """The supply it watches."""
        return (Terminal("sense", AC, "bottom", must=True, help=N_("supply it watches")),)

    def shows_polarity(self) -> bool:
        """That is what it is for."""
        return True

    def summary(self) -> tuple[str, ...]:
        """Impedance."""
        return lines_of(figure(self.impedance_ohm, "ohm"))
