"""A long list filled for the time of a slice at each turn of the event loop."""

from __future__ import annotations

import time
from collections.abc import Iterator

from PySide6.QtCore import QObject, QTimer

__all__ = ["Filling"]

SLICE_S = 0.012


class Filling(QObject):
    """Goes on with what fills a list until it is full; beginning anew gives up what was under way."""

    def __init__(self, parent: QObject) -> None:
        super().__init__(parent)
        self._lines: Iterator[None] = iter(())
        self._timer = QTimer(self)
        self._timer.setSingleShot(True)
        self._timer.setInterval(0)
        self._timer.timeout.connect(self._go_on)

    @property
    def is_full(self) -> bool:
        """Whether all is listed."""
        return not self._timer.isActive()

    def begin(self, lines: Iterator[None]) -> None:
        """Fill with this from now on."""
        self._lines = lines
        self._go_on()

    def _go_on(self) -> None:
        until = time.perf_counter() + SLICE_S
        for _line in self._lines:
            if time.perf_counter() > until:
                self._timer.start()
                return
        self._timer.stop()
