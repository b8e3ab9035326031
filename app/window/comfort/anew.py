"""The windows made to look, speak or judge otherwise while they are open."""

from __future__ import annotations

import logging
from typing import TYPE_CHECKING, Any

from PySide6.QtWidgets import QApplication

from app.window.comfort import looks

if TYPE_CHECKING:
    from app.window.main import Window
    from app.window.start import Desk

__all__ = ["judge_anew", "speak_anew", "wear_look"]

log = logging.getLogger(__name__)


def wear_look(desk: Desk) -> None:
    """Every window as the settings say now."""
    application = QApplication.instance()
    assert isinstance(application, QApplication)
    if looks.wear(application, desk.settings):
        for window in desk.windows:
            window.board.wear_inks()
            window.legend.wear_inks()
            window.pages.wear_inks()


def judge_anew(desk: Desk) -> None:
    """A folder of own rules or symbols is another: every drawing is judged and drawn again."""
    for window in desk.windows:
        window.document.judge_anew()


def speak_anew(desk: Desk, first: Window) -> None:
    """Speak the language that was chosen: every window is made again on its drawing; nothing of the drawing changes.

    `first`: the window one works in; it comes last, before the others.
    """
    from app import words

    before = words.speaks()
    words.load(desk.settings.get("language"))
    if words.speaks() == before:
        return
    for window in [*(w for w in desk.windows if w is not first), first]:
        _made_again(desk, window)


def _made_again(desk: Desk, window: Window) -> None:
    window.pages.settle()
    kept: dict[str, Any] = {
        "place": window.saveGeometry(),
        "page": window.page,
        "view": window.board.view_now(),
    }
    old = window.document
    document = old.handed_on()
    window.leaving = True
    made = desk.show(document)
    made.restoreGeometry(kept["place"])
    if kept["page"]:
        made.show_page(kept["page"])
    made.board.show_view(kept["view"])
    window.close()
    made.raise_()
    made.activateWindow()
