"""Actions about designations and kinds of what is drawn."""

from __future__ import annotations

from typing import TYPE_CHECKING

from app.actions.action import Action
from engine.words import N_

if TYPE_CHECKING:
    from app.window.main import Window

__all__ = ["ACTIONS"]


def _renumber(window: Window) -> None:
    window.show_page("numbering")


def _numbering(window: Window) -> bool:
    return window.page == "numbering"


def _swap(window: Window) -> None:
    window.show_page("swapping")


def _swapping(window: Window) -> bool:
    return window.page == "swapping"


def _equipment(window: Window) -> bool:
    return any(window.document.installation.get("equipment", item) is not None for item in window.document.selection)


ACTIONS = (
    Action(
        "swap",
        N_("Replace by another kind…"),
        N_("Make what is chosen another kind of equipment; its connections and the facts both kinds have are kept."),
        _swap,
        ("Ctrl+R",),
        _equipment,
        checked=_swapping,
        changes=True,
        break_before=True,
    ),
    Action(
        "renumber",
        N_("Renumber…"),
        N_("Give new designations in the order of the sheets, shown first; write the labels to change aboard."),
        _renumber,
        ("Ctrl+Shift+N",),
        checked=_numbering,
    ),
)
