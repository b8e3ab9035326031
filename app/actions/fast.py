"""Actions for drawing fast: typed phrases, into a run, again."""

from __future__ import annotations

from typing import TYPE_CHECKING

from app.actions.action import Action
from engine.words import N_

if TYPE_CHECKING:
    from app.window.main import Window

__all__ = ["ACTIONS"]


def _type_place(window: Window) -> None:
    from app.window.quick.fast import fast_of

    fast_of(window.board).place()


def _type_values(window: Window) -> None:
    from app.window.quick.fast import fast_of

    fast_of(window.board).set()


def _insert(window: Window) -> None:
    from app.window.quick.fast import fast_of

    fast_of(window.board).insert()


def _repeat(window: Window) -> None:
    from app.window.quick.fast import fast_of

    fast_of(window.board).repeat()


def _has_sheet(window: Window) -> bool:
    return bool(window.document.sheet)


def _settable(window: Window) -> bool:
    snapshot = window.document.snapshot()
    return any(i in snapshot.equipment or i in snapshot.runs for i in window.document.selection)


def _one_run(window: Window) -> bool:
    chosen = window.document.selection
    return _has_sheet(window) and len(chosen) == 1 and chosen[0] in window.document.snapshot().runs


def _repeatable(window: Window) -> bool:
    from app.window.quick.again import again

    return _has_sheet(window) and again(window.board) is not None


def _repeat_words(window: Window) -> str:
    from app.window.quick.again import again_words

    return again_words(window.board)


ACTIONS = (
    Action(
        "type_place",
        N_("Type what to place…"),
        N_("Type what it is and its ratings (“class t 300”), then place it; a run being drawn is joined to it."),
        _type_place,
        ("/",),
        _has_sheet,
        at_board=True,
        changes=True,
        break_before=True,
    ),
    Action(
        "type_values",
        N_("Type values of what is chosen…"),
        N_("Type values of what is chosen (“2/0 3 m”, “class t 300 a”); on several things the same fields are set."),
        _type_values,
        ("=",),
        _settable,
        at_board=True,
        changes=True,
    ),
    Action(
        "insert_into_run",
        N_("Insert into the run…"),
        N_("Type what is put into the chosen run, at the pointer or in its middle."),
        _insert,
        ("I",),
        _one_run,
        at_board=True,
        changes=True,
    ),
    Action(
        "repeat",
        N_("Repeat"),
        N_("Take what was placed last in hand once more, or set the values set last on what is chosen."),
        _repeat,
        ("R",),
        _repeatable,
        _repeat_words,
        at_board=True,
        changes=True,
    ),
)
