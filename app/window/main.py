"""The window of one drawing: the sheet fills it, conditions along the top, one side page at a time, the foot below."""

from __future__ import annotations

import base64
import contextlib
from collections.abc import Callable
from functools import partial
from typing import TYPE_CHECKING

from PySide6.QtCore import QByteArray, QEvent, QObject, Qt, QTimer
from PySide6.QtGui import QCloseEvent, QDragEnterEvent, QDropEvent, QKeyEvent, QKeySequence
from PySide6.QtWidgets import QHBoxLayout, QMainWindow, QSplitter, QVBoxLayout, QWidget

from app.canvas.board import Board
from app.judgement import LAYERS, Judgement
from app.paper.escape import visible
from app.window import taking
from app.window.banner import Banner
from app.window.beside.faulted import tell_faulted
from app.window.comfort import dropping
from app.window.comfort.looks import LEAST_POINTS
from app.window.conditions import ConditionsBar
from app.window.document import Change, Document
from app.window.foot import Foot
from app.window.going import Going
from app.window.handover.middle import Middle
from app.window.help.warming import Warming
from app.window.legend import SourcesLegend
from app.window.menus import Menus
from app.window.overlay import Overlay
from app.window.pages import Pages
from app.window.photographs.keeping import tell_missing
from app.window.rail import Rail
from app.window.recovering import tell_fault_of_journal
from app.window.stating import Stating
from app.window.titling.making import join as sheets_joined
from app.window.underlay.laying import Underlays
from app.window.underlay.strip import Strip
from engine.edits import Edit, EditError
from engine.words import _

if TYPE_CHECKING:
    from app.drawing.changes import Made
    from app.window.start import Desk

__all__ = ["Window"]

UNSEEN_MS = 1000
TOOLS = ("choose", "place", "run", "operate", "pan")
PAGES = ("particulars", "kinds", "conditions", "switching", "sizes", "notes", "missing", "table", "rules", "handover")
WIDE = {
    "table": 640,
    "conditions": 620,
    "missing": 440,
    "rules": 500,
    "switching": 520,
    "handover": 380,
    "sheets": 560,
    "titling": 480,
    "revisions": 420,
    "deficiencies": 460,
    "surveys": 460,
    "comparing": 420,
    "merging": 420,
}  # px; else 360


