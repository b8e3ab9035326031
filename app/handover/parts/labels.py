"""Labels to order: as many as the document of labels makes for what is new, and the signs that are missing."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from typing import NamedTuple

from app.handover.labels.counts import label_counts
from app.handover.labels.signs import Sign
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


def labels(snapshot: Snapshot, signs: Sequence[Sign] = ()) -> tuple[Labels, ...]:
    """Run markers, plates and legends of what is new; the signs found missing."""
    made = [Labels(each.title, each.code, each.many, each.why) for each in label_counts(snapshot) if each.many]
    missing: Counter[str] = Counter()
    where: dict[str, list[str]] = {}
    for sign in signs:
        if sign.state == "missing" and sign.many:
            missing[sign.what] += sign.many
            where.setdefault(sign.what, []).append(sign.where)
    for what in sorted(missing):
        places = ", ".join(dict.fromkeys(where[what]))
        made.append(
            Labels(
                _("Warning sign: {what}").format(what=what),
                "LABEL-SIGN",
                missing[what],
                _("missing at: {places}").format(places=places),
            )
        )
    return tuple(made)


def label_table(snapshot: Snapshot, signs: Sequence[Sign] | None = None) -> Table:
    """Labels to order. Without `signs` the drawing has not been judged, and nobody knows which are missing."""
    columns = (
        Column("quantity", _("Quantity"), align="right"),
        Column("what", _("What")),
        Column("code", _("Code of this bill")),
        Column("why", _("Why")),
    )
    rows = tuple((each.many, each.what, each.code, each.why) for each in labels(snapshot, signs or ()))
    notes = [] if rows else [_("No labels to order.")]
    if signs is None:
        notes.append(_("Warning signs are not among them: the drawing was not checked."))
    else:
        notes.append(_("Of warning signs those are ordered that are known to be missing; see the document of labels."))
    return Table("labels", _("Labels to order"), columns, rows, tuple(notes))
