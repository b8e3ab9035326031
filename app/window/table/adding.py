"""New rows: a place, a panel, an operating condition, an interlock. Equipment and runs are drawn, not added here."""

from __future__ import annotations

from app.window.table.columns import Choice
from engine.edits import Put
from engine.installation.model import TABLES, Snapshot
from engine.words import N_, _

__all__ = ["add_record", "adding_words", "adds_to"]

_NEW = {
    "places": (N_("Place {n}"), N_("Add a place")),
    "enclosures": (N_("Panel {n}"), N_("Add a panel or enclosure")),
    "conditions": (N_("Condition {n}"), N_("Add an operating condition")),
    "interlocks": (N_("Interlock {n}"), N_("Add an interlock")),
}


def adds_to(choice: Choice) -> str:
    """The table a new row of a choice goes into, "" where none is added here."""
    return choice.tables[0] if choice.tables[0] in _NEW else ""


def adding_words(table: str) -> str:
    """What stands on the button and in the undo list."""
    return _(_NEW[table][1])


def add_record(snapshot: Snapshot, item: str, table: str) -> Put:
    """The edit that adds a record with a name not yet taken."""
    name, words = _NEW[table]
    taken = {record.name for record in snapshot.tables[table].values()}
    number = 1
    while _(name).format(n=number) in taken:
        number += 1
    values: dict[str, object] = {"name": _(name).format(n=number)}
    if table == "conditions":
        values["order"] = max((c.order for c in snapshot.conditions.values()), default=0) + 1
    return Put(table, item, TABLES[table][0](**values), _(words))
