"""How many labels of each kind: what a bill of materials orders."""

from __future__ import annotations

from collections.abc import Iterable
from typing import NamedTuple

from app.handover.labels.label import Label
from app.handover.labels.making import legends, markers, plates
from app.handover.labels.wanted import KINDS, Kind
from engine.installation import Snapshot
from engine.words import _

__all__ = ["LabelCount", "label_counts"]


class LabelCount(NamedTuple):
    """A kind of label and how many are printed. `code`: what a price list may call it."""

    kind: Kind
    title: str
    code: str
    many: int
    why: str


def label_counts(snapshot: Snapshot, *, only_new: bool = True) -> tuple[LabelCount, ...]:
    """Legends, markers and plates, of what is new or of all that stays. Signs are counted by `signs`."""
    made: tuple[tuple[Kind, str, Iterable[Label], str], ...] = (
        ("legends", "LABEL-LEGEND", legends(snapshot, only_new), _("one for each position in a panel")),
        (
            "markers",
            "LABEL-RUN",
            markers(snapshot, only_new),
            _("one at each end of every run; of conductors without a common sheath one each"),
        ),
        ("plates", "LABEL-DEVICE", plates(snapshot, None, only_new), _("one for each piece of equipment")),
    )
    return tuple(
        LabelCount(kind, _(KINDS[kind]), code, sum(label.quantity for label in labels), why)
        for kind, code, labels, why in made
    )
