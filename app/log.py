"""Log and crash report in the person's own data folder. Nothing is ever sent anywhere.

The log is rotated at half a megabyte, two old ones are kept. A folder that cannot be written never stops the program.
"""

from __future__ import annotations

import contextlib
import faulthandler
import logging
from logging.handlers import RotatingFileHandler
from pathlib import Path
from typing import TextIO

from app.terminal import spelled_out

__all__ = ["folder", "start"]

PACKAGES = ("app", "engine", "symbols")
LARGEST = 512 * 1024
KEPT = 2

_handler: logging.Handler | None = None
_crashes: TextIO | None = None


def folder() -> Path:
    """Where the log stands: the system's place for a person's program data."""
    import platformdirs

    return Path(platformdirs.user_data_dir("linewright", appauthor=False)) / "log"


class _Plain(logging.Formatter):
    """What is told may hold a drawing's texts: none of it moves a cursor or begins a line as an entry does."""

    def format(self, record: logging.LogRecord) -> str:
        return spelled_out(super().format(record)).replace("\n", "\n  ")


def start() -> Path | None:
    """Begin to log; returns the log file, or `None` where it cannot be written. May be called again."""
    global _handler, _crashes
    path: Path | None = None
    made: logging.Handler = logging.NullHandler()
    with contextlib.suppress(OSError, RuntimeError):
        place = folder()
        place.mkdir(parents=True, exist_ok=True)
        made = RotatingFileHandler(
            place / "linewright.log", maxBytes=LARGEST, backupCount=KEPT, encoding="utf-8", delay=True
        )
        made.setFormatter(_Plain("%(asctime)s %(levelname)s %(name)s: %(message)s"))
        path = place / "linewright.log"
    # a full disk while logging is not worth a word on the person's screen
    logging.raiseExceptions = False
    for name in PACKAGES:
        logger = logging.getLogger(name)
        logger.setLevel(logging.INFO)
        if _handler is not None:
            logger.removeHandler(_handler)
        logger.addHandler(made)
    if _handler is not None:
        _handler.close()
    _handler = made
    if path is not None:
        _catch_crashes(path.with_name("crash.log"))
    return path


def _catch_crashes(path: Path) -> None:
    """Where the interpreter writes when it dies: a file of its own, begun again when it has grown."""
    global _crashes
    with contextlib.suppress(OSError, RuntimeError):
        if path.exists() and path.stat().st_size > LARGEST:
            path.replace(path.with_suffix(".old"))
        opened = path.open("a", encoding="utf-8")
        faulthandler.enable(opened)
        if _crashes is not None:
            _crashes.close()
        _crashes = opened
