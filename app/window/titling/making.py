"""The pages of sheets, title block and revisions, joined to a window."""

from __future__ import annotations

from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING

from PySide6.QtWidgets import QFileDialog

from app.window.sheets_page import SheetsPage
from app.window.titling.page import TitlingPage
from app.window.titling.revisions import RevisionsPage
from engine.words import _

if TYPE_CHECKING:
    from app.window.main import Window

__all__ = ["join", "revisions_page", "sheets_page", "titling_page"]


def join(window: Window) -> None:
    """What a window needs from the first: the view, a double click on the title block, the menu of the tabs."""
    from app.window.resizing import Resizing
    from app.window.titling.opening import BlockOpening
    from app.window.viewing import Viewing

    Viewing(window)
    BlockOpening(window)
    Resizing(window)
    window.foot.tabs.wanted.connect(window.menus.call)


def titling_page(window: Window) -> TitlingPage:
    """The page of the title block."""
    page = TitlingPage(window.document)
    page.refused.connect(window.foot.refuse)
    page.page_wanted.connect(window.show_page)
    return page


def revisions_page(window: Window) -> RevisionsPage:
    """The page of revisions."""
    page = RevisionsPage(window.document)
    page.refused.connect(window.foot.refuse)
    page.said.connect(window.foot.say)
    page.file_wanted.connect(partial(_name_file, window, page))
    page.open_wanted.connect(lambda path: window.desk.open_path(path, window))
    page.compare_wanted.connect(partial(_compare, window))
    return page


def _compare(window: Window, path: Path) -> None:
    from app.window.comparing.page import ComparingPage

    window.show_page("comparing")
    page = window.pages.currentWidget()
    if isinstance(page, ComparingPage):
        page.compare(path)


def sheets_page(window: Window) -> SheetsPage:
    """The list of sheets."""
    page = SheetsPage(window.document)
    page.wanted.connect(partial(_wanted, window))
    return page


def _wanted(window: Window, name: str) -> None:
    if name == "systems":
        window.document.select()
        window.show_page("particulars")
        window.pages.particulars().show_record("settings", "settings")
        window.pages.take_focus()
    else:
        window.menus.call(name)


def _name_file(window: Window, page: RevisionsPage) -> None:
    """Ask which file holds the drawing as it was last issued."""
    folder = window.document.folder or Path.home()
    title = _("The drawing as it was last issued")
    text, _kind = QFileDialog.getOpenFileName(window, title, str(folder), _("Drawings (*.linewright)"))
    if text:
        page.write_changes(Path(text))
