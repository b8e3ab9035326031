"""The title block: the fields of ISO 7200:2004 (from memory, not confirmed), with what the check found beside them.

At most 180 mm wide at the lower right of the sheet; captions 1.8 mm, values 2.5 mm or more (heights of ISO 3098).
"""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

from engine.installation import Snapshot
from engine.picture import Box, Primitive, Text, cut_text, line, rectangle, text_width, wrap_text
from engine.words import _

if TYPE_CHECKING:
    from engine.check import CheckResult

__all__ = ["BRIEF_HEIGHT", "HEIGHT", "TitleFields", "field_boxes", "judged_by", "title_block", "title_fields"]

HEIGHT = 48.0  # mm
BRIEF_HEIGHT = 11.0  # of the block of a page that goes on from another
_CAPTION, _SMALLEST = 1.8, 2.5
_PITCH = 3.6  # base line to base line of wrapped values
_PAD = 1.5
_HEIGHTS = (3.5, 2.5)  # of the title, the first that fits


class TitleFields(NamedTuple):
    """What stands in a title block. A count of `None` means nobody checked."""

    legal_owner: str = ""
    title: str = ""
    supplementary_title: str = ""
    vessel: str = ""
    document_type: str = ""
    number: str = ""
    revision: str = ""
    created_by: str = ""
    approved_by: str = ""
    date: str = ""
    sheet: int | str = 1  # a cover has a name: it is none of the sheets
    sheets: int = 1
    status: str = ""
    book: str = ""
    edition: str = ""
    open_findings: int | None = None
    waived: int | None = None
    not_judged: int | None = None


class _Cell(NamedTuple):
    caption: str
    value: str
    share: float  # of the block's width
    under: str = ""  # a second value below the first
    large: bool = False
    field: str = ""  # which of `TitleFields` it shows


def title_fields(snapshot: Snapshot, sheet_title: str = "") -> TitleFields:
    """The fields as recorded in an installation. With a `sheet_title` the drawing's own title stands below it."""
    block, vessel = snapshot.title_block, snapshot.vessel
    own = ", ".join(part for part in (block.title, block.supplementary_title) if part)
    return TitleFields(
        legal_owner=block.legal_owner,
        title=sheet_title or block.title,
        supplementary_title=own if sheet_title else block.supplementary_title,
        vessel=", ".join(part for part in (vessel.name, vessel.official_number or vessel.hin) if part),
        document_type=block.document_type,
        number=block.number,
        revision=block.revision,
        created_by=block.creator,
        approved_by=block.approver,
        date=block.date,
        status=block.document_status,
    )


def judged_by(fields: TitleFields, result: CheckResult, book: str = "") -> TitleFields:
    """The fields with what a check found; `book`: what it is called there, its title where none is given."""
    return fields._replace(
        book=book or result.title,
        edition=result.edition,
        open_findings=len(result.findings),
        waived=len(result.waived),
        not_judged=len(result.not_judged),
    )


def title_block(box: Box, fields: TitleFields, *, brief: bool = False) -> tuple[list[Primitive], tuple[str, ...]]:
    """The block drawn into `box`, and the captions of fields that had to be cut (with a visible "…").

    `brief`: only what tells which document a page belongs to.
    """
    made: list[Primitive] = [rectangle(*box, width=0.7)]
    cut: list[str] = []
    top = box.top
    for height, cells in _brief_rows(fields) if brief else _rows(fields):
        if top > box.top:
            made.append(line(box.left, top, box.right, top))
        left = box.left
        for cell in cells:
            right = left + cell.share * (box.right - box.left)
            if left > box.left:
                made.append(line(left, top, left, top + height))
            made.extend(_cell(Box(left, top, right, top + height), cell, cut))
            left = right
        top += height
    return made, tuple(cut)


def field_boxes(box: Box, fields: TitleFields) -> tuple[tuple[str, Box], ...]:
    """Where each field stands in a block drawn into `box`, by its name in `TitleFields`."""
    made: list[tuple[str, Box]] = []
    top = box.top
    for height, cells in _rows(fields):
        left = box.left
        for cell in cells:
            right = left + cell.share * (box.right - box.left)
            low = top + height
            if cell.large:  # the second title stands at the foot of the first one's cell
                low -= _PITCH + 1.2
                made.append(("supplementary_title", Box(left, low, right, top + height)))
            made.append((cell.field, Box(left, top, right, low)))
            left = right
        top += height
    return tuple(made)


