"""Actions on the drawing as a file."""

from __future__ import annotations

from typing import TYPE_CHECKING

from app.actions.action import Action
from engine.words import N_, _

if TYPE_CHECKING:
    from app.window.main import Window

__all__ = ["ACTIONS"]


def _new(window: Window) -> None:
    window.desk.new()


def _open(window: Window) -> None:
    from app.window.files import choose_and_open

    choose_and_open(window)


def _sample(window: Window) -> None:
    from app.window.files import open_sample

    open_sample(window)


def _save(window: Window) -> None:
    from app.window.files import save

    save(window)


def _save_as(window: Window) -> None:
    from app.window.files import save_as

    save_as(window)


def _print(window: Window) -> None:
    if not window.document.snapshot().equipment:
        window.foot.refuse(_("Nothing is drawn yet."))
        return
    window.middle.show_print()


def _write_pdf(window: Window) -> None:
    from app.window.printing import write_pdf

    write_pdf(window)


def _picture(window: Window) -> None:
    from app.window.comfort.sheet_picture import take_picture

    take_picture(window)


def _close(window: Window) -> None:
    window.close()


def _quit(window: Window) -> None:
    window.desk.leave()


def _may_save(window: Window) -> bool:
    return not window.document.read_only  # saved or not: what is half typed on a page is no change yet


ACTIONS = (
    Action("new", N_("New drawing"), N_("Begin an empty drawing in a window of its own."), _new, ("Ctrl+N",)),
    Action("open", N_("Open…"), N_("Open a drawing from its file."), _open, ("Ctrl+O",)),
    Action("sample", N_("Open a copy of the sample ketch"), N_("Look round in a complete drawing."), _sample),
    Action("save", N_("Save"), N_("Write the drawing to its file."), _save, ("Ctrl+S",), _may_save, break_before=True),
    Action(
        "save_as",
        N_("Save as…"),
        N_("Write the drawing to another file and go on there."),
        _save_as,
        ("Ctrl+Shift+S",),
    ),
    Action(
        "print",
        N_("Print…"),
        N_("Look at every sheet as it prints; then send it to a printer, or write it to a file."),
        _print,
        ("Ctrl+P",),
        break_before=True,
    ),
    Action(
        "write_pdf",
        N_("Write the drawing set as PDF…"),
        N_("Write every sheet, with its notes in the margin, to a PDF file."),
        _write_pdf,
    ),
    Action(
        "picture",
        N_("Picture of the sheet…"),
        N_("Copy the sheet, or what is chosen, as a picture, or write it as PNG, SVG or DXF."),
        _picture,
        ("Ctrl+Shift+I",),
    ),
    Action("close", N_("Close the window"), N_("Close this drawing."), _close, ("Ctrl+W",), break_before=True),
    Action("quit", N_("Quit"), N_("Close all drawings and leave."), _quit, ("Ctrl+Q",)),
)