class Window(QMainWindow):
    """A drawing open before a person."""

    def __init__(self, desk: Desk, document: Document) -> None:
        super().__init__()
        self.desk = desk
        self.document = document
        document.setParent(self)
        self.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
        self.setObjectName("window")
        self.leaving = False  # the question about unsaved changes has been answered, or is not to be asked
        self.is_replaced = False  # recovered work of its file is open in another window; this one closes
        self._then: Callable[[], None] | None = None
        self.board = Board(document, self)
        self.board.setObjectName("board")
        self.menus = Menus(self)
        self.conditions = ConditionsBar(document, self)
        self.banner = Banner(self)
        self.legend = SourcesLegend(self.board, self)
        self.foot = Foot(document, self)
        self.warming = Warming(self)
        self.pages = Pages(self)
        self.tool_rail = Rail(self.menus, TOOLS, _("Tools"), self)
        self.page_rail = Rail(self.menus, PAGES, _("Pages"), self)
        self.stating = Stating(self)
        self.going = Going(self)
        self.overlay = Overlay(self)
        self.underlays = Underlays(self)
        self._lay_out()
        self._connect()
        sheets_joined(self)
        self._head()
        self.resize(1360, 860)
        self._restore()
        self.setAcceptDrops(True)
        self.board.setAcceptDrops(False)  # it has no use for files; what it took would never come to the window
        QTimer.singleShot(0, self, partial(tell_missing, self))

    # -- making -------------------------------------------------------------------------------------------------
    def _lay_out(self) -> None:
        self.split = QSplitter(Qt.Orientation.Horizontal)
        self.split.setChildrenCollapsible(False)
        self.middle = Middle(self.board)
        self.split.addWidget(self.middle)
        self.split.addWidget(self.pages)
        self.split.setStretchFactor(0, 1)
        self.split.setStretchFactor(1, 0)
        self.split.splitterMoved.connect(self._split_moved)
        middle = QHBoxLayout()
        middle.setContentsMargins(0, 0, 0, 0)
        middle.setSpacing(0)
        middle.addWidget(self.tool_rail)
        middle.addWidget(self.split, 1)
        middle.addWidget(self.page_rail)
        whole = QVBoxLayout()
        whole.setContentsMargins(0, 0, 0, 0)
        whole.setSpacing(0)
        whole.addWidget(self.conditions)
        whole.addWidget(self.banner)
        whole.addWidget(self.legend)
        whole.addWidget(Strip(self, self.underlays))
        whole.addLayout(middle, 1)
        whole.addWidget(self.foot)
        body = QWidget()
        body.setLayout(whole)
        self.setCentralWidget(body)

    def _connect(self) -> None:
        document, board = self.document, self.board
        document.headed.connect(self._head)
        document.changed.connect(self._changed)
        document.turned_to.connect(self.menus.refresh)
        document.judged.connect(self._judged)
        document.figured.connect(self.overlay.figured)
        document.selected.connect(self.menus.refresh)
        board.pointed.connect(self.foot.say)
        board.refused.connect(self.foot.refuse)
        board.tool_changed.connect(partial(taking.tell_tool, self))
        board.asked.connect(self._asked)
        board.noted.connect(self.going.noted)
        self.conditions.refused.connect(self.foot.refuse)
        self.conditions.wanted.connect(self.show_record)
        self.foot.notes_wanted.connect(partial(self.show_page, "notes"))
        self.board.setContextMenuPolicy(Qt.ContextMenuPolicy.CustomContextMenu)
        self.board.customContextMenuRequested.connect(self.menus.at_board)

    def _head(self) -> None:
        document = self.document
        # Qt takes a star in brackets for the mark of what is unsaved; twice it is what it says
        name = visible(document.name).replace("[*]", "[*][*]") or _("Drawing without a name")
        mark = _("{name} (read only)") if document.read_only else "{name}[*]"
        self.setWindowTitle(f"{mark.format(name=name)} – Linewright")
        self.setWindowModified(document.is_dirty and not document.read_only)
        if document.path is not None:
            self.setWindowFilePath(str(document.path))
        self.menus.refresh()

    def _changed(self, change: Change) -> None:
        tell_fault_of_journal(self)
        if change.how == "undo":
            self.foot.say(_("Taken back: {what}").format(what=change.words))
        elif change.how == "redo":
            self.foot.say(_("Done again: {what}").format(what=change.words))
        elif change.words:
            self.foot.say(change.words)

    # -- tools and pages ----------------------------------------------------------------------------------------
    @property
    def page(self) -> str:
        """The side page shown, "" none."""
        return self.pages.shown

    def show_page(self, page: str, *, toggle: bool = False) -> None:
        """Show a side page; `toggle`: hide it where it is shown already; from the sheet one comes to it first."""
        if toggle and self.pages.shown == page and not self.board.hasFocus():
            page = ""
        self.pages.show_page(page)
        if page != "handover":
            self.middle.show_board()
        if page:
            self.desk.settings.set("page", page)
            self.pages.take_focus()
        else:
            self.board.setFocus()
        self._split_to_page()
        self.menus.refresh()

    def _split_to_page(self) -> None:
        page = self.pages.shown
        if not page:
            return
        widths = self.desk.settings.get("page_widths")
        wide = widths.get(page)
        if not isinstance(wide, int) or not 200 <= wide <= 3000:
            wide = round(WIDE.get(page, 360) * max(self.font().pointSizeF() / LEAST_POINTS, 1.0))
        whole = max(self.split.width(), 600)
        wide = min(wide, whole * 2 // 3)
        self.split.setSizes([whole - wide, wide])

    def _split_moved(self, _position: int, _index: int) -> None:
        if self.pages.shown:
            widths = dict(self.desk.settings.get("page_widths"))
            widths[self.pages.shown] = self.pages.width()
            self.desk.settings.set("page_widths", widths)

    def show_record(self, table: str, item: str) -> None:
        """The particulars of any record, the keyboard in the first of them."""
        if self.page != "particulars":
            self.show_page("particulars")
        self.pages.particulars().show_record(table, item)
        self.pages.take_focus()

    def _asked(self, item: str) -> None:
        self.document.select(item)
        if self.page != "particulars":
            self.show_page("particulars")
        self.pages.particulars().setFocus()

    # -- tools: taking.py -----------------------------------------------------------------------------------------
    def take_tool(self, name: str) -> None:
        """Take up a tool; to place equipment, first choose which."""
        taking.take_tool(self, name)

    def place_kind(self, kind: str) -> None:
        """Go on to placing a kind of equipment."""
        taking.place_kind(self, kind)

    def set_template(self, making: Callable[[int, int], Made]) -> None:
        """Go on to clicking where a template is to stand."""
        taking.set_template(self, making)

    def show_template(self, made: Made) -> None:
        """What was placed, chosen on its sheet."""
        taking.show_template(self, made)

    def tell_tool(self) -> None:
        """What the tool in hand does, at the foot."""
        taking.tell_tool(self, self.board.tool.NAME)

    # -- going to a place: going.py -------------------------------------------------------------------------------
    def show_field(self, item: str, field: str) -> None:
        """The particulars of something, at one field."""
        self.going.show_field(item, field)

    def show_finding(self, key: str) -> None:
        """Go to what a finding, or what could not be judged, speaks of."""
        self.going.show_finding(key)

    def reveal(self, item: str) -> None:
        """Show a thing on its sheet."""
        self.going.reveal(item)

    def size(self, *items: str) -> None:
        """Show what things need and why."""
        self.going.size(*items)

    @property
    def can_go_back(self) -> bool:
        """Whether there is a place to go back to."""
        return bool(self.going.been)

    def go_back(self) -> None:
        """To where one was before a note or row led elsewhere."""
        self.going.back()

    def show_layer(self, what: str) -> None:
        """Lay figures over the sheet, "" none; remembered."""
        self.overlay.show(what)

    def _judged(self, judgement: Judgement) -> None:
        self.banner.drop("judge")  # what was behind is not any more
        tell_faulted(self, tuple(dict.fromkeys(judgement.result.stopped)))
        self.warming.begin()

    def judge_failed(self, why: str) -> None:
        """The study process stopped."""
        self.banner.tell("judge", why)

    # -- doing ------------------------------------------------------------------------------------------------------
    def try_edit(self, edit: Edit | Callable[[], Edit]) -> bool:
        """Do an edit; what cannot be done is told at the foot."""
        try:
            self.document.do(edit() if callable(edit) else edit)
        except EditError as fault:
            self.foot.refuse(str(fault))
            return False
        return True

    def turn_sheets(self, by: int) -> None:
        """So many sheets on, round the end."""
        sheets = self.document.sheets()
        if sheets:
            at = sheets.index(self.document.sheet) if self.document.sheet in sheets else 0
            self.document.turn_to(sheets[(at + by) % len(sheets)])

    def next_part(self, by: int) -> None:
        """Give the focus to the next part of the window."""
        parts = [self.conditions, self.tool_rail, self.middle, *((self.pages,) if self.page else ()), self.foot]
        now = next((n for n, part in enumerate(parts) if part.isAncestorOf(self.focusWidget()) or part.hasFocus()), 1)
        part = parts[(now + by) % len(parts)]
        part.take_focus()

    def set_whole_screen(self, whole: bool) -> None:
        """The window on the whole screen, or not."""
        if whole:
            self.showFullScreen()
        else:
            self.showNormal()
        self.menus.refresh()

    # -- opening and closing ------------------------------------------------------------------------------------------
    def _restore(self) -> None:
        text = self.desk.settings.get("window")
        with contextlib.suppress(ValueError):  # settings that a person has edited
            self.restoreGeometry(QByteArray(base64.b64decode(text)))
        layer = self.desk.settings.get("layer")
        if layer in LAYERS:
            self.document.want_layer(layer)

    def after_first_paint(self, then: Callable[[], None]) -> None:
        """Call `then` once the sheet stands on the screen, or after a second where nobody looks at it."""
        self._then = then
        self.board.viewport().installEventFilter(self)
        QTimer.singleShot(UNSEEN_MS, self, self._painted)

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        """Qt's own name. Waits for the first paint."""
        if event.type() == QEvent.Type.Paint and self._then is not None:
            watched.removeEventFilter(self)
            QTimer.singleShot(0, self, self._painted)
        return super().eventFilter(watched, event)

    def _painted(self) -> None:
        then, self._then = self._then, None
        if then is not None:
            then()

    def dragEnterEvent(self, event: QDragEnterEvent) -> None:
        """Qt's own name. Files may be let go over the window."""
        if dropping.files_of(event.mimeData()):
            event.acceptProposedAction()

    def dropEvent(self, event: QDropEvent) -> None:
        """Qt's own name. Taken when the other program has its pointer back."""
        event.acceptProposedAction()
        files, at = dropping.files_of(event.mimeData()), event.position().toPoint()
        QTimer.singleShot(0, self, partial(dropping.take_files, self, files, at))

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Qt's own name. Escape that nobody had a use for leaves a state that is shown."""
        if event.key() == Qt.Key.Key_Escape and self.document.state is not None:
            self.document.end_state()
        else:
            super().keyPressEvent(event)

    def closeEvent(self, event: QCloseEvent) -> None:
        """Qt's own name. Unsaved work is asked about; what is put away is put away in stages."""
        from app.window.files import may_close

        if not self.leaving and not may_close(self):
            event.ignore()
            return
        self.leaving = True
        self.desk.settings.set("window", bytes(self.saveGeometry().toBase64().data()).decode())
        self.desk.put_away(self)
        super().closeEvent(event)

    def keys_of(self, name: str) -> str:
        """The first key of an action as the person's system writes it."""
        action = self.menus.of.get(name)
        return "" if action is None else action.shortcut().toString(QKeySequence.SequenceFormat.NativeText)
