"""Studs and terminals: what lands where, with which lug, tightened to what."""

from __future__ import annotations

from typing import TypeAlias

from app.handover.schedules.aboard import Aboard, Notes
from app.paper.table import Column, Table, Value
from engine.installation.records import End
from engine.naming import natural
from engine.words import _

__all__ = ["studs"]

_Landed: TypeAlias = tuple[tuple[object, ...], str, str, End]  # sorts by, run, side, end


def studs(aboard: Aboard) -> Table:
    """One row a run that lands on a bus or a stud, in stud order."""
    notes = Notes(aboard)
    landed: list[_Landed] = []
    for run in aboard.sorted(aboard.snapshot.runs):
        record = aboard.snapshot.runs[run]
        for side, end in (("from_end", record.from_end), ("to_end", record.to_end)):
            if _is_stud(aboard, end):
                number = end.stud_number if end.stud_number is not None else 10**6
                at = (aboard.sorted_key(end.equipment), natural(end.terminal), number, aboard.sorted_key(run), side)
                landed.append((at, run, side, end))
    landed.sort(key=lambda one: one[0])
    shared = _sharing(aboard, landed)
    rows = []
    for _at, run, _side, end in landed:
        keys = [(end.equipment, end.terminal, end.stud_number, c) for c in aboard.snapshot.runs[run].conductors()]
        rows.append(_row(aboard, run, end, max(shared[key] for key in keys)))
    if not rows:
        notes.say(_("No run lands on a bus, and no stud, lug or torque is recorded."))
    else:
        notes.say(_("On it together: how many runs land on the same stud; told where the stud is recorded."))
        for item in aboard.sorted({end.equipment for _at, _run, _side, end in landed}):
            notes.say(_studs_of(aboard, item, landed))
    columns = (
        Column("equipment", _("Bus, equipment"), width=50),
        Column("terminal", _("Terminal"), width=24),
        Column("stud_number", _("Stud"), "", "right"),
        Column("stud", _("Stud size"), width=22),
        Column("run", _("Run"), width=26),
        Column("conductors", _("Conductors"), width=24),
        Column("size", _("Conductor size"), width=28),
        Column("lug", _("Terminal fitting"), width=40),
        Column("torque_nm", _("Torque"), "Nm", "right"),
        Column("together", _("On it together"), "", "right", width=22),
        Column("from", _("Comes from"), width=40),
        Column("marker", _("Marker"), width=24),
        Column("status", _("Status"), width=20),
    )
    return Table("studs", _("Studs and terminals"), columns, tuple(rows), notes.texts())


def _is_stud(aboard: Aboard, end: End) -> bool:
    """A bus, a terminal of which the kind knows studs, or one of which something was recorded."""
    record = aboard.snapshot.equipment.get(end.equipment)
    if record is None:
        return False
    recorded = end.lug or end.stud or end.stud_number is not None or end.torque_nm is not None
    return bool(recorded) or record.ROLE == "bus" or bool(record.terminals_on(end.terminal)[1])


def _sharing(aboard: Aboard, landed: list[_Landed]) -> dict[tuple[str, str, int | None, str], int]:
    """Runs by stud and conductor: + and − of one bus are studs of their own."""
    made: dict[tuple[str, str, int | None, str], int] = {}
    for _at, run, _side, end in landed:
        for conductor in aboard.snapshot.runs[run].conductors():
            key = end.equipment, end.terminal, end.stud_number, conductor
            made[key] = made.get(key, 0) + 1
    return made


def _row(aboard: Aboard, run: str, end: End, together: int) -> tuple[Value, ...]:
    record = aboard.snapshot.runs[run]
    far = record.to_end if end is record.from_end else record.from_end
    return (
        aboard.told(end.equipment),
        end.terminal,
        end.stud_number,
        end.stud or getattr(aboard.snapshot.equipment[end.equipment], "stud_size", "") or None,
        aboard.name(run),
        " ".join(record.conductors()),
        aboard.size(run),
        end.lug or None,
        end.torque_nm,
        together if end.stud_number is not None else None,
        aboard.end(far),
        end.marker or None,
        _(record.status),
    )


def _studs_of(aboard: Aboard, item: str, landed: list[_Landed]) -> str:
    count = aboard.snapshot.equipment[item].stud_count()
    if count is None:
        return ""
    used = {end.stud_number for _at, _run, _side, end in landed if end.equipment == item and end.stud_number}
    free = [str(n) for n in range(1, min(count, 200) + 1) if n not in used]
    if not used:
        return _("{name}: {count} studs; which run lands on which is not recorded.").format(
            name=aboard.name(item), count=count
        )
    if not free:
        return _("{name}: {count} studs, a run recorded on every one.").format(name=aboard.name(item), count=count)
    return _("{name}: {count} studs, no run recorded on {free}.").format(
        name=aboard.name(item), count=count, free=", ".join(free)
    )
