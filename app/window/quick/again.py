"""What `R` would do now, and the words for it."""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

from engine.equipment.base import Equipment
from engine.naming import title_of
from engine.phrases import Given
from engine.phrases.repeating import Repeatable, fits, last_placed, last_set
from engine.phrases.telling import told
from engine.words import _, ngettext

if TYPE_CHECKING:
    from app.canvas.board import Board

__all__ = ["Again", "again", "again_words"]

_MOST_TOLD = 60  # signs in a menu
_TOLD_OF_RECORD = (
    "fuse_class",
    "chemistry",
    "rating_a",
    "continuous_a",
    "unit_ah",
    "unit_v",
    "power_w",
    "dc_v",
    "label",
)


class Again(NamedTuple):
    """Equipment to place, or values to set on these things."""

    record: Equipment | None = None
    given: tuple[Given, ...] = ()
    items: tuple[str, ...] = ()


def again(board: Board) -> Again | None:
    """What was done last and can be done again: the later of the two, where it makes sense on what is chosen."""
    document = board.document
    snapshot, history = document.snapshot(), document.history
    key = (history.mark, document.selection)
    known = _known.get(id(board))
    if known is not None and known[0][0] is key[0] and known[0][1] == key[1]:
        return known[1]
    placed: Repeatable | None = last_placed(history, snapshot)
    changed: Repeatable | None = last_set(history) if document.selection else None
    found: Again | None = None
    if changed is not None and (placed is None or changed.ago < placed.ago):
        items = fits(snapshot, document.selection, changed.given)
        if items:
            found = Again(None, changed.given, items)
    if found is None and placed is not None:
        found = Again(placed.record)
    _known.clear()  # one window is worked in at a time
    _known[id(board)] = key, found
    return found


_known: dict[int, tuple[tuple[object, tuple[str, ...]], Again | None]] = {}


def again_words(board: Board) -> str:
    """The title of the action: what it will do."""
    found = again(board)
    if found is None:
        return _("Repeat")
    snapshot = board.document.snapshot()
    if found.record is not None:
        record = found.record
        default = type(record)()
        given = tuple(
            Given(f, getattr(record, f))
            for f in _TOLD_OF_RECORD
            if hasattr(record, f) and getattr(record, f) != getattr(default, f)
        )
        return _("Repeat: place {what}").format(what=_short(told(type(record), given, snapshot)))
    first = found.items[0]
    table = "equipment" if first in snapshot.equipment else "runs"
    name = title_of(snapshot, table, first)
    if len(found.items) > 1:
        more = len(found.items) - 1
        name = ngettext("{first} and {more} more", "{first} and {more} more", more).format(first=name, more=more)
    values = told(type(snapshot.tables[table][first]), found.given, snapshot, alone=True)
    return _("Repeat: set {values} on {name}").format(values=_short(values), name=name)


def _short(text: str) -> str:
    return text if len(text) <= _MOST_TOLD else f"{text[: _MOST_TOLD - 1]}…"
