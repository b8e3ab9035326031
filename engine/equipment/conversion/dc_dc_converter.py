"""DC-DC converter."""

from __future__ import annotations

from typing import ClassVar

from engine.equipment.base import DC, Equipment, Role, Terminal
from engine.words import N_

__all__ = ["DcDcConverter"]


class DcDcConverter(Equipment, frozen=True, kw_only=True):
    """DC-DC converter."""

    KIND: ClassVar[str] = "dc_dc_converter"
    NAME: ClassVar[str] = N_("DC-DC converter")
    LETTERS: ClassVar[tuple[str, ...]] = ("T",)
    ROLE: ClassVar[Role] = "converter"

    def terminals(self) -> tuple[Terminal, ...]:
        """Where runs arrive."""
        return (
            Terminal("in", DC, "bottom", must=True),
            Terminal("out", DC, "top", must=True),
            Terminal("neg", ("-",), "bottom"),
        )
