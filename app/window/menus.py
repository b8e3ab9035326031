"""Menus, keys and the board's own menu, made from the actions."""

from __future__ import annotations

from functools import partial
from typing import TYPE_CHECKING

from PySide6.QtCore import QObject, QPoint, Qt
from PySide6.QtGui import QAction, QKeySequence
from PySide6.QtWidgets import QMenu

from app.actions import AREAS, Action, every
from app.canvas.tools.arranging import choose_enclosure
from app.canvas.tools.at_pointer import context_actions
from app.window.seeking.far_end import go_to_far_end
from engine.words import _

if TYPE_CHECKING:
    from app.window.main import Window

__all__ = ["Menus"]


class Menus(QObject):
    """One `QAction` an action, shared by the menu bar, the rails and the board's menu."""

    def __init__(self, window: Window) -> None:
        super().__init__(window)
        self.window = window
        self.of: dict[str, QAction] = {}
        self._data: dict[str, Action] = {action.name: action for action in every()}
        for action in every():
            self.of[action.name] = self._make(action)
        window.board.followed.connect(partial(go_to_far_end, window))
        for _key, title, actions in AREAS:
            menu = window.menuBar().addMenu(_(title))
            menu.setToolTipsVisible(True)
            menu.aboutToShow.connect(self.refresh)
            for action in actions:
                if action.break_before:
                    menu.addSeparator()
                menu.addAction(self.of[action.name])
                if action.name == "open":
                    self.recent = menu.addMenu(_("Open again"))
                    self.recent.aboutToShow.connect(self._fill_recent)

    def _make(self, action: Action) -> QAction:
        made = QAction(_(action.title), self.window)
        made.setObjectName(action.name)
        made.setToolTip(_(action.tip))
        made.setStatusTip(_(action.tip))
        made.setCheckable(action.checked is not None)
        made.setShortcuts([QKeySequence(key) for key in action.keys])
        made.triggered.connect(partial(self.call, action.name))
        if action.at_board:
            made.setShortcutContext(Qt.ShortcutContext.WidgetWithChildrenShortcut)
            self.window.board.addAction(made)
        else:
            self.window.addAction(made)
        return made

    def call(self, name: str, _checked: bool = False) -> None:
        """Do an action, if it can be done now."""
        action = self._data[name]
        if self.may(action):
            action.call(self.window)
        self.refresh()

    def may(self, action: Action) -> bool:
        """Whether an action can be done now."""
        if action.changes and self.window.document.read_only:
            return False
        return action.when(self.window)

    def refresh(self) -> None:
        """What can be done, what is on, titles that tell more."""
        if not hasattr(self.window, "pages"):
            return  # still being made
        for name, made in self.of.items():
            action = self._data[name]
            made.setEnabled(self.may(action))
            if action.words is not None:
                made.setText(action.words(self.window).replace("&", "&&"))
            if action.checked is not None:
                made.setChecked(action.checked(self.window))

    def title(self, name: str) -> str:
        """An action's title for people, without the marks of a menu."""
        return self.of[name].text().replace("&&", "\0").replace("&", "").replace("\0", "&").removesuffix("…")

    def short(self, name: str) -> str:
        """An action's word for the rails."""
        return _(self._data[name].short) or self.title(name)

    def tip(self, name: str) -> str:
        """What an action does, and its key."""
        action = self._data[name]
        keys = ", ".join(k.toString(QKeySequence.SequenceFormat.NativeText) for k in self.of[name].shortcuts())
        return f"{_(action.tip)} ({keys})" if keys else _(action.tip)

    def _fill_recent(self) -> None:
        self.recent.clear()
        paths = self.window.desk.settings.recent()
        for path in paths:
            made = self.recent.addAction(path.replace("&", "&&"))
            made.triggered.connect(partial(self.window.desk.open_path, path, self.window))
        if not paths:
            self.recent.addAction(_("No drawing was opened yet")).setEnabled(False)

    def at_board(self, point: QPoint) -> None:
        """The board's own menu."""
        board = self.window.board
        spot = board.spot(point)
        hit = board.hit(spot)
        if board.tool.context(spot, hit):
            return
        if hit.item and hit.kind != "enclosure" and hit.item not in self.window.document.selection:
            board.grasp((hit.placement,) if hit.placement else (), () if hit.placement else (hit.item,))
        if hit.kind in ("note", "flag"):
            board.show_note(hit.number)
        if hit.kind == "enclosure":
            choose_enclosure(board, hit.item)
        menu = QMenu(self.window)
        menu.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
        menu.setToolTipsVisible(True)
        self.refresh()
        apart = False
        for name in context_actions(board, hit):
            made = self.of.get(name)
            if not name:
                apart = not menu.isEmpty()
            elif made is not None and made.isEnabled():
                if apart:
                    menu.addSeparator()
                    apart = False
                menu.addAction(made)
        menu.popup(board.viewport().mapToGlobal(point))
