"""An earth point: where the DC negative and the protective earth meet the hull, a ground plate or the sea."""

from __future__ import annotations

from typing import Annotated, ClassVar, Literal

from engine.equipment._systems import lines_of, word
from engine.equipment.base import Contact, Equipment, Role, Terminal
from engine.record import Fact
from engine.words import N_

__all__ = ["EarthPoint"]


class EarthPoint(Equipment, frozen=True, kw_only=True):
    """It joins negative and earth where both arrive."""

    KIND: ClassVar[str] = "earth_point"
    NAME: ClassVar[str] = N_("Earth point")
    LETTERS: ClassVar[tuple[str, ...]] = ("X",)
    ROLE: ClassVar[Role] = "earth"
    SPARKS: ClassVar[bool] = False

    form: Annotated[
        Literal["", "hull", "engine block", "ground plate", "keel", "bus", "other"], Fact(N_("what it is"))
    ] = ""

    def terminals(self) -> tuple[Terminal, ...]:
        """Negative and earth."""
        return (Terminal("at", ("-", "PE"), "top", must=True, help=N_("the point")),)

    def contacts(self) -> tuple[Contact, ...]:
        """Negative and earth are one here."""
        return (Contact("at", "at", cross=("-", "PE"), straight=False),)

    def touches_sea(self) -> bool:
        """It does."""
        return True

    def is_ground(self) -> bool:
        """It is."""
        return True

    def is_hull(self) -> bool:
        """By what it is."""
        return self.form in ("hull", "keel")

    def summary(self) -> tuple[str, ...]:
        """What it is."""
        return lines_of(word(self.form))
