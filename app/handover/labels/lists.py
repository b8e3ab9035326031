"""What is told of labels: how many on which sheets, which signs and why, what did not fit; and the printer's list."""

from __future__ import annotations

from collections.abc import Sequence

from app.handover.labels.grid import Grid
from app.handover.labels.label import HELD, Label
from app.handover.labels.signs import STATES, Sign
from app.handover.labels.strips import Strip
from app.handover.labels.wanted import KINDS, Kind
from app.paper.table import Column, Table, Value
from engine.words import _

__all__ = ["kinds_table", "printer_table", "short_table", "signs_table"]

_LINES = 3  # of a label printer


def printer_table(labels: Sequence[Label], strips: Sequence[Strip]) -> Table:
    """One row a label, for a label printer. A label of more lines has the others in its last, after strokes."""
    columns = (
        Column("kind", _("Kind")),
        *(Column(f"line{n}", _("Line {n}").format(n=n)) for n in range(1, _LINES + 1)),
        Column("quantity", _("Quantity"), align="right"),
        Column("belongs_to", _("Belongs to")),
        Column("end", _("At")),
        Column("far_end", _("Far end")),
        Column("place", _("Place")),
        Column("clause", _("Asked for by")),
    )
    rows: list[tuple[Value, ...]] = []
    for label in labels:
        lines = _lines(((label.word,) if label.word else ()) + label.lines)
        told = (label.name, label.from_end, label.to_end, label.where, label.why)
        rows.append((label.kind, *lines, label.quantity, *(_flat(text) for text in told)))
    for strip in strips:
        for field in strip.fields:
            if field.new:
                name = _("{panel}, position {position}").format(panel=strip.enclosure, position=field.position)
                rows.append(("strips", *_lines((field.new, field.old, field.position)), 1, _flat(name), "", "", "", ""))
    notes = () if rows else (_("Nothing on the drawing is labelled."),)
    return Table("labels", _("Labels"), columns, tuple(rows), notes)


def _lines(texts: Sequence[str]) -> tuple[str, ...]:
    flat = [_flat(text) for text in texts]
    kept = (*flat, *("" for _n in range(_LINES)))[:_LINES]
    return (*kept[:-1], " / ".join(flat[_LINES - 1 :])) if len(flat) > _LINES else kept


def _flat(text: str) -> str:
    """On one line: a label printer takes a line break for the end of a row."""
    return " ".join(text.split())


def kinds_table(made: Sequence[tuple[Kind, int, int, Grid]]) -> Table:
    """Kinds: how many labels on how many sheets of which grid."""
    columns = (
        Column("kind", _("Kind")),
        Column("labels", _("Labels"), align="right"),
        Column("sheets", _("Sheets"), align="right"),
        Column("grid", _("Label sheet")),
    )
    rows = tuple((_(KINDS[kind]), many, sheets, grid.told()) for kind, many, sheets, grid in made)
    return Table("kinds", _("Label sheets"), columns, rows)


def signs_table(signs: Sequence[Sign]) -> Table:
    """Signs asked for by rules: where, by which clause, whether they hang there, how many are printed."""
    columns = (
        Column("where", _("Where")),
        Column("what", _("Sign")),
        Column("state", _("Aboard")),
        Column("printed", _("Printed"), align="right"),
        Column("clause", _("Asked for by"), width=90),
    )
    rows = tuple(
        (sign.where, sign.what, _(STATES[sign.state]), sign.many, _(sign.clause) if sign.clause else "")
        for sign in signs
    )
    return Table("signs", _("Signs the rules ask for"), columns, rows)


def short_table(labels: Sequence[Label]) -> Table:
    """Labels whose text did not fit, in full."""
    columns = (
        Column("kind", _("Kind")),
        Column("name", _("Belongs to"), width=60),
        Column("text", _("Text in full"), width=160),
    )
    rows = tuple((_(KINDS[label.kind]), label.name, " / ".join(label.lines).replace(HELD, " ")) for label in labels)
    return Table("short", _("What did not fit"), columns, rows)
