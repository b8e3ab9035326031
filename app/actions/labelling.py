"""Actions about labels on the sheet."""

from __future__ import annotations

from typing import TYPE_CHECKING

from app.actions.action import Action
from engine.words import N_

if TYPE_CHECKING:
    from app.window.main import Window

__all__ = ["ACTIONS"]


def _move(window: Window) -> None:
    from app.canvas.tools.labelling import take_label

    take_label(window.board)


def _may_move(window: Window) -> bool:
    from app.canvas.tools.labelling import has_label

    return has_label(window.board)


def _back(window: Window) -> None:
    from app.canvas.tools.labelling import back

    back(window.board)


def _may_go_back(window: Window) -> bool:
    from app.canvas.tools.labelling import may_go_back

    return may_go_back(window.board)


ACTIONS = (
    Action(
        "move_label",
        N_("Move its label"),
        N_("Take the label of what is chosen in hand: arrow keys or the pointer bring it to its place."),
        _move,
        ("Ctrl+L",),
        _may_move,
        at_board=True,
        changes=True,
        break_before=True,
    ),
    Action(
        "label_back",
        N_("Label back to its own place"),
        N_("Let labels of what is chosen that were put by hand find their own places again."),
        _back,
        ("Shift+L",),
        _may_go_back,
        at_board=True,
        changes=True,
    ),
)
