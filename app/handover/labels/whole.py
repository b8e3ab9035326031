"""All labels of a drawing on their pages: first what there is, then the label sheets, last the strips."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from typing import NamedTuple

from app.handover.job import Job
from app.handover.labels.grid import Grid, read_grid, usual_grid
from app.handover.labels.label import Label
from app.handover.labels.lists import kinds_table, printer_table, short_table, signs_table
from app.handover.labels.making import enclosures, legends, markers, plates, system_volts, ways
from app.handover.labels.sheets import RULER, Sheeted, ruler, sheets
from app.handover.labels.signs import Sign, signs
from app.handover.labels.strips import MARKS, MODULE, DrawnPiece, Piece, Strip, draw_piece, pieces, strips, told_pitch
from app.handover.labels.wanted import KINDS, Kind, LabelsWanted
from app.paper.blocks import Block, Figure, Gap, Heading, Paragraph, Points
from app.paper.setting import room_of, set_blocks
from app.paper.table import Table
from engine.naming import natural
from engine.pausing import pause
from engine.picture import Picture, Primitive, missing_characters
from engine.rules.wording import listed
from engine.units import number
from engine.words import _, ngettext

__all__ = ["Whole", "whole"]

_ON_GRID: tuple[Kind, ...] = ("legends", "markers", "plates", "signs")
_NAMED = 12  # names told one by one
_LONG = 40  # characters of a name that are told; the list of labels has the whole of it


class Whole(NamedTuple):
    """Pages, the printer's list, what could not be made, and a picture of every label sheet."""

    pictures: tuple[Picture, ...]
    table: Table
    gaps: tuple[str, ...]
    files: tuple[tuple[str, bytes], ...]


def whole(job: Job, title: str) -> Whole:
    """What `job.options.labels` asks for."""
    wanted = job.options.labels
    asked_for = signs(job.study, job.result, wanted.only_new) if "signs" in wanted.kinds else ()
    by_kind = {kind: labels for kind, labels in _labels(job, wanted, asked_for) if kind in wanted.kinds}
    laid = list(_laid(job, wanted, by_kind))
    rows = list(strips(job.snapshot)) if "strips" in wanted.kinds else []
    pitch = MODULE if wanted.pitch_mm is None else wanted.pitch_mm
    cut = [piece for strip in rows for piece in pieces(strip, pitch, room_of(job.text_size)[0])]
    drawn = [draw_piece(piece, 0, 0, pitch, wanted.strip_mm) for piece in cut]
    every = [label for labels in by_kind.values() for label in labels]
    gaps = tuple(_gaps(job, wanted, every, asked_for, laid, rows, drawn))
    label_sheets = tuple(picture for _kind, _grid, made in laid for picture in made.pictures)
    pictures: tuple[Picture, ...] = ()
    fields = job.fields(title, _("Label list"))
    if not wanted.sheets_only or not (label_sheets or cut):
        told = _told(job, wanted, laid, asked_for, rows, gaps)
        pictures += set_blocks(told, size=job.text_size, fields=fields, upright=True)
    pictures += label_sheets
    if cut:
        blocks = list(_strip_blocks(cut, wanted, pitch))
        pictures += set_blocks(blocks, size=job.text_size, fields=job.fields(_(KINDS["strips"]), _("Label list")))
    return Whole(pictures, printer_table(every, rows), gaps, tuple(_svg(laid)) if wanted.beside else ())


def _labels(job: Job, wanted: LabelsWanted, asked_for: Sequence[Sign]) -> Iterator[tuple[Kind, list[Label]]]:
    snapshot, only_new = job.snapshot, wanted.only_new
    yield "legends", list(legends(snapshot, only_new)) if "legends" in wanted.kinds else []
    yield "markers", list(markers(snapshot, only_new)) if "markers" in wanted.kinds else []
    yield "plates", list(plates(snapshot, job.study, only_new)) if "plates" in wanted.kinds else []
    yield "signs", [sign.label for sign in asked_for if sign.many and sign.label is not None]


def _laid(job: Job, wanted: LabelsWanted, by_kind: dict[Kind, list[Label]]) -> Iterator[tuple[Kind, Grid, Sheeted]]:
    """Every kind on sheets of its own; the first of them may have been used before."""
    skip = wanted.skip
    for kind in _ON_GRID:
        labels = by_kind.get(kind, [])
        if labels:
            grid = read_grid(wanted.grid) if wanted.grid else usual_grid(kind, job.text_size)
            yield kind, grid, sheets(labels, grid, wanted, skip)
            skip = 0


