"""Actions that take up a tool of the board."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from typing import TYPE_CHECKING

from app.actions.action import Action
from engine.words import N_

if TYPE_CHECKING:
    from app.window.main import Window

__all__ = ["ACTIONS"]


def _take(name: str) -> Callable[[Window], None]:
    def call(window: Window) -> None:
        window.take_tool(name)

    return call


def _holds(name: str) -> Callable[[Window], bool]:
    return partial(_is_held, name)


def _is_held(name: str, window: Window) -> bool:
    return name == window.board.tool.NAME


ACTIONS = (
    Action(
        "choose",
        N_("Choose and move"),
        N_("Choose things, move them, lead runs by hand."),
        _take("choose"),
        ("C",),
        checked=_holds("choose"),
        short=N_("Choose"),
        at_board=True,
    ),
    Action(
        "place",
        N_("Place equipment"),
        N_("Type what it is, then put it on the sheet."),
        _take("place"),
        ("E",),
        checked=_holds("place"),
        short=N_("Put"),
        at_board=True,
        changes=True,
    ),
    Action(
        "run",
        N_("Draw a run"),
        N_("Draw a run from terminal to terminal."),
        _take("run"),
        ("D",),
        checked=_holds("run"),
        short=N_("Run"),
        at_board=True,
        changes=True,
    ),
    Action(
        "operate",
        N_("Operate switches"),
        N_("Move switches in the chosen condition and see what is live."),
        _take("operate"),
        ("O",),
        checked=_holds("operate"),
        short=N_("Operate"),
        at_board=True,
    ),
    Action(
        "pan",
        N_("Move the sheet"),
        N_("Drag the sheet about."),
        _take("pan"),
        ("G",),
        checked=_holds("pan"),
        short=N_("Sheet"),
        at_board=True,
    ),
)
