"""The page of the title block: the block itself, and its fields as they follow in it, of this sheet and of the set."""

from __future__ import annotations

from functools import partial

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QShowEvent
from PySide6.QtWidgets import QFrame, QGridLayout, QLabel, QScrollArea, QVBoxLayout, QWidget

from app.drawing.changes.sheet_set import retitle_sheet
from app.drawing.title_block import TitleFields, judged_by, title_fields
from app.window.document import Document
from app.window.particulars.scrolling import Inside, wrapping
from app.window.titling.fields import Line
from app.window.titling.picture import BlockPicture
from engine.edits import Edit, EditError, SetFields
from engine.picture import Text
from engine.words import N_, _

__all__ = ["TitlingPage"]

# key: table, field, caption, what the block calls it
_FIELDS: tuple[tuple[str, str, str, str], ...] = (
    ("sheets", "title", N_("Title of this sheet"), "title"),
    ("title_block", "title", N_("Title of the drawing"), "supplementary_title"),
    ("title_block", "supplementary_title", N_("Supplementary title"), ""),
    ("title_block", "legal_owner", N_("Legal owner"), "legal_owner"),
    ("vessel", "name", N_("Vessel"), "vessel"),
    ("vessel", "official_number", N_("Official number"), ""),
    ("vessel", "hin", N_("Hull identification"), ""),
    ("title_block", "document_type", N_("Document type"), "document_type"),
    ("title_block", "number", N_("Number"), "number"),
    ("title_block", "revision", N_("Revision"), "revision"),
    ("title_block", "creator", N_("Created by"), "created_by"),
    ("title_block", "approver", N_("Approved by"), "approved_by"),
    ("title_block", "date", N_("Date of issue, YYYY-MM-DD"), "date"),
    ("title_block", "document_status", N_("Status"), "status"),
    ("title_block", "department", N_("Responsible department"), ""),
    ("title_block", "technical_reference", N_("Technical reference"), ""),
    ("title_block", "classification", N_("Classification"), ""),
    ("title_block", "language", N_("Language code"), ""),
)
_OF_SHEET = 1  # the first so many are the sheet's own
_BLOCK = 14  # the first so many are in the block; the rest stands on the cover


