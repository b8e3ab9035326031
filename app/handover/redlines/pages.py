"""The pages of a comparison: list of changes and legend, the newer drawing's sheets marked, older sheets alone."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from app.drawing.frame import frame, text_size
from app.drawing.leading import note_anchors
from app.drawing.meaning import meaning_of
from app.drawing.notes import Note, plain
from app.drawing.placed import Scene
from app.drawing.redlines import Entry, Redlined, Redlines, entries_of, entry_words, forms, matched_words, sign_text
from app.drawing.redlines.entries import pair_words, where_words
from app.drawing.redlines.signs import CLOUD
from app.drawing.sheets import Dressed, dress, more_notes, pages_of_notes, sheet_fields
from app.drawing.title_block import title_fields
from app.drawing.whereabouts import Whereabouts
from app.paper.blocks import Block, Figure, Heading, PageBreak, Paragraph, Points
from app.paper.mono import in_mono
from app.paper.setting import room_of, set_blocks
from app.paper.table import Column, Table
from engine.comparing import Differences
from engine.installation import Snapshot
from engine.meaning import Meaning
from engine.pausing import pause
from engine.picture import Path, Picture, Primitive, Text, around, path_box, text_box, transformed, wrap_text
from engine.words import _, ngettext

__all__ = ["redlined_set"]

_TALL, _PITCH = 2.5, 4.0
_SAMPLE = 32.0  # mm, of the column in which the samples of the forms stand


def redlined_set(
    before: Snapshot,
    after: Snapshot,
    made: Differences,
    *,
    named: tuple[str, str] = ("", ""),
    mono: bool = False,
) -> tuple[Picture, ...]:
    """The pages; of two drawings that do not differ a page that says so. `named`: what the two files are called."""
    entries = entries_of(before, after, made)
    redlines = Redlines(before, after, made, entries, pause)
    sheets = [*_newer(redlines, named), *_older(redlines, named)] if entries else []
    front = _front(redlines, named)
    pages = (*front, *sheets)
    return tuple(in_mono(_greyed(page)) for page in pages) if mono else pages


def _greyed(page: Picture) -> Picture:
    """Clouds in grey: in black they would be read before the words they lie under."""
    return page._replace(
        primitives=tuple(
            p._replace(ink="grey") if isinstance(p, Path) and p.owner == CLOUD and p.ink == "red" else p
            for p in page.primitives
        )
    )


# -- in words ---------------------------------------------------------------------------------------------------------
def _front(redlines: Redlines, named: tuple[str, str]) -> tuple[Picture, ...]:
    after = redlines.after
    size = text_size(next((sheet.size for _i, sheet in redlines.newer.sheets), after.settings.sheet_size))
    title = _("Comparison of two drawings")
    pictures = set_blocks(
        list(_blocks(redlines, named, room_of(size, upright=True)[0])),
        size=size,
        fields=title_fields(after, title),
        upright=True,
    )
    return tuple(picture._replace(section=_("Changes in words")) for picture in pictures)


def _blocks(redlines: Redlines, named: tuple[str, str], wide: float) -> Iterator[Block]:
    before, after, made, entries = redlines.before, redlines.after, redlines.made, redlines.entries
    yield Heading(_("Comparison of two drawings"))
    yield Paragraph(_("Older drawing: {name}").format(name=_described(before, named[0])))
    yield Paragraph(_("Newer drawing: {name}").format(name=_described(after, named[1])))
    yield Paragraph(matched_words(made))
    if not entries:
        yield Paragraph(_("Nothing differs between the two."), bold=True)
        return
    count = ngettext("{n} difference", "{n} differences", len(entries)).format(n=len(entries))
    if made.only_drawn:
        count = _("{count}, all of them only in how it is drawn").format(count=count)
    yield Paragraph(_("{count}.").format(count=count), bold=True)
    plain_sheets = [
        redlines.newer.number[s] for s in redlines.sheets("newer") if s not in redlines.marked_sheets("newer")
    ]
    if plain_sheets:
        told = ", ".join(map(str, plain_sheets))
        yield Paragraph(_("Sheets that show no difference are left out: {sheets}.").format(sheets=told))
    alone = redlines.alone()
    if alone:
        told = ", ".join(str(redlines.older.number[s]) for s in alone)
        yield Paragraph(
            _(
                "Sheets of the older drawing shown by themselves, for what they show stands elsewhere now: {sheets}."
            ).format(sheets=told)
        )
    yield Heading(_("What the forms mean"))
    for strokes, text in forms():
        yield _sample(strokes, text, wide)
    for section in dict.fromkeys(entry.section for entry in entries):
        yield _table(redlines, section, [entry for entry in entries if entry.section == section])
    if made.pairs:
        yield PageBreak()
        yield Heading(_("What was taken for what"))
        told_pairs = [pair for pair in made.pairs if pair.table not in ("placements", "routes")]
        told_pairs.sort(key=lambda pair: (not pair.unsure, pair.score))
        yield Points(tuple(pair_words(before, after, pair) for pair in told_pairs))


def _described(snapshot: Snapshot, name: str) -> str:
    """A drawing by its file, vessel, number and revision."""
    block = snapshot.title_block
    revision = _("revision {index}").format(index=block.revision) if block.revision else ""
    parts = (name, snapshot.vessel.name, block.number, revision, block.date)
    return ", ".join(part for part in parts if part) or _("without a name")


def _sample(strokes: Sequence[Primitive], text: str, wide: float) -> Figure:
    box = around([path_box(p) if isinstance(p, Path) else text_box(p) for p in strokes])
    lines = wrap_text(text, wide - _SAMPLE, _TALL)
    high = max(box.bottom - box.top, len(lines) * _PITCH) + 1.0

    def draw(x: float, y: float) -> Sequence[Primitive]:
        top = y + (high - len(lines) * _PITCH) / 2
        return (
            *transformed(strokes, x - box.left, y + (high - box.bottom - box.top) / 2),
            *(Text(x + _SAMPLE, top + _TALL + 0.6 + n * _PITCH, part, _TALL) for n, part in enumerate(lines)),
        )

    return Figure(wide, high, draw)


def _table(redlines: Redlines, section: str, entries: Sequence[Entry]) -> Table:
    old, new = Whereabouts(redlines.before), Whereabouts(redlines.after)
    rows = []
    for entry in entries:
        fields = "; ".join(entry.fields)
        told = "\n".join(part for part in (fields, entry.because) if part) or "–"
        rows.append((sign_text(entry.how, entry.number), entry.name, told, where_words(entry, old, new) or "–"))
    columns = (
        Column("number", _("No.")),
        Column("name", _("What"), width=60.0),
        Column("change", _("Before and now")),
        Column("where", _("Where")),
    )
    return Table("changes", section, columns, tuple(rows))


# -- on the sheets ----------------------------------------------------------------------------------------------------
def _newer(redlines: Redlines, named: tuple[str, str]) -> Iterator[Picture]:
    scene = redlines.newer
    told = _("changes since {name} are marked").format(name=named[0] or _("the older drawing"))
    yield from _sheets(redlines, scene, [redlines.redlined("newer", s) for s in redlines.marked_sheets("newer")], told)


def _older(redlines: Redlines, named: tuple[str, str]) -> Iterator[Picture]:
    told = _("as it was in {name}").format(name=named[0] or _("the older drawing"))
    some = [redlines.redlined("older", sheet) for sheet in redlines.alone()]
    yield from _sheets(redlines, redlines.older, some, told)


def _sheets(redlines: Redlines, scene: Scene, some: Sequence[Redlined], told: str) -> Iterator[Picture]:
    drawn: list[tuple[Redlined, Dressed]] = []
    for each in some:
        pause()
        every: dict[str, list[Note]] = {each.sheet: _notes(redlines.entries, each)}
        drawn.append((each, dress(scene, each.sheet, each.body, every, None)))
    rest = pages_of_notes([dressed for _r, dressed in drawn], scene.number)
    total = len(scene.sheets) + len(rest)
    for each, dressed in drawn:
        dressed.notes.extend(more_notes(dressed, len(scene.sheets) + 1))
        yield _finished(scene, each, dressed, told, total)
    for n, (size, primitives) in enumerate(rest, len(scene.sheets) + 1):
        title = _("Notes, continued")
        made = frame(size, sheet_fields(scene, None, title, n, total), margin=False)
        every_one = (*made.primitives, *primitives)
        anchors, meaning = (("notes", 0.0, 0.0), *note_anchors(primitives)), Meaning(len(made.primitives))
        yield Picture(made.width, made.height, every_one, title, anchors, section=_("Notes"), meaning=meaning)


def _notes(entries: Sequence[Entry], each: Redlined) -> list[Note]:
    """The changes of one sheet for its margin, by number."""
    made = [plain(_("Changes on this sheet"), bold=True)]
    for entry in entries:
        if entry.number in each.boxes:
            text = f"{sign_text(entry.how, entry.number)}  {entry_words(entry)}"
            made.append(plain(text))
    return made


def _finished(scene: Scene, each: Redlined, dressed: Dressed, told: str, pages: int) -> Picture:
    record = dressed.record
    fields = sheet_fields(scene, None, record.title, scene.number[each.sheet], pages)
    under = ", ".join(part for part in (told, fields.supplementary_title) if part)
    made = frame(record.size, fields._replace(supplementary_title=under))
    return Picture(
        made.width,
        made.height,
        (*made.primitives, *each.under, *each.body.primitives, *each.over, *dressed.notes),
        record.title,
        ((f"{each.side}:{each.sheet}", 0.0, 0.0), *each.body.anchors, *note_anchors(dressed.notes)),
        section=_("Marked sheets") if each.side == "newer" else _("Sheets of the older drawing"),
        meaning=meaning_of(scene, each.sheet, len(made.primitives), each.body.symbols),
    )
