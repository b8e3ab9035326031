"""The action that tidies a sheet."""

from __future__ import annotations

from typing import TYPE_CHECKING

from app.actions.action import Action
from engine.words import N_, _

if TYPE_CHECKING:
    from app.window.main import Window

__all__ = ["ACTIONS"]


def _tidy(window: Window) -> None:
    from app.window.tidying import tidying_of

    tidying = tidying_of(window)
    if tidying.is_waiting:
        tidying.give_up()
    else:
        tidying.start()


def _words(window: Window) -> str:
    from app.window.tidying import Tidying

    found = window.findChild(Tidying)
    if isinstance(found, Tidying) and found.is_waiting:
        return _("Give up tidying")
    return _("Tidy what is chosen") if window.board.grasped else _("Tidy the sheet")


def _has_sheet(window: Window) -> bool:
    return bool(window.document.sheet)


ACTIONS = (
    Action(
        "tidy",
        N_("Tidy"),
        N_("Lay out what is chosen, or the whole sheet, so that it reads easily; Escape gives it up."),
        _tidy,
        ("Ctrl+T",),
        _has_sheet,
        words=_words,
        changes=True,
        break_before=True,
    ),
)
