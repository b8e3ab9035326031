"""What the changes take and give: where an end of a run is put, and what was made."""

from __future__ import annotations

from typing import NamedTuple

from engine.edits import Several

__all__ = ["Grip", "Made"]


class Grip(NamedTuple):
    """Where an end of a run is put.

    With `placement` and `terminal` on that terminal (of a bus: at `column`, `row` along it); with `run` on that run at
    `column`, `row`, where a junction is made and the run split; with neither it ends loose there.
    """

    placement: str = ""
    terminal: str = ""
    run: str = ""
    column: int = 0
    row: int = 0


class Made(NamedTuple):
    """An edit, and the ids of the equipment and runs it makes, the main one first."""

    edit: Several
    items: tuple[str, ...]