# -- what is told -----------------------------------------------------------------------------------------------------
def _told(
    job: Job,
    wanted: LabelsWanted,
    laid: Sequence[tuple[Kind, Grid, Sheeted]],
    asked_for: Sequence[Sign],
    rows: Sequence[Strip],
    gaps: Sequence[str],
) -> list[Block]:
    blocks: list[Block] = []
    if laid or rows:
        blocks.append(Paragraph(_("Print at 100 %, not fitted to the page, and measure this ruler first: 100 mm.")))
        blocks.append(Figure(RULER + 1.0, 6.0, lambda x, y: tuple(ruler(x + 0.5, y + 5.0))))
        if laid:
            blocks.append(kinds_table([(kind, made.many, len(made.pictures), grid) for kind, grid, made in laid]))
        blocks.append(Points(tuple(_points(wanted, laid, rows))))
    if "signs" in wanted.kinds:
        if asked_for:
            blocks.append(signs_table(asked_for))
        else:
            blocks.append(Heading(_("Signs the rules ask for")))
            blocks.append(Paragraph(_("By the rules of {book} none is asked for.").format(book=_(job.result.title))))
        blocks.append(
            Paragraph(
                _(
                    "Told are panels that several sources feed and shore inlets. Signs that makers, a class society or "
                    "another law ask for are not known here."
                )
            )
        )
    blocks.extend(Gap(text) for text in gaps)
    short = [label for _kind, _grid, made in laid for label in made.short]
    if short:
        blocks.append(short_table(short))
    return blocks


def _points(wanted: LabelsWanted, laid: Sequence[tuple[Kind, Grid, Sheeted]], rows: Sequence[Strip]) -> Iterator[str]:
    kinds = {kind for kind, _grid, _made in laid}
    if wanted.only_new:
        yield _("Labels of what is new alone.")
    else:
        yield _("Labels of what is new and of what is kept. Nothing for what is to be removed or done by others.")
    if wanted.skip and laid:
        skip = wanted.skip % laid[0][1].cells
        yield ngettext(
            "The first label of the first sheet is left out.",
            "The first {n} labels of the first sheet are left out.",
            skip,
        ).format(n=skip)
    if "markers" in kinds:
        yield _(
            "A marker stands at each end of a run. Conductors recorded without a common sheath get one each, as do "
            "conductors in parallel; where the sheath is not recorded, one."
        )
    if rows:
        yield _("The strips of kept panels follow at true size, with cut marks. The old marking is struck out.")
    if not wanted.grid and laid:
        yield _("The label sheets are of common sizes; others are asked for by their dimensions.")


# -- what could not be made -------------------------------------------------------------------------------------------
def _gaps(
    job: Job,
    wanted: LabelsWanted,
    every: Sequence[Label],
    asked_for: Sequence[Sign],
    laid: Sequence[tuple[Kind, Grid, Sheeted]],
    rows: Sequence[Strip],
    drawn: Sequence[DrawnPiece],
) -> Iterator[str]:
    if not laid and not rows:
        yield _("Nothing on the drawing is labelled.")
    short = [label for _kind, _grid, made in laid for label in made.short]
    if short:
        yield ngettext(
            "The text of {n} label does not fit at 1.8 mm and ends in “…”: {names}.",
            "The text of {n} labels does not fit at 1.8 mm and ends in “…”: {names}.",
            len(short),
        ).format(n=len(short), names=_names(label.name for label in short))
    small = [label for _kind, _grid, made in laid for label in made.small]
    if small:
        yield ngettext(
            "{n} label has type of 1.8 mm, small to read: {names}.",
            "{n} labels have type of 1.8 mm, small to read: {names}.",
            len(small),
        ).format(n=len(small), names=_names(label.name for label in small))
    strange = [label for label in every if _missing(label)]
    if strange:
        letters = "".join(dict.fromkeys("".join(_missing(each) for each in strange)))
        yield _("Boxes stand for characters the font lacks ({letters}) on: {names}.").format(
            letters=" ".join(f"U+{ord(letter):04X}" for letter in letters[:_NAMED]),
            names=_names(label.name for label in strange),
        )
    fields = [field for piece in drawn for field in piece.short]
    if fields:
        names = _names(f"{field.position} {field.new or field.old}" for field in fields)
        yield _("On the strips this does not fit at 1.8 mm and ends in “…”: {names}.").format(names=names)
    fields = [field for piece in drawn for field in piece.small]
    if fields:
        names = _names(f"{field.position} {field.new}" for field in fields)
        yield _("On the strips this has type of 1.8 mm, small to read: {names}.").format(names=names)
    yield from (sign.gap for sign in asked_for if sign.gap)
    yield from _asked_too_much(wanted, laid)
    yield from _faults(job, wanted)
    if rows and wanted.pitch_mm is None:
        yield told_pitch(wanted)
    if "plates" in wanted.kinds:
        yield from _without_volts(job, every)
    yield from _panel_gaps(job, wanted)


def _missing(label: Label) -> str:
    return missing_characters("".join(label.lines).replace("\n", ""))


