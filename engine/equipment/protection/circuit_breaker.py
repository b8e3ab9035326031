"""Circuit breaker."""

from __future__ import annotations

from typing import ClassVar

from engine.equipment.base import ALL, Equipment, Role, Terminal
from engine.words import N_

__all__ = ["CircuitBreaker"]


class CircuitBreaker(Equipment, frozen=True, kw_only=True):
    """Circuit breaker."""

    KIND: ClassVar[str] = "circuit_breaker"
    NAME: ClassVar[str] = N_("Circuit breaker")
    LETTERS: ClassVar[tuple[str, ...]] = ("F", "Q")
    ROLE: ClassVar[Role] = "protection"

    def terminals(self) -> tuple[Terminal, ...]:
        """Where runs arrive."""
        return (
            Terminal("in", ALL, "bottom", must=True),
            Terminal("out", ALL, "top", must=True),
        )
