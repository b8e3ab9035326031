"""A fault of the program: written to the log, the journals brought to the disk, one sentence shown, then on or out."""

from __future__ import annotations

import logging
import sys
import threading
from types import TracebackType
from typing import TYPE_CHECKING

from app import log as log_file
from engine.words import _

if TYPE_CHECKING:
    from app.window.start import Desk

__all__ = ["install", "uninstall"]

log = logging.getLogger(__name__)

_state: dict[str, object] = {"desk": None, "telling": False, "before": None, "thread_before": None}


def install(desk: Desk) -> None:
    """From now on no fault goes unseen. `faulthandler` is on already (`app.log`)."""
    _state.update(desk=desk, telling=False, before=sys.excepthook, thread_before=threading.excepthook)
    sys.excepthook = _caught
    threading.excepthook = _caught_in_thread


def uninstall() -> None:
    """As before `install`."""
    if _state["desk"] is not None:
        sys.excepthook = _state["before"]  # type: ignore[assignment]  # what stood there
        threading.excepthook = _state["thread_before"]  # type: ignore[assignment]  # as above
        _state["desk"] = None


def _caught(kind: type[BaseException], fault: BaseException, trace: TracebackType | None) -> None:
    if issubclass(kind, KeyboardInterrupt):
        _leave()
        return
    log.critical("a fault of the program", exc_info=(kind, fault, trace))
    _keep()
    _tell(kind.__name__)


def _caught_in_thread(arguments: threading.ExceptHookArgs) -> None:
    fault = arguments.exc_value
    log.critical("a fault of the program, beside the window", exc_info=fault)
    _keep()


def _keep() -> None:
    desk = _state["desk"]
    try:
        if desk is not None:
            desk.flush()  # type: ignore[attr-defined]  # a Desk
    except Exception:
        log.exception("the journals could not be brought to the disk")


def _tell(name: str) -> None:
    """One dialog at a time: a fault that comes again while it stands is only logged."""
    if _state["telling"]:
        return
    _state["telling"] = True
    try:
        from PySide6.QtWidgets import QApplication

        from app.window.ask import Answer, Question, ask

        where = log_file.folder() / "linewright.log"
        key = ask(
            QApplication.activeWindow(),
            Question(
                _("A fault of the program"),
                f"{_('Something in the program failed ({name}).').format(name=name)} {_kept()}",
                (Answer("on", _("Go on working")), Answer("leave", _("Save what can be saved and leave"))),
                "on",
                _("Save soon, under another name if the drawing looks wrong. The log tells more: {path}").format(
                    path=where
                ),
            ),
        )
        if key == "leave":
            _leave()
    except Exception:
        log.exception("the fault could not be told")
    finally:
        _state["telling"] = False


def _kept() -> str:
    """Whether what is unsaved would outlive the program; nothing is promised that is not so."""
    desk = _state["desk"]
    documents = [window.document for window in getattr(desk, "windows", ())]
    if all(d.journal is not None and not d.journal.fault for d in documents if d.is_dirty):
        return _("Your changes are kept for recovery.")
    return _("Not all of your changes are kept for recovery: save them now.")


def _leave() -> None:
    desk = _state["desk"]
    if desk is not None:
        desk.leave()  # type: ignore[attr-defined]  # a Desk
