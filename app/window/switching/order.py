"""A switching order: from which condition to which, its steps, the sheet after each of them."""

from __future__ import annotations

from PySide6.QtCore import QSignalBlocker, QSize, Qt
from PySide6.QtGui import QResizeEvent
from PySide6.QtWidgets import QComboBox, QFormLayout, QListWidget, QListWidgetItem, QWidget

from app.figures.failure_report import called
from app.figures.order_report import called as marked
from app.figures.order_report import deed, what, where
from app.switching_messages import Ordered, OrderQuestion, OrderRequest
from app.window.document import Document
from app.window.printing import Paper
from app.window.switching.part import MORE, Names, Part, push_button, text_line
from app.window.switching.steps import Line, Steps
from app.window.table.rows import natural
from engine.circuit.switching.along import along
from engine.circuit.switching.results import Order, Step
from engine.installation.model import Snapshot
from engine.words import _, ngettext

__all__ = ["OrderPart"]

_ROLE = Qt.ItemDataRole.UserRole
_AS_DRAWN = "as drawn"  # as the command line calls it


class OrderPart(Part):
    """Asked for by a button; marked as from before after an edit."""

    def __init__(self, document: Document, parent: QWidget | None = None) -> None:
        super().__init__(document, _("Switching order"), parent)
        self.order: Order | None = None
        self.is_stale = False
        self._question: OrderQuestion | None = None  # what is asked or answered
        self.start, self.stop_at = _choice(_("From condition")), _choice(_("To condition"))
        self.loads = _Loads()
        form = QFormLayout()
        form.setContentsMargins(0, 0, 0, 0)
        form.setRowWrapPolicy(QFormLayout.RowWrapPolicy.WrapLongRows)
        form.addRow(_("From"), self.start)
        form.addRow(_("To"), self.stop_at)
        form.addRow(_("Keep fed"), self.loads)
        self.find = push_button(_("Find the order"), _("Look for the shortest safe order of steps"))
        self.find.clicked.connect(self._find)
        self.steps = Steps(_("Steps"), _("Enter shows the switch and the sheet as it stands after the step"))
        self.steps.taken.connect(self._take)
        self.before = push_button(_("Previous"), _("Show the sheet one step before"))
        self.next = push_button(_("Next"), _("Show the sheet one step further"))
        self.before.clicked.connect(self._back)
        self.next.clicked.connect(self._on)
        self.notes = text_line(_("What the order rests on"))
        self.column.addLayout(form)
        self.column.addLayout(self.row(self.find, self.more, self.stop))
        self.column.addWidget(self.head)
        self.column.addWidget(self.steps, 1)
        self.column.addLayout(self.row(self.before, self.next))
        self.column.addWidget(self.notes)
        self.column.addLayout(self.row(self.write))
        self.start.activated.connect(self._asked_otherwise)
        self.stop_at.activated.connect(self._asked_otherwise)
        self.loads.itemChanged.connect(self._asked_otherwise)
        self._show()

    def begin(self) -> None:
        """Take the focus."""
        self.start.setFocus(Qt.FocusReason.TabFocusReason)

    # -- asking ---------------------------------------------------------------------------------------------------
    def wake(self) -> None:
        """It is seen now."""
        super().wake()
        self._fill_choices()

    def changed(self) -> None:
        """The drawing is another: an order that is shown is from before, one that is looked for is looked for anew."""
        if self.is_awake:
            self._fill_choices()
        if self.order is not None:
            self.is_stale = True
            self._show()
        if self.is_working:
            self._ask(self._question)

    def give_up(self) -> None:
        """It is not looked for any more."""
        if self.document.judge is not None:
            self.document.judge.forget(OrderRequest)
        self.rest(_("Given up before it was found."))
        self._show()

    @property
    def question(self) -> OrderQuestion:
        """What is chosen."""
        return OrderQuestion(self.start.currentData() or "", self.stop_at.currentData() or "", self.loads.ticked())

    def _find(self) -> None:
        self._ask(self.question)

    def ask_more(self) -> None:
        """Look for the same order ten times as far."""
        if self._question is not None:
            self._ask(self._question._replace(effort=self._question.effort * MORE))

    def _ask(self, question: OrderQuestion | None) -> None:
        if question is None:
            return
        self.order, self._question = None, question
        self._show()
        if self.document.judge is None:
            self.rest(_("No order can be worked out: there is no study process."))
        elif question.start == question.stop:
            self.rest(_("Choose two conditions."))
        else:
            self.work(_("Being looked for…"))
            self.document.judge.find_order(question)

    def _asked_otherwise(self, _what: object = None) -> None:
        """What is shown answers another question."""
        if self.is_working:
            self.give_up()
        if self._question is not None and self.question != self._question._replace(effort=1):
            self.order, self._question = None, None
            self.rest(_hint())
            self._show()

    def take(self, told: Ordered) -> None:
        """The answer."""
        if not self.is_working or told.question != self._question:
            return
        if told.order is None:
            self.rest(_("No order could be worked out: {fault}").format(fault=told.words))
            return
        self.order, self.is_stale = told.order, False
        self.rest()
        self._show()
        if self.order.found:
            self.steps.setFocus(Qt.FocusReason.OtherFocusReason)

    def paper(self) -> Paper | None:
        """The order as cards to be hung up aboard."""
        if self.order is None or not self.order.found:
            return None
        arguments = ["--from", self.order.start or _AS_DRAWN, "--to", self.order.stop or _AS_DRAWN]
        if self.order.kept:
            arguments += ["--keep", *self.order.kept]
        if self._question is not None and self._question.effort > 1:
            from engine.circuit.switching.orders import BUDGET

            arguments += ["--budget", str(BUDGET * self._question.effort)]
        return Paper("card", tuple(arguments), _("Write the switching order as cards, PDF"), _("switching order"))

    # -- telling --------------------------------------------------------------------------------------------------
    def _fill_choices(self) -> None:
        snapshot = self.document.snapshot()
        ordered = sorted(snapshot.conditions, key=lambda c: (snapshot.conditions[c].order, c))
        every = [(_condition(snapshot, item), item) for item in ("", *ordered)]
        for combo, first in ((self.start, self.document.condition), (self.stop_at, None)):
            texts = [(combo.itemText(n), combo.itemData(n)) for n in range(combo.count())]
            if texts == every:
                continue
            before = combo.currentData() if texts else first
            combo.clear()
            for name, item in every:
                combo.addItem(name, item)
            at = combo.findData(before) if before is not None else -1
            other = next((n for n in range(len(every)) if n != self.start.currentIndex()), 0)
            combo.setCurrentIndex(at if at >= 0 else other)
        self.loads.fill(snapshot)
        if self.order is None and not self.is_working and not self.head.text():
            self.head.setText(_hint())

    def _show(self) -> None:
        order = self.order
        found = order is not None and order.found
        for part in (self.steps, self.before, self.next, self.write):
            part.setVisible(found)
        self.write.setEnabled(found and not self.is_stale)
        self.more.setVisible(order is not None and order.undecided)
        self.notes.setVisible(False)
        if order is None:
            self.steps.show_lines([])
            return
        names = Names(self.document.snapshot())
        if self.is_stale and not _is_here(names.snapshot, order):
            self.steps.show_lines([])
            self.head.setText(_("The drawing was changed, and what the order spoke of is gone: find it anew."))
            return
        head = _head(order)
        if self.is_stale:
            head = _("From before the last change of the drawing; find it anew. {head}").format(head=head)
        self.head.setText(head)
        if found:
            self.steps.show_lines(_lines(names, order))
        notes = _notes(names, order)
        self.notes.setText(notes)
        self.notes.setVisible(bool(notes))
        self._enable()

    # -- the sheet ------------------------------------------------------------------------------------------------
    def _back(self) -> None:
        self._go(self.steps.currentRow() - 1)

    def _on(self) -> None:
        self._go(self.steps.currentRow() + 1)

    def _go(self, row: int) -> None:
        if 0 <= row < self.steps.count():
            self.steps.setCurrentRow(row)
            self._take(row)

    def _enable(self) -> None:
        row = self.steps.currentRow()
        for button, can in ((self.before, row > 0), (self.next, row < self.steps.count() - 1)):
            if not can and button.hasFocus():
                (self.next if button is self.before else self.before).setFocus(Qt.FocusReason.OtherFocusReason)
            button.setEnabled(can)

    def _take(self, row: int) -> None:
        """The sheet as it stands after a step, the switch chosen."""
        order, document = self.order, self.document
        self._enable()
        if order is None or not order.found:
            return
        if self.is_stale:
            self.refused.emit(_("The drawing was changed: this order is from before. Find it anew."))
            return
        snapshot = document.snapshot()
        standing = along(snapshot, order)[row]
        way = (_condition(snapshot, order.start), _condition(snapshot, order.stop))
        if row == 0:
            title = _("before the first step from {start} to {stop}").format(start=way[0], stop=way[1])
            items: tuple[str, ...] = ()
        else:
            step = order.steps[row - 1]
            items = (step.item,) if step.item in snapshot.equipment else ()
            title = _("after step {n} of {all} from {start} to {stop}: {what}").format(
                n=row, all=len(order.steps), start=way[0], stop=way[1], what=_step_words(snapshot, step)
            )
        document.show_state(standing.positions, title, running=standing.running, marks=items)
        for item in items:
            self.reveal.emit(item)


