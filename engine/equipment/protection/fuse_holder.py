"""Fuse holder."""

from __future__ import annotations

from typing import ClassVar

from engine.equipment.base import ALL, Equipment, Role, Terminal
from engine.words import N_

__all__ = ["FuseHolder"]


class FuseHolder(Equipment, frozen=True, kw_only=True):
    """Fuse holder."""

    KIND: ClassVar[str] = "fuse_holder"
    NAME: ClassVar[str] = N_("Fuse holder")
    LETTERS: ClassVar[tuple[str, ...]] = ("F", "X")
    ROLE: ClassVar[Role] = "protection"

    def terminals(self) -> tuple[Terminal, ...]:
        """Where runs arrive."""
        return (
            Terminal("in", ALL, "bottom", must=True),
            Terminal("out", ALL, "top", must=True),
        )
