"""Pages of comfort: what was done, in words; preferences."""

from __future__ import annotations

from typing import TYPE_CHECKING

from app.actions.action import Action
from engine.words import N_

if TYPE_CHECKING:
    from app.window.main import Window

__all__ = ["ACTIONS"]


def _preferences(window: Window) -> None:
    window.show_page("preferences", toggle=True)


def _preferences_shown(window: Window) -> bool:
    return window.page == "preferences"


def _history(window: Window) -> None:
    window.show_page("history", toggle=True)


def _history_shown(window: Window) -> bool:
    return window.page == "history"


ACTIONS = (
    Action(
        "history",
        N_("History"),
        N_("What was done, in words; a click has the drawing as it was then."),
        _history,
        ("Ctrl+H",),
        checked=_history_shown,
        break_before=True,
    ),
    Action(
        "preferences",
        N_("Preferences"),
        N_("Language, looks, size of text, folders of your own, what new drawings begin with."),
        _preferences,
        ("Ctrl+,",),
        checked=_preferences_shown,
    ),
)
