"""Labels to change aboard after renumbering: what each says now, what it is to say, and where it is."""

from __future__ import annotations

from collections.abc import Iterator

from app.handover.document import Document
from app.paper.table import Column, Table, Value
from engine.edits.renumbering import Renumbering
from engine.equipment.base import Equipment
from engine.installation.model import Snapshot
from engine.installation.records import End
from engine.naming import natural
from engine.words import N_, _

__all__ = ["NAME", "TITLE", "document", "table"]

NAME = "labels-to-change"
TITLE = N_("Labels to change aboard")
_RUNS_SAY = N_("A run's marker tells where both its ends arrive: it changes too where what stands there is renamed.")


def table(snapshot: Snapshot, made: Renumbering) -> Table:
    """One row a label: of equipment its plate, of a run the marker at each end. `snapshot`: before anything is done."""
    names = {change.item: change.new for change in made.changes}
    rows = sorted(_rows(snapshot, names), key=lambda row: tuple(natural(str(cell)) for cell in row[:6]))
    columns = (
        Column("place", _("Place"), width=40),
        Column("enclosure", _("Enclosure"), width=40),
        Column("position", _("Position"), width=22),
        Column("label", _("Label"), width=30),
        Column("old", _("It says"), width=60),
        Column("new", _("It is to say"), width=60),
        Column("what", _("What it is"), width=60),
        Column("done", _("Done"), tick=True),
    )
    notes = (_(_RUNS_SAY),) if any(item in snapshot.runs for item in names) else ()
    return Table(NAME, _(TITLE), columns, tuple(rows), notes)


def document(snapshot: Snapshot, made: Renumbering, size: str = "") -> Document:
    """The list as pages and as a table. `size`: paper of the drawing where it is not its own."""
    from app.drawing.frame import text_size
    from app.drawing.title_block import title_fields
    from app.paper.setting import set_blocks

    listed = table(snapshot, made)
    fields = title_fields(snapshot)
    own = ", ".join(part for part in (fields.title, fields.supplementary_title) if part)
    fields = fields._replace(title=_(TITLE), supplementary_title=own, document_type=_("List"))
    paper = text_size(size or snapshot.settings.sheet_size)
    return Document(NAME, _(TITLE), set_blocks((listed,), size=paper, fields=fields), (listed,))


def _rows(snapshot: Snapshot, names: dict[str, str]) -> Iterator[tuple[Value, ...]]:
    for item, record in snapshot.equipment.items():
        if item in names and record.designation:
            what = record.label or _(record.NAME)
            yield (*_where(snapshot, record), _("plate"), record.designation, names[item], what, None)
    for item, run in snapshot.runs.items():
        if item not in names and run.from_end.equipment not in names and run.to_end.equipment not in names:
            continue
        for here, far in ((run.from_end, run.to_end), (run.to_end, run.from_end)):
            at = snapshot.equipment[here.equipment]
            old, new = (_marker(snapshot, item, here, far, using) for using in ({}, names))
            if old != new:
                yield (*_where(snapshot, at), _("run marker"), old, new, run.label, None)


def _marker(snapshot: Snapshot, item: str, here: End, far: End, names: dict[str, str]) -> str:
    """What stands on the marker at one end: *W5 at F3.out to X1.bar*; before it another text, where one is recorded."""
    own = snapshot.name(item)
    name = names.get(item, own)
    marker = here.marker.strip()
    first = "" if not marker or marker == own else f"{marker} "
    at, to = (f"{names.get(e.equipment, snapshot.name(e.equipment))}.{e.terminal}" for e in (here, far))
    return first + _("{run} at {end} to {other}").format(run=name, end=at, other=to)


def _where(snapshot: Snapshot, record: Equipment) -> tuple[str, str, str]:
    enclosure = snapshot.enclosures.get(record.enclosure)
    place = record.place or (enclosure.place if enclosure else "")
    told = snapshot.places[place].name if place in snapshot.places else ""
    return told, enclosure.name if enclosure else "", record.position
