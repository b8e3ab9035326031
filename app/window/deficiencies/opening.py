"""Going to a deficiency: it is chosen, and its page opens."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from app.window.main import Window

__all__ = ["show_deficiency"]


def show_deficiency(window: Window, number: int) -> None:
    """Choose a deficiency by its number and show its page."""
    every = window.document.snapshot().deficiencies
    item = next((i for i, d in every.items() if d.number == number), "")
    if not item:
        return
    window.document.select(item)
    if window.page != "deficiencies":
        window.show_page("deficiencies")
    window.pages.deficiencies().show_item(item)
