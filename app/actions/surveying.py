"""Actions of a survey: deficiencies."""

from __future__ import annotations

from typing import TYPE_CHECKING

from app.actions.action import Action
from engine.words import N_

if TYPE_CHECKING:
    from app.window.main import Window

__all__ = ["ACTIONS"]


def _show(window: Window) -> None:
    window.show_page("deficiencies", toggle=True)


def _is_shown(window: Window) -> bool:
    return window.page == "deficiencies"


def _mark(window: Window) -> None:
    from app.window.deficiencies.entry import marking_of

    marking_of(window).open()


def _has_sheet(window: Window) -> bool:
    return bool(window.document.sheet)


def _key(window: Window) -> str:
    """The finding that is chosen: its row on the page of notes, or its note on the board."""
    judgement = window.document.judgement
    if judgement is None:
        return ""
    noted = next((key for key, n in judgement.numbers.items() if n == window.board.note), "")
    if window.page == "notes":
        return window.pages.notes().current_key() or noted
    return noted


def _from_finding(window: Window) -> None:
    from app.window.deficiencies.entry import marking_of

    marking_of(window).from_finding(_key(window))


ACTIONS = (
    Action(
        "deficiencies",
        N_("Deficiencies"),
        N_("What a surveyor noted: class, what was seen, what to do, photographs, how it stands."),
        _show,
        ("Shift+F12",),
        checked=_is_shown,
        short=N_("Deficiencies"),
    ),
    Action(
        "mark_deficiency",
        N_("Mark a deficiency"),
        N_("Type what was seen, the risk and what to do in one line, at what is chosen or where the pointer is."),
        _mark,
        ("M",),
        _has_sheet,
        at_board=True,
        changes=True,
    ),
    Action(
        "finding_deficiency",
        N_("Make the finding a deficiency"),
        N_("The chosen finding becomes a deficiency and keeps its figures, arithmetic and clause."),
        _from_finding,
        ("Ctrl+M",),
        changes=True,
    ),
)
