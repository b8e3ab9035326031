"""Actions about remarks on the sheet."""

from __future__ import annotations

from typing import TYPE_CHECKING

from app.actions.action import Action
from engine.words import N_

if TYPE_CHECKING:
    from app.window.main import Window

__all__ = ["ACTIONS"]


def _take(window: Window) -> None:
    window.take_tool("remark")


def _is_held(window: Window) -> bool:
    return window.board.tool.NAME == "remark"


def _has_sheet(window: Window) -> bool:
    return bool(window.document.sheet)


def _one(window: Window) -> str:
    from app.canvas.remarks import chosen_remarks

    chosen = chosen_remarks(window.board)
    return chosen[0] if len(chosen) == 1 else ""


def _edit(window: Window) -> None:
    from app.canvas.remarks import edit_remark

    edit_remark(window.board, _one(window))


def _can_edit(window: Window) -> bool:
    return bool(_one(window))


ACTIONS = (
    Action(
        "remark",
        N_("Write a remark"),
        N_("Write words of your own on the sheet."),
        _take,
        ("N",),
        _has_sheet,
        checked=_is_held,
        at_board=True,
        changes=True,
        break_before=True,
        short=N_("Remark"),
    ),
    Action(
        "edit_remark",
        N_("Write the chosen remark anew"),
        N_("Change the words of the remark that is chosen; a double click or F2 on it does the same."),
        _edit,
        (),
        _can_edit,
        changes=True,
    ),
)
