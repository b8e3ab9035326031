"""Where a reading was taken, in records and in words."""

from __future__ import annotations

from engine.installation import Snapshot
from engine.installation.records import End
from engine.installation.surveying import Reading
from engine.naming import speaks_of, title_of
from engine.words import _

__all__ = ["end_key", "end_of", "ends_at", "where_words"]


def end_key(end: End) -> str:
    """What `Reading.terminal` holds for an end of a run: *e5.in*, by id."""
    return f"{end.equipment}.{end.terminal}"


def end_of(snapshot: Snapshot, run: str, terminal: str) -> End | None:
    """The end that a reading's terminal names: by id, by designation, or by a terminal only one has."""
    record = snapshot.runs[run]
    ends = (record.from_end, record.to_end)
    for end in ends:
        if terminal in (end_key(end), f"{snapshot.name(end.equipment)}.{end.terminal}"):
            return end
    named = [end for end in ends if end.terminal == terminal]
    return named[0] if len(named) == 1 else None


def ends_at(snapshot: Snapshot, equipment: str, terminal: str = "") -> tuple[tuple[str, End], ...]:
    """The ends of runs that arrive at equipment, at one of its terminals where that is named."""
    return tuple(
        (item, end)
        for item, run in snapshot.runs.items()
        for end in (run.from_end, run.to_end)
        if end.equipment == equipment and terminal in ("", end.terminal)
    )


def where_words(snapshot: Snapshot, reading: Reading) -> str:
    """*E5 in, + and -*; *W12 at F3 in*."""
    name = speaks_of(snapshot, reading.at)
    terminal = reading.terminal
    if reading.at in snapshot.runs:
        end = end_of(snapshot, reading.at, terminal)
        if end is not None:
            at = f"{title_of(snapshot, 'equipment', end.equipment)} {end.terminal}"
            name = _("{run} at {terminal}").format(run=name, terminal=at)
        elif terminal:
            name = _("{run} at {terminal}").format(run=name, terminal=terminal)
    elif terminal:
        name = f"{name} {terminal}"
    return f"{name}, {reading.between}" if reading.between else name
