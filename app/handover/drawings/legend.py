"""The legend of a drawing set: the symbols its sheets show, drawn as they show them, and what its lines and signs mean.

Nothing stands here that no sheet shows.
"""

from __future__ import annotations

import itertools
from collections.abc import Iterator, Sequence
from typing import NamedTuple

from app.drawing.enclosures import clusters
from app.drawing.links import link_mark
from app.drawing.looks import chosen, look
from app.drawing.margin import note_sign
from app.drawing.placed import Scene
from app.drawing.revisions import side_of, triangle
from app.drawing.routes import junctions
from app.drawing.squares.sign import HALF, square_sign
from app.drawing.strokes import run_strokes, symbol_strokes
from app.handover.drawings.columns import PITCH, TALL, Item, gap
from engine.check import CheckResult
from engine.clouds import cloud
from engine.equipment.base import Equipment
from engine.installation import Snapshot
from engine.naming import natural
from engine.picture import (
    Box,
    Primitive,
    Text,
    around,
    circle,
    line,
    path_box,
    polygon,
    polyline,
    text_box,
    transformed,
    wrap_text,
)
from engine.picture import Path as Stroke
from engine.words import N_, _
from symbols import catalogue
from symbols.catalogue import Symbol

__all__ = ["Entry", "lines_and_signs", "set_entries", "symbols_used"]

_WIDEST = 26.0  # mm, of the column in which symbols and samples stand, at most
_AROUND = 2.5  # below an entry
_BETWEEN = 4.0  # entries side by side
_LONG = 15.0  # of a sample of a line
_SHOWN = 4  # steps of a bus bar
_STATUSES = ("existing", "new", "to remove", "by others", "spare")
_RUNS = {
    "existing": N_("run that is there: thin"),
    "new": N_("new run: thick"),
    "to remove": N_("run to be removed: dashed, with crosses"),
    "by others": N_("run by others: dotted, grey"),
    "spare": N_("spare run: dash and dot"),
}
_DEVICES = {
    "new": N_("new equipment: thick; that which is there: thin"),
    "to remove": N_("equipment to be removed: dashed, crossed out"),
    "by others": N_("equipment by others: grey, in a dotted frame, with these words beside it"),
    "spare": N_("spare equipment: in a frame of dashes and dots, with this word beside it"),
}
_LOCKS = {
    "mechanical": N_("mechanical interlock: one at a time, unless a figure says how many of how many"),
    "electrical": N_("E: electrical interlock, explained on the sheet"),
    "captive key": N_("K: interlock by a captive key, explained on the sheet"),
}


class Entry(NamedTuple):
    """A symbol or sample about its own origin, and what it means."""

    strokes: tuple[Primitive, ...]
    text: str

    @property
    def box(self) -> Box:
        """What the strokes cover."""
        boxes = [path_box(p) if isinstance(p, Stroke) else text_box(p) for p in self.strokes]
        return around(boxes)

    @property
    def wide(self) -> float:
        """Width of the strokes, mm."""
        return self.box.right - self.box.left


# -- what there is ---------------------------------------------------------------------------------------------------
def symbols_used(scene: Scene) -> list[Entry]:
    """Every symbol on a sheet once, by name; a switch once for each position it is drawn in."""
    found: dict[tuple[str, str], tuple[Equipment, Symbol | None]] = {}
    for piece in scene.pieces.values():
        symbol = chosen(piece.record, piece.placement.symbol)
        position = piece.record.drawn_position() if symbol is not None else ""
        if symbol is not None and position not in symbol.positions():
            position = symbol.rest
        found.setdefault((symbol.slug if symbol is not None else "", position), (piece.record, symbol))
    named = [(_name(record, symbol, position), slug, position) for (slug, position), (record, symbol) in found.items()]
    return [
        Entry(_strokes(scene, *found[slug, position], position), name)
        for name, slug, position in sorted(named, key=lambda each: (natural(each[0]), each))
    ]


def _name(record: Equipment, symbol: Symbol | None, position: str) -> str:
    if symbol is None:
        return _("equipment of a kind this version does not know")
    name = _(record.NAME)
    if symbol.slug != symbol.kind:
        what = symbol.name if symbol.is_own else _(symbol.name)
        name = what if what.startswith(name) else _("{kind}: {name}").format(kind=name, name=what)
    told = _(position) if len(position) > 2 else _("position {position}").format(position=position)
    return _("{name}, {position}").format(name=name, position=told) if position else name


