"""Actions on the set of sheets, its title block and revisions, and on what of the work is shown."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from typing import TYPE_CHECKING

from app.actions.action import Action
from engine.words import N_

if TYPE_CHECKING:
    from app.window.main import Window

__all__ = ["ACTIONS", "VIEW_ACTIONS"]


def _has_sheet(window: Window) -> bool:
    return bool(window.document.sheet)


def _several(window: Window) -> bool:
    return _has_sheet(window) and len(window.document.sheets()) > 1


def _something(window: Window) -> bool:
    from app.canvas.remarks import chosen_remarks

    return bool(window.board.grasped or chosen_remarks(window.board)) and _has_sheet(window)


def _elsewhere(window: Window) -> bool:
    from app.canvas.tools import acts

    return _has_sheet(window) and bool(acts.elsewhere(window.board))


def _bring_here(window: Window) -> None:
    from app.canvas.tools import acts

    acts.bring_here(window.board)


def _new_sheet(window: Window) -> None:
    from app.drawing.changes import add_sheet

    document = window.document
    before = document.sheets()
    if window.try_edit(lambda: add_sheet(document.snapshot(), document.installation.last_id).edit):
        document.turn_to(next(sheet for sheet in document.sheets() if sheet not in before))


def _remove_sheet(window: Window) -> None:
    from app.drawing.changes import remove_sheet

    window.try_edit(partial(remove_sheet, window.document.snapshot(), window.document.sheet))


def _name_sheet(window: Window) -> None:
    window.show_record("sheets", window.document.sheet)


def _moves(by: int) -> Callable[[Window], None]:
    def call(window: Window) -> None:
        from app.drawing.changes.sheet_set import move_sheet

        document = window.document
        place = document.sheets().index(document.sheet) + 1 + by
        window.try_edit(lambda: move_sheet(document.snapshot(), document.sheet, place))

    return call


def _move_chosen(window: Window) -> None:
    from app.window.sheet_moving import choose_sheet

    choose_sheet(window)


def _shows(page: str) -> Callable[[Window], None]:
    def call(window: Window) -> None:
        window.show_page(page, toggle=True)

    return call


def _is_shown(page: str, window: Window) -> bool:
    return window.page == page


def _next_view(window: Window) -> None:
    from app.window.viewing import next_view

    next_view(window.document)


def _view(view: str) -> Callable[[Window], None]:
    def call(window: Window) -> None:
        window.document.set_view(view)

    return call


def _viewed(view: str, window: Window) -> bool:
    return window.document.view == view


ACTIONS = (
    Action("new_sheet", N_("New sheet"), N_("Add a sheet at the end of the set."), _new_sheet, (), changes=True),
    Action(
        "name_sheet",
        N_("Name and size of this sheet…"),
        N_("Show the particulars of the sheet."),
        _name_sheet,
        (),
        _has_sheet,
    ),
    Action(
        "sheet_earlier",
        N_("This sheet earlier in the set"),
        N_("Put this sheet before the one in front of it; sheet numbers and references follow."),
        _moves(-1),
        ("Ctrl+Shift+PgUp",),
        _several,
        changes=True,
    ),
    Action(
        "sheet_later",
        N_("This sheet later in the set"),
        N_("Put this sheet behind the one after it; sheet numbers and references follow."),
        _moves(1),
        ("Ctrl+Shift+PgDown",),
        _several,
        changes=True,
    ),
    Action(
        "remove_sheet",
        N_("Remove this sheet"),
        N_("Take this sheet away; what stands on it stays in the drawing, on no sheet."),
        _remove_sheet,
        (),
        _has_sheet,
        changes=True,
    ),
    Action(
        "move_to_sheet",
        N_("Move what is chosen to sheet…"),
        N_("Put what is chosen onto another sheet, or a new one; runs to what stays end in references."),
        _move_chosen,
        (),
        _something,
        changes=True,
        break_before=True,
    ),
    Action(
        "bring_here",
        N_("Bring what is chosen to this sheet"),
        N_("Put what is chosen on another sheet onto this one; its runs follow."),
        _bring_here,
        (),
        _elsewhere,
        changes=True,
    ),
    Action(
        "sheet_list",
        N_("List of sheets"),
        N_("Every sheet with its title, size, what stands on it and what was found there."),
        _shows("sheets"),
        ("Ctrl+Shift+L",),
        checked=partial(_is_shown, "sheets"),
        break_before=True,
    ),
    Action(
        "title_block",
        N_("Title block"),
        N_("Write the title block where it stands: owner, titles, numbers, names, dates."),
        _shows("titling"),
        ("Ctrl+B",),
        checked=partial(_is_shown, "titling"),
    ),
    Action(
        "revisions",
        N_("Revisions"),
        N_("The issues of this drawing: begin a new revision, issue it, see what has changed since the last."),
        _shows("revisions"),
        ("Ctrl+Shift+R",),
        checked=partial(_is_shown, "revisions"),
    ),
)

_TITLES = (
    ("all", N_("Show everything"), N_("Show everything, whatever its status.")),
    ("before", N_("Show it before the work"), N_("Leave out what is new or spare.")),
    ("during", N_("Show it during the work"), N_("Show what is new beside what is to be removed.")),
    ("after", N_("Show it after the work"), N_("Leave out what is to be removed.")),
    ("existing", N_("Show only what exists"), N_("Show what exists, and what its runs end at.")),
    ("new", N_("Show only what is new"), N_("Show what is new, and what its runs end at.")),
    ("to remove", N_("Show only what is to be removed"), N_("Show what is to be removed, and what its runs end at.")),
    ("by others", N_("Show only what is by others"), N_("Show what is by others, and what its runs end at.")),
    ("spare", N_("Show only what is spare"), N_("Show what is spare, and what its runs end at.")),
)

VIEW_ACTIONS = (
    Action(
        "next_view",
        N_("Next view of the work"),
        N_("Go round: everything, before, during, after the work."),
        _next_view,
        ("V",),
        at_board=True,
        break_before=True,
    ),
    *(
        Action(
            "view_" + view.replace(" ", "_"),
            title,
            tip,
            _view(view),
            checked=partial(_viewed, view),
        )
        for view, title, tip in _TITLES
    ),
)
