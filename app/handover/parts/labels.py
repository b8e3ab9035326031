"""How many labels are to be ordered: what the document of labels makes for what is new."""

from __future__ import annotations

from typing import NamedTuple

from app.paper.table import Column, Table
from engine.installation import Snapshot
from engine.words import _

__all__ = ["Labels", "label_table", "labels"]


class Labels(NamedTuple):
    """A sort of label and how many. `code`: what a price list may call it."""

    what: str
    code: str
    many: int
    why: str


def labels(snapshot: Snapshot) -> tuple[Labels, ...]:
    """Run markers at both ends, plates of devices, legends of panel positions: of what is new."""
    runs = [run for run in snapshot.runs.values() if run.status == "new"]
    pieces = [piece for piece in snapshot.equipment.values() if piece.status == "new"]
    plates = [piece for piece in pieces if piece.KIND not in ("open_end", "junction", "shore_supply")]
    legends = [piece for piece in pieces if piece.position and piece.enclosure in snapshot.enclosures]
    return (
        Labels(_("Run marker"), "LABEL-RUN", 2 * len(runs), _("one at each end of every new run")),
        Labels(_("Device plate"), "LABEL-DEVICE", len(plates), _("one for each new piece of equipment")),
        Labels(_("Panel legend"), "LABEL-LEGEND", len(legends), _("one for each position that new equipment takes")),
    )


def label_table(snapshot: Snapshot) -> Table:
    """Labels to order."""
    columns = (
        Column("quantity", _("Quantity"), align="right"),
        Column("what", _("What")),
        Column("code", _("Code of this bill")),
        Column("why", _("Why")),
    )
    rows = tuple((each.many, each.what, each.code, each.why) for each in labels(snapshot) if each.many)
    notes = [_("Warning signs are not among them: the document of labels tells which the book asks for.")]
    if not rows:
        notes.insert(0, _("Nothing is new: no labels to order."))
    return Table("labels", _("Labels to order"), columns, rows, tuple(notes))