class _Loads(QListWidget):
    """Loads to keep fed, essential ones first. The space bar ticks."""

    def __init__(self) -> None:
        super().__init__()
        self.setAccessibleName(_("Loads to keep fed throughout"))
        self.setAccessibleDescription(_("The space bar ticks a load"))
        self.setTextElideMode(Qt.TextElideMode.ElideRight)
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self._fit()

    def fill(self, snapshot: Snapshot) -> None:
        """Every load of the drawing."""
        uses = {item: record.use() for item, record in snapshot.equipment.items() if record.status != "spare"}
        loads = [item for item, use in uses.items() if use is not None]
        loads.sort(key=lambda item: (not uses[item].essential, natural(snapshot.name(item))))  # type: ignore[union-attr]
        names = Names(snapshot)
        wanted = []
        for item in loads:
            text = called(names, item)
            use = uses[item]
            wanted.append(
                (_("{load} (essential)").format(load=text) if use is not None and use.essential else text, item)
            )
        if wanted == [(self.item(n).text(), self.item(n).data(_ROLE)) for n in range(self.count())]:
            return
        ticked = set(self.ticked())
        with QSignalBlocker(self):
            self.clear()
            for text, item in wanted:
                line = QListWidgetItem(text)
                line.setData(_ROLE, item)
                line.setToolTip(text)
                line.setFlags(
                    Qt.ItemFlag.ItemIsEnabled | Qt.ItemFlag.ItemIsSelectable | Qt.ItemFlag.ItemIsUserCheckable
                )
                line.setCheckState(Qt.CheckState.Checked if item in ticked else Qt.CheckState.Unchecked)
                self.addItem(line)
            if self.count():
                self.setCurrentRow(0)

    def ticked(self) -> tuple[str, ...]:
        """Ids of those ticked."""
        every = (self.item(n) for n in range(self.count()))
        return tuple(line.data(_ROLE) for line in every if line.checkState() == Qt.CheckState.Checked)

    def _fit(self) -> None:
        self.setFixedHeight((self.fontMetrics().height() + 4) * 4 + 6)

    def minimumSizeHint(self) -> QSize:
        """It can be narrow."""
        return QSize(100, 20)

    def resizeEvent(self, event: QResizeEvent) -> None:
        """Qt's own name."""
        super().resizeEvent(event)
        self._fit()


