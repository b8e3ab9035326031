"""The page of a comparison: what to compare with, what differs, and where; going to each on its sheet."""

from __future__ import annotations

import os
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING

from PySide6.QtCore import QSize, Qt
from PySide6.QtGui import QDragEnterEvent, QDropEvent, QHideEvent, QKeyEvent, QKeySequence, QShortcut, QShowEvent
from PySide6.QtWidgets import QComboBox, QFileDialog, QHBoxLayout, QLabel, QTabWidget, QVBoxLayout, QWidget

from app.drawing.redlines.entries import Entry
from app.window.comfort.dropping import files_of
from app.window.comparing.comparing import Comparing
from app.window.comparing.list import DifferenceList
from app.window.comparing.matches import MatchList
from app.window.comparing.older_view import OlderView
from app.window.comparing.over_sheet import Marks
from app.window.comparing.writing import write_comparison
from app.window.files import ENDING, same_file
from app.window.small_print import cautions_line
from app.window.switching.part import push_button, text_line
from app.window.titling.revisions import copy_path
from engine.edits.issuing import in_order
from engine.files.issues import copy_of, home
from engine.words import _, ngettext

if TYPE_CHECKING:
    from app.window.main import Window

__all__ = ["ComparingPage"]


class ComparingPage(QWidget):
    """Lists what differs between the open drawing and another; begins and ends the comparison."""

    def __init__(self, window: Window) -> None:
        super().__init__()
        self.window_of, self.document = window, window.document
        self.comparing: Comparing | None = None
        self.marks: Marks | None = None
        self.older_view: OlderView | None = None
        self.setAccessibleName(_("Compare"))
        self.setAcceptDrops(True)
        self.head = text_line(_("What is compared"))
        self.choose = push_button(_("Compare with…"), _("Choose the file of another drawing, or drop one here."))
        self.choose.clicked.connect(self.ask_file)
        self.issues = QComboBox()
        self.issues.setAccessibleName(_("Issues that are kept"))
        self.issues.setToolTip(_("Compare with the drawing as it was issued."))
        self.issues.setSizeAdjustPolicy(QComboBox.SizeAdjustPolicy.AdjustToMinimumContentsLengthWithIcon)
        self.issues.setMinimumContentsLength(8)
        self.issues.activated.connect(self._chose_issue)
        self.match = QComboBox()
        self.match.setAccessibleName(_("How things are matched"))
        self.match.setToolTip(_("By id: two states of one drawing. By likeness: two drawings of one boat."))
        for key, text in (
            ("auto", _("matched as the ids tell")),
            ("ids", _("matched by id")),
            ("likeness", _("matched by likeness")),
        ):
            self.match.addItem(text, key)
        self.match.activated.connect(self._chose_match)
        self.list = DifferenceList()
        self.list.walked.connect(self.go_to)
        self.list.itemActivated.connect(self._open)
        self.list.escaped.connect(self.escape)
        self.matches = MatchList()
        self.matches.walked.connect(self._go_to_match)
        self.matches.escaped.connect(self.escape)
        self.tabs = QTabWidget()
        self.tabs.setDocumentMode(True)
        self.tabs.addTab(self.list, _("Differences"))
        self.tabs.addTab(self.matches, _("Matches"))
        self.before = push_button(_("‹ Previous"), _("The difference before (Alt+Up)"))
        self.before.clicked.connect(partial(self._walk, -1))
        self.after = push_button(_("Next ›"), _("The next difference (Alt+Down)"))
        self.after.clicked.connect(partial(self._walk, 1))
        self.older = push_button(_("Older drawing"), _("Show the older drawing's sheet, or the newer again (Alt+O)"))
        self.older.clicked.connect(self._other_side)
        self.write = push_button(_("Write on paper…"), _("Write the marked sheets and the list: PDF, SVG, PNG or DXF"))
        self.write.clicked.connect(self._write)
        self.end = push_button(_("End"), _("End the comparison (Esc); the drawing stays as it is"))
        self.end.clicked.connect(self.finish)
        self._arrange()
        within = Qt.ShortcutContext.WidgetWithChildrenShortcut
        for keys, call in (
            ("Alt+Down", partial(self._walk, 1)),
            ("Alt+Up", partial(self._walk, -1)),
            ("Alt+O", self.older.click),
        ):
            QShortcut(QKeySequence(keys), self, call, context=within)
        window.middle.currentChanged.connect(self._looked)
        self._tell()

    def _arrange(self) -> None:
        def row(*some: QWidget) -> QHBoxLayout:
            made = QHBoxLayout()
            made.setSpacing(6)
            for widget in some:
                made.addWidget(widget)
            made.addStretch(1)
            return made

        box = QVBoxLayout(self)
        box.setContentsMargins(8, 8, 8, 8)
        box.setSpacing(6)
        box.addWidget(self.head)
        box.addLayout(row(self.choose, self.issues))
        self.working = QWidget()
        inner = QVBoxLayout(self.working)
        inner.setContentsMargins(0, 0, 0, 0)
        inner.setSpacing(6)
        inner.addLayout(row(self.match))
        inner.addWidget(self.tabs, 1)
        inner.addLayout(row(self.before, self.after, self.older))
        inner.addLayout(row(self.write, self.end))
        box.addWidget(self.working, 1)
        self.rest = QLabel()
        box.addWidget(self.rest, 1)
        box.addWidget(cautions_line())

    def minimumSizeHint(self) -> QSize:
        """It fits into a narrow side page."""
        return QSize(260, 320)

    def begin(self) -> None:
        """Take the focus: the list, else what there is to choose."""
        wanted = self.list if self.comparing is not None else self.choose
        wanted.setFocus(Qt.FocusReason.TabFocusReason)

    def wear_inks(self) -> None:
        """The sheet on the screen has other inks."""
        if self.marks is not None:
            self.marks.show()
        if self.older_view is not None:
            self.older_view.wear_inks()

    # -- beginning and ending -------------------------------------------------------------------------------------
    def ask_file(self) -> None:
        """Ask which drawing to compare with."""
        path = self.document.path
        start = path.parent if path is not None else Path.home()
        text, _kind = QFileDialog.getOpenFileName(
            self,
            _("Compare with a drawing"),
            str(start),
            _("Drawings (*{ending});;All files (*)").format(ending=ENDING),
        )
        if text:
            self.compare(Path(text))

    def compare(self, path: Path) -> None:
        """Compare the open drawing with a file, in place of what it was compared with."""
        document = self.document
        if not path.is_file():
            self.window_of.foot.refuse(_("{name} is no drawing to compare with.").format(name=path.name))
            return
        if document.path is not None and same_file(document.path, path) and not document.is_dirty:
            self.window_of.foot.say(_("That is the open drawing itself, as it is saved: nothing will differ."))
        self.finish()
        made = self.comparing = Comparing(self.window_of, document, path.absolute(), str(self.match.currentData()))
        self.marks = Marks(self.window_of.board, made)
        made.told.connect(self._told)
        made.aged.connect(self._tell)
        made.failed.connect(self._failed)
        self._tell()
        self.list.setFocus(Qt.FocusReason.OtherFocusReason)

    def finish(self) -> None:
        """No comparison any more; nothing of it stays on the sheet."""
        made, self.comparing = self.comparing, None
        if made is None:
            return
        self.window_of.middle.show_older(None)
        self.older_view = None
        made.stop()
        self.marks = None
        self.list.fill((), {})
        self.matches.fill(())
        self._tell()

    def escape(self) -> None:
        """One step back: the newer sheet, no comparison, no page."""
        if self.window_of.middle.is_older:
            self.show_older(False)
        elif self.comparing is not None:
            self.finish()
            self.begin()
        else:
            self.window_of.show_page("")

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Qt's own name."""
        if event.key() == Qt.Key.Key_Escape:
            self.escape()
        else:
            super().keyPressEvent(event)

    def showEvent(self, event: QShowEvent) -> None:
        """Qt's own name."""
        super().showEvent(event)
        self._offer_issues()
        self.window_of.banner.drop("comparing")

    def hideEvent(self, event: QHideEvent) -> None:
        """The comparison goes on: it is told above the sheet."""
        super().hideEvent(event)
        if self.comparing is not None and not self.window_of.leaving and self.window_of.page != "comparing":
            told = _("The sheets are marked with what differs from {name}.").format(name=self.comparing.name)
            show = (_("Show the list"), partial(self.window_of.show_page, "comparing"))
            self.window_of.banner.tell("comparing", told, show, (_("End"), self._end_from_banner), closable=False)

    def _end_from_banner(self) -> None:
        self.window_of.banner.drop("comparing")
        self.finish()
        self.window_of.board.setFocus(Qt.FocusReason.OtherFocusReason)

    def _failed(self, why: str) -> None:
        self.window_of.foot.refuse(why)
        self.finish()
        self.window_of.banner.drop("comparing")
        self.head.setText(why)
        if self.isVisible():
            self.begin()

    # -- issues that are kept ---------------------------------------------------------------------------------------
    def _offer_issues(self) -> None:
        found = issues_kept(self.window_of)
        self.issues.clear()
        self.issues.addItem(_("an issue that is kept…"), "")
        for text, path in found:
            self.issues.addItem(text, str(path))
        self.issues.setVisible(bool(found))

    def _chose_issue(self, index: int) -> None:
        path = self.issues.itemData(index)
        if path:
            self.compare(Path(path))

    def _chose_match(self, _index: int) -> None:
        if self.comparing is not None:
            self.comparing.set_match(str(self.match.currentData()))

    # -- dropping -------------------------------------------------------------------------------------------------
    def dragEnterEvent(self, event: QDragEnterEvent) -> None:
        """Qt's own name. A drawing may be let go over the page."""
        if any(path.suffix.lower() == ENDING for path in files_of(event.mimeData())):
            event.acceptProposedAction()

    def dropEvent(self, event: QDropEvent) -> None:
        """Qt's own name."""
        path = next((path for path in files_of(event.mimeData()) if path.suffix.lower() == ENDING), None)
        if path is not None:
            event.acceptProposedAction()
            self.compare(path)

    # -- telling --------------------------------------------------------------------------------------------------
    def _told(self) -> None:
        made = self.comparing
        if made is None or made.compared is None:
            return
        self.list.fill(made.compared.entries, made.compared.where)
        self.matches.fill(made.compared.matches)
        self.tabs.setTabVisible(1, bool(made.compared.matches))
        self._tell()

    def _tell(self) -> None:
        made = self.comparing
        self.working.setVisible(made is not None)
        self.rest.setVisible(made is None)
        self.choose.setText(_("Compare with…") if made is None else _("Compare with another…"))
        if made is None:
            self.head.setText(
                _("Compare the open drawing with another file: what is new, gone or other is listed and marked.")
            )
            return
        told = made.compared
        if told is None:
            self.head.setText(_("{name}: being compared…").format(name=made.name))
        else:
            named = f"{made.name} ({told.name})" if told.name else made.name
            count = ngettext("{n} difference from {name}.", "{n} differences from {name}.", len(told.entries))
            parts = [count.format(n=len(told.entries), name=named)]
            if not told.entries:
                parts = [_("Nothing differs from {name}.").format(name=named)]
            elif told.only_drawn:
                parts.append(_("All of them are only in how it is drawn."))
            parts.append(told.words)
            parts.extend(told.notices)
            if made.is_behind:
                parts.append(_("The drawing has changed since: it is being compared anew."))
            elif made.is_working:
                parts.append(_("Marking the sheets: {n} of {count}.").format(n=made.done, count=told.sheets))
            self.head.setText(" ".join(parts))
        some = told is not None and bool(told.entries)
        for button in (self.before, self.after, self.write):
            button.setEnabled(some)
        self.older.setEnabled(told is not None and bool(told.older))

    # -- going to things --------------------------------------------------------------------------------------------
    def _walk(self, by: int, _on: bool = False) -> None:
        (self.list if self.tabs.currentIndex() == 0 else self.matches).walk(by)

    def go_to(self, entry: Entry) -> None:
        """Show a difference on its sheet: of the older drawing where that is shown or where it alone has it."""
        window, made = self.window_of, self.comparing
        if made is None or made.compared is None:
            return
        if window.middle.is_older and self._show_in_older(entry):
            return
        here = [item for item in entry.shown_new if self.document.find(item) is not None]
        if here:
            window.board.reveal(here[0])
            self.document.select(*here)
            return
        for side, sheet in list(made.sheets):
            box = made.sheets[side, sheet].boxes.get(entry.number) if side == "newer" else None
            if box is not None and sheet in self.document.sheets():
                window.middle.show_board()
                self.document.turn_to(sheet)
                self.document.select()
                window.board.show_box(box)
                window.board.marks.flash(box)
                return
        if not (entry.how == "removed" and self._show_in_older(entry)):
            window.foot.say(_("{name} stands on no sheet.").format(name=entry.name))

    def _show_in_older(self, entry: Entry) -> bool:
        made = self.comparing
        assert made is not None
        for side, sheet in list(made.sheets):
            box = made.sheets[side, sheet].boxes.get(entry.number) if side == "older" else None
            if box is not None:
                view = self._view_of_older()
                self.window_of.middle.show_older(view)
                view.show_sheet(sheet, box)
                return True
        return False

    def _go_to_match(self, item: str) -> None:
        if self.document.find(item) is not None:
            self.window_of.board.reveal(item)
            self.document.select(item)

    def _open(self, _item: object = None) -> None:
        """Go on at the sheet; what is on no sheet is shown as a record."""
        entry = self.list.current()
        if entry is None:
            return
        if not entry.shown_new and entry.item and self.document.find(entry.item) is not None:
            self.window_of.show_record(entry.table, entry.item)
            return
        self.go_to(entry)
        self.window_of.middle.take_focus()

    # -- the older drawing -------------------------------------------------------------------------------------------
    def show_older(self, on: bool) -> None:
        """The older drawing's sheet in the place of the newer, or back."""
        window, made = self.window_of, self.comparing
        if not on or made is None or made.compared is None or not made.compared.older:
            window.middle.show_board()
            return
        entry = self.list.current()
        if entry is not None and self._show_in_older(entry):
            return
        view = self._view_of_older()
        window.middle.show_older(view)
        every = made.compared.older
        here = next((each.item for each in every if each.over == self.document.sheet), "")
        view.show_sheet(here or view.sheet or every[0].item)

    def _view_of_older(self) -> OlderView:
        assert self.comparing is not None
        if self.older_view is None:
            self.older_view = OlderView(self.comparing)
        return self.older_view

    def _other_side(self, _on: bool = False) -> None:
        self.show_older(not self.window_of.middle.is_older)

    def _looked(self, _index: int = 0) -> None:
        text = _("Newer drawing") if self.window_of.middle.is_older else _("Older drawing")
        self.older.setText(text)
        self.older.setAccessibleName(text)

    # -- on paper ---------------------------------------------------------------------------------------------------
    def _write(self) -> None:
        if self.comparing is not None:
            write_comparison(self.window_of, self.comparing)


def issues_kept(window: Window) -> list[tuple[str, Path]]:
    """Issues of the open drawing whose copies are kept beside it, newest first: what each is called, its file."""
    path = window.document.path
    if path is None:
        return []
    found = []
    for _item, record in reversed(in_order(window.document.snapshot())):
        copy = copy_of(home(path), record) or copy_path(path, record.index)
        # an index may be longer than a name on the disk: then there is no such file, which `Path` takes for a fault
        if record.issued and os.path.isfile(copy) and not same_file(copy, path):
            day = f", {record.date}" if record.date else ""
            found.append((_("revision {index}").format(index=record.index) + day, copy))
    return found
