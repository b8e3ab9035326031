"""Actions of a survey: the walk aboard, and what was measured."""

from __future__ import annotations

from typing import TYPE_CHECKING

from app.actions.action import Action
from engine.words import N_

if TYPE_CHECKING:
    from app.window.main import Window

__all__ = ["ACTIONS"]


def _walk(window: Window) -> None:
    window.show_page("walk", toggle=True)


def _walk_shown(window: Window) -> bool:
    return window.page == "walk"


def _readings(window: Window) -> None:
    window.show_page("readings", toggle=True)


def _readings_shown(window: Window) -> bool:
    return window.page == "readings"


ACTIONS = (
    Action(
        "walk",
        N_("Walk aboard"),
        N_("Everything that is drawn, place by place: seen, not seen or not accessible; each system energised or not."),
        _walk,
        ("Ctrl+F7",),
        checked=_walk_shown,
        break_before=True,
        short=N_("Walk"),
    ),
    Action(
        "readings",
        N_("Measured values"),
        N_("Type what an instrument shows at the chosen thing; what it should be is told at once."),
        _readings,
        ("Ctrl+F8",),
        checked=_readings_shown,
        short=N_("Measured"),
    ),
)