def _rows(f: TitleFields) -> tuple[tuple[float, tuple[_Cell, ...]], ...]:
    book = ", ".join(p for p in (f.book, _("ed. {edition}").format(edition=f.edition) if f.edition else "") if p)
    return (
        (
            15.0,
            (
                _Cell(_("Legal owner"), f.legal_owner, 1 / 3, field="legal_owner"),
                _Cell(_("Title"), f.title, 2 / 3, f.supplementary_title, large=True, field="title"),
            ),
        ),
        (
            11.0,
            (
                _Cell(_("Vessel"), f.vessel, 1 / 3, field="vessel"),
                _Cell(_("Document type"), f.document_type, 0.31, field="document_type"),
                _Cell(_("Number"), f.number, 2 / 3 - 0.31 - 0.15, field="number"),
                _Cell(_("Rev."), f.revision, 0.15, field="revision"),
            ),
        ),
        (
            11.0,
            (
                _Cell(_("Created by"), f.created_by, 1 / 3, field="created_by"),
                _Cell(_("Approved by"), f.approved_by, 0.31, field="approved_by"),
                _Cell(_("Date"), f.date, 2 / 3 - 0.31 - 0.15, field="date"),
                _Cell(_("Sheet"), _sheet(f), 0.15, field="sheet"),
            ),
        ),
        (
            11.0,
            (
                _Cell(_("Status"), f.status, 0.21, field="status"),
                _Cell(_("Checked by"), book or _("not checked"), 1 / 3 + 0.31 - 0.21, field="book"),
                _Cell(_("Open"), _count(f.open_findings), (2 / 3 - 0.31) / 3, field="open_findings"),
                _Cell(_("Waived"), _count(f.waived), (2 / 3 - 0.31) / 3, field="waived"),
                _Cell(_("Not judged"), _count(f.not_judged), (2 / 3 - 0.31) / 3, field="not_judged"),
            ),
        ),
    )


def _brief_rows(f: TitleFields) -> tuple[tuple[float, tuple[_Cell, ...]], ...]:
    return (
        (
            BRIEF_HEIGHT,
            (
                _Cell(_("Vessel"), f.vessel, 0.27),
                _Cell(_("Title"), f.title, 0.34),
                _Cell(_("Number"), f.number, 0.18),
                _Cell(_("Rev."), f.revision, 0.08),
                _Cell(_("Sheet"), _sheet(f), 0.13),
            ),
        ),
    )


def _sheet(f: TitleFields) -> str:
    return f.sheet if isinstance(f.sheet, str) else f"{f.sheet} / {f.sheets}"


def _count(count: int | None) -> str:
    return "–" if count is None else str(count)


def _cell(box: Box, cell: _Cell, cut: list[str]) -> list[Primitive]:
    width = box.right - box.left - 2 * _PAD
    x = box.left + _PAD
    made: list[Primitive] = [Text(x, box.top + 2.6, cut_text(cell.caption, width, _CAPTION), _CAPTION)]
    room = int((box.bottom - box.top - 2.9) // _PITCH)  # lines of value
    under = cut_text(cell.under, width, _SMALLEST) if cell.under else ""
    if under != cell.under:
        cut.append(cell.caption)
    if under:
        room -= 1
    lines, tall = _fitted(cell, width, room, cut)
    bottom = box.bottom - 1.2
    if under:
        made.append(Text(x, bottom, under, _SMALLEST))
        bottom -= _PITCH + (1.2 if tall > _SMALLEST else 0.0)
    elif len(lines) == 1:
        bottom -= 1.6 if box.bottom - box.top < 12 else 3.2
    for n, text in enumerate(reversed(lines)):
        made.append(Text(x, bottom - n * _PITCH, text, tall, bold=cell.large))
    return made


def _fitted(cell: _Cell, width: float, room: int, cut: list[str]) -> tuple[list[str], float]:
    """The value in as many lines as it needs and there is room for, as large as it can be, never below 2.5 mm."""
    if not cell.value:
        return [], _SMALLEST
    for tall in _HEIGHTS if cell.large else (_SMALLEST,):
        if "\n" not in cell.value and text_width(cell.value, tall, cell.large) <= width:
            return [cell.value], tall
    lines = list(wrap_text(cell.value, width, _SMALLEST, cell.large))
    if len(lines) > room:
        last = lines[room - 1]
        shorter = cut_text(last + "…", width, _SMALLEST, cell.large)
        lines = [*lines[: room - 1], shorter]
        if cell.caption not in cut:
            cut.append(cell.caption)
    return lines, _SMALLEST