def _strokes(scene: Scene, record: Equipment, symbol: Symbol | None, position: str) -> tuple[Primitive, ...]:
    """As it is drawn when it is neither new nor removed nor turned."""
    standard = scene.snapshot.settings.symbols
    if symbol is None:
        shape = look(record, standard).shape
    else:
        shape = catalogue.shape(symbol, standard, position, length=_SHOWN if symbol.stretches else None)
    return tuple(symbol_strokes(shape.primitives, (0.0, 0.0), shape.box, "existing", ""))


def lines_and_signs(scene: Scene, result: CheckResult | None, index: str | None) -> list[Entry]:
    """Lines, marks of status, signs of the drawing, as far as a sheet shows them. `index`: of a revision clouded."""
    return [*_lines(scene), *_devices(scene), *_locks(scene), *_signs(scene), *_marks(scene.snapshot, result, index)]


def _lines(scene: Scene) -> Iterator[Entry]:
    runs = [scene.snapshot.runs[item] for item in dict.fromkeys(part.run for part in scene.parts)]
    plain = {run.status for run in runs}
    for status in _STATUSES:
        if status in plain:
            yield Entry(tuple(run_strokes(((0.0, 0.0), (_LONG, 0.0)), status, "", "")), _(_RUNS[status]))
    if any(run.function == "signal" for run in runs):
        strokes = run_strokes(((0.0, 0.0), (_LONG, 0.0)), "existing", "signal", "")
        yield Entry(tuple(strokes), _("run that carries a signal: dashed"))
    if any(run.is_ac() for run in runs):
        made: list[Primitive] = [line(0.0, 0.0, _LONG, 0.0, 0.35)]
        for n in range(3):
            x = _LONG / 2 + (n - 1) * 0.9
            made.append(line(x - 0.6, 0.7, x + 0.6, -0.7, 0.35))
        yield Entry(tuple(made), _("alternating current: an oblique stroke for every conductor, named beside them"))


def _devices(scene: Scene) -> Iterator[Entry]:
    statuses = {piece.record.status for piece in scene.pieces.values()}
    sample = catalogue.shape("load", scene.snapshot.settings.symbols)
    for status, text in _DEVICES.items():
        if status in statuses:
            yield Entry(tuple(symbol_strokes(sample.primitives, (0.0, 0.0), sample.box, status, "")), _(text))


def _locks(scene: Scene) -> Iterator[Entry]:
    """Interlocks between devices of which two stand on one sheet: these have a line."""
    on = [{piece.equipment for piece in scene.on(item)} for item, _sheet in scene.sheets]
    locks = [
        lock
        for lock in scene.snapshot.interlocks.values()
        if any(len({held.equipment for held in lock.held} & here) > 1 for here in on)
    ]
    for kind, text in _LOCKS.items():
        some = [lock for lock in locks if lock.kind == kind]
        if not some:
            continue
        mark = {"electrical": "E", "captive key": "K"}.get(kind, "")
        dash = "chain" if mark else "dashed"
        made: list[Primitive] = [polyline(((0.0, 0.0), (_LONG, 0.0)), 0.25, dash=dash)]
        if mark:
            half = 2.0
            corners = (
                (_LONG / 2 - half, -half),
                (_LONG / 2 + half, -half),
                (_LONG / 2 + half, half),
                (_LONG / 2 - half, half),
            )
            made.append(polygon(corners, 0.25, fill="white"))
            made.append(Text(_LONG / 2, TALL / 2, mark, TALL, "middle", bold=True))
        counted = any("/" in link_mark(lock) for lock in some)
        more = _("; a figure such as 2/3: at most 2 of the 3 at a time") if counted and mark else ""
        yield Entry(tuple(made), _(text) + more)


def _signs(scene: Scene) -> Iterator[Entry]:
    if any(junctions(scene, item) for item, _sheet in scene.sheets):
        made = (
            line(0.0, 0.0, _LONG, 0.0),
            line(_LONG / 2, 0.0, _LONG / 2, 4.0),
            circle(_LONG / 2, 0.0, 0.9, 0.0, fill="black"),
        )
        yield Entry(made, _("runs that are joined; without the dot they only cross"))
    if any(part.kind != "whole" for part in scene.parts):
        arrow = transformed(catalogue.mark("cross_reference", rotation=90).primitives, 8.0, 0.0)
        yield Entry(
            (line(0.0, 0.0, 8.0, 0.0), *arrow),
            _("the run goes on elsewhere: beside it stands where, as sheet / zone of its frame"),
        )
    if any(clusters(scene, item) for item, _sheet in scene.sheets):
        frame = ((0.0, -3.0), (_LONG, -3.0), (_LONG, 3.0), (0.0, 3.0))
        yield Entry((polygon(frame, 0.25, dash="chain"),), _("what is in one panel or enclosure; its name beside it"))
    several = [piece for piece in scene.pieces.values() if piece.several]
    if any(piece.is_bar for piece in several):
        bar = (line(0.0, 0.0, 10.0, 0.0, 1.4), polygon(((10.0, -2.5), (10.0, 2.5), (15.0, 0.0)), 0.35))
        yield Entry(bar, _("the bus goes on elsewhere, on the sheet and in the zone named"))
    if any(not piece.is_bar for piece in several):
        yield Entry(
            (Text(0.0, TALL / 2, _("also 2 / B4"), TALL),), _("the same piece is drawn there too: sheet and zone")
        )


