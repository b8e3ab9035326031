"""The study in a process of its own: `python -m app.worker`, spoken to by `app.window.judge` over stdin and stdout.

It keeps a copy of the drawing, told of every edit, and after each tells in this order: the judgement, the picture of
the sheet that is shown, what is live in the condition that is shown, the other sheets; last the figures: what flows,
the layer over the sheet that is shown where one is wanted, energy, faults, the energy of the other conditions. A newer
request makes it give up what it is at: between rules, between sheets, between figures. What it has to log goes to
stderr, which the window writes into the log.

It ends when its input ends, so it never outlives the window; at most it is killed, which loses nothing.
"""

from __future__ import annotations

import contextlib
import gc
import logging
import os
import queue
import signal
import sys
import threading
import time
from collections.abc import Callable
from typing import BinaryIO, TypeAlias

from app import words
from app.drawing.in_condition import State, positions_shown, running_in
from app.drawing.screen import Screen
from app.frames import streams
from app.judgement import Judgement, SheetPicture
from app.judging_own import OwnJudging
from app.judging_soon import rules_told_first, with_remarks
from app.memory_held import hold_memory
from app.own_rules import of_the_person
from app.switching_messages import ForgetRequest, SwitchingRequest
from app.worker_asked import Asked, AskedRequest
from app.worker_guard import MEMORY_BYTES, Guard
from app.worker_messages import (
    Answer,
    Begun,
    Done,
    EditRequest,
    ExampleRequest,
    Examples,
    Fault,
    Frames,
    Lost,
    OpenRequest,
    QuitRequest,
    Ready,
    Request,
    ViewRequest,
    judged_parts,
    lit_of,
    packed,
    request_of,
)
from app.worker_pictures import drawn_parts
from app.worker_switching import Switching
from app.worker_telling import FigureTeller, Superseded, View, said
from engine.books import load_beside
from engine.check import CheckResult, check
from engine.circuit.expand import expand
from engine.circuit.live_from import live_from, way_between
from engine.edits import EditError, apply, fill, touched
from engine.files.edit_form import edit_of, snapshot_of
from engine.installation import Snapshot
from engine.installation.model import Installation
from engine.rules.disabled import only_disabled
from engine.study import Study
from engine.tracing.resting import carried, with_resting

__all__ = ["Worker", "main"]

log = logging.getLogger(__name__)

Send: TypeAlias = Callable[[Answer], None]
CHUNK = 1 << 16
TELL_S = 0.5  # while requests come faster than they are taken
SOON_S = 0.15  # a judgement that takes longer is told in two parts
PAUSE_S = 0.2  # between the two
NICE = 2  # the window comes first where there is one processor for both


