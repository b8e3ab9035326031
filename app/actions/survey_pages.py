"""Actions of the page of surveys."""

from __future__ import annotations

from typing import TYPE_CHECKING

from app.actions.action import Action
from engine.words import N_

if TYPE_CHECKING:
    from app.window.main import Window

__all__ = ["ACTIONS"]


def _show(window: Window) -> None:
    window.show_page("surveys", toggle=True)


def _is_shown(window: Window) -> bool:
    return window.page == "surveys"


ACTIONS = (
    Action(
        "surveys",
        N_("Survey and its report"),
        N_("Begin a survey or a follow-up, fill in its particulars, look at its report and write it."),
        _show,
        ("Ctrl+F5",),
        checked=_is_shown,
        short=N_("Survey"),
    ),
)
