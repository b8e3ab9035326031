"""Which part of the work the board shows: before, during, after, one status alone; and that nobody edits unseen."""

from __future__ import annotations

from functools import partial
from typing import TYPE_CHECKING

from PySide6.QtCore import QObject, Qt
from PySide6.QtWidgets import QMenu, QToolButton, QWidget

from app.drawing.whole.in_view import ROUND, STATUSES, seen, title_of, told_of
from app.window.document import Document
from engine.words import _, ngettext

if TYPE_CHECKING:
    from app.window.main import Window

__all__ = ["ViewButton", "Viewing", "next_view"]


def next_view(document: Document) -> None:
    """Everything, before, during, after the work, and round; from one status alone back to everything."""
    at = ROUND.index(document.view) if document.view in ROUND else -1
    document.set_view(ROUND[(at + 1) % len(ROUND)])


class ViewButton(QToolButton):
    """At the foot: what is shown, bold where that is not everything, with the list of views."""

    def __init__(self, document: Document, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.document = document
        self.setObjectName("view")
        self.setPopupMode(QToolButton.ToolButtonPopupMode.InstantPopup)
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self._menu = QMenu(self)
        self._menu.setObjectName("views")
        self._menu.aboutToShow.connect(self._fill)
        self.setMenu(self._menu)
        document.viewed.connect(self._tell)
        self._tell()

    def _tell(self) -> None:
        view = self.document.view
        self.setText(title_of(view))
        font = self.font()
        font.setBold(view != "all")
        self.setFont(font)
        self.setAccessibleName(_("Shown: {view}").format(view=title_of(view)))
        self.setToolTip(_("Shown: {view}. Before, during and after the work, or one status alone (V)").format(
            view=title_of(view)
        ))  # fmt: skip

    def _fill(self) -> None:
        self._menu.clear()
        for n, view in enumerate((*ROUND, *STATUSES)):
            if n == len(ROUND):
                self._menu.addSeparator()
            made = self._menu.addAction(title_of(view))
            made.setCheckable(True)
            made.setChecked(view == self.document.view)
            made.triggered.connect(partial(self._show, view))

    def _show(self, view: str, _checked: bool = False) -> None:
        self.document.set_view(view)


class Viewing(QObject):
    """Says above the sheet what is not shown. What is chosen is always shown: nobody changes a thing unseen."""

    def __init__(self, window: Window) -> None:
        super().__init__(window)
        self._window = window
        self._document = window.document
        self._document.viewed.connect(self._viewed)
        self._document.selected.connect(self._chosen)
        self._document.changed.connect(self._chosen)

    def _viewed(self) -> None:
        """Another view: what it hides is not chosen any more; the line above the sheet says what one looks at."""
        document, window = self._document, self._window
        hidden = self._hidden(document.selection)
        if hidden:
            document.select(*(item for item in document.selection if item not in hidden))
        self._tell()
        window.foot.say(_("Shown: {view}").format(view=title_of(document.view)))
        window.menus.refresh()

    def _tell(self) -> None:
        document, window = self._document, self._window
        told = told_of(document.view, document.snapshot())
        if told:
            everything = partial(document.set_view, "all")
            text = " ".join((*told, self._count()))
            if window.banner.told().get("view") != text:
                window.banner.tell("view", text, (_("Show everything"), everything), closable=False)
        else:
            window.banner.drop("view")

    def _count(self) -> str:
        whole = self._document.snapshot()
        shown = seen(whole, self._document.view).snapshot
        n = len(whole.equipment) + len(whole.runs) - len(shown.equipment) - len(shown.runs)
        if not n:
            return _("Nothing is hidden.")
        return ngettext("{n} thing is hidden.", "{n} things are hidden.", n).format(n=n)

    def _chosen(self, _change: object = None) -> None:
        """Where something hidden is chosen, or what is chosen is hidden by what was done to it: show everything."""
        document = self._document
        if document.view == "all":
            return
        hidden = self._hidden(document.selection)
        if hidden:
            names = ", ".join(document.snapshot().name(item) for item in hidden[:3])
            was = title_of(document.view)
            document.set_view("all")
            self._window.foot.say(
                _("Everything is shown again: {names} is not in the view “{view}”.").format(names=names, view=was)
            )
        else:
            self._tell()

    def _hidden(self, items: tuple[str, ...]) -> list[str]:
        """Equipment and runs among these that the view does not show."""
        whole = self._document.snapshot()
        shown = seen(whole, self._document.view).snapshot
        return [
            item
            for item in items
            if (item in whole.equipment and item not in shown.equipment)
            or (item in whole.runs and item not in shown.runs)
        ]