class Worker:
    """Takes requests, sends answers. `newer()` tells whether another request waits."""

    def __init__(self, send: Send, newer: Callable[[], bool], own: OwnJudging | None = None) -> None:
        self._send = send
        self._newer = newer
        self._guard = Guard(send)
        self._installation: Installation | None = None
        self._snapshot: Snapshot | None = None
        self._behind: set[tuple[str, str]] = set()  # (table, id) of what has changed since
        self._screen = Screen(self._go_on)
        self._set: tuple[Snapshot, str, State | None, str] | None = None  # what the screen shows
        self._result: CheckResult | None = None  # of the snapshot
        self._study: Study | None = None  # what the result rests on: its circuit tells too what is live
        self._sheet = ""
        self._condition = ""
        self._state: State | None = None  # shown in place of the condition
        self._shown = "all"  # before the work, after it, ...
        self._layer = ""
        self._at = 0
        self._sent: dict[str, SheetPicture] = {}
        self._told = False  # whether the judgement of this snapshot has been sent
        self._lit: tuple[Snapshot, str, State | None] | None = None
        self._figures = FigureTeller(send, self._go_on, self._screen)
        self._to_show = ""  # the rule whose examples are asked for and not yet drawn
        self._asked = Asked(send, self._go_on)
        self._switching = Switching(send, self._go_on)
        self._folder = ""  # of the drawing's file
        self._whole: CheckResult | None = None  # the last whole judgement, of whatever snapshot
        self._lasts_s = 0.0  # what that took
        self._soon_s = 0.0  # what of the present one took the part that was told first
        self._own = own or OwnJudging()
        self._rested: Snapshot | None = None  # of which it was told what rests on assumed values

    # -- requests -----------------------------------------------------------------------------------------------
    def take(self, request: Request) -> None:
        """Do what is asked; the study of it comes with `study`."""
        if isinstance(request, QuitRequest):
            return
        self._at = request.number
        if isinstance(request, ViewRequest):
            self._sheet, self._condition, self._layer = request.sheet, request.condition, request.layer
            self._state, self._shown = request.state, request.shown
            self._figures.look_away()
            return
        if isinstance(request, AskedRequest):
            self._asked.take(request)
            if not isinstance(request, ForgetRequest):
                return
        if isinstance(request, SwitchingRequest):
            self._switching.take(request)
            return
        if isinstance(request, ExampleRequest):
            self._to_show = request.rule
            return
        self._result, self._told, self._lit = None, False, None
        self._figures.forget()
        try:
            if isinstance(request, OpenRequest):
                self._open(request)
            else:
                self._edit(request)
        except (ValueError, EditError) as fault:
            log.exception("request %d: out of step with the window", request.number)
            self._installation = None
            del fault
            self._send(Lost(request.number))

    def _open(self, request: OpenRequest) -> None:
        only_disabled(request.off)
        self._own.allow_again()
        snapshot = snapshot_of(request.drawing)
        made = Installation()
        fill(made, ((table, item, record) for table, some in snapshot.tables.items() for item, record in some.items()))
        fill(made, ((name, "", record) for name, record in snapshot.lone.items()))
        self._installation, self._snapshot = made, made.snapshot()
        self._folder = request.folder
        self._behind.clear()
        self._sent.clear()

    def _edit(self, request: EditRequest) -> None:
        if self._installation is None:
            return  # asked for anew already
        edit = edit_of(request.edit)
        apply(self._installation, edit, again=True)  # the window has done it
        self._behind.update(touched(edit))

    def _catch_up(self) -> Snapshot:
        """The snapshot after all edits taken: made once for many that came together."""
        made, before = self._installation, self._snapshot
        assert made is not None
        assert before is not None
        if self._behind:
            before = self._snapshot = made.snapshot_after(before, self._behind)
            self._behind.clear()
        return before

    # -- the study ----------------------------------------------------------------------------------------------
    def study(self) -> None:
        """Tell all there is to tell of the present state, as far as no newer request comes. Raises nothing."""
        self.tell_begun()
        self._tell_examples()
        if self._installation is None:
            return
        try:
            self._tell_all()
        except Superseded:
            return
        except Exception as fault:
            log.exception("the study of request %d stopped", self._at)
            self._send(Fault(self._at, said(fault)))
        self._send(Done(self._at))

    def tell_begun(self) -> None:
        """Tell how far requests were taken: so that the window knows that somebody takes them."""
        self._send(Begun(self._at))

    def _tell_all(self) -> None:
        snapshot = self._catch_up()
        self._asked.tell_tidied(snapshot, self._at)
        refused: Exception | None = None
        if self._result is None:
            try:
                self._study = Study(snapshot, load_beside(snapshot.settings.book, self._folder or None))
                self._study.entering = self._guard.enter
                self._own.begin(self._study)
                self._tell_soon(snapshot)
                self._result = self._judge(snapshot)
            except Superseded:
                raise
            except Exception as fault:  # a drawing whose book is not known is drawn all the same
                refused = fault
        self._go_on()
        self._show(snapshot)
        self._go_on()
        first = self._first()
        if first:
            self._draw(first)
        self._light(snapshot)
        study = self._study if self._study is not None and self._study.snapshot is snapshot else None
        if study is not None:
            self._asked.tell_sizes(study, self._at)
            self._asked.tell_measured(study, self._at)
            self._asked.tell_why(study, self._result, self._at)
        for sheet in self._screen.sheets:
            if sheet != first:
                self._draw(sheet)
        if self._screen.count_pages():
            for sheet in (first, *self._screen.sheets) if first else ():
                self._draw(sheet)
        for gone in self._sent.keys() - set(self._screen.sheets):
            del self._sent[gone]
        if study is not None:
            self._asked.tell_edits(study, self._result, self._at)
            self._switching.tell(study, self._at)
        refused = self._tell_own(snapshot) or refused
        if self._study is not None and self._study.snapshot is snapshot:
            self._figures.tell(self._study, self._result, self._at, View(first, self._condition, self._layer))
        self._tell_resting(snapshot)
        if refused is not None:
            if study is None:
                self._switching.refuse(said(refused), self._at)
            raise refused

    def _first(self) -> str:
        """The sheet that is looked at."""
        return self._sheet if self._sheet in self._screen.sheets else next(iter(self._screen.sheets), "")

    def _judge(self, snapshot: Snapshot) -> CheckResult:
        """The whole judgement."""
        study = self._study
        assert study is not None
        begun = time.perf_counter()
        result = check(snapshot, go_on=self._go_on, study=study)
        self._guard.heed(study, result, self._at)
        self._lasts_s = time.perf_counter() - begun + self._soon_s
        before = self._whole
        self._whole = self._own.beside(result, before, snapshot)
        self._whole = carried(self._whole, before, snapshot)
        return self._whole

    def _tell_resting(self, snapshot: Snapshot) -> None:
        """Last: what of the judgement rests on values that are only assumed."""
        study, result = self._study, self._result
        if self._rested is snapshot or study is None or result is None or study.snapshot is not snapshot:
            return
        made = with_resting(result, snapshot, study.book, go_on=self._go_on)
        self._rested = snapshot
        if made != result:
            self._retell(made, snapshot)

    def _retell(self, made: CheckResult, snapshot: Snapshot) -> None:
        self._result = self._whole = made
        self._told = False
        self._show(snapshot)
        for sheet in self._screen.sheets:
            self._draw(sheet)

    def _tell_own(self, snapshot: Snapshot) -> Exception | None:
        """The judgement again, with what the person's own rules say; or the fault of the program that stopped it."""
        try:
            made = self._own.late(self._study, self._result, snapshot, self._go_on)
        except Superseded:
            raise
        except Exception as fault:
            if self._study is not None and self._result is not None:
                self._retell(self._own.fallen(self._study, self._result, snapshot, said(fault)), snapshot)
            return fault
        self._guard.leave()
        if made is not None:
            self._retell(made, snapshot)
        return None

    def _tell_soon(self, snapshot: Snapshot) -> None:
        """Where the whole judgement takes long: first the dangers and warnings that need nothing solved, told at once.

        What the other rules said before stands beside it until they have judged anew; of what is gone they say no more.
        """
        self._soon_s = 0.0
        whole, study = self._whole, self._study
        if whole is None or study is None or self._lasts_s < SOON_S or whole.book != study.book.slug:
            return
        begun = time.perf_counter()
        soon = check(snapshot, only=rules_told_first(), go_on=self._go_on, study=study)
        self._soon_s = time.perf_counter() - begun
        self._result = with_remarks(soon, whole, snapshot)
        self._show(snapshot)
        first = self._first()
        if first:
            self._draw(first)
        self._result, self._told = None, False
        until = time.perf_counter() + PAUSE_S
        while time.perf_counter() < until:  # solving cannot be given up halfway: first see whether more comes
            self._go_on()
            time.sleep(PAUSE_S / 20)

    def _tell_examples(self) -> None:
        """The drawn examples of a rule, before anything else: they are small, and somebody waits for them."""
        rule, self._to_show = self._to_show, ""
        if not rule:
            return
        try:
            from app.help.examples import sent
            from app.help.pictures import shown_examples

            self._send(Examples(self._at, rule, sent(shown_examples(rule))))
        except Exception as fault:
            log.exception("the examples of request %d stopped", self._at)
            self._send(Examples(self._at, rule, words=said(fault)))

    def _show(self, snapshot: Snapshot) -> None:
        result = self._result
        is_set = self._set is not None and self._set[0] is snapshot and self._set[1:] == self._looked
        if not is_set:
            self._screen.set(snapshot, *self._looked)
            self._set = snapshot, *self._looked
        if result is not None and not (is_set and self._told):
            numbers, homes = self._screen.note(result)
            if not self._told:
                for part in judged_parts(Judgement(self._at, result, numbers, homes)):
                    self._send(part)
                self._told = True

    @property
    def _looked(self) -> tuple[str, State | None, str]:
        """How the drawing is looked at."""
        return self._condition, self._state, self._shown

    def _draw(self, sheet: str) -> None:
        self._go_on()
        picture = self._screen.picture(sheet, self._at)
        self._go_on()
        before = self._sent.get(sheet)
        for part in drawn_parts(picture, None if before is None else before.of):
            self._send(part)
        self._sent[sheet] = picture

    def _light(self, snapshot: Snapshot) -> None:
        if _is_of(self._lit, snapshot, self._condition, self._state):
            return
        self._go_on()
        running = running_in(snapshot, self._condition, self._state)
        study = self._study
        circuit = study.circuit if study is not None and study.snapshot is snapshot else expand(snapshot)
        positions = positions_shown(snapshot, self._condition, self._state)
        state = self._state or State(())
        found = live_from(circuit, positions, running, state.gone, state.silent)
        way = way_between(circuit, positions, state.about) if self._state is not None else ()
        self._send(lit_of(self._at, self._condition, found, way))
        self._lit = snapshot, self._condition, self._state

    def _go_on(self) -> None:
        self._guard.beat()
        if self._newer():
            raise Superseded


