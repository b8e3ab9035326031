"""Actions about remarks on the sheet."""

from __future__ import annotations

from functools import partial
from typing import TYPE_CHECKING

from app.actions.action import Action
from engine.words import N_, _

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


def _pointing(window: Window) -> tuple[str, str]:
    """The one remark that is chosen and the one other thing; "", "" where it is not so."""
    chosen, remark = window.document.selection, _one(window)
    others = [item for item in chosen if item != remark]
    document = window.document.installation
    if not remark or len(others) > 1:
        return "", ""
    if not others:
        return (remark, "") if document.get("remarks", remark).points_at else ("", "")
    known = others[0] in document.graph or document.get("runs", others[0]) is not None
    return (remark, others[0]) if known else ("", "")


def _point(window: Window) -> None:
    from app.drawing.changes.remarking import point_at

    window.try_edit(partial(point_at, window.document.snapshot(), *_pointing(window)))


def _point_words(window: Window) -> str:
    remark, target = _pointing(window)
    return _("Let the remark point at nothing") if remark and not target else _("Let the remark point at the thing")


def _can_point(window: Window) -> bool:
    return bool(_pointing(window)[0])


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
    Action(
        "point_remark",
        N_("Let the remark point at the thing"),
        N_("A remark and one thing being chosen: a thin line leads from one to the other; alone it loses its line."),
        _point,
        (),
        _can_point,
        _point_words,
        changes=True,
    ),
)
