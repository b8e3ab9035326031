"""How cable is cut from drums and coils so that no run is joined, and what is left over.

The longest piece is cut first, each from the first drum it still fits on (first fit, decreasing); a drum is then taken
no longer than its pieces need. Of the plans for each length of drum the one that buys least cable is kept. A length is
counted in hundredths of the drawing's unit, cm or 1/100 ft, so that nothing is lost or gained in a sum; a piece is its
run's length with the drawing's waste, rounded up. Common practice, no source.
"""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Mapping, Sequence
from typing import NamedTuple

from app.handover.parts.cable import FOOT_M, Lengths, cables, length_unit
from app.handover.parts.said import key, name_of
from app.handover.parts.through import passing
from app.handover.parts.wanted import PartsWanted
from app.paper.table import Column, Table, Value
from engine.installation import Run, Settings, Snapshot
from engine.units import number, spelled
from engine.words import _, ngettext

__all__ = ["Cut", "Drum", "Piece", "cut", "drum_table", "drums_of", "pieces_of"]


class Piece(NamedTuple):
    """A length to be cut in one, in hundredths, and the run it is for."""

    length: int
    run: str


class Drum(NamedTuple):
    """A drum or coil, its length in hundredths, and what is cut from it."""

    length: int
    pieces: tuple[Piece, ...]

    def left_over(self) -> int:
        """What is left over."""
        return self.length - sum(piece.length for piece in self.pieces)


class Cut(NamedTuple):
    """The drums to buy, and the pieces that are longer than every one of them."""

    drums: tuple[Drum, ...]
    too_long: tuple[Piece, ...]


class _Article(NamedTuple):
    """Cable that may come from one drum, whatever its runs carry."""

    cable: str
    colour: str
    kind: str
    maker: str
    part_number: str


def cut(pieces: Sequence[Piece], lengths: Sequence[int]) -> Cut:
    """Pieces cut from drums of the lengths there are; none there are: every piece is too long."""
    sizes = sorted({length for length in lengths if length > 0})
    longest = sizes[-1] if sizes else 0
    too_long = tuple(sorted((p for p in pieces if p.length > longest), key=_longest_first))
    wanted = sorted((p for p in pieces if 0 < p.length <= longest), key=_longest_first)
    if not wanted:
        return Cut((), too_long)
    plans = [_plan(wanted, sizes, usual) for usual in sizes]
    best = min(plans, key=lambda plan: (sum(drum.length for drum in plan), len(plan)))
    return Cut(tuple(sorted(best, key=lambda drum: (-drum.length, *map(_longest_first, drum.pieces)))), too_long)


def _plan(wanted: Sequence[Piece], sizes: Sequence[int], usual: int) -> list[Drum]:
    """First fit, opening drums of the `usual` length, longer ones only for what is longer."""
    opened: list[tuple[int, list[Piece]]] = []
    left: list[int] = []
    for piece in wanted:
        for n, room in enumerate(left):
            if piece.length <= room:
                opened[n][1].append(piece)
                left[n] -= piece.length
                break
        else:
            size = next(s for s in sizes if s >= max(piece.length, usual))
            opened.append((size, [piece]))
            left.append(size - piece.length)
    made = []
    for size, pieces in opened:
        used = sum(piece.length for piece in pieces)
        made.append(Drum(next(s for s in sizes if used <= s <= size), tuple(pieces)))
    return made


def _longest_first(piece: Piece) -> tuple[object, ...]:
    return -piece.length, key(piece.run)


def pieces_of(
    line: Lengths, settings: Settings, one_length: Mapping[int, Sequence[Run]] | None = None
) -> tuple[Piece, ...]:
    """The pieces of a line of cable: one for each run and each of its parallel conductors; of unknown length none.

    `one_length`: by the run's `id()`, the runs that are one piece with it, in order.
    """
    made = []
    done: set[int] = set()
    for each in line.lengths:
        runs = (one_length or {}).get(id(each.run), (each.run,))
        lengths = [run.length_m for run in runs if run.length_m is not None]
        if lengths and id(each.run) not in done:
            done.update(map(id, runs))
            units = math.fsum(lengths) / _unit_m(settings) * (1 + settings.waste_percent / 100)
            name = "+".join(map(name_of, runs))
            made.extend([Piece(math.ceil(round(units * 100, 6)), name)] * each.run.parallel)
    return tuple(made)


def _unit_m(settings: Settings) -> float:
    return FOOT_M if settings.units == "US" else 1.0


