"""Actions of tracing aboard."""

from __future__ import annotations

from typing import TYPE_CHECKING

from app.actions.action import Action
from engine.words import N_

if TYPE_CHECKING:
    from app.window.main import Window

__all__ = ["ACTIONS"]


def _show(window: Window) -> None:
    window.show_page("tracing", toggle=True)


def _is_shown(window: Window) -> bool:
    return window.page == "tracing"


def _put(window: Window) -> None:
    from app.window.tidying import tidying_of

    tidying_of(window).put_on_sheets()


ACTIONS = (
    Action(
        "tracing",
        N_("Trace runs"),
        N_("Runs as a list, from what to what, seen at which end; which ends are still to be traced."),
        _show,
        ("Ctrl+F12",),
        checked=_is_shown,
        short=N_("Tracing"),
        break_before=True,
    ),
    Action(
        "put_on_sheets",
        N_("Put what is on no sheet onto sheets"),
        N_("Equipment and runs that are only recorded are drawn on sheets of their own; what is drawn stays."),
        _put,
        (),
        changes=True,
    ),
)
