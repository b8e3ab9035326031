"""The page of tracing, joined to a window."""

from __future__ import annotations

from typing import TYPE_CHECKING

from app.window.tidying import tidying_of
from app.window.tracing.page import TracingPage

if TYPE_CHECKING:
    from app.window.main import Window

__all__ = ["tracing_page"]


def tracing_page(window: Window) -> TracingPage:
    """The page."""
    page = TracingPage(window.document)
    page.refused.connect(window.foot.refuse)
    page.noted.connect(window.foot.say)
    page.reveal.connect(window.reveal)
    page.sheets_wanted.connect(lambda: tidying_of(window).put_on_sheets())
    return page