def _drums(settings: Settings, wanted: PartsWanted) -> list[int]:
    """Lengths of drums in hundredths, the shortest first."""
    return [math.floor(round(m / _unit_m(settings) * 100, 6)) for m in wanted.drums_m(settings.units)]


def drums_of(snapshot: Snapshot, wanted: PartsWanted) -> dict[_Article, Cut]:
    """How every cable of known length is cut, in the order of the bill."""
    settings = snapshot.settings
    sizes = _drums(settings, wanted)
    groups: dict[_Article, list[Piece]] = defaultdict(list)
    chains = passing(snapshot).chains
    whole: dict[str, dict[int, Sequence[Run]]] = {"+": {}, "-": {}}
    for (item, core), items in chains.items():
        whole[core][id(snapshot.runs[item])] = [snapshot.runs[each] for each in items]
    cores = {"DC positive": "+", "DC negative": "-"}
    for line in cables(snapshot):
        pieces = pieces_of(line, settings, whole.get(cores.get(line.cable.function, "")))
        if pieces and line.cable.cable:
            cable = line.cable
            groups[_Article(cable.cable, cable.colour, cable.kind, cable.maker, cable.part_number)].extend(pieces)
    return {article: cut(groups[article], sizes) for article in sorted(groups, key=lambda a: [key(p) for p in a])}


def drum_table(snapshot: Snapshot, wanted: PartsWanted) -> Table:
    """Drums to buy and the cuts from each."""
    settings = snapshot.settings
    rows: list[tuple[Value, ...]] = []
    long_runs: list[str] = []
    for article, plan in drums_of(snapshot, wanted).items():
        for piece in plan.too_long:
            long_runs.append(_piece(piece))
            rows.append((*article, _("longer than every drum"), _piece(piece), piece.length / 100, 0.0))
        for drum in plan.drums:
            cuts = ", ".join(_piece(piece) for piece in drum.pieces)
            used = drum.length - drum.left_over()
            length = f"{number(drum.length / 100, 6)} {length_unit(settings)}"
            rows.append((*article, length, cuts, used / 100, drum.left_over() / 100))
    unit = length_unit(settings)
    columns = (
        Column("cable", _("Cable")),
        Column("colour", _("Colour")),
        Column("type", _("Type")),
        Column("maker", _("Maker")),
        Column("part_number", _("Part number")),
        Column("drum", _("Drum or coil")),
        Column("cuts", _("Cuts: run and length, {unit}").format(unit=unit)),
        Column("used", _("Used"), unit, "right", 2),
        Column("left_over", _("Left over"), unit, "right", 2),
    )
    return Table(
        "drums", _("Cable cut from drums"), columns, tuple(rows), tuple(_notes(snapshot, wanted, long_runs, rows))
    )


def _notes(snapshot: Snapshot, wanted: PartsWanted, long_runs: list[str], rows: Sequence[object]) -> list[str]:
    settings = snapshot.settings
    sizes = ", ".join(number(length / 100, 6) for length in _drums(settings, wanted))
    source = _("as asked for") if wanted.drums else _("common practice, no source")
    notes = [
        _(
            "Drums and coils of {sizes} {unit} ({source}). No run is joined; the longest is cut first. Waste of "
            "{percent:g} % is in every cut."
        ).format(sizes=sizes, unit=length_unit(settings), source=source, percent=settings.waste_percent)
    ]
    if not rows:
        notes.insert(0, _("No new cable of known size and length: nothing to cut."))
    joined = next(iter(passing(snapshot).chains.values()), ())
    if joined:
        notes.append(
            _("{runs} is one length: it passes the device between the runs, which has no terminal for it.").format(
                runs="+".join(name_of(snapshot.runs[item]) for item in joined)
            )
        )
    if long_runs:
        notes.append(
            ngettext(
                "{n} piece is longer than every drum and has to be ordered to length: {pieces}.",
                "{n} pieces are longer than every drum and have to be ordered to length: {pieces}.",
                len(long_runs),
            ).format(n=len(long_runs), pieces=", ".join(long_runs))
        )
    new = [run for run in snapshot.runs.values() if run.status == "new"]
    unknown = sum(not (run.size and (run.length_m or 0) > 0) for run in new)
    if unknown:
        notes.append(
            ngettext(
                "{n} new run is not among the cuts: its size or length is not known, or zero.",
                "{n} new runs are not among the cuts: their size or length is not known, or zero.",
                unknown,
            ).format(n=unknown)
        )
    return notes


def _piece(piece: Piece) -> str:
    return f"{piece.run} {spelled(format(piece.length / 100, '.2f'))}"
