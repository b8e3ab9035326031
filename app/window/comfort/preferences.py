"""The page of preferences: what the program remembers about how a person likes to work. All takes effect at once."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from pathlib import Path
from typing import TYPE_CHECKING, Any

from PySide6.QtCore import QSize, Qt
from PySide6.QtGui import QWheelEvent
from PySide6.QtWidgets import (
    QCheckBox,
    QComboBox,
    QFileDialog,
    QFrame,
    QHBoxLayout,
    QLabel,
    QLineEdit,
    QPushButton,
    QScrollArea,
    QSizePolicy,
    QSlider,
    QVBoxLayout,
    QWidget,
)

from app import own_symbols, words
from app.window.comfort.looks import LOOKS
from engine.books import BookError, book_names, load
from engine.installation.records import Settings as DrawingSettings
from engine.record import ORIGINS, field_specs
from engine.words import _

if TYPE_CHECKING:
    from app.window.main import Window

__all__ = ["Preferences"]

STEP_PERCENT = 5


class Preferences(QWidget):
    """Headings with fields below. Every field stores and applies what is chosen the moment it is."""

    def __init__(self, window: Window) -> None:
        super().__init__()
        self.setObjectName("preferences")
        self.setAccessibleName(_("Preferences"))
        self.window_of = window
        self.settings = window.desk.settings
        self.fields: dict[str, QWidget] = {}  # by the name of the setting
        body = QWidget()
        self._box = QVBoxLayout(body)
        self._box.setContentsMargins(10, 8, 10, 10)
        self._box.setSpacing(4)
        self._language()
        self._looks()
        self._folders()
        self._drawings()
        self._box.addStretch(1)
        self.sight = QScrollArea()
        self.sight.setWidgetResizable(True)
        self.sight.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.sight.setFrameShape(QFrame.Shape.NoFrame)
        self.sight.setWidget(body)
        whole = QVBoxLayout(self)
        whole.setContentsMargins(0, 0, 0, 0)
        whole.addWidget(self.sight)

    def minimumSizeHint(self) -> QSize:
        """It fits into a narrow side page."""
        return QSize(260, 200)

    def begin(self) -> None:
        """Take the focus."""
        self.fields["language"].setFocus(Qt.FocusReason.TabFocusReason)

    def settle(self) -> str:
        """A folder half typed is taken, where there is one."""
        for name in ("rules_folder", "symbols_folder"):
            self._take_folder(name)
        return ""

    # -- groups ---------------------------------------------------------------------------------------------------
    def _language(self) -> None:
        self._heading(_("Language"))
        spoken = words.languages()
        offers = [("", _("as the system")), *spoken.items()]
        field = self._choice("language", _("Language of the window, of reports and of paper"), offers, self._speak)
        self._tell(field, _("The decimal sign goes with the language."))

    def _looks(self) -> None:
        self._heading(_("Looks"))
        self._choice("look", _("Colours of the window"), [(key, _(word)) for key, word in LOOKS.items()], self._wear)
        field = self._choice(
            "sheet_in",
            _("The sheet on the screen"),
            [("paper", _("white, as paper")), ("look", _("in the colours of the window"))],
            self._wear,
        )
        self._tell(field, _("What is printed is always dark on white."))
        self._size()
        still = self._check("reduced_motion", _("Reduced motion"), self._wear)
        self._tell(still, _("Nothing blinks, fades or rolls out."))

    def _folders(self) -> None:
        self._heading(_("Your own rules and symbols"))
        told = _("Rules written in Python; they are run. Choose only a folder you trust.")
        self._folder("rules_folder", _("Folder of own rules"), told)
        self._folder("symbols_folder", _("Folder of own symbols"), _("Drawings of symbols; nothing in them is run."))

    def _drawings(self) -> None:
        self._heading(_("New drawings"))
        usual = ("", _("as the program proposes"))
        books = [usual]
        for name in book_names():
            try:
                books.append((name, load(name).title))
            except BookError:
                continue
        books_field = self._choice("new_book", _("Rule book"), books)
        field = books_field
        for name, of, text in (
            ("new_units", "units", _("Units for lengths")),
            ("new_symbols", "symbols", _("Symbols")),
            ("new_sheet_size", "sheet_size", _("Sheet size")),
        ):
            choices = next(spec.choices for spec in field_specs(DrawingSettings) if spec.name == of)
            field = self._choice(name, text, [usual, *((choice, _(choice)) for choice in choices)])
        self._tell(field, _("A drawing that exists keeps its own; they stand among its particulars."))
        self._heading(_("Entering facts"))
        origins = [usual, *((o, _(o)) for o in ORIGINS)]
        self._choice("values_from", _("Values entered among the facts to read come from"), origins, self._values)

    # -- fields ---------------------------------------------------------------------------------------------------
    def _heading(self, text: str) -> None:
        label = QLabel(text)
        font = label.font()
        font.setBold(True)
        label.setFont(font)
        label.setWordWrap(True)
        if self._box.count():
            self._box.addSpacing(12)
        self._box.addWidget(label)

    def _label(self, text: str, buddy: QWidget) -> None:
        label = QLabel(text)
        label.setWordWrap(True)
        label.setBuddy(buddy)
        self._box.addSpacing(3)
        self._box.addWidget(label)
        buddy.setAccessibleName(text)

    def _tell(self, field: QWidget, text: str) -> None:
        label = QLabel(text)
        label.setWordWrap(True)
        label.setForegroundRole(label.palette().ColorRole.PlaceholderText)
        field.setAccessibleDescription(text)
        self._box.addWidget(label)

    def _choice(
        self, name: str, text: str, offers: Iterable[tuple[str, str]], then: Callable[[], None] | None = None
    ) -> QComboBox:
        field = _Choice()
        for value, shown in offers:
            field.addItem(shown, value)
        at = field.findData(self.settings.get(name))
        field.setCurrentIndex(max(at, 0))
        self._label(text, field)
        self._box.addWidget(field)
        self.fields[name] = field
        field.currentIndexChanged.connect(lambda _n: self._store(name, field.currentData(), then))
        return field

    def _check(self, name: str, text: str, then: Callable[[], None]) -> QCheckBox:
        field = QCheckBox(text)
        field.setAccessibleName(text)
        field.setChecked(self.settings.get(name))
        self._box.addSpacing(3)
        self._box.addWidget(field)
        self.fields[name] = field
        field.toggled.connect(lambda on: self._store(name, on, then))
        return field

    def _size(self) -> None:
        field = _Slider(Qt.Orientation.Horizontal)
        field.setRange(100 // STEP_PERCENT, 200 // STEP_PERCENT)
        field.setPageStep(5)
        field.setTickPosition(QSlider.TickPosition.TicksBelow)
        field.setTickInterval(5)
        percent = min(max(self.settings.get("text_percent"), 100), 200)
        field.setValue(percent // STEP_PERCENT)
        field.setTracking(False)  # the whole window is laid out anew: where the handle is let go
        told = QLabel(_("{n} %").format(n=percent))
        told.setMinimumWidth(told.fontMetrics().horizontalAdvance("200 %") + 6)
        field.sliderMoved.connect(lambda n: told.setText(_("{n} %").format(n=n * STEP_PERCENT)))

        def give(n: int) -> None:
            told.setText(_("{n} %").format(n=n * STEP_PERCENT))
            self._store("text_percent", n * STEP_PERCENT, self._wear)

        field.valueChanged.connect(give)
        self._label(_("Size of text and controls"), field)
        row = QHBoxLayout()
        row.addWidget(field, 1)
        row.addWidget(told)
        self._box.addLayout(row)
        self.fields["text_percent"] = field

    def _folder(self, name: str, text: str, told: str) -> None:
        field = QLineEdit(self.settings.get(name))
        field.setPlaceholderText(_("none"))
        field.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Fixed)
        self.fields[name] = field
        self._label(text, field)
        choose = QPushButton(_("Choose…"))
        choose.setAccessibleName(_("Choose: {what}").format(what=text))
        choose.clicked.connect(lambda _on: self._choose_folder(name, text))
        field.editingFinished.connect(lambda: self._take_folder(name))
        self._box.addWidget(field)
        row = QHBoxLayout()
        row.addWidget(choose)
        row.addStretch(1)
        self._box.addLayout(row)
        self._tell(field, told)

    # -- giving ---------------------------------------------------------------------------------------------------
    def _store(self, name: str, value: Any, then: Callable[[], None] | None) -> None:
        if self.settings.get(name) == value:
            return
        self.settings.set(name, value)
        if not self.settings.save():
            self.window_of.foot.refuse(_("The settings cannot be written; they hold until the program is left."))
        if then is not None:
            then()

    def _wear(self) -> None:
        self.window_of.desk.wear_look()

    def _speak(self) -> None:
        self.window_of.desk.speak_anew(self.window_of)

    def _values(self) -> None:
        self.window_of.pages.take_values_from()

    def _choose_folder(self, name: str, title: str) -> None:
        field = self.fields[name]
        assert isinstance(field, QLineEdit)
        text = QFileDialog.getExistingDirectory(self.window_of, title, field.text() or str(Path.home()))
        if text:
            field.setText(text)
            self._take_folder(name)

    def _take_folder(self, name: str) -> None:
        field = self.fields[name]
        assert isinstance(field, QLineEdit)
        text = field.text().strip()
        if text == self.settings.get(name):
            return
        if text and not Path(text).expanduser().is_dir():
            self.window_of.foot.refuse(_("{name} is no folder.").format(name=text))
            return
        path = str(Path(text).expanduser().absolute()) if text else ""
        field.setText(path)
        self._store(name, path, self.window_of.desk.judge_anew)
        if name == "symbols_folder" and path:
            self.window_of.foot.say(own_symbols.told(own_symbols.refreshed()))


class _Choice(QComboBox):
    """One of several, as narrow as there is room; the wheel scrolls the page."""

    def __init__(self) -> None:
        super().__init__()
        self.setSizeAdjustPolicy(QComboBox.SizeAdjustPolicy.AdjustToMinimumContentsLengthWithIcon)
        self.setMinimumContentsLength(8)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)

    def wheelEvent(self, event: QWheelEvent) -> None:
        """Qt's own name."""
        event.ignore()


class _Slider(QSlider):
    """The wheel scrolls the page."""

    def wheelEvent(self, event: QWheelEvent) -> None:
        """Qt's own name."""
        event.ignore()
