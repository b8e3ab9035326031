"""Rules and books read beforehand, a file at a time between two frames: the first page of help is no wait."""

from __future__ import annotations

import importlib
import pkgutil
from collections.abc import Callable, Iterator
from functools import partial

from PySide6.QtCore import QObject, QTimer

__all__ = ["Warming"]

PAUSE_MS = 40  # between two files: whoever works at the sheet comes first


class Warming(QObject):
    """Begins with `begin`, ends by itself; dies with its parent."""

    def __init__(self, parent: QObject) -> None:
        super().__init__(parent)
        self.is_done = False
        self._steps: Iterator[Callable[[], object]] | None = None
        self._timer = QTimer(self)
        self._timer.setSingleShot(True)
        self._timer.timeout.connect(self._step)

    def begin(self, after_ms: int = 1000) -> None:
        """Once; further calls do nothing."""
        if self._steps is None:
            self._steps = _steps()
            self._timer.start(after_ms)

    def stop(self) -> None:
        """Nothing more."""
        self._timer.stop()

    def _step(self) -> None:
        assert self._steps is not None
        step = next(self._steps, None)
        if step is None:
            self.is_done = True
            return
        step()
        self._timer.start(PAUSE_MS)


def _steps() -> Iterator[Callable[[], object]]:
    """What there is to read, the small before what needs it."""
    yield partial(importlib.import_module, "engine.study")
    yield partial(importlib.import_module, "engine.circuit.coverage")
    from engine.rules.rule import FAMILIES, rules

    for family in FAMILIES:
        package = importlib.import_module(f"engine.rules.{family}")
        for info in pkgutil.iter_modules(package.__path__):
            yield partial(importlib.import_module, f"engine.rules.{family}.{info.name}")
    yield rules
    from engine.books import FOLDER, load

    for path in sorted(FOLDER.glob("*.toml")):
        yield partial(load, path.stem)
    yield partial(importlib.import_module, "app.window.help.page")
