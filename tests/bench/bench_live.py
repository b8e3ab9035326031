"""What the window waits for, and whether it waits at all.

1. 1000 pieces on A3 sheets: from an edit to the right judgement received, and to the picture of the shown sheet with
   its notes, both by way of the study process. Target: 200 ms for the later of the two (median of the edits); told as a
   ratio to one `check` of the same drawing in this process too. It is missed since the catalogue is whole (some 400 ms
   where nothing else runs); fails above four times the target, so that it does not grow.
2. The frame time of a window that draws a moderately full scene at 60 frames a second while the study process studies
   5000 pieces without a pause: at most 2 times that of the same window with nothing studied (median; the 95th
   hundredth is told). Fails above twice the target.
3. The longest time one message of the study process takes the window at 1000 pieces: at most 8 ms, fails above twice.
"""

from __future__ import annotations

import os
import statistics
import sys
import time

os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")

from boats import boat
from PySide6.QtCore import QElapsedTimer, QEventLoop, QRectF, Qt, QTimer
from PySide6.QtGui import QBrush, QPainterPath, QPen
from PySide6.QtWidgets import QApplication, QGraphicsPathItem, QGraphicsScene, QGraphicsView

from app.drawing.sheets import laid_out
from app.judgement import Judgement, SheetPicture
from app.window.document import Document
from app.window.judge import Judge
from engine.check import check
from engine.edits import SetFields, fill
from engine.installation.model import Installation, Snapshot

AT, STUDIED = 1000, 5000
NOTES_MS, FRAME_RATIO, MESSAGE_MS = 200.0, 2.0, 8.0
EDITS, FRAMES = 15, 240
FRAME_MS = 16
ITEMS = 600  # of the scene that is drawn anew every frame


def installation_of(snapshot: Snapshot) -> Installation:
    """An installation with the records of a snapshot."""
    made = Installation()
    fill(made, ((table, i, record) for table, some in snapshot.tables.items() for i, record in some.items()))
    fill(made, ((name, "", record) for name, record in snapshot.lone.items()))
    return made


class Watch:
    """When the answers to the newest edit came."""

    def __init__(self, document: Document, judge: Judge) -> None:
        self.document, self.judge = document, judge
        self.judged = self.drawn = 0.0
        self.began = 0.0
        judge.judged.connect(self._judged)
        judge.drawn.connect(self._drawn)

    def edit(self, table: str, item: str, field: str, value: object) -> tuple[float, float]:
        """Do an edit; ms until judged, until the shown sheet is drawn with its notes."""
        self.judged = self.drawn = 0.0
        self.began = time.perf_counter()
        self.document.do(SetFields(table, item, ((field, value),), "Edit"))
        turn_until(lambda: bool(self.judged and self.drawn))
        return self.judged, self.drawn

    def _judged(self, judgement: Judgement) -> None:
        if judgement.at == self.judge._number:
            self.judged = (time.perf_counter() - self.began) * 1000

    def _drawn(self, picture: SheetPicture) -> None:
        if picture.at == self.judge._number and picture.sheet == self.document.sheet and not self.drawn:
            self.drawn = (time.perf_counter() - self.began) * 1000


def turn_until(done: object) -> None:
    """Let Qt work until `done()`."""
    clock = QElapsedTimer()
    clock.start()
    while not done():  # type: ignore[operator]
        QApplication.processEvents(QEventLoop.ProcessEventsFlag.WaitForMoreEvents, 20)
        if clock.elapsed() > 300_000:
            raise SystemExit("the study process does not answer")


def best_check(snapshot: Snapshot) -> float:
    """Shortest of five, ms."""
    times = []
    for _ in range(5):
        start = time.perf_counter()
        check(snapshot)
        times.append((time.perf_counter() - start) * 1000)
    return min(times)


