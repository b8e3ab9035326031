"""What there is to do on the first sheet: its words, made from the actions and their keys, and how it shows to be done.

Nothing here is kept: whether a step is done is read off the drawing, so that what is taken back is to be done again.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from typing import NamedTuple

from engine.equipment.protection.fuse import Fuse
from engine.installation import Snapshot
from engine.units import area_mm2, number
from engine.words import N_, _

__all__ = ["FILE", "LABELS", "ORDER", "STEPS", "WIDTHS", "First", "Step", "keys_named", "labels", "words"]

FILE = "first/first.linewright"

LABELS = {
    "G1": N_("Battery"),
    "Q1": N_("Battery switch"),
    "WC1": N_("Panel"),
    "F1": N_("Cabin lights"),
    "E1": N_("Cabin lights"),
    "F2": N_("Anchor light"),
    "E2": N_("Anchor light"),
    "F3": N_("Bilge pump"),
    "M1": N_("Bilge pump"),
}


class First(NamedTuple):
    """The first sheet as it was opened: ids by designation, and the remarks that are its own."""

    ids: dict[str, str]
    remarks: frozenset[str]
    thin_mm2: float  # of the run that is too thin

    @classmethod
    def of(cls, snapshot: Snapshot) -> First:
        """Of the drawing as it is in the file."""
        ids = {r.designation: item for table in ("equipment", "runs") for item, r in snapshot.tables[table].items()}
        thin = snapshot.runs[ids["W5"]].size
        return cls(ids, frozenset(snapshot.remarks), area_mm2(thin) if thin else 0.0)


class Step(NamedTuple):
    """Something to do. `text` names actions in braces, and quantities as {size} and {rating}."""

    name: str
    text: str
    done: Callable[[First, Snapshot], bool]


def _new_runs(first: First, now: Snapshot) -> Iterable[str]:
    """Runs that lead from the panel to the pump's fuse."""
    wanted = {first.ids["WC1"], first.ids["F3"]}
    return [i for i, r in now.runs.items() if {r.from_end.equipment, r.to_end.equipment} == wanted]


def _joined(first: First, now: Snapshot) -> bool:
    return bool(list(_new_runs(first, now)))


def _measured(first: First, now: Snapshot) -> bool:
    return any(now.runs[i].size and now.runs[i].length_m for i in _new_runs(first, now))


def _rated(first: First, now: Snapshot) -> bool:
    fuse = now.equipment.get(first.ids["F2"])
    return fuse is not None and getattr(fuse, "rating_a", None) is not None


def _fused(first: First, now: Snapshot) -> bool:
    """Whether every way from the battery's + to its switch leads through a fuse."""
    start, stop = first.ids["G1"], first.ids["Q1"]
    todo, been = [start], {start}
    while todo:
        here = todo.pop()
        for run in now.runs.values():
            for one, other in ((run.from_end, run.to_end), (run.to_end, run.from_end)):
                if one.equipment != here or (here == start and one.terminal != "pos") or other.equipment in been:
                    continue
                if other.equipment == stop:
                    return False
                if not isinstance(now.equipment[other.equipment], Fuse):
                    todo.append(other.equipment)
                been.add(other.equipment)
    return len(been) > 1


def _thick(first: First, now: Snapshot) -> bool:
    run = now.runs.get(first.ids["W5"])
    return run is not None and bool(run.size) and area_mm2(run.size) > first.thin_mm2


def _remarked(first: First, now: Snapshot) -> bool:
    return any(item not in first.remarks and remark.text.strip() for item, remark in now.remarks.items())


STEPS = (
    Step("run", N_("1  Draw a run: press {run}, click the bar WC1, then the lower end of F3."), _joined),
    Step(
        "size", N_("2  Say what it is: click the run you drew, press {type_values}, type “{size}”, Enter."), _measured
    ),
    Step("rating", N_("3  F2 has no rating yet: click it, press {type_values}, type “{rating}”, Enter."), _rated),
    Step(
        "fuse",
        N_(
            "4  The battery has no fuse of its own: click the run above it, press {insert_into_run}, "
            "type “class t 150”, Enter."
        ),
        _fused,
    ),
    Step(
        "thin",
        N_("5  This run is too thin for its fuse: click it, press {size_chosen}, and fit what the page says it needs."),
        _thick,
    ),
    Step("remark", N_("6  Write on the sheet: press {remark}, click a free place, type, Enter."), _remarked),
)
_TITLE = N_("How to draw")
_HEAD = N_(
    "How to draw. This sheet is a drawing: do what the remarks say, in any order. What is done gets a tick. It is a "
    "copy, so nothing can be spoiled, and {undo} takes everything back."
)
_END = N_(
    "{type_place} places by typing. {keys} lists every key, {find_action} finds any action. {new} begins a drawing of "
    "your own."
)
ACTIONS = ("run", "type_values", "insert_into_run", "size_chosen", "remark", "undo", "type_place", "keys",
           "find_action", "new")  # fmt: skip
ORDER = ("", *(step.name for step in STEPS), "end")  # of the remarks in the file
WIDTHS = {"": 108, "end": 30} | {step.name: 30 for step in STEPS}  # grid steps


def keys_named(shown: Callable[[str], str] = str) -> dict[str, str]:
    """The first key of every action that is named; `shown` writes one as the person's system does."""
    from app.actions import action_named

    return {name: shown(action_named(name).keys[0]) for name in ACTIONS}


def labels() -> dict[str, str]:
    """What the equipment is called, by designation."""
    return {name: _(label) for name, label in LABELS.items()}


def words(shown: Callable[[str], str] = str) -> dict[str, str]:
    """The words of every remark by its step, "" the head, "end" the foot; the sheet's title as "title"."""
    named = keys_named(shown)
    named["size"] = f"{number(2.5)} mm2 {number(0.2)} m"
    named["rating"] = f"{number(10.0)} a"
    made = {step.name: _(step.text).format(**named) for step in STEPS}
    return made | {"": _(_HEAD).format(**named), "end": _(_END).format(**named), "title": _(_TITLE)}
