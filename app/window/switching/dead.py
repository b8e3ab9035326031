"""How what is chosen on the sheet is made dead: what to do, where to lock, where to prove it, what remains."""

from __future__ import annotations

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QWidget

from app.figures.isolation_report import before, cut_off, locks, proofs, remains, short_deed, subject
from app.figures.order_report import called as marked
from app.figures.order_report import what, where
from app.switching_messages import DeadQuestion, Isolated, IsolateRequest
from app.window.document import Document
from app.window.printing import Paper
from app.window.switching.part import MORE, Names, Part, push_button, text_line
from app.window.switching.steps import Line, Steps
from engine.circuit.switching.along import when_dead
from engine.circuit.switching.results import Isolation, MakeDead
from engine.installation.model import Snapshot
from engine.words import _

__all__ = ["DeadPart"]


class DeadPart(Part):
    """Follows the selection while it is seen, and every edit."""

    def __init__(self, document: Document, parent: QWidget | None = None) -> None:
        super().__init__(document, _("Make it dead"), parent)
        self.isolation: Isolation | None = None
        self._item = ""  # of which it is told or asked
        self._effort = 1
        self.of = text_line(_("What is to be made dead"))
        font = self.of.font()
        font.setBold(True)
        self.of.setFont(font)
        self.lines = Steps(_("What to do to make it dead"), _("Enter shows it on the sheet"))
        self.lines.taken.connect(self._take)
        self.show_it = push_button(_("Show on the sheet"), _("Show the sheet with the switches as they stand then"))
        self.show_it.clicked.connect(self._show_state)
        self.column.addWidget(self.of)
        self.column.addWidget(self.head)
        self.column.addWidget(self.lines, 1)
        self.column.addLayout(self.row(self.show_it, self.write))
        self.column.addLayout(self.row(self.more, self.stop))
        document.selected.connect(self._selected)
        self._clear(_hint())

    def begin(self) -> None:
        """Take the focus."""
        self.lines.setFocus(Qt.FocusReason.TabFocusReason)

    # -- asking ---------------------------------------------------------------------------------------------------
    def wake(self) -> None:
        """It is seen now."""
        super().wake()
        wanted = _wanted(self.document)
        if (self.isolation is None and not self.is_working) or (wanted and wanted != self._item):
            self._ask(wanted or self._item)

    def changed(self) -> None:
        """The drawing is another."""
        self.isolation = None
        if self.is_awake:
            self._ask(self._item)

    def give_up(self) -> None:
        """What was asked is not wanted any more."""
        if self.document.judge is not None:
            self.document.judge.forget(IsolateRequest)
        self._clear(_("Given up."))

    def _selected(self) -> None:
        """What is revealed by a step is chosen too: the page stays with what is to be made dead."""
        wanted = _wanted(self.document)
        if self.is_awake and wanted and wanted != self._item and not self._leads_to(wanted):
            self._ask(wanted)

    def _leads_to(self, item: str) -> bool:
        return any(each.to == item for each in self.lines.lines)

    def ask_for(self, item: str) -> None:
        """Tell of this, whatever is told now."""
        if item != self._item or (self.isolation is None and not self.is_working):
            self._ask(item)

    def ask_more(self) -> None:
        """The same, looking ten times as far."""
        self._ask(self._item, self._effort * MORE)

    def _ask(self, item: str, effort: int = 1) -> None:
        self._effort = effort
        self._item = item if _can_be(self.document.snapshot(), item) else ""
        self._clear("")
        if not self._item:
            self.head.setText(_hint())
        elif self.document.judge is None:
            self.head.setText(_("How it is made dead cannot be worked out: there is no study process."))
        else:
            self.of.setText(_name(self.document.snapshot(), self._item))
            self.work(_("Being worked out…"))
            self.document.judge.isolate(DeadQuestion(self._item, effort))

    def _clear(self, words: str) -> None:
        self.isolation = None
        self.lines.show_lines([])
        self.of.setText("")
        for part in (self.lines, self.show_it, self.write, self.more):
            part.setVisible(False)
        self.of.setVisible(False)
        self.rest(words)

    # -- telling --------------------------------------------------------------------------------------------------
    def take(self, told: Isolated) -> None:
        """The answer."""
        if not self.is_working or told.question != (self._item, self._effort):
            return
        if told.isolation is None:
            self.rest(_("How it is made dead could not be worked out: {fault}").format(fault=told.words))
            return
        snapshot = self.document.snapshot()
        self.isolation = told.isolation
        self.rest(_head(Names(snapshot), told.isolation))
        self.of.setText(_("Make dead: {item}").format(item=_name(snapshot, self._item)))
        lines = _lines(Names(snapshot), told.isolation)
        self.lines.show_lines(lines)
        self.of.setVisible(True)
        self.lines.setVisible(bool(lines))
        self.show_it.setVisible(bool(told.isolation.state))
        self.write.setVisible(True)
        self.more.setVisible(bool(told.isolation.undecided))

    def paper(self) -> Paper | None:
        """The page for one thing."""
        if self.isolation is None:
            return None
        name = self.document.snapshot().name(self.isolation.item)
        return Paper(
            "isolate",
            (),
            _("Write how it is made dead as PDF"),
            _("make dead {item}").format(item=name),
            of=self.isolation.item,
        )

    # -- the sheet ------------------------------------------------------------------------------------------------
    def _take(self, row: int) -> None:
        item = self.lines.lines[row].to
        if item:
            self.reveal.emit(item)

    def _show_state(self) -> None:
        made = self.isolation
        if made is None:
            return
        snapshot = self.document.snapshot()
        title = _("{item} made dead").format(item=_name(snapshot, made.item))
        standing = when_dead(snapshot, made)
        unseen = [act for act in made.steps if act.kind == "draw" and act.item not in standing.gone]
        if unseen:  # one fuse of a block: the sheet shows it as it is with it
            title = _("{item}, before this is done, which no sheet shows: {acts}").format(
                item=title, acts="; ".join(_deed(Names(snapshot), act) for act in unseen)
            )
        acts = tuple(act.item for act in made.steps if act.item in snapshot.equipment)
        self.document.show_state(
            standing.positions,
            title,
            standing.running,
            marks=(made.item, *acts),
            gone=standing.gone,
            silent=standing.silent,
        )
        self.reveal.emit(made.item)


