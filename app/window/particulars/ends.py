"""What hangs on the end of a run: its lines on the sheets lead to the terminal."""

from __future__ import annotations

import msgspec

from engine.edits import Edit, EditError, Several
from engine.installation.model import Snapshot
from engine.installation.records import End

__all__ = ["led_anew"]


def led_anew(snapshot: Snapshot, last_id: int, run: str, field: str, end: End, edit: Edit) -> Edit:
    """`edit`, which changes an end of a run, and the run's lines found again where the terminal is another one."""
    old = snapshot.runs[run]
    if getattr(old, field).terminal == end.terminal:
        return edit
    sheets = sorted({route.sheet for route in snapshot.routes.values() if route.run == run})
    if not sheets:
        return edit
    from app.drawing.changes import lead_anew  # loads the routing

    runs = snapshot.runs | {run: msgspec.structs.replace(old, **{field: end})}
    edits = [edit]
    for sheet in sheets:
        after = msgspec.structs.replace(snapshot, tables=snapshot.tables | {"runs": runs})
        try:
            edits.append(lead_anew(after, [run], sheet, last_id=last_id))
        except EditError:
            continue  # drawn as it was: the end is what counts
    return Several(tuple(edits), edit.words)
