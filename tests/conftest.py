"""What every test shares: a quiet Hypothesis, and tests left out where the machine lacks what they need."""

from __future__ import annotations

import ctypes.util
import gc
import importlib.util
import logging
import os
import shutil
import sys
import threading
from collections.abc import Iterator
from pathlib import Path

import pytest
from hypothesis import HealthCheck, settings

# the default run takes other examples every time and fewer of them, so that it stays short; the merge takes more
settings.register_profile("default", max_examples=40, deadline=None, suppress_health_check=[HealthCheck.too_slow])
settings.register_profile("ci", deadline=None, derandomize=True, suppress_health_check=[HealthCheck.too_slow])
settings.load_profile(os.environ.get("HYPOTHESIS_PROFILE", "default"))


def _have(marker: str) -> bool:
    if marker == "poppler":
        return shutil.which("pdftoppm") is not None
    if marker == "ngspice":
        return shutil.which("ngspice") is not None
    if marker == "posix":
        return os.name == "posix"
    if marker == "root":
        return os.name == "posix" and os.geteuid() == 0
    if marker == "byte_names":
        return os.name == "posix" and sys.platform != "darwin"
    if marker == "xcb":
        return ctypes.util.find_library("xcb") is not None
    packages = all(importlib.util.find_spec(name) is not None for name in ("PySide6", "pytestqt"))
    return packages and all(ctypes.util.find_library(name) is not None for name in ("EGL", "GL", "xkbcommon", "dbus-1"))


def _has_qt() -> bool:
    return _have("qt")


# pytest-qt is kept from loading itself (`-p no:pytest-qt`): it stops everything where Qt's system libraries are missing
os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")
if _has_qt():
    pytest_plugins = ["pytestqt.plugin"]

# what Qt says on a machine without a screen, of no consequence
HARMLESS = tuple(
    f"This plugin does not support {what}" for what in ("propagateSizeHints", "raise", "grabbing the keyboard")
)
QT_ROOMS = ("app/canvas", "app/window", "app/actions")
NEEDS = {"qt": "Qt's system libraries", "poppler": "pdftoppm", "ngspice": "ngspice", "xcb": "X's client library"}
NEEDS |= {"posix": "signals, modes and links of POSIX", "byte_names": "file names that are bytes", "root": "root"}
_left_out: dict[str, int] = {}


def pytest_ignore_collect(collection_path: Path) -> bool | None:
    """Tests of the window are not even read where Qt cannot be loaded; their files are counted."""
    here = Path(__file__).parent
    if _has_qt() or not any(collection_path.is_relative_to(here / room) for room in QT_ROOMS):
        return None
    if collection_path.name.startswith("test_"):
        _left_out["qt"] = _left_out.get("qt", 0) + collection_path.read_text("utf-8").count("\ndef test_")
    return True if collection_path.is_file() else None


def pytest_collection_modifyitems(config: pytest.Config, items: list[pytest.Item]) -> None:
    """Deselect tests that need what is not here; `.ci/run` forbids it."""
    for item in items:
        if item.get_closest_marker("qt") is not None:
            item.add_marker(pytest.mark.qt_log_level_fail("WARNING"))
            item.add_marker(pytest.mark.qt_log_ignore(*HARMLESS))
    lacking = {marker for marker in NEEDS if not _have(marker)}
    kept, out = [], []
    for item in items:
        needs = lacking & {mark.name for mark in item.iter_markers()}
        if needs:
            out.append(item)
            for marker in needs:
                _left_out[marker] = _left_out.get(marker, 0) + 1
        else:
            kept.append(item)
    if _left_out and os.environ.get("LINEWRIGHT_ALL_TESTS"):
        names = ", ".join(NEEDS[m] for m in sorted(_left_out))
        raise pytest.UsageError(f"{sum(_left_out.values())} tests need {names}, and every test must run here")
    if out:
        config.hook.pytest_deselected(items=out)
        items[:] = kept


def pytest_terminal_summary(terminalreporter: pytest.TerminalReporter) -> None:
    """One line that counts what was left out."""
    if _left_out:
        told = ", ".join(f"{n} need {NEEDS[m]}" for m, n in sorted(_left_out.items()))
        terminalreporter.write_line(f"Tests left out on this machine: {told}.")


# -- tests of the window ------------------------------------------------------------------------------------------
@pytest.fixture(autouse=True)
def _nothing_left_behind(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> Iterator[None]:
    """After a test of the window: no widget, timer, process or thread of it is left, nothing was said in the log."""
    if request.node.get_closest_marker("qt") is None:
        yield
        return
    patch = pytest.MonkeyPatch()
    home = tmp_path_factory.mktemp("home")
    for name in ("XDG_DATA_HOME", "XDG_CONFIG_HOME", "XDG_CACHE_HOME", "LOCALAPPDATA", "APPDATA", "HOME"):
        patch.setenv(name, str(home))
    threads = set(threading.enumerate())
    said: list[logging.LogRecord] = []
    listener = logging.Handler(logging.WARNING)
    listener.emit = said.append  # type: ignore[method-assign]  # a list is handler enough
    for name in ("app", "engine", "symbols"):
        logging.getLogger(name).addHandler(listener)
    try:
        yield
    finally:
        for name in ("app", "engine", "symbols"):
            logging.getLogger(name).removeHandler(listener)
        patch.undo()
    _sweep()
    from PySide6.QtCore import QProcess, QTimer
    from PySide6.QtWidgets import QApplication

    application = QApplication.instance()
    if isinstance(application, QApplication):
        left = [f"{type(w).__name__} {w.objectName()!r}" for w in application.topLevelWidgets() if _is_ours(w)]
        assert not left, f"widgets left behind: {left}"
        timers = [t for t in application.findChildren(QTimer) if t.isActive()]
        assert not timers, f"timers left running: {timers}"
    running = [p for p in gc.get_objects() if isinstance(p, QProcess) and _runs(p)]
    assert not running, f"processes left running: {running}"
    more = [t for t in threading.enumerate() if t not in threads and t.is_alive()]
    assert not more, f"threads left running: {more}"
    if request.node.get_closest_marker("says_in_log") is None:
        assert not said, "said in the log: " + "; ".join(record.getMessage() for record in said)


def _sweep() -> None:
    """Deferred deletions are only carried out by a running loop: ask for them; what Python holds in rings goes too."""
    from PySide6.QtCore import QCoreApplication, QEvent
    from PySide6.QtGui import QGuiApplication

    if isinstance(QCoreApplication.instance(), QGuiApplication):
        QGuiApplication.clipboard().clear()  # offscreen it outlives Python and crashes with what Python put there
    gc.collect()
    for _n in range(2):
        QCoreApplication.sendPostedEvents(None, QEvent.Type.DeferredDelete)
        QCoreApplication.processEvents()
    gc.collect()
    gc.freeze()  # what is left is modules and caches: the next sweep need not walk them again


def _is_ours(widget: object) -> bool:
    import shiboken6
    from PySide6.QtWidgets import QWidget

    return isinstance(widget, QWidget) and shiboken6.isValid(widget) and type(widget).__name__ != "QTipLabel"


def _runs(process: object) -> bool:
    import shiboken6
    from PySide6.QtCore import QProcess

    return (
        isinstance(process, QProcess)
        and shiboken6.isValid(process)
        and process.state() != QProcess.ProcessState.NotRunning
    )
