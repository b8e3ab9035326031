"""Actions that change the drawing."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING

from app.actions.action import Action
from engine.words import N_, _

if TYPE_CHECKING:
    from app.window.main import Window

__all__ = ["ACTIONS"]


def _undo(window: Window) -> None:
    window.document.undo()


def _redo(window: Window) -> None:
    window.document.redo()


def _undo_words(window: Window) -> str:
    words = window.document.history.undo_words
    return _("Undo: {what}").format(what=words) if words else _("Undo")


def _redo_words(window: Window) -> str:
    words = window.document.history.redo_words
    return _("Redo: {what}").format(what=words) if words else _("Redo")


def _acts(name: str, *arguments: object) -> Callable[[Window], None]:
    def call(window: Window) -> None:
        from app.canvas.tools import acts

        getattr(acts, name)(window.board, *arguments)

    return call


def _something(window: Window) -> bool:
    return bool(window.document.selection)


def _size(window: Window) -> None:
    window.size(*window.document.selection)


def _symbols(window: Window) -> bool:
    return bool(window.board.grasped) or hasattr(window.board.tool, "turn")  # or the ghost of what is being placed


def _to_be_placed(window: Window) -> bool:
    from app.canvas.tools import acts

    return _has_sheet(window) and bool(acts.to_be_placed(window.board))


def _templates(window: Window) -> None:
    window.show_page("templates", toggle=True)


def _templates_shown(window: Window) -> bool:
    return window.page == "templates"


def _has_sheet(window: Window) -> bool:
    return bool(window.document.sheet)


ACTIONS = (
    Action(
        "undo",
        N_("Undo"),
        N_("Take back the last change."),
        _undo,
        ("Ctrl+Z",),
        lambda w: bool(w.document.history.undo_words),
        _undo_words,
        changes=True,
    ),
    Action(
        "redo",
        N_("Redo"),
        N_("Do again what was taken back."),
        _redo,
        ("Ctrl+Shift+Z", "Ctrl+Y"),
        lambda w: bool(w.document.history.redo_words),
        _redo_words,
        changes=True,
    ),
    Action(
        "cut",
        N_("Cut"),
        N_("Take what is chosen away, to be pasted."),
        _acts("cut"),
        ("Ctrl+X",),
        _something,
        at_board=True,
        changes=True,
        break_before=True,
    ),
    Action(
        "copy", N_("Copy"), N_("Copy what is chosen."), _acts("copy_selection"), ("Ctrl+C",), _something, at_board=True
    ),
    Action(
        "paste",
        N_("Paste"),
        N_("Put what was copied onto this sheet."),
        _acts("paste"),
        ("Ctrl+V",),
        _has_sheet,
        at_board=True,
        changes=True,
    ),
    Action(
        "duplicate",
        N_("Duplicate"),
        N_("Make another of what is chosen, beside it."),
        _acts("duplicate"),
        ("Ctrl+D",),
        _something,
        at_board=True,
        changes=True,
    ),
    Action(
        "delete",
        N_("Delete"),
        N_("Remove what is chosen; runs that arrive there end loose."),
        _acts("delete_selection", False),
        ("Del",),
        _something,
        at_board=True,
        changes=True,
    ),
    Action(
        "delete_with_runs",
        N_("Delete with its runs"),
        N_("Remove what is chosen and every run that arrives there."),
        _acts("delete_selection", True),
        ("Shift+Del",),
        _something,
        at_board=True,
        changes=True,
    ),
    Action(
        "select_all",
        N_("Choose everything"),
        N_("Choose all that stands on this sheet."),
        _acts("select_all"),
        ("Ctrl+A",),
        _has_sheet,
        at_board=True,
    ),
    Action(
        "turn",
        N_("Turn"),
        N_("Turn what is chosen by a quarter, clockwise."),
        _acts("turn_selection"),
        ("T",),
        _symbols,
        at_board=True,
        changes=True,
        break_before=True,
    ),
    Action(
        "mirror",
        N_("Mirror"),
        N_("Mirror what is chosen left to right."),
        _acts("mirror_selection"),
        ("Shift+T",),
        _symbols,
        at_board=True,
        changes=True,
    ),
    Action(
        "lead_anew",
        N_("Find the way again"),
        N_("Lead the chosen runs, or those of what is chosen, anew."),
        _acts("lead_anew"),
        ("L",),
        _something,
        at_board=True,
        changes=True,
    ),
    Action(
        "size_chosen",
        N_("Size what is chosen"),
        N_("Show what the chosen run or equipment needs, and fit it."),
        _size,
        ("S",),
        _something,
        at_board=True,
    ),
    Action(
        "templates",
        N_("Place a template…"),
        N_("Choose a sub-assembly, answer what it asks, and put it on the sheet in one go."),
        _templates,
        ("Shift+F4",),
        checked=_templates_shown,
        break_before=True,
        changes=True,
    ),
    Action(
        "place_chosen",
        N_("Place what is chosen on this sheet"),
        N_("Give equipment that is on no sheet a symbol here, or a bus a further one."),
        _acts("place_chosen"),
        ("Shift+E",),
        _to_be_placed,
        at_board=True,
        changes=True,
    ),
)
