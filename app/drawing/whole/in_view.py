"""A drawing before, during and after the work, or one status of it alone: for pictures. Nothing is judged by it."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any, Final, Literal, NamedTuple, TypeAlias

import msgspec

from engine.installation import Snapshot
from engine.words import N_, _, ngettext

__all__ = ["ROUND", "STATUSES", "VIEWS", "View", "Viewed", "in_view", "seen", "title_of", "told_of"]

View: TypeAlias = Literal[
    "all", "before", "during", "after", "existing", "new", "to remove", "by others", "spare"
]  # the last five: one status alone

STATUSES: Final = ("existing", "new", "to remove", "by others", "spare")
ROUND: Final = ("all", "before", "during", "after")  # what one key goes through
VIEWS: Final = (*ROUND, *STATUSES)
_MOST = 12  # names that one sentence tells

_SHOWN: dict[str, tuple[str, ...]] = {
    "all": STATUSES,
    "before": ("existing", "to remove", "by others"),
    "during": STATUSES,
    "after": ("existing", "new", "by others", "spare"),
} | {status: (status,) for status in STATUSES}

_TITLES = {
    "all": N_("Everything"),
    "before": N_("Before the work"),
    "during": N_("During the work"),
    "after": N_("After the work"),
    "existing": N_("Only what exists"),
    "new": N_("Only what is new"),
    "to remove": N_("Only what is to be removed"),
    "by others": N_("Only what is by others"),
    "spare": N_("Only what is spare"),
}
_TOLD = {
    "before": N_("This sheet shows the boat before the work: what is new or spare is left out."),
    "during": N_("This sheet shows the boat during the work: what is new beside what is to be removed."),
    "after": N_("This sheet shows the boat after the work: what is to be removed is left out."),
    "existing": N_("This sheet shows only what exists, and what its runs end at."),
    "new": N_("This sheet shows only what is new, and what its runs end at."),
    "to remove": N_("This sheet shows only what is to be removed, and what its runs end at."),
    "by others": N_("This sheet shows only what is by others, and what its runs end at."),
    "spare": N_("This sheet shows only what is spare, and what its runs end at."),
}


class Viewed(NamedTuple):
    """A drawing as a view has it; `loose`: runs that the view would show and that end at what it does not show."""

    snapshot: Snapshot
    loose: tuple[str, ...]


def title_of(view: str) -> str:
    """What a view is called."""
    return _(_TITLES.get(view, _TITLES["all"]))


def told_of(view: str, whole: Snapshot) -> tuple[str, ...]:
    """What a sheet in this view must say of itself, in sentences; nothing where everything is shown."""
    if view not in _TOLD:
        return ()
    told = [_(_TOLD[view])]
    loose = seen(whole, view).loose
    if loose:
        every = list(dict.fromkeys(whole.name(item) for item in loose))
        names = ", ".join(every[:_MOST])
        if len(every) > _MOST:
            names = _("{names} and {n} more").format(names=names, n=len(every) - _MOST)
        words = ngettext(
            "Left out too, since it ends at what is not shown: {names}.",
            "Left out too, since they end at what is not shown: {names}.",
            len(every),
        )
        told.append(words.format(names=names))
    told.append(_("Findings and counts are those of the whole drawing."))
    return tuple(told)


def in_view(snapshot: Snapshot, view: str) -> Snapshot:
    """The drawing with what a view does not show left out. For pictures only."""
    return seen(snapshot, view).snapshot


def seen(snapshot: Snapshot, view: str) -> Viewed:
    """The drawing in a view, and the runs that are left out though their own status is shown.

    In the view of one status the equipment that shown runs end at is shown with them, whatever its status.
    """
    shown = _SHOWN.get(view, STATUSES)
    if len(shown) == len(STATUSES):
        return Viewed(snapshot, ())
    alone = len(shown) == 1
    wanted = {item for item, record in snapshot.equipment.items() if record.status in shown}
    runs: dict[str, Any] = {}
    loose: list[str] = []
    ends: set[str] = set()
    for item, run in snapshot.runs.items():
        if run.status not in shown:
            continue
        two = {run.from_end.equipment, run.to_end.equipment}
        # an open end is where a run ends, nothing that was fitted or comes out by itself
        if alone or all(end in wanted or _is_end(snapshot, end) for end in two):
            runs[item] = run
            ends |= two
        else:
            loose.append(item)
    wanted |= ends
    gone = {i for i in snapshot.equipment if i not in wanted and _is_end(snapshot, i)} - ends
    wanted -= gone

    def kept(table: str, keep: Callable[[Any], bool]) -> dict[str, Any]:
        return {item: record for item, record in snapshot.tables[table].items() if keep(record)}

    interlocks = {}
    for item, lock in snapshot.interlocks.items():
        held = tuple(each for each in lock.held if each.equipment in wanted)
        if len(held) == len(lock.held):
            interlocks[item] = lock
        elif len(held) > 1:  # one device alone locks nothing
            interlocks[item] = msgspec.structs.replace(lock, held=held)
    remarks = {
        item: remark
        if not remark.points_at or remark.points_at in wanted or remark.points_at in runs
        else msgspec.structs.replace(remark, points_at="")
        for item, remark in snapshot.remarks.items()
    }
    tables = snapshot.tables | {
        "equipment": {item: record for item, record in snapshot.equipment.items() if item in wanted},
        "runs": runs,
        "placements": kept("placements", lambda p: p.equipment in wanted),
        "routes": kept("routes", lambda r: r.run in runs),
        "interlocks": interlocks,
        "remarks": remarks,
    }
    return Viewed(Snapshot(tables=tables, lone=snapshot.lone), tuple(loose))


def _is_end(snapshot: Snapshot, item: str) -> bool:
    record = snapshot.equipment.get(item)
    return record is not None and record.KIND == "open_end"
