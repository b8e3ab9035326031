"""Where every switch stands in each operating condition, what runs then; interlocks in words."""

from __future__ import annotations

from app.handover.schedules.aboard import Aboard, Notes
from app.paper.table import Column, Table, Value
from engine.circuit.flow.operating import positions_in
from engine.equipment.base import Equipment
from engine.installation.records import Interlock
from engine.naming import natural
from engine.words import N_, _

__all__ = ["in_order", "in_words", "interlocks", "states"]

_KINDS = {
    "mechanical": N_("mechanical"),
    "electrical": N_("electrical"),
    "captive key": N_("captive key"),
}


# -- positions -------------------------------------------------------------------------------------------------------
def states(aboard: Aboard) -> Table:
    """One row a switch, and a source that must run; one column a condition."""
    notes = Notes(aboard)
    conditions = in_order(aboard)
    drawn = positions_in(aboard.snapshot, "")
    made = [positions_in(aboard.snapshot, condition) for condition in conditions]
    shown, still = _shown(aboard, drawn, made)
    rows = [_switch(aboard, item, drawn, made) for item in aboard.sorted(shown)]
    rows += [_source(aboard, item, conditions, notes) for item in aboard.sorted(_starts(aboard))]
    if not rows:
        notes.say(_("No switch is drawn, and no source that is started or plugged in."))
    if not conditions:
        notes.say(_("No operating condition is recorded: positions are told as drawn."))
    named = {c: {s.equipment for s in aboard.snapshot.conditions[c].settings} for c in conditions}
    if rows and conditions:
        notes.say(_("* the condition names this position; without it the switch is taken to stand as drawn."))
    rows = [_marked(row, item, conditions, named) for row, item in zip(
        rows, [*aboard.sorted(shown), *aboard.sorted(_starts(aboard))], strict=True)]  # fmt: skip
    for position, items in sorted(still.items()):
        names = ", ".join(aboard.name(item) for item in aboard.sorted(items))
        notes.say(
            _("In every condition {position}: {names}.").format(position=_(position), names=names)
            if conditions
            else _("As drawn {position}: {names}.").format(position=_(position), names=names)
        )
    columns = [
        Column("item", _("Switch, source"), width=28),
        Column("marking", _("Marked"), width=34),
        Column("label", _("What it is"), width=46),
        Column("where", _("Stands in"), width=46),
        Column("moved", _("Moved by"), width=26),
        Column("drawn", _("As drawn"), width=24),
    ]
    for n, condition in enumerate(conditions, 1):
        columns.append(Column(f"condition_{n}", aboard.snapshot.conditions[condition].name, width=30))
    return Table("states", _("Switching states"), tuple(columns), tuple(rows), notes.texts())


def in_order(aboard: Aboard) -> list[str]:
    """Operating conditions in their own order, stages of the work last."""
    records = aboard.snapshot.conditions
    return sorted(
        records, key=lambda c: (records[c].work_stage, records[c].order, natural(records[c].name), natural(c))
    )


def _shown(aboard: Aboard, drawn: dict[str, str], made: list[dict[str, str]]) -> tuple[list[str], dict[str, list[str]]]:
    """Switches; and protective devices that are used as such, held by an interlock or moved. The rest by position."""
    held = {h.equipment for lock in aboard.snapshot.interlocks.values() for h in lock.held}
    named = {s.equipment for c in aboard.snapshot.conditions.values() for s in c.settings}
    shown: list[str] = []
    still: dict[str, list[str]] = {}
    for item, position in drawn.items():
        record = aboard.snapshot.equipment[item]
        moved = any(one[item] != position for one in made)
        if record.ROLE != "protection" or record.used_as_switch or moved or item in held or item in named:
            shown.append(item)
        else:
            still.setdefault(position, []).append(item)
    return shown, still


def _starts(aboard: Aboard) -> list[str]:
    """Sources that run or are plugged in: what a condition may list."""
    listed = {item for c in aboard.snapshot.conditions.values() for item in c.running}
    equipment = aboard.snapshot.equipment
    supplied = any((at := record.ashore()) is not None and not at.inlet for record in equipment.values())

    def starts(record: Equipment) -> bool:
        at = record.ashore()
        if at is not None:  # the cord once: at the shore's outlet, where that is drawn
            return not (at.inlet and supplied)
        return record.machine() is not None or record.harvest() is not None

    return [item for item, record in equipment.items() if item in listed or starts(record)]


