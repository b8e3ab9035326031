"""The page of rules: a line to type into, the rules that fit, and the whole page of the one chosen, examples drawn."""

from __future__ import annotations

from collections.abc import Iterable

from PySide6.QtCore import QEvent, QObject, QSize, Qt, QTimer, QUrl, Signal
from PySide6.QtGui import QFont, QKeyEvent, QPalette, QResizeEvent, QShowEvent, QTextDocument
from PySide6.QtWidgets import (
    QLabel,
    QLineEdit,
    QListWidget,
    QListWidgetItem,
    QSplitter,
    QTextBrowser,
    QVBoxLayout,
    QWidget,
)

from app.help.examples import Shown, received
from app.help.html import page_html, picture_name
from app.help.page import LINK, RulePage, family_title, in_families, page_of
from app.text_report import WORD_NAMES
from app.window.document import Document
from app.window.help.painted import painted, scale_for, size_px
from app.window.small_print import cautions_line
from app.worker_messages import Examples
from engine.rules import Rule, rules
from engine.rules.own import as_rule
from engine.words import _, ngettext

__all__ = ["RulesPage", "fitting_rules"]

_SLUG = Qt.ItemDataRole.UserRole
_LOOKS_CHANGE = (QEvent.Type.PaletteChange, QEvent.Type.DevicePixelRatioChange)
_SETTLE_MS = 120  # after the page has become wider or narrower


def fitting_rules(text: str, every: Iterable[Rule] | None = None) -> dict[str, list[Rule]]:
    """Rules by family that every typed word fits: in their name, signal word, title or family. All for ""."""
    words = text.casefold().split()
    made = {}
    for family, some in in_families(every).items():
        title = family_title(family)
        fit = [
            rule
            for rule in some
            if all(
                word in f"{rule.slug} {_(WORD_NAMES[rule.word])} {_(rule.title)} {title}".casefold() for word in words
            )
        ]
        if fit:
            made[family] = fit
    return made


