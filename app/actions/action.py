"""What an action is: something a person can do, once, as data. Menus, keys and "find an action" derive from it."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING, NamedTuple

if TYPE_CHECKING:
    from app.window.main import Window

__all__ = ["Action", "always"]


def always(_window: Window) -> bool:
    """It can be done at any time."""
    return True


class Action(NamedTuple):
    """An action. `title`, `tip` are message keys (`N_`)."""

    name: str
    title: str
    tip: str  # one sentence: what it does
    call: Callable[[Window], None]
    keys: tuple[str, ...] = ()  # in Qt's portable form, "Ctrl+Z"
    when: Callable[[Window], bool] = always
    words: Callable[[Window], str] | None = None  # a title that tells more: "Undo Move F3"
    checked: Callable[[Window], bool] | None = None  # for what is on or off
    at_board: bool = False  # its keys work while the board has the focus only: they mean something else elsewhere
    changes: bool = False  # it changes the drawing: not offered where that may only be read
    break_before: bool = False  # a line above it in the menu
    short: str = ""  # a word for the rails beside the sheet
