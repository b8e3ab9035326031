"""What somebody waits for in the window: sizes, the edits of a finding, why nothing is said of a thing, a sheet tidied.

Each is worked out of the study that was judged, a tidied sheet of the drawing alone, and gives way to a newer request;
a fault in one takes nothing else with it. No Qt.
"""

from __future__ import annotations

import logging
import time
from collections.abc import Callable
from typing import Any, TypeAlias

import msgspec

from app.measuring.messages import Measured, MeasureRequest, reading_of
from app.switching_messages import ForgetRequest
from app.tidying_messages import TidyQuestion, TidyRequest, TidySoFar, TidyTold
from app.worker_messages import Answer, Explained, MendRequest, Offered, Sized, SizeRequest, WhyRequest
from app.worker_telling import Superseded, said
from engine.check import CheckResult, check
from engine.edits import EditError
from engine.files.edit_form import plain_edit
from engine.installation.model import Snapshot
from engine.sizing.results import Answer as Sizing
from engine.study import Study
from engine.why import Said, why

__all__ = ["Asked", "AskedRequest"]

AskedRequest: TypeAlias = SizeRequest | MendRequest | WhyRequest | MeasureRequest | TidyRequest | ForgetRequest

log = logging.getLogger(__name__)

SO_FAR_S = 0.2  # between two words about how far it is


class Asked:
    """The newest question of each sort that is not answered yet. `go_on` raises `Superseded` to give up."""

    def __init__(self, send: Callable[[Answer], None], go_on: Callable[[], None]) -> None:
        self._send = send
        self._go_on = go_on
        self._to_size: tuple[str, ...] = ()
        self._to_explain: tuple[str, ...] = ()
        self._to_mend = ""  # key of a finding
        self._to_measure = ""
        self._to_tidy: TidyQuestion | None = None
        self._proved: tuple[Snapshot, CheckResult] | None = None  # the last drawing that was asked why

    def take(self, request: AskedRequest) -> None:
        """Keep a question until there is something to answer it by, or drop it."""
        if isinstance(request, SizeRequest):
            self._to_size = request.items
        elif isinstance(request, TidyRequest):
            self._to_tidy = request.question
        elif isinstance(request, ForgetRequest):
            if request.what == "tidy":
                self._to_tidy = None
        elif isinstance(request, MeasureRequest):
            self._to_measure = request.question
        elif isinstance(request, WhyRequest):
            self._to_explain = request.items
        else:
            self._to_mend = request.key

    def tell_sizes(self, study: Study, at: int) -> None:
        """What things need."""
        items = self._to_size
        if not items:
            return
        self._go_on()
        answers: list[Sizing] = []
        words = ""
        try:
            from engine.sizing import size

            for item in items:
                answers += size(study, item)
                self._go_on()
        except Superseded:
            raise
        except Exception as fault:
            log.exception("sizes of request %d stopped", at)
            words = said(fault)
        self._to_size = ()
        self._send(Sized(at, items, tuple(answers), words))

    def tell_edits(self, study: Study, result: CheckResult | None, at: int) -> None:
        """The edits that put a finding right, as they are drawn: each is tried on a copy, which gives way.

        The window sees to ids that were never used: only it knows the last one.
        """
        key = self._to_mend
        if not key or result is None:
            return
        finding = next((one for one in result.findings if one.key == key), None)
        edits: list[tuple[str, dict[str, Any]]] = []
        words = ""
        try:
            if finding is not None:
                from app.drawing.changes import drawn
                from engine.edits.draft import highest_id
                from engine.fixes import offered
                from engine.pausing import giving_way

                snapshot = study.snapshot
                with giving_way(self._go_on):
                    fixes = offered(study, finding)
                edits = [(fix.text, plain_edit(drawn(snapshot, highest_id(snapshot), fix.edit))) for fix in fixes]
        except Superseded:
            raise
        except Exception as fault:
            log.exception("the edits of request %d stopped", at)
            words = said(fault)
        self._to_mend = ""
        self._send(Offered(at, key, tuple(edits), words))

    def tell_why(self, study: Study, result: CheckResult | None, at: int) -> None:
        """What every rule says of things: the rules judge again, asked to prove, with all that was worked out."""
        items, snapshot = self._to_explain, study.snapshot
        if not items or result is None:
            return
        says: tuple[tuple[Said, ...], ...] = ()
        words = ""
        try:
            if self._proved is None or self._proved[0] is not snapshot:
                proving = check(snapshot, go_on=self._go_on, study=study.proved())
                self._proved = snapshot, proving
            judged = msgspec.structs.replace(result, passed=(*result.passed, *self._proved[1].passed))
            says = tuple(why(judged, snapshot, [item]) for item in items)
        except Superseded:
            raise
        except Exception as fault:
            log.exception("what rules say for request %d stopped", at)
            words = said(fault)
        self._to_explain = ()
        self._send(Explained(at, items, says, words))

    def tell_measured(self, study: Study, at: int) -> None:
        """What the reading that is typed should be, and how the recorded ones stand."""
        question = self._to_measure
        if not question:
            return
        self._go_on()
        told = Measured(at, question)
        try:
            from engine.pausing import giving_way
            from engine.survey.readings import compared, compared_one

            reading = reading_of(question)
            with giving_way(self._go_on):
                typed = () if reading is None else compared_one(study, "", reading)
                told = Measured(at, question, typed, compared(study))
        except Superseded:
            raise
        except Exception as fault:
            log.exception("readings of request %d stopped", at)
            told = Measured(at, question, words=said(fault))
        self._to_measure = ""
        self._send(told)

    def tell_tidied(self, snapshot: Snapshot, at: int) -> None:
        """A sheet laid out anew, before anything is judged: somebody looks at it and waits."""
        question = self._to_tidy
        if question is None:
            return
        self._go_on()
        told_s = time.monotonic()

        def so_far(done: int, of: int) -> None:
            nonlocal told_s
            if time.monotonic() > told_s + SO_FAR_S:
                told_s = time.monotonic()
                self._send(TidySoFar(at, done, of))

        edit: dict[str, Any] | None = None
        words = ""
        try:
            from app.drawing.changes.unplaced import put_on_sheets
            from app.drawing.tidy import tidy_sheet
            from engine.edits.draft import highest_id
            from engine.pausing import giving_way

            with giving_way(self._go_on, so_far):
                if question.unplaced:
                    put = put_on_sheets(snapshot, highest_id(snapshot))
                    edit, words = plain_edit(put), put.words
                else:
                    made = tidy_sheet(snapshot, question.sheet, question.placements or None)
                    edit, words = plain_edit(made.edit), made.after.brief()
        except Superseded:
            raise
        except EditError as refused:
            words = str(refused)
        except Exception as fault:
            log.exception("tidying for request %d stopped", at)
            words = said(fault)
        self._to_tidy = None
        self._send(TidyTold(at, question, edit, words))