def _is_of(what: tuple[Snapshot, str, State | None] | None, snapshot: Snapshot, condition: str, state: object) -> bool:
    return what is not None and what[0] is snapshot and what[1:] == (condition, state)


# -- the process ------------------------------------------------------------------------------------------------------
def main() -> int:
    """Serve until the input ends."""
    incoming, outgoing = streams()
    logging.basicConfig(stream=sys.stderr, level=logging.INFO, format="%(levelname)s %(name)s: %(message)s")
    signal.signal(signal.SIGINT, signal.SIG_IGN)  # from a terminal it comes to all: the window decides what ends
    with contextlib.suppress(OSError, AttributeError):
        os.nice(NICE)
    hold_memory(MEMORY_BYTES)
    words.load()  # what it tells and draws is read by whoever reads the window
    gc.set_threshold(100_000, 20, 50)  # records live long: to look at them again and again finds nothing
    waiting: queue.SimpleQueue[Request] = queue.SimpleQueue()
    threading.Thread(target=_read, args=(incoming, waiting, os._exit), daemon=True).start()

    def send(answer: Answer) -> None:
        outgoing.write(packed(answer))
        outgoing.flush()

    try:
        send(Ready())
        serve(Worker(send, lambda: not waiting.empty(), OwnJudging(of_the_person())), waiting)
    except BrokenPipeError:
        return 0  # the window has gone
    return 0


def serve(worker: Worker, waiting: queue.SimpleQueue[Request]) -> None:
    """Take requests as they come, several at once where several wait, until one asks to end."""
    while True:
        request = waiting.get()
        told_s = time.monotonic()
        while True:
            if isinstance(request, QuitRequest):
                return
            worker.take(request)
            if time.monotonic() > told_s + TELL_S:
                worker.tell_begun()
                told_s = time.monotonic()
            if waiting.empty():
                break
            request = waiting.get()
        worker.study()


def _read(incoming: BinaryIO, waiting: queue.SimpleQueue[Request], end: Callable[[int], object]) -> None:
    """Only queues. When the input ends the process ends, whatever it is at: there is nothing to save."""
    frames = Frames()
    try:
        while some := incoming.read(CHUNK):
            frames.feed(some)
            while (body := frames.take()) is not None:
                request = request_of(body)
                if isinstance(request, QuitRequest):
                    end(0)
                waiting.put(request)
    except (OSError, ValueError, MemoryError):
        log.exception("the window said what nobody understands, or what there is no memory for")
        end(1)
    end(0)


if __name__ == "__main__":
    sys.exit(main())