class RulesPage(QWidget):
    """Up and Down in the line go through the rules; the page of the one that is current is shown at once."""

    refused = Signal(str)  # a sentence

    def __init__(self, document: Document, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.document = document
        self.slug = ""  # the rule whose page is shown
        self.examples: dict[str, tuple[Shown, ...]] = {}  # as far as they were drawn: they never change
        self._faults: dict[str, str] = {}
        self._waiting = ""  # the rule whose examples are being drawn
        self._room = 0  # px, that the pictures were made for
        self._build()
        self.line.textChanged.connect(self._fill)
        self.line.installEventFilter(self)
        self.list.currentItemChanged.connect(self._current_changed)
        self.whole.anchorClicked.connect(self._follow)
        self._settle = QTimer(self)
        self._settle.setSingleShot(True)
        self._settle.setInterval(_SETTLE_MS)
        self._settle.timeout.connect(self._widened)
        document.exampled.connect(self._exampled)
        document.judged.connect(self._judged)
        self._is_filled = False

    def _build(self) -> None:
        self.setAccessibleName(_("Rules"))
        self.line = QLineEdit()
        self.line.setPlaceholderText(_("A word of the rule: fuse, earth, danger …"))
        self.line.setAccessibleName(_("Rule to look for"))
        self.line.setToolTip(_("Words of its name, title or family, or its signal word. Up and Down choose."))
        self.line.setClearButtonEnabled(True)
        self.list = QListWidget()
        self.list.setAccessibleName(_("Rules that fit"))
        self.list.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.list.setTextElideMode(Qt.TextElideMode.ElideRight)
        self.none = QLabel(_("No rule fits; fewer letters find more."))
        self.none.setWordWrap(True)
        self.none.hide()
        self.whole = QTextBrowser()
        self.whole.setAccessibleName(_("About the rule"))
        self.whole.setOpenLinks(False)
        self.whole.setFrameShape(QTextBrowser.Shape.NoFrame)
        self.caution_line = cautions_line()
        above = QWidget()
        inside = QVBoxLayout(above)
        inside.setContentsMargins(0, 0, 0, 0)
        inside.addWidget(self.line)
        inside.addWidget(self.list, 1)
        inside.addWidget(self.none)
        self.split = QSplitter(Qt.Orientation.Vertical)
        self.split.setChildrenCollapsible(False)
        self.split.addWidget(above)
        self.split.addWidget(self.whole)
        self.split.setStretchFactor(0, 1)
        self.split.setStretchFactor(1, 4)
        self.split.setSizes([200, 600])
        box = QVBoxLayout(self)
        box.setContentsMargins(8, 8, 8, 8)
        box.setSpacing(6)
        box.addWidget(self.split, 1)
        box.addWidget(self.caution_line)

    def minimumSizeHint(self) -> QSize:
        """It fits into a narrow side page."""
        return QSize(260, 320)

    def begin(self) -> None:
        """Ready to be typed into."""
        self.line.setFocus(Qt.FocusReason.TabFocusReason)
        self.line.selectAll()

    def every(self) -> dict[str, Rule]:
        """Every rule by its name, the person's own among them as far as the last judgement knows them."""
        judgement = self.document.judgement
        own = () if judgement is None else judgement.result.own
        return {**rules(), **{rule.slug: as_rule(rule) for rule in own}}

    # -- the list -----------------------------------------------------------------------------------------------
    def showEvent(self, event: QShowEvent) -> None:
        """Filled when it is first seen."""
        super().showEvent(event)
        if not self._is_filled:
            self._fill(self.line.text())
        self._ask()

    def _fill(self, text: str) -> None:
        self._is_filled = True
        found = fitting_rules(text, self.every().values())
        count = sum(len(some) for some in found.values())
        self.list.blockSignals(True)
        self.list.clear()
        for family, some in found.items():
            self._heading(family_title(family))
            for rule in some:
                self._row(rule)
        self.list.blockSignals(False)
        self.none.setVisible(not count)
        self.list.setVisible(bool(count))
        told = ngettext("{n} rule", "{n} rules", count).format(n=count) if count else self.none.text()
        self.list.setAccessibleDescription(told)
        self.line.setAccessibleDescription(told)
        if count:
            self.list.setCurrentRow(max(1, self._row_of(self.slug)))  # the first row is a heading

    def _row_of(self, slug: str) -> int:
        """Where a rule stands in the list, -1 nowhere."""
        rows = range(self.list.count())
        return next((n for n in rows if self.list.item(n).data(_SLUG) == slug), -1)

    def _heading(self, text: str) -> None:
        item = QListWidgetItem(text)
        item.setFlags(Qt.ItemFlag.NoItemFlags)
        font = QFont(self.font())
        font.setBold(True)
        item.setFont(font)
        item.setForeground(self.palette().color(QPalette.ColorGroup.Active, QPalette.ColorRole.Text))
        self.list.addItem(item)

    def _row(self, rule: Rule) -> None:
        word = _(WORD_NAMES[rule.word])
        item = QListWidgetItem(f"{rule.slug}  {word}")
        item.setData(_SLUG, rule.slug)
        item.setData(
            Qt.ItemDataRole.AccessibleTextRole,
            _("{rule}, {word}: {title}").format(rule=rule.slug, word=word, title=_(rule.title)),
        )
        item.setToolTip(_(rule.title))
        self.list.addItem(item)

    def _current_changed(self, now: QListWidgetItem | None, _before: QListWidgetItem | None) -> None:
        slug = "" if now is None else now.data(_SLUG) or ""
        if slug and slug != self.slug:
            self._open(slug)

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        """Keys of the line: Up and Down go through the list, Enter goes into the page, Escape empties the line."""
        if watched is self.line and event.type() == QEvent.Type.KeyPress and isinstance(event, QKeyEvent):
            key = event.key()
            if key in (Qt.Key.Key_Down, Qt.Key.Key_Up, Qt.Key.Key_PageDown, Qt.Key.Key_PageUp):
                self.list.event(event)
                return True
            if key in (Qt.Key.Key_Return, Qt.Key.Key_Enter):
                self.whole.setFocus(Qt.FocusReason.OtherFocusReason)
                return True
            if key == Qt.Key.Key_Escape and self.line.text():
                self.line.clear()
                return True
        return super().eventFilter(watched, event)

    # -- the page -----------------------------------------------------------------------------------------------
    def show_rule(self, slug: str) -> None:
        """The page of a rule; the list stands at it."""
        if slug not in self.every():
            self.refused.emit(_("There is no page about {rule}.").format(rule=slug))
            return
        self.slug = slug
        if self.line.text():
            self.line.clear()  # fills the list, and stands at the rule
        elif not self._is_filled or self._row_of(slug) < 0:  # an own rule may have come since
            self._fill("")
        else:
            self.list.setCurrentRow(self._row_of(slug))
        self._open(slug)

    def _open(self, slug: str) -> None:
        self.slug = slug
        self._show()
        self.whole.verticalScrollBar().setValue(0)
        self._ask()

    def _ask(self) -> None:
        """Have the examples drawn, unless they were."""
        slug = self.slug
        judge = self.document.judge
        if slug not in rules():
            return  # none, or an own rule: it is run elsewhere
        if judge is not None and self.isVisible() and slug not in self.examples and self._waiting != slug:
            self._faults.pop(slug, None)
            self._waiting = slug
            judge.show_examples(slug)

    def _exampled(self, told: Examples) -> None:
        if self._waiting == told.rule:
            self._waiting = ""
        try:
            shown = received(told.shown)
        except ValueError as fault:
            self._faults[told.rule] = str(fault)
        else:
            if told.words:
                self._faults[told.rule] = told.words
            else:
                self.examples[told.rule] = shown
        if told.rule == self.slug:
            self._show()

    def _judged(self, _judgement: object) -> None:
        """There is a study process now, if there was none before."""
        if self._faults.get(self.slug) is None:
            self._ask()

    def _show(self) -> None:
        """The text at once; the pictures are in it as soon as they are drawn."""
        slug = self.slug
        every = self.every()
        if slug not in every:
            return  # an own rule that is gone
        page: RulePage = page_of(every[slug])
        shown = self.examples.get(slug, ())
        waiting = ""
        if slug not in rules():
            waiting = _("A rule of your own; no example is drawn.")
        elif slug in self._faults:
            waiting = _("The examples could not be drawn: {fault}").format(fault=self._faults[slug])
        elif not shown and slug not in self.examples:
            waiting = (
                _("The examples cannot be drawn: there is no study process.")
                if self.document.judge is None
                else _("The examples are being drawn…")
            )
        self._room = self._width()
        scales = [scale_for(each.picture, self._room) for each in shown]
        sizes = [size_px(each.picture, scale) for each, scale in zip(shown, scales, strict=True)]
        document = self.whole.document()
        at = self.whole.verticalScrollBar().value()
        document.clear()
        for n, (each, scale) in enumerate(zip(shown, scales, strict=True)):
            image = painted(each.picture, scale, self.devicePixelRatioF())
            document.addResource(QTextDocument.ResourceType.ImageResource, QUrl(picture_name(n)), image)
        self.whole.setHtml(page_html(page, tuple(every), shown, sizes, waiting))
        self.whole.verticalScrollBar().setValue(at)
        self.whole.setAccessibleDescription(
            " ".join((f"{page.slug}: {page.title}.", *(f"{each.description()}." for each in shown)))
        )

    def _width(self) -> int:
        """Room for a picture, px."""
        bar = self.whole.verticalScrollBar()
        used = 0 if bar.isVisible() else bar.sizeHint().width()
        return max(200, self.whole.viewport().width() - used - 2 * int(self.whole.document().documentMargin()))

    def resizeEvent(self, event: QResizeEvent) -> None:
        """Pictures follow the width of the page, once it rests."""
        super().resizeEvent(event)
        self._settle.start()

    def _widened(self) -> None:
        shown = self.examples.get(self.slug, ())
        now = self._width()
        if shown and any(scale_for(e.picture, now) != scale_for(e.picture, self._room) for e in shown):
            self._show()

    def event(self, event: QEvent) -> bool:
        """Other colours or a finer screen: headings and pictures anew."""
        done = super().event(event)
        if event.type() in _LOOKS_CHANGE:
            self.wear_inks()
        return done

    def wear_inks(self) -> None:
        """Headings and pictures in the colours of now."""
        if getattr(self, "_is_filled", False):
            self._fill(self.line.text())
            if self.slug:
                self._show()

    def _follow(self, link: QUrl) -> None:
        """A rule named in the text."""
        text = link.toString()
        if text.startswith(LINK):
            self.show_rule(text.removeprefix(LINK))
            self.whole.setFocus(Qt.FocusReason.OtherFocusReason)
