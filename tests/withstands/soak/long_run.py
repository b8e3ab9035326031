"""A long day's work in chapters: `long_run.py FOLDER SEED EDITS`. Figures of each, once its window is closed.

Whatever Qt or the program says of itself ends it.
"""

from __future__ import annotations

import importlib.util
import json
import logging
import os
import random
import sys
from collections.abc import Callable
from pathlib import Path
from types import ModuleType, TracebackType

from PySide6.QtCore import QCoreApplication, QEvent, QtMsgType, qInstallMessageHandler
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication

from app.window import ask, files, start
from app.window.main import Window
from engine.files.drawing import load


def _read(name: str) -> ModuleType:
    spec = importlib.util.spec_from_file_location(f"soak_{name}", Path(__file__).with_name(f"{name}.py"))
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


person, watch = _read("person"), _read("watch")

SAMPLE = Path(__file__).parents[3] / "samples" / "launch" / "launch.linewright"
CHAPTER, EVERY = 1250, 500  # edits in one window; between two looks
HARMLESS = ("propagateSizeHints", "raise()", "grabbing the keyboard")  # Qt on a machine without a screen


def work(window: Window, seed: int, edits: int, every: int, say: Callable[[str], object] = print) -> None:
    """Have somebody work until so many edits were made, and look at all of it now and then."""
    hand, replay = person.Person(window, random.Random(seed)), watch.Replay(window.document)
    acts, looked, last = 0, 0, ""
    try:
        while replay.edits < edits:
            last = hand.act()
            acts += 1
            assert acts < edits * 20 + 500, f"hardly anything can be done any more: {hand.did}, {hand.refused}"
            if replay.edits - looked >= every or replay.edits >= edits:
                looked = replay.edits
                hand.to_board()
                replay.agrees()
                watch.board_is_as_drawn_anew(window)
    except BaseException as fault:
        fault.add_note(f"seed {seed}, after {replay.edits} edits, the last act: {last}")
        raise
    finally:
        hand.leave()
        replay.done()
    say(f"seed {seed}: {replay.edits} edits by {acts} acts, {sum(hand.refused.values())} refused")


def closed(window: Window) -> None:
    """Close it and have all go that waits to be deleted."""
    window.leaving = True
    window.close()
    for _n in range(3):
        QCoreApplication.sendPostedEvents(None, QEvent.Type.DeferredDelete)
        QApplication.processEvents()


def main(folder: Path, seed: int, edits: int) -> None:
    """Chapter after chapter, each on the file that the one before left."""
    heard: list[str] = []
    _listen(heard)
    application = QApplication([])
    start.set_up(application)
    files.ask = ask.ask = lambda _parent, question: question.answers[-1].key
    path = folder / "tern.linewright"
    path.write_bytes(SAMPLE.read_bytes())
    desk, done, chapter = start.Desk(judging=False), 0, 0
    while done < edits:
        window = desk.open_path(path)
        assert window is not None
        window.activateWindow()
        while window.document.journal is None:
            QTest.qWait(5)
        some = min(CHAPTER, edits - done)
        work(window, seed * 1000 + chapter, some, EVERY, lambda text: None)
        journal = window.document.journal.file
        size = 0 if journal is None or not journal.exists() else journal.stat().st_size
        assert files.save(window)
        assert load(path).installation.snapshot() == window.document.snapshot()
        during = watch.held(window)
        closed(window)
        del window
        assert not heard, heard
        told = watch.held()._asdict()
        print(json.dumps(told | {"edits": some, "journal": size, "open_python": during.python}), flush=True)
        done, chapter = done + some, chapter + 1


def _listen(heard: list[str]) -> None:
    def of_qt(_type: QtMsgType, _context: object, text: str) -> None:
        if not any(each in text for each in HARMLESS):
            heard.append(text)

    def raised(sort: type[BaseException], fault: BaseException, trace: TracebackType | None) -> None:
        heard.append(f"{sort.__name__}: {fault}")
        sys.__excepthook__(sort, fault, trace)

    listener = logging.Handler(logging.WARNING)
    listener.emit = lambda record: heard.append(record.getMessage())  # type: ignore[method-assign]
    for name in ("app", "engine", "symbols"):
        logging.getLogger(name).addHandler(listener)
    qInstallMessageHandler(of_qt)
    sys.excepthook = raised


if __name__ == "__main__":
    main(Path(sys.argv[1]), int(sys.argv[2]), int(sys.argv[3]))
    sys.stdout.flush()
    os._exit(0)  # Qt's own end is another test's business
