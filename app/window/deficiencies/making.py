"""The page of deficiencies, joined to a window."""

from __future__ import annotations

from functools import partial
from typing import TYPE_CHECKING

from app.window.deficiencies.entry import marking_of
from app.window.deficiencies.page import DeficienciesPage
from app.window.photographs.strip import PhotographStrip

if TYPE_CHECKING:
    from app.window.main import Window

__all__ = ["deficiencies_page"]


def deficiencies_page(window: Window) -> DeficienciesPage:
    """The page."""
    page = DeficienciesPage(window.document)
    page.refused.connect(window.foot.refuse)
    page.reveal.connect(partial(_reveal, window))
    page.record_wanted.connect(window.show_record)
    page.mark_wanted.connect(marking_of(window).open)
    page.pointed_at.connect(partial(_point, window))
    page.hold_photographs(PhotographStrip(window), PhotographStrip(window, evidence=True))
    return page


def _point(window: Window, number: int) -> None:
    """Its square and its note are marked where the sheet that is shown has them."""
    window.board.show_note(-number)


def _reveal(window: Window, item: str) -> None:
    """The thing in sight, its square marked."""
    record = window.document.snapshot().deficiencies.get(item)
    if record is None:
        return
    window.going.remember()
    if not window.board.reveal(record.at) and record.sheet:
        window.document.turn_to(record.sheet)
    window.document.select(item)
    if record.number is not None:
        window.board.show_note(-record.number)
