"""Actions that change what is seen, never the drawing."""

from __future__ import annotations

from typing import TYPE_CHECKING

from app.actions.action import Action
from engine.words import N_

if TYPE_CHECKING:
    from app.window.main import Window

__all__ = ["ACTIONS"]


def _fit(window: Window) -> None:
    window.middle.seen.fit()


def _fit_width(window: Window) -> None:
    window.middle.seen.fit_width()


def _true_size(window: Window) -> None:
    window.middle.seen.show_true_size()


def _nearer(window: Window) -> None:
    window.middle.seen.zoom_by(1.25)


def _farther(window: Window) -> None:
    window.middle.seen.zoom_by(0.8)


def _next_sheet(window: Window) -> None:
    if not window.middle.turn_pages(1):
        window.turn_sheets(1)


def _sheet_before(window: Window) -> None:
    if not window.middle.turn_pages(-1):
        window.turn_sheets(-1)


def _several_sheets(window: Window) -> bool:
    return window.middle.is_paper or len(window.document.sheets()) > 1


def _back(window: Window) -> None:
    window.go_back()


def _can_go_back(window: Window) -> bool:
    return window.can_go_back


def _whole_screen(window: Window) -> None:
    window.set_whole_screen(not window.isFullScreen())


def _show_flow(window: Window) -> None:
    window.show_layer("" if window.document.wanted_layer == "flow" else "flow")


def _show_faults(window: Window) -> None:
    window.show_layer("" if window.document.wanted_layer == "faults" else "faults")


def _show_state(window: Window) -> None:
    finding = window.stating.finding_at_hand()
    if finding is not None:
        window.stating.show_witness(finding.key)


def _has_state(window: Window) -> bool:
    finding = window.stating.finding_at_hand()
    return finding is not None and bool(finding.positions)


def _end_state(window: Window) -> None:
    window.document.end_state()


def _in_state(window: Window) -> bool:
    return window.document.state is not None


def _keep_state(window: Window) -> None:
    from app.window.stating import keep_state

    keep_state(window)


def _may_keep(window: Window) -> bool:
    return window.document.state is not None or window.board.operating


def _next_part(window: Window) -> None:
    window.next_part(1)


def _part_before(window: Window) -> None:
    window.next_part(-1)


ACTIONS = (
    Action("fit", N_("Whole sheet"), N_("Show the whole sheet."), _fit, ("Ctrl+0",)),
    Action("fit_width", N_("Whole width"), N_("Show the sheet as wide as the window."), _fit_width, ("Ctrl+9",)),
    Action("true_size", N_("True size"), N_("Show the sheet as large as it prints."), _true_size, ("Ctrl+1",)),
    Action("nearer", N_("Nearer"), N_("Show the sheet larger."), _nearer, ("Ctrl++", "Ctrl+=")),
    Action("farther", N_("Farther"), N_("Show the sheet smaller."), _farther, ("Ctrl+-",)),
    Action(
        "flow_layer",
        N_("Currents and drops"),
        N_("Show at every run what flows in the condition shown and what is lost on the way, or show it no more."),
        _show_flow,
        ("F9",),
        checked=lambda w: w.document.wanted_layer == "flow",
        break_before=True,
    ),
    Action(
        "fault_layer",
        N_("Fault currents"),
        N_("Show at every protective device and bus the largest and smallest fault current, or show it no more."),
        _show_faults,
        ("Shift+F9",),
        checked=lambda w: w.document.wanted_layer == "faults",
    ),
    Action(
        "show_state",
        N_("State of the note"),
        N_("Show the sheet with its switches as they stand where the note that is chosen is true."),
        _show_state,
        ("Shift+F8",),
        _has_state,
        break_before=True,
    ),
    Action(
        "end_state",
        N_("Leave the state"),
        N_("Show the condition again instead of a state that is not stored."),
        _end_state,
        when=_in_state,
    ),
    Action(
        "keep_state",
        N_("Keep this as a condition…"),
        N_("Make an operating condition of the positions and running sources that are shown."),
        _keep_state,
        when=_may_keep,
        changes=True,
    ),
    Action(
        "next_sheet",
        N_("Next sheet"),
        N_("Turn to the next sheet."),
        _next_sheet,
        ("Ctrl+PgDown",),
        _several_sheets,
        break_before=True,
    ),
    Action(
        "sheet_before",
        N_("Sheet before"),
        N_("Turn back to the sheet before."),
        _sheet_before,
        ("Ctrl+PgUp",),
        _several_sheets,
    ),
    Action(
        "back",
        N_("Back to where I was"),
        N_("Return to the place before a note or row led elsewhere."),
        _back,
        ("Alt+Left",),
        _can_go_back,
    ),
    Action(
        "next_part",
        N_("Next part of the window"),
        N_("Go on to conditions, sheet, page, foot, in turn."),
        _next_part,
        ("F6",),
        break_before=True,
    ),
    Action(
        "part_before",
        N_("Part of the window before"),
        N_("Go back among the parts of the window."),
        _part_before,
        ("Shift+F6",),
    ),
    Action(
        "whole_screen",
        N_("Whole screen"),
        N_("Give the window the whole screen, or take it back."),
        _whole_screen,
        ("F11",),
        checked=lambda w: w.isFullScreen(),
    ),
)
