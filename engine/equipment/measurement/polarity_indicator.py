"""Polarity indicator."""

from __future__ import annotations

from typing import ClassVar

from engine.equipment.base import AC, Equipment, Role, Terminal
from engine.words import N_

__all__ = ["PolarityIndicator"]


class PolarityIndicator(Equipment, frozen=True, kw_only=True):
    """Polarity indicator."""

    KIND: ClassVar[str] = "polarity_indicator"
    NAME: ClassVar[str] = N_("Polarity indicator")
    LETTERS: ClassVar[tuple[str, ...]] = ("P",)
    ROLE: ClassVar[Role] = "meter"

    def terminals(self) -> tuple[Terminal, ...]:
        """Where runs arrive."""
        return (
            Terminal("sense", AC, "bottom", must=True),
        )
