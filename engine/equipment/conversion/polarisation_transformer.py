"""Polarisation transformer."""

from __future__ import annotations

from typing import ClassVar

from engine.equipment.base import AC, Equipment, Role, Terminal
from engine.words import N_

__all__ = ["PolarisationTransformer"]


class PolarisationTransformer(Equipment, frozen=True, kw_only=True):
    """Polarisation transformer."""

    KIND: ClassVar[str] = "polarisation_transformer"
    NAME: ClassVar[str] = N_("Polarisation transformer")
    LETTERS: ClassVar[tuple[str, ...]] = ("T",)
    ROLE: ClassVar[Role] = "converter"

    def terminals(self) -> tuple[Terminal, ...]:
        """Where runs arrive."""
        return (
            Terminal("primary", AC, "bottom", must=True),
            Terminal("secondary", AC, "top", must=True),
            Terminal("earth", ("PE",), "right"),
        )
