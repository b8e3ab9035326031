"""Marking at the board: one line typed, Enter, and the deficiency stands; photographs held ready go along."""

from __future__ import annotations

import datetime
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import TYPE_CHECKING

import msgspec
from PySide6.QtCore import QEvent, QObject
from PySide6.QtGui import QGuiApplication, QKeyEvent, QKeySequence

from app.canvas.tool import Spot
from app.canvas.tools import acts
from app.window.deficiencies.current import current_survey
from app.window.quick.fast import fast_of
from app.window.quick.line import Asked
from engine.deficiencies import (
    Lacking,
    Proposed,
    Typed,
    from_finding,
    grade_name,
    grade_words,
    mark,
    place_of,
    proposals,
    read_typed,
)
from engine.edits import EditError
from engine.installation import Deficiency
from engine.naming import speaks_of
from engine.phrases import Proposal, Read
from engine.words import _, ngettext

if TYPE_CHECKING:
    from app.window.main import Window

__all__ = ["Marking", "marking_of"]

_EXAMPLE = "a burnt lug; fire; renew lug and torque"
_EARLIER = 6  # wordings offered at once


def marking_of(window: Window) -> Marking:
    """What marks deficiencies in a window."""
    found = window.findChild(Marking)
    return found if isinstance(found, Marking) else Marking(window)


