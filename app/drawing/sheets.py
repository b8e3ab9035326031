"""The drawing set: from an installation and what a check found, one picture a sheet, then pages of notes."""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple, Protocol

import msgspec

from app.drawing.added.remarks import changed_remarks, missing_sheets
from app.drawing.frame import SIZES, Frame, frame
from app.drawing.leading import note_anchors
from app.drawing.links import link_mark
from app.drawing.looks import STEP
from app.drawing.margin import column_height, flags, set_notes
from app.drawing.meaning import meaning_of
from app.drawing.notes import Note, basis, collect, plain, told_elsewhere, waived_dangers
from app.drawing.own_shapes import not_found
from app.drawing.placed import Scene, paper, set_scene
from app.drawing.revisions import Since, change_notes, revision_marks
from app.drawing.routes import find_missing
from app.drawing.sheet import Body, draw_sheet
from app.drawing.squares.marking import spots, strokes_at
from app.drawing.strokes import legend
from app.drawing.title_block import TitleFields, judged_by, title_fields
from app.drawing.whole.in_view import in_view, title_of, told_of
from app.drawing.whole.revision_table import revision_table
from engine.compare import compare
from engine.installation import Sheet, Snapshot
from engine.installation.records import Held
from engine.meaning import Meaning
from engine.pausing import pause
from engine.picture import Box, Picture, Primitive, Text, wrap_text
from engine.words import _

if TYPE_CHECKING:
    from collections.abc import Sequence

    from engine.check import CheckResult

__all__ = [
    "Dressed",
    "Front",
    "dress",
    "grid_of",
    "laid_out",
    "lock_words",
    "more_notes",
    "pages_of_notes",
    "pictures",
    "sheet_fields",
]

_COLUMN = 88.0  # mm, of a page of notes
_BETWEEN = 6.0


class Dressed(NamedTuple):
    """A sheet drawn with its notes, before the number of pages is known."""

    item: str
    record: Sheet
    frame: Frame
    body: Body
    notes: list[Primitive]
    rest: list[Note]
    note_boxes: dict[int, Box]  # number of a note -> where it stands in the margin
    foot: float  # of the margin: what stands below is no notes


class Front(Protocol):
    """Pages before the sheets. They have names of their own: sheets keep the numbers they have in the window."""

    def pages(self, scene: Scene, sheets: int) -> Sequence[Picture]:
        """The pages, before a set of so many, pages of notes among them."""


def pictures(
    snapshot: Snapshot,
    result: CheckResult | None = None,
    *,
    size: str | None = None,
    before: Snapshot | None = None,
    front: Front | None = None,
    view: str = "all",
) -> tuple[Picture, ...]:
    """One picture a sheet, pages of notes after them; nothing where there is neither equipment nor sheet.

    Pages in `front` come first whatever there is. With another paper `size` than the sheets', and for
    a drawing without sheets, everything is laid out anew; the drawing itself is not touched. What has changed since
    `before`, the drawing as last issued, is clouded. `view`: before the work, after it, one status alone; what is told
    of the whole drawing is told of the whole all the same. Raises `KeyError` for a size there is no frame for.
    """
    if size is not None and size not in SIZES:
        raise KeyError(size)
    other = size is not None and any(sheet.size != size for sheet in snapshot.sheets.values())
    if other or (not snapshot.sheets and snapshot.equipment):
        snapshot = laid_out(snapshot, size)
    whole, snapshot = snapshot, in_view(snapshot, view)
    scene = set_scene(snapshot)
    scene.view, scene.remarks = view, told_of(view, whole)
    find_missing(scene, {item: grid_of(sheet) for item, sheet in scene.sheets})
    homes = scene if snapshot is whole else set_scene(whole)  # notes keep number and sheet in every view
    notes = collect(homes, result)
    since = None if before is None else Since(before, compare(before, whole), snapshot.title_block.revision)
    drawn: list[Dressed] = []
    for item, sheet in scene.sheets:
        pause()
        drawn.append(dress(scene, item, draw_sheet(scene, item, paper(sheet.size)), notes, result, since))
    pages = pages_of_notes(drawn, scene.number)
    total = len(drawn) + len(pages)
    made = [*front.pages(scene, total)] if front is not None else []
    for each in drawn:
        each.notes.extend(more_notes(each, len(drawn) + 1))
        made.append(_finished(scene, result, each, scene.number[each.item], total))
    for n, (of_size, on_page) in enumerate(pages, len(drawn) + 1):
        made.append(_note_page(scene, result, of_size, on_page, n, total))
    return tuple(made)


def laid_out(snapshot: Snapshot, size: str | None = None) -> Snapshot:
    """A snapshot with sheets of its own, all of one size; for new sheets' size where none is named."""
    settings = snapshot.settings
    if size is not None:
        settings = msgspec.structs.replace(settings, sheet_size=size)
    fresh = Snapshot(tables=snapshot.tables, lone=snapshot.lone | {"settings": settings})
    tables = {name: dict(table) for name, table in snapshot.tables.items()}
    from app.drawing.layout import sheet_records  # only here is anything laid out

    for put in sheet_records(fresh):
        if put.record is None:
            tables[put.table].pop(put.id, None)
        else:
            tables[put.table][put.id] = put.record
    return Snapshot(tables=tables, lone=fresh.lone)


