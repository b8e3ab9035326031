"""What the program's other processes are started with."""

from __future__ import annotations

import os
from pathlib import Path

from PySide6.QtCore import QProcess, QProcessEnvironment

__all__ = ["end_now", "environment"]


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


def end_now(process: QProcess) -> None:
    """Kill a process, if it still runs; nothing of it is heard any more."""
    process.blockSignals(True)
    if process.state() != QProcess.ProcessState.NotRunning:
        process.kill()
        process.waitForFinished(2_000)