def _marks(snapshot: Snapshot, result: CheckResult | None, index: str | None) -> Iterator[Entry]:
    if result is not None and result.findings:
        made = [*note_sign(7, 0.0, 0.0), line(2.7, 0.0, 8.0, 0.0, 0.25, "red")]
        told = _(
            "a finding: the note of this number, in the margin or on the pages of notes, tells what is wrong there"
        )
        yield Entry(tuple(made), told)
    statuses = {d.status for d in snapshot.deficiencies.values() if d.number is not None}
    if statuses:
        made = [*square_sign(7, 0.0, 0.0), line(HALF, 0.0, 8.0, 0.0, 0.25, "red")]
        yield Entry(
            tuple(made), _("a deficiency that a surveyor noted: the note of this number in a square tells of it")
        )
    if "closed" in statuses:
        made = [*square_sign(7, 0.0, 0.0, settled=True), line(HALF, 0.0, 8.0, 0.0, 0.25, "grey")]
        yield Entry(tuple(made), _("a deficiency that was seen put right"))
    if index is not None:
        outline = ((0.0, 0.0), (7.0, 0.0), (7.0, 6.0), (0.0, 6.0))
        made = [cloud(outline, 0.35, "grey"), *triangle(10.0 + side_of(index) / 2, 3.0, index)]
        yield Entry(tuple(made), _("changed since the drawing was last issued; the triangle names the revision"))


# -- how it stands ---------------------------------------------------------------------------------------------------
def set_entries(entries: Sequence[Entry], wide: float, *, abreast: int = 2) -> list[Item]:
    """Entries so many side by side; one whose strokes are wider than the column of samples has a line of its own."""
    cell = (wide - (abreast - 1) * _BETWEEN) / abreast
    sample = max((entry.wide for entry in entries if entry.wide <= _WIDEST), default=0.0)
    made: list[Item] = []
    waiting: list[Entry] = []
    for entry in entries:
        if entry.wide > _WIDEST or len(waiting) == abreast:
            made.extend(_side_by_side(waiting, cell, sample))
            waiting = []
        if entry.wide > _WIDEST:
            made.append(_wide(entry, wide))
        else:
            waiting.append(entry)
    made.extend(_side_by_side(waiting, cell, sample))
    return [*itertools.chain.from_iterable((item, gap(_AROUND)) for item in made)]


def _side_by_side(entries: Sequence[Entry], cell: float, sample: float) -> list[Item]:
    """One row, nothing for nothing."""
    if not entries:
        return []
    broken = [wrap_text(entry.text, cell - sample - 3.0, TALL) for entry in entries]
    high = max(
        max(entry.box.bottom - entry.box.top, len(lines) * PITCH) for entry, lines in zip(entries, broken, strict=True)
    )

    def draw(x: float, y: float) -> Sequence[Primitive]:
        put: list[Primitive] = []
        for entry, lines in zip(entries, broken, strict=True):
            put.extend(_centred(entry, x + sample / 2, y + high / 2))
            top = y + (high - len(lines) * PITCH) / 2 + 0.6
            put.extend(Text(x + sample + 3.0, top + TALL + n * PITCH, part, TALL) for n, part in enumerate(lines))
            x += cell + _BETWEEN
        return put

    return [Item(high, draw)]


def _wide(entry: Entry, wide: float) -> Item:
    """Strokes, and what they mean below them."""
    box = entry.box
    lines = wrap_text(entry.text, wide, TALL)
    high = box.bottom - box.top

    def draw(x: float, y: float) -> Sequence[Primitive]:
        return (
            *transformed(entry.strokes, x - box.left, y - box.top),
            *(Text(x, y + high + 1.0 + TALL + n * PITCH, part, TALL) for n, part in enumerate(lines)),
        )

    return Item(high + 1.0 + len(lines) * PITCH, draw)


def _centred(entry: Entry, x: float, y: float) -> Iterator[Primitive]:
    box = entry.box
    return transformed(entry.strokes, x - (box.left + box.right) / 2, y - (box.top + box.bottom) / 2)
