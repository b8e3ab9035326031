"""The page of surveys, joined to a window."""

from __future__ import annotations

from functools import partial
from typing import TYPE_CHECKING

from app.window.surveys.page import SurveysPage

if TYPE_CHECKING:
    from app.window.main import Window

__all__ = ["surveys_page"]


def surveys_page(window: Window) -> SurveysPage:
    """The page."""
    page = SurveysPage(window.document)
    page.settles = window.pages.settle
    page.refused.connect(window.foot.refuse)
    page.noted.connect(window.foot.say)
    page.look_wanted.connect(partial(_look, window, page))
    return page


def _look(window: Window, page: SurveysPage, asked: dict[str, str]) -> None:
    """By the page of what is handed over: there is one place in which a document is looked at."""
    handover = window.pages.handover()
    for name in ("survey", "follow_up"):
        handover.values.pop(name, None)
    handover.values.update(asked)
    handover.looking.show(page.maker)
