"""Actions about the picture under the sheet."""

from __future__ import annotations

from functools import partial
from typing import TYPE_CHECKING

from app.actions.action import Action
from engine.words import N_

if TYPE_CHECKING:
    from app.window.main import Window

__all__ = ["ACTIONS"]


def _lay(window: Window) -> None:
    from app.window.underlay.choosing import ask_and_lay

    ask_and_lay(window)


def _place(window: Window) -> None:
    window.take_tool("underlay")


def _placing(window: Window) -> bool:
    return window.board.tool.NAME == "underlay"


def _away(window: Window) -> None:
    from app.drawing.changes.underlaying import take_away

    document = window.document
    window.try_edit(partial(take_away, document.snapshot(), document.sheet))


def _switch(window: Window) -> None:
    window.underlays.switch(not window.underlays.is_on)


def _is_on(window: Window) -> bool:
    return window.underlays.is_on and _has_one(window)


def _has_one(window: Window) -> bool:
    sheet = window.document.installation.get("sheets", window.document.sheet)
    return sheet is not None and sheet.underlay is not None


def _has_sheet(window: Window) -> bool:
    return bool(window.document.sheet)


ACTIONS = (
    Action(
        "lay_underlay",
        N_("Lay a picture under the sheet…"),
        N_("Choose a photograph or a PDF to trace; it lies dimmed under the sheet and is not printed unless asked."),
        _lay,
        (),
        _has_sheet,
        changes=True,
        break_before=True,
    ),
    Action(
        "underlay_shown",
        N_("Show the picture under the sheet"),
        N_("Show the picture under the sheet, or hide it."),
        _switch,
        ("U",),
        _has_one,
        checked=_is_on,
        at_board=True,
    ),
    Action(
        "place_underlay",
        N_("Place the picture under the sheet"),
        N_("Move, turn and scale the picture by two of its points, set its strength."),
        _place,
        (),
        _has_one,
        checked=_placing,
        changes=True,
    ),
    Action(
        "take_underlay",
        N_("Take the picture under the sheet away"),
        N_("Take the picture away from under the sheet; its file stays."),
        _away,
        (),
        _has_one,
        changes=True,
    ),
)
