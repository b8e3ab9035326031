"""Has the drawing judged and drawn by the study process (`app.worker`), and keeps that process going.

Answers that a newer edit has overtaken are dropped here. A process that has died, or does not turn to a newer request
in time, is ended and started anew; it is then sent the drawing as it is at that moment.
"""

from __future__ import annotations

import logging
import sys
import time
from typing import Any

from PySide6.QtCore import QObject, QProcess, QTimer, Signal

from app.drawing.in_condition import State
from app.measuring.messages import Measured, MeasureRequest
from app.switching_messages import (
    DeadQuestion,
    FailuresRequest,
    ForgetRequest,
    IsolateRequest,
    OrderQuestion,
    OrderRequest,
    Switched,
    SwitchingSoFar,
)
from app.tidying_messages import TidyAnswer, TidyQuestion, TidyRequest, TidySoFar, TidyTold
from app.window.arriving import Arriving
from app.window.beside.watching import Dying, Watch, close_down, off, trouble_words
from app.window.questions import Questions
from app.window.surroundings import environment
from app.worker_messages import (
    Answer,
    Begun,
    Done,
    Drawn,
    EditRequest,
    ExampleRequest,
    Examples,
    Explained,
    Fault,
    FigureAnswer,
    Frames,
    Gaps,
    Judged,
    Laid,
    Lit,
    Lost,
    MendRequest,
    Offered,
    OpenRequest,
    QuitRequest,
    Ready,
    Request,
    RuleStopped,
    Sized,
    SizeRequest,
    ViewRequest,
    WhyRequest,
    Working,
    answer_of,
    live_of,
    packed,
)
from app.worker_pictures import layer_of
from engine.edits import Edit
from engine.files.edit_form import plain_edit, plain_snapshot
from engine.installation import Snapshot
from engine.words import _

__all__ = ["Judge"]

log = logging.getLogger(__name__)

ARGUMENTS = ("-P", "-X", "faulthandler", "-m", "app.worker")
PATIENCE_MS = 2_000  # how long a newer request may wait before the process is ended, on a machine that is fast enough
STUDIES = 3  # of the longest study seen, where that is longer: a slow machine is not a process that hangs
START_MS = 30_000  # how long the process may take to start, to take in a drawing, to study one for the first time
PAUSES_MS = (0, 500, 2_000, 8_000, 30_000)  # before it is started again, the first time, the second, ...
SLICE_S = 0.004  # of work at once: the window's next frame comes first


