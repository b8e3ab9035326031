"""What is wrong with a rule book: every fault with its key."""

from __future__ import annotations

from collections.abc import Sequence

from engine.words import ngettext

__all__ = ["BookError", "told"]


class BookError(ValueError):
    """A rule book that cannot be used, and why."""


def told(name: str, faults: Sequence[str]) -> str:
    """One sentence, then a line for each fault."""
    first = ngettext(
        "the rule book {name} cannot be used ({n} fault)",
        "the rule book {name} cannot be used ({n} faults)",
        len(faults),
    ).format(name=name, n=len(faults))
    return "\n".join((f"{first}:", *(f"  {fault}" for fault in faults)))
