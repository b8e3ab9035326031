"""Pieces whose own symbol is not found on this machine: drawn in the shape of their kind, and told on their sheet.

The drawing keeps the name; it is right again where the folder of symbols is.
"""

from __future__ import annotations

from app.drawing.looks import is_found
from app.drawing.placed import Scene
from engine.naming import natural
from engine.words import _

__all__ = ["not_found"]


def not_found(scene: Scene, sheet: str) -> list[str]:
    """A sentence for each symbol that pieces of a sheet name and that cannot be drawn here."""
    missing: dict[str, list[str]] = {}
    for piece in scene.on(sheet):
        symbol = piece.placement.symbol
        if not is_found(piece.record, symbol):
            missing.setdefault(symbol, []).append(scene.snapshot.name(piece.equipment))
    told = _("{names}: the symbol {symbol!r} is not found on this machine; the shape of the kind is drawn instead.")
    return [
        told.format(names=", ".join(sorted(dict.fromkeys(names), key=natural)), symbol=symbol)
        for symbol, names in sorted(missing.items())
    ]
