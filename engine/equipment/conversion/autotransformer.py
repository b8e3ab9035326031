"""Autotransformer."""

from __future__ import annotations

from typing import ClassVar

from engine.equipment.base import AC, Equipment, Role, Terminal
from engine.words import N_

__all__ = ["Autotransformer"]


class Autotransformer(Equipment, frozen=True, kw_only=True):
    """Autotransformer."""

    KIND: ClassVar[str] = "autotransformer"
    NAME: ClassVar[str] = N_("Autotransformer")
    LETTERS: ClassVar[tuple[str, ...]] = ("T",)
    ROLE: ClassVar[Role] = "converter"

    def terminals(self) -> tuple[Terminal, ...]:
        """Where runs arrive."""
        return (
            Terminal("in", AC, "bottom", must=True),
            Terminal("out", AC, "top", must=True),
        )