class Marking(QObject):
    """Opens the line, reads it, marks; one for each window, made when used."""

    def __init__(self, window: Window) -> None:
        super().__init__(window)
        self.window = window
        self.today: Callable[[], datetime.date] = datetime.date.today
        self._read: dict[Proposal, Typed | Proposed] = {}
        self._draft = Deficiency()
        self._asked: Asked | None = None
        self._held: list[Path] = []  # photographs that go with the line that is open

    # -- what it is marked at -------------------------------------------------------------------------------------
    def where(self) -> Deficiency:
        """A deficiency at what is chosen, else at what the pointer is on, else at that point of the sheet."""
        document, board = self.window.document, self.window.board
        snapshot = document.snapshot()
        spot = self._spot()
        hit = board.hit(spot).item
        at = next((i for i in (*document.selection, hit) if i and _is_thing(snapshot.tables, i)), "")
        made = Deficiency(
            at=at,
            sheet=document.sheet,
            x=None if at else spot.column,
            y=None if at else spot.row,
            survey=current_survey(document),
            who=self.who(),
            date=self.today().isoformat(),
        )
        return msgspec.structs.replace(made, place=place_of(snapshot, made))

    def _spot(self) -> Spot:
        """Where the pointer is; in the middle of what is seen where nobody has pointed at the sheet yet."""
        board = self.window.board
        spot = acts.cursor_spot(board)
        if (spot.column, spot.row) != (0, 0):
            return spot
        seen = board.seen_box()
        return board.spot_mm((seen.left + seen.right) / 2, (seen.top + seen.bottom) / 2)

    def who(self) -> str:
        """Who notes it: the surveyor of the survey, else whoever noted the last one."""
        snapshot = self.window.document.snapshot()
        survey = snapshot.surveys.get(current_survey(self.window.document))
        if survey is not None and survey.surveyor:
            return survey.surveyor
        last = max(snapshot.deficiencies.values(), key=lambda d: d.number or 0, default=None)
        return "" if last is None else last.who

    # -- the line -------------------------------------------------------------------------------------------------
    def open(self, text: str = "") -> None:
        """Open the line at the thing; photographs pasted or let go over it are held until Enter."""
        window = self.window
        document = window.document
        if document.read_only:
            window.foot.refuse(_("The drawing is open to read only: {why}").format(why=document.read_only))
            return
        self._draft = self.where()
        at = speaks_of(document.snapshot(), self._draft.at or self._draft.sheet)
        title = _("Deficiency at {what}: what was seen; risk; what to do; by when").format(what=at)
        fast = fast_of(window.board)
        spot = self._spot()
        box = window.board.finder().box_of(self._draft.at) if self._draft.at else None
        if box is not None:
            spot = window.board.spot_mm(box.right, (box.top + box.bottom) / 2)
        self._held = []
        self._asked = Asked(title, _EXAMPLE, self._understand, self._take, text)
        fast.ask(spot, self._asked)
        fast.line.line.removeEventFilter(self)
        fast.line.line.installEventFilter(self)

    # -- photographs that go along ----------------------------------------------------------------------------------
    @property
    def is_open(self) -> bool:
        """Whether its line is open."""
        return self._asked is not None and fast_of(self.window.board).line.asked is self._asked

    def hold(self, paths: Sequence[Path]) -> None:
        """Photographs for the deficiency whose line is open: they are taken when it is marked."""
        if not self.is_open or not paths or self._asked is None:
            return
        self._held.extend(paths)
        n = len(self._held)
        told = ngettext("{title} ({n} photograph goes with it)", "{title} ({n} photographs go with it)", n)
        line = fast_of(self.window.board).line
        line.title.setText(told.format(title=self._asked.title, n=n))
        line.line.setAccessibleDescription(line.title.text())

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        """A picture or files in the clipboard pasted into the line go with it."""
        if event.type() == QEvent.Type.KeyPress and isinstance(event, QKeyEvent) and self.is_open:
            from app.window.photographs.adding import holds_pictures, pasted

            if event.matches(QKeySequence.StandardKey.Paste) and holds_pictures(QGuiApplication.clipboard().mimeData()):
                self.hold(pasted(self.window))
                return True
        return super().eventFilter(watched, event)

    # -- what is typed ------------------------------------------------------------------------------------------------

    def _understand(self, text: str) -> Read:
        """What was typed, as it would stand; below it earlier words that hold what was typed."""
        snapshot = self.window.document.snapshot()
        self._read = {}
        made: list[Proposal] = []
        typed = read_typed(text)
        if not text.strip():
            made.append(Proposal("", (), _("Type what was seen, or choose earlier words with Down."), ""))
        elif not typed.why:
            made.append(self._proposal(self._told(typed), typed))
        begun = typed.observation if text.strip() else ""
        for earlier in proposals(snapshot, self._draft.at, begun)[:_EARLIER]:
            told = _("Earlier: {words}").format(words=earlier.line)
            made.append(self._proposal(told, earlier))
        if text.strip() and typed.why:
            return Read((), typed.why)
        return Read(tuple(made), typed.why)

    def _proposal(self, told: str, meant: Typed | Proposed) -> Proposal:
        made = Proposal("", (), told)
        self._read[made] = meant
        return made

    def _told(self, typed: Typed) -> str:
        survey = self.window.document.snapshot().surveys.get(self._draft.survey)
        grade = grade_name(typed.grade)
        meaning = grade_words(survey, typed.grade)
        parts = [f"{grade} ({meaning})" if meaning else grade, _("seen: {text}").format(text=typed.observation)]
        if typed.risk:
            parts.append(_("risk: {text}").format(text=typed.risk))
        if typed.recommendation:
            parts.append(_("to do: {text}").format(text=typed.recommendation))
        if typed.due:
            parts.append(_("by {day}").format(day=typed.due))
        return "; ".join(parts)

    def _take(self, proposal: Proposal) -> str:
        meant = self._read.get(proposal)
        if meant is None:
            return _("What was seen is needed.")
        fields = {
            name: getattr(meant, name)
            for name in ("grade", "observation", "risk", "recommendation")
            if getattr(meant, name)
        }
        if isinstance(meant, Typed) and meant.due:
            fields["due"] = meant.due
        if isinstance(meant, Proposed):
            fields |= {
                "basis": meant.basis,
                "standard": meant.standard,
                "standard_year": meant.standard_year,
                "clause": meant.clause,
            }
        elif meant.recommendation:
            fields["basis"] = "good practice"  # until somebody names a standard or a law
        return self._mark(msgspec.structs.replace(self._draft, **fields))

    def _mark(self, deficiency: Deficiency) -> str:
        """One edit; why it cannot be done, "" where it was. What was marked is chosen."""
        document = self.window.document
        item = document.installation.new_id("deficiencies")
        try:
            document.do(mark(document.snapshot(), item, deficiency))
        except (Lacking, EditError) as fault:
            return str(fault)
        document.select(item)
        held, self._held = self._held, []
        if held:
            from app.window.photographs.adding import add_photographs

            add_photographs(self.window, item, held)
        return ""

    # -- from a finding -------------------------------------------------------------------------------------------
    def from_finding(self, key: str) -> None:
        """Make the finding a deficiency, once; where that was done before, go to it."""
        window = self.window
        document, judgement = window.document, window.document.judgement
        finding = next((f for f in judgement.result.findings if f.key == key), None) if judgement is not None else None
        if finding is None or judgement is None:
            window.foot.refuse(_("Choose a finding first: its row among the notes, or its circle on the sheet."))
            return
        snapshot = document.snapshot()
        survey = current_survey(document)
        made = from_finding(snapshot, judgement.result, finding, survey, who=self.who(), date=self.today().isoformat())
        made = msgspec.structs.replace(made, place=place_of(snapshot, made), sheet=judgement.homes.get(key, ""))
        same = (i for i, d in snapshot.deficiencies.items() if _same(d, made))
        before = next(same, "")
        if before:
            document.select(before)
            number = snapshot.deficiencies[before].number
            window.foot.say(_("Deficiency {n} was made from this finding before.").format(n=number))
            return
        why = self._mark(made)
        if why:
            window.foot.refuse(why)


def _same(before: Deficiency, made: Deficiency) -> bool:
    return (before.rule, before.at, before.figures) == (made.rule, made.at, made.figures) and before.status != "closed"


def _is_thing(tables: object, item: str) -> bool:
    return any(item in tables[table] for table in ("equipment", "runs", "enclosures", "places"))  # type: ignore[index]