def _switch(aboard: Aboard, item: str, drawn: dict[str, str], made: list[dict[str, str]]) -> tuple[Value, ...]:
    record = aboard.snapshot.equipment[item]
    moves = record.moves_itself()
    moved = _("not known") if moves is None else _("a controller") if moves else _("hand")
    if record.CLOSES_ON_NEED:
        moved = _("itself")
    return (*_head(aboard, record), moved, _(drawn[item]), *(_(one[item]) for one in made))


def _head(aboard: Aboard, record: Equipment) -> tuple[Value, Value, Value, Value]:
    return (
        record.designation or _("without designation"),
        record.marking or None,
        record.label or _(record.NAME),
        aboard.where(record),
    )


def _source(aboard: Aboard, item: str, conditions: list[str], notes: Notes) -> tuple[Value, ...]:
    record = aboard.snapshot.equipment[item]
    if record.ashore() is not None:
        moved, on, off = _("cord"), _("plugged in"), _("unplugged")
    elif record.harvest() is not None:
        moved, on, off = _("sun, wind, water"), _("gives"), _("gives nothing")
    else:
        moved, on, off = _("start and stop"), _("runs"), _("stands still")
    row: list[Value] = [*_head(aboard, record), moved, _("n/a")]
    for condition in conditions:
        running = aboard.snapshot.conditions[condition].running
        if not running:
            notes.lacks(condition, "running")
            row.append(None)
        else:
            row.append(on if item in running else off)
    return tuple(row)


def _marked(row: tuple[Value, ...], item: str, conditions: list[str], named: dict[str, set[str]]) -> tuple[Value, ...]:
    """An asterisk where the condition itself says so."""
    first = len(row) - len(conditions)
    cells = [f"{v} *" if item in named[c] else v for v, c in zip(row[first:], conditions, strict=True)]
    return (*row[:first], *cells)


# -- interlocks ------------------------------------------------------------------------------------------------------
def interlocks(aboard: Aboard) -> Table:
    """One row an interlock, in words."""
    notes = Notes(aboard)
    records = aboard.snapshot.interlocks
    order = sorted(records, key=lambda i: (natural(records[i].name), natural(i)))
    rows: list[tuple[Value, ...]] = [
        (
            records[item].name or _("without a name"),
            _(_KINDS.get(records[item].kind, records[item].kind)),
            in_words(aboard, records[item]),
            ", ".join(aboard.name(i) for i in aboard.sorted({h.equipment for h in records[item].held})) or None,
            records[item].note,
        )
        for item in order
    ]
    if not rows:
        notes.say(_("No interlock is recorded: every switch can be put in any position whatever the others do."))
    else:
        notes.say(_("An interlock is taken to hold. That it does is to be tried aboard, in the wrong order too."))
    columns = (
        Column("name", _("Interlock"), width=40),
        Column("kind", _("How"), width=26),
        Column("rule", _("What it allows"), width=130),
        Column("devices", _("Devices"), width=50),
        Column("note", _("Note"), width=60),
    )
    return Table("interlocks", _("Interlocks"), columns, tuple(rows), notes.texts())


def in_words(aboard: Aboard, lock: Interlock) -> str:
    """What an interlock allows."""
    told = [
        _("{name} {positions}").format(
            name=_named(aboard, held.equipment), positions=_(" or ").join(_(p) for p in held.positions)
        )
        for held in sorted(lock.held, key=lambda h: aboard.sorted_key(h.equipment))
    ]
    if not told:
        return _("It names no device.")
    if lock.at_most == 0:
        return _("Never: {list}.").format(list="; ".join(told))
    if lock.at_most >= len(told):
        return _("It allows everything: {n} of {of} at the same time: {list}.").format(
            n=lock.at_most, of=len(told), list="; ".join(told)
        )
    if lock.at_most == 1 and len(told) == 2:
        return _("Not both at the same time: {list}.").format(list="; ".join(told))
    return _("At most {n} of these {of} at the same time: {list}.").format(
        n=lock.at_most, of=len(told), list="; ".join(told)
    )


def _named(aboard: Aboard, item: str) -> str:
    record = aboard.snapshot.equipment.get(item)
    if record is None:
        return item
    name = aboard.name(item)
    return f"{name} ({record.marking})" if record.marking and record.marking != name else name