def _hint() -> str:
    return _("Choose two conditions, tick what must stay fed, and have the order found.")


def _choice(name: str) -> QComboBox:
    made = QComboBox()
    made.setAccessibleName(name)
    made.setSizeAdjustPolicy(QComboBox.SizeAdjustPolicy.AdjustToMinimumContentsLengthWithIcon)
    made.setMinimumContentsLength(12)
    return made


def _condition(snapshot: Snapshot, item: str) -> str:
    record = snapshot.conditions.get(item)
    return _("As drawn") if record is None else record.name or item


def _step_words(snapshot: Snapshot, step: Step) -> str:
    """*SHORE: open (Q1, shore breaker; main panel)*, as the card says it."""
    if step.item not in snapshot.equipment:
        return step.item
    about = "; ".join(text for text in (what(snapshot, step.item), where(snapshot, step.item)) if text)
    head = _("{name}: {deed}").format(name=marked(snapshot, step.item), deed=deed(snapshot, step))
    return f"{head} ({about})" if about else head


def _is_here(snapshot: Snapshot, order: Order) -> bool:
    """After an edit what is shown may speak of what is gone."""
    items = {step.item for step in order.steps} | set(order.dark) | set(order.kept)
    conditions = {c for c in (order.start, order.stop) if c}
    return items - {""} <= snapshot.equipment.keys() and conditions <= snapshot.conditions.keys()


def _head(order: Order) -> str:
    if order.undecided:
        return _("NOT DECIDED. {reason}").format(reason=order.reason).strip()
    if not order.found:
        return order.reason or _("There is no safe order.")
    if not order.steps:
        return _("There is nothing to do: both stand alike.")
    count = ngettext("{n} step", "{n} steps", len(order.steps)).format(n=len(order.steps))
    return _("{steps}, the fewest there are. Do them in this order.").format(steps=count)


def _lines(names: Names, order: Order) -> list[Line]:
    made = [Line(_("Start: {condition}").format(condition=_condition(names.snapshot, order.start)), "")]
    for n, step in enumerate(order.steps, 1):
        text = f"{n}.  {_step_words(names.snapshot, step)}"
        if step.why:
            text += "\n" + _("Why: {why}").format(why=step.why)
        if step.see:
            text += "\n" + _("See: {what}").format(what="; ".join(step.see))
        made.append(Line(text, step.item))
    return made


def _notes(names: Names, order: Order) -> str:
    parts = []
    if order.dark:
        some = ", ".join(called(names, item) for item in order.dark)
        parts.append(_("Dark for part of it: {loads}.").format(loads=some))
    if order.kept:
        some = ", ".join(called(names, item) for item in order.kept)
        parts.append(_("Kept fed: {loads}.").format(loads=some))
    parts += [text if text.endswith(".") else f"{text}." for text in order.taken]
    if order.missing:
        parts.append(_("Not recorded: {fields}.").format(fields=", ".join(order.missing)))
    return " ".join(part[:1].upper() + part[1:] for part in parts)
