"""A comparison written on paper by the command line in a process of its own: what is seen, as files."""

from __future__ import annotations

from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING

from PySide6.QtWidgets import QFileDialog

from app.window.files import may_write_over
from app.window.handover.making import Making
from engine.files.errors import reason
from engine.words import _

if TYPE_CHECKING:
    from app.window.comparing.comparing import Comparing
    from app.window.main import Window

__all__ = ["write_comparison"]

ENDINGS = (".pdf", ".svg", ".png", ".dxf")
_FORMS = "PDF (*.pdf);;SVG (*.svg);;PNG (*.png);;DXF (*.dxf)"


def write_comparison(window: Window, comparing: Comparing) -> None:
    """Ask where, then write the list of changes and the marked sheets."""
    window.pages.settle()
    document = window.document
    stem = document.path.stem if document.path is not None else _("drawing")
    folder = document.path.parent if document.path is not None else comparing.older.parent
    name = _("{name} compared").format(name=stem) + ENDINGS[0]
    text, kind = QFileDialog.getSaveFileName(window, _("Write the marked sheets"), str(folder / name), _FORMS)
    if not text:
        return
    path = Path(text)
    if path.suffix.lower() not in ENDINGS:  # never over a drawing, whatever was typed
        ending = next((each for each in ENDINGS if f"*{each})" in kind), ENDINGS[0])
        path = path.with_name(path.name + ending)
        if path.exists() and not may_write_over(window, path):
            return
    making = Making(window, document)
    making.made.connect(partial(_made, window, making, path))
    making.failed.connect(partial(_failed, window, making, path))
    window.foot.say(_("Writing {name} ...").format(name=path.name))
    making.start(("compare", str(comparing.older)), path.name, _options(comparing))


def _options(comparing: Comparing) -> tuple[str, ...]:
    return () if comparing.match == "auto" else ("--match", comparing.match)


def _made(window: Window, making: Making, path: Path, told: list[str]) -> None:
    try:
        written = making.write_beside(path)
    except OSError as fault:
        window.foot.refuse(_("{name} is not written: {why}").format(name=path.name, why=reason(fault)))
    else:
        sentences = [_("Written: {path}").format(path=written[0] if written else path), *told]
        window.foot.say(" ".join(sentences))
    making.put_away()


def _failed(window: Window, making: Making, path: Path, why: str) -> None:
    window.foot.refuse(_("{name} is not written: {why}").format(name=path.name, why=why))
    making.put_away()