def grid_of(sheet: Sheet) -> Box:
    """The part of a sheet's grid that equipment and runs may use."""
    made = paper(sheet.size)
    box, border = made.drawing_box, made.border
    return Box(0, 0, (box.right - border.left) // STEP, (box.bottom - border.top) // STEP)


def dress(
    scene: Scene,
    item: str,
    body: Body,
    every: dict[str, list[Note]],
    result: CheckResult | None,
    since: Since | None = None,
) -> Dressed:
    """A sheet's body with its flags, its margin, its remarks. `every`: the notes of all sheets."""
    sheet = dict(scene.sheets)[item]
    first, last = item == scene.sheets[0][0], item == scene.sheets[-1][0]
    made = paper(sheet.size)
    notes = [*told_elsewhere(every, item, body.places, scene.number), *every[item]]
    primitives: list[Primitive] = []
    if since is not None:
        marked = (*since.changes.marked, *changed_remarks(since.before, scene.snapshot))
        marks = revision_marks(body.places, marked, body.taken, made.drawing_box, since.at)
        body.primitives[:0] = marks.clouds
        primitives.extend(marks.triangles)
        body.taken.extend(marks.room)
    corner = made.border.left, made.border.top
    places = body.places | spots(scene.snapshot, item, *corner)
    flagged, lost = flags(notes, places, body.taken, made.drawing_box)
    primitives.extend((*strokes_at(scene.snapshot, item, *corner), *flagged))
    notes = [
        _with_place(scene, item, note._replace(flagged=False), places) if note.number in lost else note
        for note in notes
    ]
    remarks, more = _remarks(scene, item, made, body)
    primitives.extend(remarks)
    if since is not None:
        notes = [*change_notes(since, scene.snapshot, body.places, first), *notes]
    notes += [*(plain(text) for text in more), *_left_out(scene, item, body, last)]
    box, foot = made.margin_box, made.margin_box.bottom
    if first:
        table = revision_table(scene.snapshot, Box(box.left, box.top, made.border.right, made.title_box.top))
        if table.primitives:
            primitives.extend(table.primitives)
            foot = table.top - 2.5
            box = Box(box.left, box.top, box.right, foot)
    if first and result is not None:
        # waived dangers and the basis stand at the foot of the first sheet's margin, whatever else there is
        told = [*waived_dangers(result), *basis(result)]
        whole = column_height(told, box.right - box.left)
        tall = min(whole, (box.bottom - box.top) * 0.7)
        under = 1.0 if tall == whole else -3.5  # room for the line that says where the notes go on
        last_of_all = set_notes(told, Box(box.left, box.bottom - tall, box.right, box.bottom + under))
        primitives.extend(last_of_all.primitives)
        notes += last_of_all.rest
        box = Box(box.left, box.top, box.right, box.bottom - tall - 2.0)
    done = set_notes(notes, box)
    if done.rest:  # one line less, to say where the notes go on
        done = set_notes(notes, Box(box.left, box.top, box.right, box.bottom - 5.0))
    primitives.extend(done.primitives)
    return Dressed(item, sheet, made, body, primitives, done.rest, done.boxes, foot)


def _with_place(scene: Scene, sheet: str, note: Note, places: dict[str, list[Box]]) -> Note:
    """A note whose flag found no room names the place in words."""
    at = next((places[i][0] for i in note.at if i in places), None)
    if at is None:
        return note
    zone = paper(dict(scene.sheets)[sheet].size).zone((at.left + at.right) / 2, (at.top + at.bottom) / 2)
    head = note.lines[0]
    return note._replace(lines=(head._replace(text=f"{head.text}, {zone}"), *note.lines[1:]))


def _left_out(scene: Scene, sheet: str, body: Body, last: bool) -> list[Note]:
    """What a sheet could not show: never silently."""
    made: list[Note] = []
    if body.labelled.untold:
        made.append(plain(_("Labels without room"), bold=True))
        made.extend(plain(text) for text in dict.fromkeys(body.labelled.untold))
    if body.labelled.met:
        made.append(plain(_("Labels put by hand"), bold=True))
        made.extend(plain(text) for text in body.labelled.met)
    strange = not_found(scene, sheet)
    if strange:
        made.append(plain(_("Symbols not found"), bold=True))
        made.extend(plain(text) for text in strange)
    if last:
        runs = {part.run for part in scene.parts}
        gone = [*scene.undrawn, *(i for i in scene.snapshot.runs if i not in runs)]
        words = [scene.snapshot.remarks[i].text for i in missing_sheets(scene.snapshot, scene.number)]
        if gone or words:
            made.append(plain(_("Not drawn"), bold=True))
        made.extend(plain(_("Remark on no sheet: {text}").format(text=" ".join(text.split()))) for text in words)
        if gone:
            told = ", ".join(scene.snapshot.name(i) for i in gone)
            made.append(plain(_("On no sheet: {names}.").format(names=told)))
    return made


def _remarks(scene: Scene, sheet: str, made: Frame, body: Body) -> tuple[list[Primitive], list[str]]:
    """Line forms, what one line stands for, interlocks that no link shows: left of the title block, as far as it fits.

    The rest goes to the margin.
    """
    snapshot = scene.snapshot
    statuses: set[str] = {p.record.status for p in scene.on(sheet)}
    statuses |= {snapshot.runs[p.run].status for p in scene.parts_on(sheet)}
    texts = [*scene.remarks, *([legend(statuses)] if legend(statuses) else [])]
    texts.append(_("Each run is drawn as one line; a return that is not drawn is taken equal to its feed."))
    texts.extend(lock_words(snapshot, item) for item in body.unlinked)
    box = made.notes_box
    lines: list[Primitive] = []
    y = box.top + 2.5
    for n, text in enumerate(texts):
        broken = wrap_text(text, box.right - box.left)
        if y + (len(broken) - 1) * 4.0 > box.bottom:
            return lines, texts[n:]
        lines.extend(Text(box.left, y + k * 4.0, line) for k, line in enumerate(broken))
        y += len(broken) * 4.0
    return lines, []


def lock_words(snapshot: Snapshot, item: str) -> str:
    """An interlock in a sentence."""
    lock = snapshot.interlocks[item]
    names = ", ".join(dict.fromkeys(_held_words(snapshot, held) for held in lock.held))
    mark = link_mark(lock)
    text = (
        _("Interlock {mark} ({kind}): {names}, at most {n} at a time.")
        if mark
        else _("Interlock ({kind}): {names}, at most {n} at a time.")
    )
    return text.format(mark=mark, kind=_(lock.kind), names=names, n=lock.at_most)


def _held_words(snapshot: Snapshot, held: Held) -> str:
    """A device that an interlock holds, with the positions counted where they are not simply closed."""
    name = snapshot.name(held.equipment)
    if tuple(held.positions) == ("closed",):
        return name
    return _("{name} in {positions}").format(name=name, positions=_(" or ").join(_(p) for p in held.positions))


def pages_of_notes(drawn: list[Dressed], numbers: dict[str, int]) -> list[tuple[str, list[Primitive]]]:
    """Notes that did not fit, in columns: the size of each page, what stands on it. `numbers` of the sheets."""
    todo: list[Note] = []
    for sheet in drawn:
        if sheet.rest:
            head = plain(_("Notes to sheet {n}, continued").format(n=numbers[sheet.item]), bold=True)
            todo.append(head._replace(link=f"sheet:{sheet.item}"))
            todo.extend(sheet.rest)
    if not todo:
        return []
    size = drawn[0].record.size
    box = paper(size, margin=False).drawing_box
    pages: list[tuple[str, list[Primitive]]] = []
    while todo:
        made: list[Primitive] = []
        left = box.left
        while todo and left + _COLUMN <= box.right + 0.5:
            column = set_notes(todo, Box(left, box.top, left + _COLUMN, box.bottom))
            made.extend(column.primitives)
            todo = column.rest
            left += _COLUMN + _BETWEEN
        pages.append((size, made))
    return pages


def more_notes(sheet: Dressed, page: int) -> list[Primitive]:
    """At the foot of a margin whose notes go on: on which page."""
    if not sheet.rest:
        return []
    margin = sheet.frame.margin_box
    told = _("More notes: sheet {n}").format(n=page)
    return [Text(margin.left, sheet.foot + 1.2, told, bold=True, link=f"rest:{sheet.item}")]


def sheet_fields(scene: Scene, result: CheckResult | None, title: str, page: int, pages: int) -> TitleFields:
    """What the title block of a page says, the view first where not everything is shown."""
    fields = title_fields(scene.snapshot, title)._replace(sheet=page, sheets=pages)
    if scene.view != "all":
        told = ", ".join(part for part in (title_of(scene.view), fields.supplementary_title) if part)
        fields = fields._replace(supplementary_title=told)
    if result is None:
        return fields
    return judged_by(fields, result, result.book)


def _finished(scene: Scene, result: CheckResult | None, sheet: Dressed, page: int, pages: int) -> Picture:
    made = frame(sheet.record.size, sheet_fields(scene, result, sheet.record.title, page, pages))
    return Picture(
        made.width,
        made.height,
        (*made.primitives, *sheet.body.primitives, *sheet.notes),
        sheet.record.title,
        ((f"sheet:{sheet.item}", 0.0, 0.0), *sheet.body.anchors, *note_anchors(sheet.notes)),
        section=_("Sheets"),
        meaning=meaning_of(scene, sheet.item, len(made.primitives), sheet.body.symbols),
    )


def _note_page(
    scene: Scene, result: CheckResult | None, size: str, notes: list[Primitive], page: int, pages: int
) -> Picture:
    title = _("Notes, continued")
    made = frame(size, sheet_fields(scene, result, title, page, pages), margin=False)
    primitives = (*made.primitives, *notes)
    anchors, meaning = (("notes", 0.0, 0.0), *note_anchors(notes)), Meaning(len(made.primitives))
    return Picture(made.width, made.height, primitives, title, anchors, section=_("Notes"), meaning=meaning)
