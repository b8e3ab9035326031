"""Actions that find things and go to them."""

from __future__ import annotations

from typing import TYPE_CHECKING

from app.actions.action import Action
from engine.words import N_

if TYPE_CHECKING:
    from app.window.main import Window

__all__ = ["ACTIONS"]


def _find(window: Window) -> None:
    window.show_page("seeking")


def _is_shown(window: Window) -> bool:
    return window.page == "seeking"


def _far_end(window: Window) -> None:
    from app.window.seeking.far_end import go_to_far_end

    go_to_far_end(window)


def _may_go(window: Window) -> bool:
    from app.window.seeking.far_end import has_far_end

    return has_far_end(window)


ACTIONS = (
    Action(
        "find",
        N_("Find…"),
        N_("Find anything by its designation, label, rating, size, place, status, part number or note."),
        _find,
        ("Ctrl+F",),
        checked=_is_shown,
        break_before=True,
        short=N_("Find"),
    ),
    Action(
        "far_end",
        N_("Go to the other end"),
        N_("Go to where the chosen run goes on, or to the next symbol of the chosen equipment; Alt+Left leads back."),
        _far_end,
        ("F",),
        _may_go,
        at_board=True,
    ),
)
