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


def _make_dead(window: Window) -> None:
    item = next((item for item in window.document.selection if _can_be_dead(window, item)), "")
    if item:
        if window.page != "switching":
            window.show_page("switching")
        window.pages.switching().make_dead(item)
        window.pages.take_focus()


def _can_be_dead(window: Window, item: str) -> bool:
    found = window.document.find(item)
    return found is not None and found[0] in ("equipment", "runs")


def _chosen(window: Window) -> bool:
    return any(_can_be_dead(window, item) for item in window.document.selection)


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
        "switching",
        N_("Failures and switching"),
        N_("What is fed when something fails, the order in which to switch, how something is made dead."),
        _show("switching"),
        ("Shift+F5",),
        checked=_shown("switching"),
        short=N_("Switching"),
    ),
    Action(
        "make_dead",
        N_("Make it dead"),
        N_("Show what to do so that the chosen run or piece of equipment is dead from every source."),
        _make_dead,
        ("X",),
        _chosen,
        at_board=True,
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
    Action(
        "handover",
        N_("Hand over"),
        N_("What owner, yard, surveyor and crew get on paper: choose, look at it as it prints, write it."),
        _show("handover"),
        ("Ctrl+Shift+P",),
        checked=_shown("handover"),
        short=N_("Hand over"),
    ),
)