def notes() -> tuple[float, float]:
    """Print the times of edits at 1000 pieces; the later median in ms, the longest message in ms."""
    document = Document(installation_of(laid_out(boat(AT).snapshot())))
    judge = Judge()
    longest = [0.0]
    hear = judge._hear

    def timed(answer: object) -> None:
        start = time.perf_counter()
        hear(answer)  # type: ignore[arg-type]
        longest[0] = max(longest[0], (time.perf_counter() - start) * 1000)

    document.take_judge(judge)
    turn_until(lambda: not judge._is_busy)
    judge._hear = timed  # type: ignore[method-assign]
    floor = best_check(document.snapshot())
    watch = Watch(document, judge)
    sheets = document.sheets()
    shown = sheets[len(sheets) // 2]
    document.turn_to(shown)
    turn_until(lambda: not judge._is_busy)
    tables = document.installation.tables
    placed = [i for i, p in tables["placements"].items() if p.sheet == shown]
    routed = [r.run for r in tables["routes"].values() if r.sheet == shown]
    judged, drawn = [], []
    for n in range(EDITS):
        if n % 3 == 0:
            moved = tables["placements"][placed[n % len(placed)]]
            times = watch.edit("placements", placed[n % len(placed)], "x", moved.x + (1 if n % 2 else -1))
        elif n % 3 == 1:
            times = watch.edit("runs", routed[n % len(routed)], "length_m", 1.0 + n)
        else:
            times = watch.edit("runs", routed[n % len(routed)], "size", ("16 AWG", "4 AWG")[n % 2])
        judged.append(times[0])
        drawn.append(times[1])
    turn_until(lambda: not judge._is_busy)
    judge.close()
    later = statistics.median(drawn)
    print(
        f"{AT} pieces on {len(sheets)} sheets: one check here {floor:.0f} ms; from an edit to the judgement "
        f"{statistics.median(judged):.0f} ms = {statistics.median(judged) / floor:.1f} checks, to the shown sheet with "
        f"its notes {later:.0f} ms = {later / floor:.1f} checks (target {NOTES_MS:.0f} ms; slowest {max(drawn):.0f} ms)"
    )
    print(f"longest message for the window: {longest[0]:.1f} ms (target {MESSAGE_MS:.0f} ms)")
    return later, longest[0]


class Scene:
    """A view of many strokes that is moved and painted every frame."""

    def __init__(self) -> None:
        self.scene = QGraphicsScene(QRectF(0, 0, 1200, 800))
        pen = QPen(Qt.GlobalColor.black, 0.35)
        for n in range(ITEMS):
            path = QPainterPath()
            x, y = 20 + (n % 40) * 29, 20 + (n // 40) * 50
            path.addEllipse(x, y, 12, 12)
            path.moveTo(x, y + 20)
            path.lineTo(x + 25, y + 20)
            path.lineTo(x + 25, y + 40)
            item = QGraphicsPathItem(path)
            item.setPen(pen)
            item.setBrush(QBrush(Qt.BrushStyle.NoBrush))
            self.scene.addItem(item)
        self.view = QGraphicsView(self.scene)
        self.view.resize(1200, 800)
        self.view.show()
        self.times: list[float] = []
        self._last = 0.0
        self.timer = QTimer()
        self.timer.setTimerType(Qt.TimerType.PreciseTimer)
        self.timer.timeout.connect(self.frame)

    def frame(self) -> None:
        """One frame: how long since the last one was due, painting included."""
        now = time.perf_counter()
        self.view.viewport().repaint()
        done = time.perf_counter()
        waited = max(0.0, now - self._last - FRAME_MS / 1000) if self._last else 0.0
        self.times.append((waited + done - now) * 1000)
        self._last = now

    def run(self, frames: int) -> tuple[float, float]:
        """Median and 95th hundredth of so many frames, ms: lateness and painting."""
        self.times.clear()
        self._last = 0.0
        self.timer.start(FRAME_MS)
        turn_until(lambda: len(self.times) >= frames)
        self.timer.stop()
        return statistics.median(self.times), statistics.quantiles(self.times, n=20)[-1]


def frames() -> float:
    """Print frame times with and without a study of 5000 pieces; the ratio of the medians."""
    document = Document(boat(STUDIED))
    judge = Judge()
    document.take_judge(judge)
    turn_until(lambda: not judge._is_busy)
    scene = Scene()
    scene.run(60)
    idle = scene.run(FRAMES)
    studies = [0]
    runs = document.installation.ids("runs")

    def again(is_busy: bool) -> None:
        if not is_busy:
            studies[0] += 1
            QTimer.singleShot(0, edit)

    def edit() -> None:
        if judge._opened:
            run = runs[studies[0] % len(runs)]
            document.do(SetFields("runs", run, (("length_m", 2.0 + studies[0]),), "Edit"))

    judge.busy.connect(again)
    edit()
    busy = scene.run(FRAMES)
    judge.busy.disconnect(again)
    judge.close()
    ratio = busy[0] / idle[0]
    print(
        f"frame time idle {idle[0]:.2f} ms (95 %: {idle[1]:.2f}), while {STUDIED} pieces are studied {busy[0]:.2f} ms "
        f"(95 %: {busy[1]:.2f}) = {ratio:.2f} x (target {FRAME_RATIO}); {studies[0]} studies ended meanwhile"
    )
    scene.view.close()
    return ratio


def main() -> int:
    """Print all; 1 where something takes more than it may."""
    application = QApplication.instance() or QApplication(sys.argv)
    later, longest = notes()
    ratio = frames()
    del application
    return 1 if later > 4 * NOTES_MS or ratio > 2 * FRAME_RATIO or longest > 2 * MESSAGE_MS else 0


if __name__ == "__main__":
    sys.exit(main())
