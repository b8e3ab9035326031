"""The system ends the program: a terminal closes, someone says `kill`. Work is kept, nobody is asked."""

from __future__ import annotations

import signal
import socket
from typing import TYPE_CHECKING, Any

from PySide6.QtCore import QCoreApplication, QObject, QSocketNotifier

if TYPE_CHECKING:
    from app.window.start import Desk

__all__ = ["Ending"]

NAMES = ("SIGTERM", "SIGHUP", "SIGINT")  # as far as the system has them


class Ending(QObject):
    """Hears the system's signals until `uninstall`. Python's own handlers wait while Qt does: a socket wakes it."""

    def __init__(self, desk: Desk) -> None:
        super().__init__(desk)
        self.desk = desk
        self.told = 0  # the signal that came
        self._hears, self._wakes = socket.socketpair()
        self._hears.setblocking(False)
        self._wakes.setblocking(False)
        self._before_fd = signal.set_wakeup_fd(self._wakes.fileno(), warn_on_full_buffer=False)
        self._before: dict[int, Any] = {}
        for name in NAMES:
            number = getattr(signal, name, None)
            if number is not None and signal.getsignal(number) is not signal.SIG_IGN:  # as `nohup` has it
                self._before[number] = signal.signal(number, self._note)
        self._notifier = QSocketNotifier(self._hears.fileno(), QSocketNotifier.Type.Read, self)
        self._notifier.activated.connect(self._woken)

    def uninstall(self) -> None:
        """As before."""
        self._notifier.setEnabled(False)
        for number, handler in self._before.items():
            signal.signal(number, signal.SIG_DFL if handler is None else handler)
        signal.set_wakeup_fd(self._before_fd)
        self._hears.close()
        self._wakes.close()

    def _note(self, number: int, _frame: object) -> None:
        self.told = number

    def _woken(self) -> None:
        try:
            self._hears.recv(256)
        except BlockingIOError:
            return
        if self.told:
            self.desk.end()
            QCoreApplication.exit(128 + self.told)