class Judge(QObject):
    """The study process as the window knows it."""

    judged = Signal(object)  # Judgement
    drawn = Signal(object)  # SheetPicture
    lit = Signal(object)  # LiveParts
    figured = Signal(object)  # FigureAnswer: what flows, faults, energy
    layered = Signal(object)  # Layer
    sized = Signal(object)  # Sized
    exampled = Signal(object)  # Examples
    offered = Signal(object)  # Offered
    explained = Signal(object)  # Explained
    measured = Signal(object)  # Measured
    switched = Signal(object)  # Switched: failures, an order, how something is made dead
    tidied = Signal(object)  # TidyAnswer: how far it is, then the edit or why there is none
    busy = Signal(bool)  # whether something is still to come
    failed = Signal(str)  # a sentence: what is shown may be behind the drawing; once a trouble
    wanting = Signal()  # the process has nothing: `open` it with the drawing as it is now

    def __init__(self, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._process: QProcess | None = None
        self._frames = Frames()
        self._number = 0  # of the newest request
        self._edited = 0  # of the newest open or edit
        self._asked = 0  # of the newest open
        self._conditioned = 0  # of the newest view that changed the condition
        self._view: tuple[str, str, str, State | None, str] | None = None  # sheet, condition, layer, state, shown
        self._questions = Questions()  # asked and not yet answered
        self._opened = False  # whether the process has a drawing
        self._ready = False
        self._begun = 0
        self._begun_s = 0.0  # when it turned to that
        self._longest_s = 0.0  # of its studies that ended
        self._is_busy = False
        self._is_closed = False
        self._troubles = 0  # since something was last finished
        self._told = ""  # of the present trouble
        self._watch = Watch(self)
        self._watch.silent.connect(self._lose_silent)
        self._arriving = Arriving()
        self._dying = Dying()
        self._patience, self._again, self._rest = QTimer(self), QTimer(self), QTimer(self)
        calls = (self._lose_patience, self._start_again, self._take)
        for timer, call in zip((self._patience, self._again, self._rest), calls, strict=True):
            timer.setSingleShot(True)
            timer.timeout.connect(call)

    # -- what the document tells ------------------------------------------------------------------------------------
    def open(self, snapshot: Snapshot, last_id: int = 0, folder: str = "") -> None:
        """Begin anew with a whole drawing, kept in `folder`. Starts the process where it does not run."""
        del last_id  # ids are made by the window alone
        if self._is_closed:
            return
        if self._process is None:
            self._again.stop()
            self._start()
        self._opened = True
        self._arriving.open()
        self._number += 1
        self._edited = self._asked = self._number
        self._send(OpenRequest(self._number, plain_snapshot(snapshot), folder, dict(off())))
        if self._view is not None:
            self.view(*self._view)
        for make, wanted in self._questions.waiting:
            self._ask(make, wanted)

    def edit(self, edit: Edit) -> None:
        """Tell of an edit that was done, as whole records."""
        if self._opened:
            self._number += 1
            self._edited = self._number
            self._send(EditRequest(self._number, plain_edit(edit)))

    def view(self, sheet: str, condition: str, layer: str = "", state: State | None = None, shown: str = "all") -> None:
        """Tell what is looked at: that comes first."""
        other = self._view is None or (self._view[1], *self._view[3:]) != (condition, state, shown)
        self._view = sheet, condition, layer, state, shown
        if self._opened:
            self._number += 1
            if other:
                self._conditioned = self._number
            self._send(ViewRequest(self._number, sheet, condition, layer, state, shown))

    def size(self, *items: str) -> None:
        """Ask what things need; `sized` tells. What was asked before and not answered is forgotten."""
        self._ask(SizeRequest, items)

    def show_examples(self, rule: str) -> None:
        """Ask for the drawn examples of a rule; `exampled` tells. What was asked before is forgotten."""
        self._ask(ExampleRequest, rule)

    def mend(self, key: str) -> None:
        """Ask for the edits that put a finding right; `offered` tells. What was asked before is forgotten."""
        self._ask(MendRequest, key)

    def explain(self, *items: str) -> None:
        """Ask what rules say of things; `explained` tells. What was asked before and not answered is forgotten."""
        self._ask(WhyRequest, items)

    def measure(self, question: str) -> None:
        """Ask what a reading should be (`question_of`); `measured` tells. What was asked before is forgotten."""
        self._ask(MeasureRequest, question)

    def tell_failures(self, effort: int = 1) -> None:
        """Ask what still feeds essential loads when something has failed, trying so many times the usual."""
        self._ask(FailuresRequest, effort)

    def find_order(self, question: OrderQuestion) -> None:
        """Ask for a switching order; `switched` tells. What was asked before and not answered is forgotten."""
        self._ask(OrderRequest, question)

    def isolate(self, question: DeadQuestion) -> None:
        """Ask how something is made dead; `switched` tells. What was asked before and not answered is forgotten."""
        self._ask(IsolateRequest, question)

    def tidy(self, question: TidyQuestion) -> None:
        """Ask for a sheet laid out anew; `tidied` tells. What was asked before and not answered is forgotten."""
        self._ask(TidyRequest, question)

    def forget(self, *asked: type) -> None:
        """What was asked by these requests is not wanted any more: the process gives it up at once."""
        for make in asked:
            what = self._questions.forget(make)
            if what and self._opened:
                self._number += 1
                self._send(ForgetRequest(self._number, what))

    def _ask(self, make: Any, wanted: str | int | tuple[Any, ...]) -> None:
        self._questions.keep(make, wanted)
        if self._opened and wanted:
            self._number += 1
            self._send(make(self._number, wanted))

    def close(self) -> None:
        """End the process, whatever it is at. It has surely ended when this returns."""
        self._is_closed = True
        self._opened = False
        self._stop_timers()
        process, self._process = self._process, None
        self._set_busy(False)
        self._dying.wait()
        if process is None:
            return
        self._let_go(process)
        close_down(process, packed(QuitRequest()))

    @property
    def process_id(self) -> int:
        """Of the study process, 0 while there is none."""
        return self._process.processId() if self._process is not None else 0

    # -- the process ------------------------------------------------------------------------------------------------
    def _start(self) -> None:
        process = self._process = QProcess(self)
        process.setProgram(sys.executable)
        process.setArguments(list(ARGUMENTS))
        process.setProcessEnvironment(environment())
        process.readyReadStandardOutput.connect(self._arrived)
        process.readyReadStandardError.connect(self._log_said)
        process.finished.connect(self._ended)
        process.errorOccurred.connect(self._failed_to_start)
        self._frames = Frames()
        self._ready = False
        self._begun = 0
        process.start()
        self._patience.start(START_MS)

    def _send(self, request: Request) -> None:
        self._set_busy(True)
        if self._process is not None:
            self._process.write(packed(request))
            if self._ready and not self._patience.isActive():
                self._wait()

    def _wait(self) -> None:
        """For the process to turn to the newest request; longer where it has failed to before."""
        if self._begun < self._asked or not self._longest_s:
            self._patience.start(START_MS)
        else:
            usual = max(PATIENCE_MS, int(STUDIES * 1000 * self._longest_s))
            self._patience.start(usual << min(self._troubles, 4))

    def _lose_patience(self) -> None:
        process = self._process
        if process is not None and self._ready:
            process.waitForReadyRead(0)  # the window itself may have been held up
            self._take()
            if self._begun >= self._number or self._process is not process:
                return
        log.warning("the study process did not turn to request %d in time", self._number)
        self._drop()

    def _lose_silent(self) -> None:
        """It is in a study and says nothing: nobody asked anything newer, but somebody waits for this."""
        process = self._process
        if process is None or not self._is_busy or process.waitForReadyRead(0):
            return
        log.warning("the study process says nothing any more of request %d", self._number)
        self._drop()

    def _ended(self) -> None:
        if self._process is not None:
            log.warning("the study process ended by itself (%d)", self._process.exitCode())
            self._drop()

    def _failed_to_start(self, error: QProcess.ProcessError) -> None:
        if error == QProcess.ProcessError.FailedToStart and self._process is not None:
            log.warning("the study process cannot be started: %s", self._process.errorString())
            self._drop()

    def _drop(self) -> None:
        """End the process that is of no use and start another, the later the more often that was needed."""
        process, self._process = self._process, None
        self._watch.lost(self._frames)
        self._stop_timers()
        self._opened = False
        self._arriving.begin()
        if process is not None:
            self._let_go(process)
            self._read_log(process)
            self._dying.kill(process)
        pause = PAUSES_MS[min(self._troubles, len(PAUSES_MS) - 1)]
        self._troubles += 1
        self._tell(trouble_words(self._ready))
        self._again.start(pause)

    def _let_go(self, process: QProcess) -> None:
        """Nothing it still says is heard."""
        process.readyReadStandardOutput.disconnect(self._arrived)
        process.readyReadStandardError.disconnect(self._log_said)
        process.finished.disconnect(self._ended)
        process.errorOccurred.disconnect(self._failed_to_start)

    def _start_again(self) -> None:
        if not self._is_closed:
            self._start()
            self.wanting.emit()

    def _tell(self, sentence: str) -> None:
        if sentence != self._told:
            self._told = sentence
            self.failed.emit(sentence)

    def _stop_timers(self) -> None:
        self._watch.rest()
        for timer in (self._patience, self._again, self._rest):
            timer.stop()

    def _set_busy(self, is_busy: bool) -> None:
        if is_busy != self._is_busy:
            self._is_busy = is_busy
            self.busy.emit(is_busy)

    # -- what the process tells -------------------------------------------------------------------------------------
    def _log_said(self) -> None:
        if self._process is not None:
            self._read_log(self._process)

    def _read_log(self, process: QProcess) -> None:
        said = bytes(process.readAllStandardError().data()).decode("utf-8", "replace").strip()
        if said:
            log.warning("study process: %s", said)

    def _arrived(self) -> None:
        if self._process is not None:
            self._frames.feed(self._process.readAllStandardOutput().data())
            if not self._rest.isActive():
                self._take()

    def _take(self) -> None:
        """Take messages for the time of a slice; the rest when the window has had its turn."""
        until = time.perf_counter() + SLICE_S
        try:
            while self._process is not None and (body := self._frames.take()) is not None:
                self._watch.heard(self._longest_s)
                self._hear(answer_of(body))
                if time.perf_counter() > until:
                    self._rest.start(0)
                    return
        except ValueError:
            log.exception("the study process says what nobody understands")
            self._drop()

    def _hear(self, answer: Answer) -> None:
        if getattr(answer, "at", 0) > self._number:
            raise ValueError(f"an answer to request {answer!r:.80}, which was never made")
        if isinstance(answer, Ready):
            self._ready = True
            self._patience.stop()
            if self._opened:
                self._wait()
        elif isinstance(answer, Begun):
            self._begun, self._begun_s = answer.at, time.perf_counter()
            self._watch.rule = ""
            self._patience.stop()
            if answer.at < self._number:  # it does turn to newer ones
                self._wait()
            self._arriving.begin()
        elif isinstance(answer, (Judged, Gaps)):
            judgement = self._arriving.judgement(answer)
            if judgement is not None and judgement.at >= self._edited:
                self._told = ""  # what was behind is not any more
                self.judged.emit(judgement)
        elif isinstance(answer, Drawn):
            looked_at = "" if self._view is None else self._view[0]
            picture = self._arriving.picture(answer, max(self._edited, self._conditioned), looked_at)
            if picture is not None:
                self.drawn.emit(picture)
        elif isinstance(answer, Lit):
            if answer.at >= max(self._edited, self._conditioned):
                self.lit.emit(live_of(answer))
        elif isinstance(answer, FigureAnswer):
            if answer.at >= self._edited:
                self.figured.emit(answer)
        elif isinstance(answer, Laid):
            wanted = None if self._view is None else self._view[:4]
            fresh = answer.at >= max(self._edited, self._conditioned)  # not of another view of the work
            if fresh and (answer.sheet, answer.condition, answer.what, None) == wanted:
                self.layered.emit(layer_of(answer))
        elif isinstance(answer, (Sized, Examples, Offered, Explained, Measured, Switched, TidyAnswer)):
            self._hear_asked(answer)
        elif isinstance(answer, Working):
            self._watch.rule = answer.rule
        elif isinstance(answer, RuleStopped):
            self._watch.stopped(answer.rule, answer.words)
        elif isinstance(answer, Lost):
            self._hear_lost(answer)
        elif isinstance(answer, Fault):
            if answer.at >= self._edited:
                self._tell(_("Findings may be missing: {fault}").format(fault=answer.words))
        elif isinstance(answer, Done):
            self._longest_s = max(self._longest_s, time.perf_counter() - self._begun_s)
            if answer.at < self._number:
                return
            self._troubles = 0
            self._watch.finished()
            self._set_busy(False)

    def _hear_asked(self, answer: Sized | Examples | Offered | Explained | Measured | Switched | TidyAnswer) -> None:
        of = {
            Sized: self.sized,
            Examples: self.exampled,
            Offered: self.offered,
            Explained: self.explained,
            Measured: self.measured,
            TidyTold: self.tidied,
        }
        if isinstance(answer, SwitchingSoFar):
            if answer.at >= self._edited:
                self.switched.emit(answer)
        elif isinstance(answer, TidySoFar):
            if answer.at >= self._edited:
                self.tidied.emit(answer)
        elif self._questions.is_answered(answer, self._edited):
            of.get(type(answer), self.switched).emit(answer)

    def _hear_lost(self, answer: Lost) -> None:
        if answer.at > self._asked:
            self._opened = False
            self.wanting.emit()
        elif answer.at == self._asked:  # sent whole, it was not understood: to send it again is of no use
            self._tell(_("Findings and labels are missing: the drawing could not be handed to the study process."))
            self._patience.stop()
            self._watch.rest()
            self._set_busy(False)
