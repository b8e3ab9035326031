"""What a reading may be taken at: ends and terminals of a thing, conductors there, conditions, instruments."""

from __future__ import annotations

from engine.equipment.base import AC
from engine.installation import Snapshot
from engine.naming import natural, title_of
from engine.survey.places import end_key, ends_at
from engine.words import _

__all__ = ["conditions", "instrument_named", "instruments", "pairs", "terminals", "thing_of"]

Choice = tuple[str, str]  # what is recorded, in words


def thing_of(snapshot: Snapshot, selection: tuple[str, ...]) -> str:
    """The equipment or run that is chosen, "" where none is."""
    return next((item for item in selection if item in snapshot.equipment or item in snapshot.runs), "")


def terminals(snapshot: Snapshot, at: str) -> tuple[Choice, ...]:
    """Both ends of a run, the terminals of equipment that something arrives at first."""
    if at in snapshot.runs:
        run = snapshot.runs[at]
        return tuple(
            (end_key(end), f"{title_of(snapshot, 'equipment', end.equipment)} {end.terminal}")
            for end in (run.from_end, run.to_end)
        )
    if at not in snapshot.equipment:
        return ()
    joined = {end.terminal for _run, end in ends_at(snapshot, at)}
    names = [terminal.name for terminal in snapshot.equipment[at].terminals()]
    return tuple((name, name) for name in sorted(names, key=lambda name: name not in joined))


def pairs(snapshot: Snapshot, at: str, terminal: str) -> tuple[str, ...]:
    """Conductors between which something may be measured there."""
    if at in snapshot.runs:
        found = set(snapshot.runs[at].conductors())
    else:
        found = {c for run, _end in ends_at(snapshot, at, terminal) for c in snapshot.runs[run].conductors()}
    lines = [c for c in AC if c in found and c not in ("N", "PE")]
    made = []
    if {"+", "-"} & found:
        made.append("+ and -")
    made += [f"{line} and N" for line in lines if "N" in found]
    made += [f"{a} and {b}" for n, a in enumerate(lines) for b in lines[n + 1 :]]
    made += [f"{each} and PE" for each in (*lines, *(("N",) if "N" in found else ())) if "PE" in found]
    if {"+", "-"} & found:
        made += [f"{each} and PE" for each in ("+", "-") if each in found]
    return tuple(made)


def conditions(snapshot: Snapshot) -> tuple[Choice, ...]:
    """The operating conditions in their order, not recorded first."""
    every = sorted(snapshot.conditions, key=lambda c: (snapshot.conditions[c].order, natural(c)))
    none = _("as drawn") if not every else _("condition not recorded")
    return (("", none), *((item, snapshot.conditions[item].name) for item in every))


def instruments(snapshot: Snapshot) -> tuple[Choice, ...]:
    """The instruments by name."""
    every = sorted(snapshot.instruments, key=lambda i: natural(title_of(snapshot, "instruments", i)))
    return tuple((item, title_of(snapshot, "instruments", item)) for item in every)


def instrument_named(snapshot: Snapshot, words: str) -> str:
    """Id of the instrument called so, "" none."""
    asked = " ".join(words.split()).casefold()
    return next((item for item, name in instruments(snapshot) if name.casefold() == asked), "")
