"""Actions that put what is chosen in order on its sheet."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING

from app.actions.action import Action
from engine.words import N_

if TYPE_CHECKING:
    from app.window.main import Window

__all__ = ["ACTIONS"]


def _do(name: str, *arguments: object) -> Callable[[Window], None]:
    def call(window: Window) -> None:
        from app.canvas.tools import arranging

        getattr(arranging, name)(window.board, *arguments)

    return call


def _at_least(count: int) -> Callable[[Window], bool]:
    def may(window: Window) -> bool:
        return len(window.board.grasped) >= count

    return may


def _something(window: Window) -> bool:
    return bool(window.document.selection)


def _aligned(name: str, title: str, tip: str, side: str, key: str, first: bool = False) -> Action:
    return Action(
        f"align_{name}", title, tip, _do("align_chosen", side), (key,), _at_least(2), at_board=True, changes=True,
        break_before=first,
    )  # fmt: skip


ACTIONS = (
    _aligned(
        "left", N_("Align at the left"),
        N_("Bring the chosen symbols to one upright line, that of the leftmost."), "left", "Alt+Shift+Left", True,
    ),
    _aligned(
        "right", N_("Align at the right"),
        N_("Bring the chosen symbols to one upright line, that of the rightmost."), "right", "Alt+Shift+Right",
    ),
    _aligned(
        "top", N_("Align at the top"),
        N_("Bring the chosen symbols to one level, that of the highest."), "top", "Alt+Shift+Up",
    ),
    _aligned(
        "bottom", N_("Align at the bottom"),
        N_("Bring the chosen symbols to one level, that of the lowest."), "bottom", "Alt+Shift+Down",
    ),
    Action(
        "distribute_across",
        N_("Distribute side by side"),
        N_("Stand the chosen symbols at equal distances from left to right; the two outer stay."),
        _do("distribute_chosen", True),
        ("Ctrl+Alt+H",),
        _at_least(3),
        at_board=True,
        changes=True,
    ),
    Action(
        "distribute_down",
        N_("Distribute one below the other"),
        N_("Stand the chosen symbols at equal distances from top to bottom; the two outer stay."),
        _do("distribute_chosen", False),
        ("Ctrl+Alt+V",),
        _at_least(3),
        at_board=True,
        changes=True,
    ),
    Action(
        "straighten",
        N_("Straighten"),
        N_("Move the chosen symbols by little so that their runs become straight."),
        _do("straighten_chosen"),
        ("Shift+D",),
        _at_least(1),
        at_board=True,
        changes=True,
    ),
    Action(
        "whole_enclosure",
        N_("Choose the whole enclosure"),
        N_("Choose everything on this sheet that stands in the enclosure of what is chosen; a drag moves it together."),
        _do("choose_enclosures"),
        ("B",),
        _something,
        at_board=True,
    ),
)  # fmt: skip
