"""What the strokes of a sheet stand for: equipment and runs by family, symbols in their places."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Literal

from app.drawing.placed import Piece, Scene
from engine.installation import Run
from engine.meaning import Meaning, Symbol, Thing
from engine.picture import Primitive

__all__ = ["meaning_of", "symbol_of"]

Family = Literal["dc", "ac", "earth", "signal", ""]
_FAMILIES: dict[str, Family] = {"earth": "earth", "bonding": "earth", "signal": "signal"}


def symbol_of(piece: Piece, at: tuple[float, float], strokes: Sequence[Primitive]) -> Symbol:
    """A piece's symbol as drawn, in mm. Its name says what it is and how it stands."""
    record, placement = piece.record, piece.placement
    parts = [record.KIND or "unknown", record.drawn_position()]
    parts.append(str(placement.rotation) if placement.rotation else "")
    parts.append("mirrored" if placement.mirrored else "")
    parts.append(record.status if record.status != "existing" else "")
    return Symbol(piece.equipment, "-".join(part for part in parts if part), *at, tuple(strokes))


def meaning_of(scene: Scene, sheet: str, frame: int, symbols: Sequence[Symbol]) -> Meaning:
    """The meaning of a sheet whose first `frame` primitives are its frame."""
    snapshot = scene.snapshot
    things: dict[str, Thing] = {}
    for piece in scene.on(sheet):
        record = piece.record
        families = {_of_piece(piece, terminal.name) for terminal in record.terminals() if piece.shows(terminal.name)}
        families.discard("")
        item = piece.equipment
        if item in things:
            families.add(things[item].family)
        family: Family = next(iter(families)) if len(families) == 1 else ""
        things[item] = Thing(item, "equipment", family, record.designation, record.label)
    for part in scene.parts_on(sheet):
        run = snapshot.runs[part.run]
        things[part.run] = Thing(part.run, "run", _of_run(run), run.designation)
    return Meaning(frame, tuple(things.values()), tuple(symbols))


def _of_run(run: Run) -> Family:
    return "ac" if run.is_ac() else _FAMILIES.get(run.function, "dc")


def _of_piece(piece: Piece, terminal: str) -> Family:
    told = piece.record.nominal_volts(terminal)
    return told[0] if told is not None else ""
