"""The desk of the window's tests, for who works at it long."""

from __future__ import annotations

import importlib.util
from pathlib import Path

_spec = importlib.util.spec_from_file_location(
    "window_conftest", Path(__file__).parents[2] / "app" / "window" / "conftest.py"
)
assert _spec is not None
assert _spec.loader is not None
_window = importlib.util.module_from_spec(_spec)
_spec.loader.exec_module(_window)

answers, desk, judging_desk, shown = _window.answers, _window.desk, _window.judging_desk, _window.shown