def _hint() -> str:
    return _("Choose a run or a piece of equipment on the sheet: this tells how it is made dead from every source.")


def _can_be(snapshot: Snapshot, item: str) -> bool:
    return item in snapshot.equipment or item in snapshot.runs


def _wanted(document: Document) -> str:
    """The run or piece chosen last."""
    snapshot = document.snapshot()
    return next((item for item in document.selection if _can_be(snapshot, item)), "")


def _name(snapshot: Snapshot, item: str) -> str:
    return subject(Names(snapshot), item)


def _head(names: Names, made: Isolation) -> str:
    stays = remains(names, made)
    if stays:
        return _("WARNING: {what}").format(what=stays)
    if not made.sources:
        return before(names, made)
    return _("{fed} After these steps nothing drawn does. Prove it before it is touched.").format(
        fed=before(names, made)
    )


def _deed(names: Names, act: MakeDead) -> str:
    """*SHORE: open (Q1, shore breaker; main panel)*, as the page on paper says it."""
    snapshot = names.snapshot
    if act.item not in snapshot.equipment:
        return short_deed(act)
    about = "; ".join(text for text in (what(snapshot, act.item), where(snapshot, act.item)) if text)
    head = _("{name}: {deed}").format(name=marked(snapshot, act.item), deed=short_deed(act))
    return f"{head} ({about})" if about else head


def _lines(names: Names, made: Isolation) -> list[Line]:
    lines: list[Line] = []
    if made.steps:
        lines.append(Line(_("Do, in this order"), is_heading=True))
    for n, act in enumerate(made.steps, 1):
        parts = [f"{n}.  {_deed(names, act)}"]
        if act.sources:
            parts.append(_("cuts off {sources}").format(sources=cut_off(names, act)))
        if act.why:
            parts.append(act.why)
        lines.append(Line("\n".join(parts), act.item))
    if made.locks:
        lines.append(Line(_("Lock off"), is_heading=True))
        lines += [Line(text, lock.item) for text, lock in zip(locks(names, made), made.locks, strict=True)]
    if made.prove:
        lines.append(Line(_("Prove dead"), is_heading=True))
        lines += [Line(text, made.item) for text in proofs(names, made)]
    more = list(made.notes)
    if made.missing:
        more.append(_("Not recorded: {fields}.").format(fields=", ".join(made.missing)))
    if more:
        lines.append(Line(_("To know"), is_heading=True))
        lines += [Line(text, "") for text in more]
    return lines
