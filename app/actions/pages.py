"""Actions that show a side page, one at a time."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from typing import TYPE_CHECKING

from app.actions.action import Action
from engine.words import N_

if TYPE_CHECKING:
    from app.window.main import Window

__all__ = ["ACTIONS"]


def _show(page: str) -> Callable[[Window], None]:
    def call(window: Window) -> None:
        window.show_page(page, toggle=True)

    return call


def _is_shown(page: str, window: Window) -> bool:
    return window.page == page


def _shown(page: str) -> Callable[[Window], bool]:
    return partial(_is_shown, page)


ACTIONS = (
    Action(
        "particulars",
        N_("Particulars"),
        N_("Every fact of what is chosen, or of the drawing."),
        _show("particulars"),
        ("F2",),
        checked=_shown("particulars"),
        short=N_("Particulars"),
    ),
    Action(
        "kinds",
        N_("Equipment to place"),
        N_("The list of equipment, to type into."),
        _show("kinds"),
        ("F4",),
        checked=_shown("kinds"),
        short=N_("Equipment"),
    ),
    Action(
        "conditions",
        N_("Conditions"),
        N_("Loads and their hours, banks, charging and a day's state of charge in each operating condition."),
        _show("conditions"),
        ("F5",),
        checked=_shown("conditions"),
        short=N_("Conditions"),
    ),
    Action(
        "sizes",
        N_("Sizes"),
        N_("What the chosen run or equipment needs, what decides, and the edit that fits it."),
        _show("sizes"),
        ("F3",),
        checked=_shown("sizes"),
        short=N_("Sizes"),
    ),
    Action(
        "notes",
        N_("Notes"),
        N_("What was found, what could not be judged, and why."),
        _show("notes"),
        ("F7",),
        checked=_shown("notes"),
        short=N_("Notes"),
    ),
    Action(
        "why",
        N_("Why nothing is said"),
        N_("What every rule says of the chosen piece: found, not judged, passed and with what margin, not applicable."),
        _show("why"),
        ("Shift+F7",),
        checked=_shown("why"),
    ),
    Action(
        "missing",
        N_("Facts to read"),
        N_("What is not recorded that rules ask for, place by place, to be filled in on the spot."),
        _show("missing"),
        ("F12",),
        checked=_shown("missing"),
        short=N_("To read"),
    ),
    Action(
        "table",
        N_("Table"),
        N_("Everything on the sheets as rows, to read, sort and fill in."),
        _show("table"),
        ("F8",),
        checked=_shown("table"),
        short=N_("Table"),
    ),
)