def _asked_too_much(wanted: LabelsWanted, laid: Sequence[tuple[Kind, Grid, Sheeted]]) -> Iterator[str]:
    if laid and wanted.skip >= laid[0][1].cells:
        cells = laid[0][1].cells
        yield _("A sheet holds {cells} labels: of the {n} to be left out, {left} are.").format(
            cells=cells, n=wanted.skip, left=wanted.skip % cells
        )
    width = wanted.marker_width_mm
    for kind, grid, _made in laid:
        if kind == "markers" and width is not None and width > grid.label_width:
            yield _("Markers are printed {wide} mm wide, as wide as a label; {asked} mm were asked for.").format(
                wide=number(grid.label_width, 4), asked=number(width, 4)
            )


def _faults(job: Job, wanted: LabelsWanted) -> Iterator[str]:
    stopped = [slug for slug in ("no-several-sources-sign", "no-label") if job.study.outcome(slug).fault is not None]
    if stopped and "signs" in wanted.kinds:
        yield _("A fault of the program stopped {rules}: signs may be missing.").format(rules=listed(stopped))


def _without_volts(job: Job, every: Sequence[Label]) -> Iterator[str]:
    plated = {label.name for label in every if label.kind == "plates"}
    power = ("source", "converter", "protection", "switch", "bus", "load")
    names = [
        job.study.name(item)
        for item, record in job.snapshot.equipment.items()
        if job.study.name(item) in plated
        and record.ROLE in power
        and not system_volts(job.study, item)
        and not _earths_alone(job, item)
    ]
    if names:
        yield _("No volts stand on these plates, for what feeds them is not drawn or not recorded: {names}.").format(
            names=_names(sorted(names, key=natural))
        )


def _earths_alone(job: Job, item: str) -> bool:
    """Whether no run there carries supply: an earth bus has no volts."""
    functions = {
        run.function for run in job.snapshot.runs.values() if item in (run.from_end.equipment, run.to_end.equipment)
    }
    return bool(functions) and functions <= {"earth", "bonding", "signal", "dc negative"}


def _panel_gaps(job: Job, wanted: LabelsWanted) -> Iterator[str]:
    if not {"legends", "strips"} & set(wanted.kinds):
        return
    for item, enclosure in enclosures(job.snapshot):
        found = ways(job.snapshot, item)
        bare = [way.position for way in found if not way.recorded]
        if bare:
            yield _("{panel}: no legend is recorded at {positions}; what stands there names itself.").format(
                panel=_names([enclosure.name]), positions=_names(bare)
            )
        empty = [way.position for way in found if way.gone and not way.kept]
        if empty:
            yield _("{panel}: {positions} is left blank, for what stands there is to be removed.").format(
                panel=_names([enclosure.name]), positions=_names(empty)
            )


def _names(names: Iterator[str] | Sequence[str]) -> str:
    flat = (" ".join(name.split()) for name in names)
    every = list(dict.fromkeys(name if len(name) <= _LONG else name[: _LONG - 1] + "…" for name in flat))
    if len(every) <= _NAMED:
        return ", ".join(every)
    return _("{names} and {n} more").format(names=", ".join(every[:_NAMED]), n=len(every) - _NAMED)


# -- strips -----------------------------------------------------------------------------------------------------------
def _strip_blocks(cut: Sequence[Piece], wanted: LabelsWanted, pitch: float) -> Iterator[Block]:
    yield Paragraph(_("Cut along the marks. Measure this ruler first: 100 mm."))
    yield Figure(RULER + 1.0, 6.0, lambda x, y: tuple(ruler(x + 0.5, y + 5.0)))
    if wanted.pitch_mm is None:
        yield Gap(told_pitch(wanted))
    else:
        yield Paragraph(told_pitch(wanted))
    for piece in cut:
        yield Heading(_piece_title(piece), 2)
        high = wanted.strip_mm + 2 * MARKS
        yield Figure(pitch * len(piece.fields) + 2 * MARKS, high, _drawn(piece, pitch, wanted.strip_mm))


def _drawn(piece: Piece, pitch: float, height: float) -> Callable[[float, float], Sequence[Primitive]]:
    return lambda x, y: draw_piece(piece, x + MARKS, y + MARKS, pitch, height).primitives


def _piece_title(piece: Piece) -> str:
    strip = piece.strip
    title = strip.enclosure
    if strip.rows > 1:
        title = _("{panel}, row {n} of {count}").format(panel=title, n=strip.row, count=strip.rows)
    if piece.of > 1:
        title = _("{title}, piece {n} of {count}").format(title=title, n=piece.number, count=piece.of)
    return title


def _svg(laid: Sequence[tuple[Kind, Grid, Sheeted]]) -> Iterator[tuple[str, bytes]]:
    """One file a label sheet."""
    from app.paper.svg import svg_bytes

    for kind, _grid, made in laid:
        for n, picture in enumerate(made.pictures, 1):
            pause()
            yield f"{kind}-{n:02}.svg", svg_bytes(picture)
