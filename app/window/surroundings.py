"""What the program's other processes are started with."""

from __future__ import annotations

import contextlib
import os
import tempfile
from collections.abc import Callable, Sequence
from pathlib import Path

from PySide6.QtCore import QProcess, QProcessEnvironment, QTimer

from engine.words import _

__all__ = [
    "PATIENCE_MS",
    "drop_folder",
    "end_now",
    "ended_words",
    "environment",
    "patience",
    "said_words",
    "silent_words",
]

PATIENCE_MS = 15 * 60_000  # that a process of the command line may go on without a word


def environment() -> QProcessEnvironment:
    """That of this process, with the folder this program's packages stand in first."""
    made = QProcessEnvironment.systemEnvironment()
    import app
    from app import words

    made.insert(words.ENVIRONMENT, words.speaks())
    assert app.__file__ is not None
    root = str(Path(app.__file__).parents[1])
    made.insert("PYTHONPATH", os.pathsep.join(each for each in (root, made.value("PYTHONPATH")) if each))
    return made


def patience(process: QProcess, call: Callable[[], object]) -> QTimer:
    """A clock of a process: `call` is called where it is neither started anew nor stopped in time. It runs already."""
    made = QTimer(process)
    made.setSingleShot(True)
    made.setInterval(PATIENCE_MS)
    made.timeout.connect(call)
    made.start()
    return made


def silent_words() -> str:
    """Why nothing came of it: the process hangs."""
    return _("the process that works it out does not answer")


def ended_words() -> str:
    """Why nothing came of it: the process is gone."""
    return _("the process that works it out ended")


def said_words(lines: Sequence[str]) -> str:
    """The last sentence a process said, for a person; what Python says of its own fault is for the log."""
    if any(line.startswith("Traceback") for line in lines):
        return _("there is not enough memory for it") if lines[-1] == "MemoryError" else _("the log tells why")
    return (lines[-1] if lines else "").removeprefix("linewright: ") or _("the log tells why")


def drop_folder(folder: tempfile.TemporaryDirectory[str] | None) -> None:
    """Take away the folder a process worked in. What cannot be taken away stays: nobody could do anything about it."""
    if folder is not None:
        with contextlib.suppress(OSError):
            folder.cleanup()


def end_now(process: QProcess) -> None:
    """Kill a process, if it still runs; nothing of it is heard any more."""
    process.blockSignals(True)
    if process.state() != QProcess.ProcessState.NotRunning:
        process.kill()
        process.waitForFinished(2_000)
