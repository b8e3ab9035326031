"""A photograph to trace."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

pytest.importorskip("PySide6")

from PySide6.QtGui import QColor, QImage
from pytestqt.qtbot import QtBot

from app.window.main import Window
from app.window.start import Desk


@pytest.fixture
def photograph(tmp_path: Path) -> Path:
    """800 by 400 pixels, red."""
    path = tmp_path / "photo.png"
    image = QImage(800, 400, QImage.Format.Format_RGB32)
    image.fill(QColor(200, 20, 20))
    assert image.save(str(path))
    return path


@pytest.fixture
def window(desk: Desk, shown: Callable[[Window | None], Window], ketch: Path) -> Window:
    """The ketch, as its file has it."""
    return shown(desk.open_path(ketch))


@pytest.fixture
def laid(window: Window, photograph: Path, qtbot: QtBot) -> Window:
    """The ketch with the photograph under its first sheet."""
    from app.window.underlay import lay

    lay(window, photograph)
    qtbot.waitUntil(lambda: window.underlays.under.is_shown, timeout=20_000)
    return window