class TitlingPage(QWidget):
    """Follows the sheet that is shown."""

    refused = Signal(str)
    page_wanted = Signal(str)  # a field that is written elsewhere was clicked

    def __init__(self, document: Document, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.document = document
        self.setAccessibleName(_("Title block"))
        self.lines: dict[tuple[str, str], Line] = {}
        self._wants = ("sheets", "title")
        self.picture = BlockPicture()
        self.picture.clicked.connect(self.go_to)
        self.told = wrapping(QLabel())
        inside = Inside()
        grid = QGridLayout(inside)
        grid.setContentsMargins(0, 0, 4, 0)
        grid.setVerticalSpacing(3)
        row = 0
        heads = {0: _("This sheet"), _OF_SHEET: _("Every sheet"), _BLOCK: _("On the cover")}
        for n, (table, field, caption, _shown) in enumerate(_FIELDS):
            if n in heads:
                head = wrapping(QLabel(heads[n]))
                font = head.font()
                font.setBold(True)
                head.setFont(font)
                grid.addWidget(head, row, 0)
                row += 1
            label = wrapping(QLabel(_(caption)))
            line = Line(_(caption))
            label.setBuddy(line)
            line.setObjectName(f"title_{table}_{field}")
            line.textChanged.connect(self._preview)
            line.given.connect(partial(self._given, table, field))
            self.lines[table, field] = line
            grid.addWidget(label, row, 0)
            grid.addWidget(line, row + 1, 0)
            row += 2
        grid.setRowStretch(row, 1)
        area = QScrollArea()
        area.setWidgetResizable(True)
        area.setFrameShape(QFrame.Shape.NoFrame)
        area.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        area.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        area.setAccessibleName(_("Fields of the title block"))
        area.setWidget(inside)
        self._area = area
        box = QVBoxLayout(self)
        box.setContentsMargins(8, 8, 8, 8)
        box.setSpacing(6)
        box.addWidget(self.picture)
        box.addWidget(self.told)
        box.addWidget(area, 1)
        document.changed.connect(self._follow)
        document.turned_to.connect(self._follow)
        document.judged.connect(self._follow)
        document.drawn.connect(self._preview_again)
        document.headed.connect(self._follow)
        self._follow()

    def begin(self) -> None:
        """The keyboard goes to the field that is wanted."""
        line = self.lines[self._wants]
        self._area.ensureWidgetVisible(line, 0, 40)
        line.setFocus(Qt.FocusReason.TabFocusReason)
        line.selectAll()

    def go_to(self, shown: str) -> None:
        """To the field that the block shows there; what is written elsewhere is asked for."""
        for table, field, _caption, name in _FIELDS:
            if name == shown:
                self._wants = (table, field)
                if self.isVisible():
                    self.begin()
                return
        page = {"sheet": "sheets", "book": "particulars"}.get(shown, "notes")
        self.page_wanted.emit(page)

    def settle(self) -> str:
        """What is half typed is given."""
        for line in self.lines.values():
            if line.is_typed:
                line.give()
        return ""

    def showEvent(self, event: QShowEvent) -> None:
        """Qt's own name."""
        super().showEvent(event)
        self._follow()

    # -- following the drawing ------------------------------------------------------------------------------------
    def _follow(self, _what: object = None) -> None:
        document = self.document
        for (table, field), line in self.lines.items():
            record = document.installation.get(table, document.sheet if table == "sheets" else table)
            line.setEnabled(record is not None)
            line.setReadOnly(bool(document.read_only))
            line.stand("" if record is None else getattr(record, field))
        self._preview()

    def _preview_again(self, _picture: object) -> None:
        if self.isVisible():
            self._preview()

    def _preview(self, _text: str = "") -> None:
        """The block as it would stand with what is typed."""
        cut = self.picture.show_fields(self._typed())
        told = []
        if cut:
            told.append(_("No room in the block for all of: {fields}.").format(fields=", ".join(cut)))
        day = self.lines["title_block", "date"].text().strip()
        if day:
            from engine.edits.issuing import is_date

            if not is_date(day):
                told.append(_("The date is no day written YYYY-MM-DD."))
        self.told.setText(" ".join(told))
        self.told.setVisible(bool(told))

    def _typed(self) -> TitleFields:
        document = self.document
        text = {key: " ".join(line.text().split()) for key, line in self.lines.items()}
        sheets = document.sheets()
        fields = title_fields(document.snapshot(), text["sheets", "title"])
        own = ", ".join(p for p in (text["title_block", "title"], text["title_block", "supplementary_title"]) if p)
        has_title = bool(text["sheets", "title"])
        number = text["vessel", "official_number"] or text["vessel", "hin"]
        made = fields._replace(
            legal_owner=text["title_block", "legal_owner"],
            title=text["sheets", "title"] or text["title_block", "title"],
            supplementary_title=own if has_title else text["title_block", "supplementary_title"],
            vessel=", ".join(part for part in (text["vessel", "name"], number) if part),
            document_type=text["title_block", "document_type"],
            number=text["title_block", "number"],
            revision=text["title_block", "revision"],
            created_by=text["title_block", "creator"],
            approved_by=text["title_block", "approver"],
            date=text["title_block", "date"],
            status=text["title_block", "document_status"],
            sheet=sheets.index(document.sheet) + 1 if document.sheet in sheets else 1,
            sheets=self._pages(len(sheets)),
        )
        judgement = document.judgement
        return made if judgement is None else judged_by(made, judgement.result, judgement.result.book)

    def _pages(self, sheets: int) -> int:
        """Pages of the set as the sheet itself tells them: pages of notes count too."""
        document = self.document
        picture = document.pictures.get(document.sheet)
        if picture is None or document.sheet not in document.sheets():
            return max(1, sheets)
        head = f"{document.sheets().index(document.sheet) + 1} / "
        told = (p.text for p in picture.of.get("", ()) if isinstance(p, Text) and p.text.startswith(head))
        return next((int(text[len(head) :]) for text in told if text[len(head) :].isdecimal()), max(1, sheets))

    def _given(self, table: str, field: str, text: str) -> None:
        caption = next(_(c) for t, f, c, _s in _FIELDS if (t, f) == (table, field))
        try:
            if table == "sheets":
                edit: Edit = retitle_sheet(self.document.snapshot(), self.document.sheet, text)
            else:
                words = _("Title block, {field}: {value}") if text else _("Title block, {field} taken away")
                edit = SetFields(table, table, ((field, text),), words.format(field=caption, value=text))
            self.document.do(edit)
        except EditError as fault:
            self.refused.emit(str(fault))
            self._follow()
