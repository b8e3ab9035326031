"""Bringing another drawing into the open one."""

from __future__ import annotations

from typing import TYPE_CHECKING

from app.actions.action import Action
from engine.words import N_

if TYPE_CHECKING:
    from app.window.main import Window

__all__ = ["ACTIONS"]


def _show(window: Window) -> None:
    window.show_page("merging", toggle=True)


def _is_shown(window: Window) -> bool:
    return window.page == "merging"


ACTIONS = (
    Action(
        "merge",
        N_("Bring in another drawing"),
        N_("What somebody else changed in a copy of this drawing: taken over, and asked where both changed the same."),
        _show,
        (),
        checked=_is_shown,
        changes=True,
    ),
)
