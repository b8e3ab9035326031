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
    families: dict[str, set[Family]] = {}
    runs: list[Thing] = []
    for part in scene.parts_on(sheet):
        run = scene.snapshot.runs[part.run]
        family = _of_run(run)
        runs.append(Thing(part.run, "run", family, run.designation))
        for end in (run.from_end, run.to_end):
            families.setdefault(end.equipment, set()).add(family)
    things: dict[str, Thing] = {}
    for piece in scene.on(sheet):
        item, record = piece.equipment, piece.record
        found = families.get(item) or {_of_terminal(piece, t.name) for t in record.terminals() if piece.shows(t.name)}
        things[item] = Thing(item, "equipment", _one_of(found), record.designation, record.label)
    return Meaning(frame, (*things.values(), *runs), tuple(symbols))


def _one_of(found: set[Family]) -> Family:
    """What carries power says what a thing belongs to; "" where two do."""
    powers = found & {"dc", "ac"}
    if powers:
        return next(iter(powers)) if len(powers) == 1 else ""
    return "earth" if "earth" in found else "dc" if "signal" in found else ""


def _of_run(run: Run) -> Family:
    return "ac" if run.is_ac() else _FAMILIES.get(run.function, "dc")


def _of_terminal(piece: Piece, terminal: str) -> Family:
    told = piece.record.nominal_volts(terminal)
    return told[0] if told is not None else ""
