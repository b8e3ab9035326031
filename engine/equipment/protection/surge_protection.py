"""Surge protection between line conductors and earth."""

from __future__ import annotations

from typing import Annotated, ClassVar, Literal

from engine.equipment._systems import case, figure, lines_of, together
from engine.equipment.base import ALL, Contact, Equipment, Role, Terminal
from engine.record import Fact
from engine.words import N_, _

__all__ = ["SurgeProtection"]


class SurgeProtection(Equipment, frozen=True, kw_only=True):
    """In normal use it conducts nothing between line and earth. `largest_device_a` is its largest back-up device."""

    KIND: ClassVar[str] = "surge_protection"
    NAME: ClassVar[str] = N_("Surge protection")
    LETTERS: ClassVar[tuple[str, ...]] = ("F",)
    ROLE: ClassVar[Role] = "protection"
    OFF_TO_TEST_INSULATION: ClassVar[bool] = True

    surge_type: Annotated[Literal["", "1", "2", "3"], Fact(N_("type (IEC 61643-11)"))] = ""
    continuous_v: Annotated[float | None, Fact(N_("highest continuous voltage"), "V", low=0)] = None
    clamp_v: Annotated[float | None, Fact(N_("voltage it holds the surge to"), "V", low=0)] = None
    surge_a: Annotated[float | None, Fact(N_("surge current it takes"), "A", low=0)] = None
    failure_shows: Annotated[bool | None, Fact(N_("shows when it has failed: yes, no or not known"))] = None

    def terminals(self) -> tuple[Terminal, ...]:
        """Lines, earth."""
        return (
            Terminal("line", ALL, "bottom", must=True, help=N_("conductors it protects")),
            Terminal("earth", ("PE",), "top", help=N_("protective earth")),
        )

    def contacts(self) -> tuple[Contact, ...]:
        """The earth of the lines is its earth."""
        return (case("line"),)

    def summary(self) -> tuple[str, ...]:
        """Type, continuous voltage and surge current."""
        kind = _("type {number}").format(number=self.surge_type) if self.surge_type else ""
        return lines_of(together(kind, figure(self.continuous_v, "V")), figure(self.surge_a, "A"))
