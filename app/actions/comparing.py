"""Actions on the open drawing beside another."""

from __future__ import annotations

from typing import TYPE_CHECKING

from app.actions.action import Action
from engine.words import N_

if TYPE_CHECKING:
    from app.window.main import Window

__all__ = ["ACTIONS"]


def _compare(window: Window) -> None:
    window.show_page("comparing", toggle=True)


def _is_shown(window: Window) -> bool:
    return window.page == "comparing"


ACTIONS = (
    Action(
        "compare",
        N_("Compare with another drawing"),
        N_("What is new, gone or other than in another file or an issue: listed, marked on the sheets, printed."),
        _compare,
        ("Ctrl+Shift+C",),
        checked=_is_shown,
        break_before=True,
    ),
)
