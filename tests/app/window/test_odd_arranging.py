"""Odd drawings: empty, read-only, crowded. Finding, numbering, replacing and arranging do nothing odd."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

pytestmark = pytest.mark.qt
pytest.importorskip("PySide6.QtWidgets", exc_type=ImportError)

from PySide6.QtCore import Qt  # noqa: E402
from pytestqt.qtbot import QtBot  # noqa: E402

from app.window.main import Window  # noqa: E402
from app.window.start import Desk  # noqa: E402
from engine.builder import Builder  # noqa: E402
from engine.files.drawing import save  # noqa: E402
from engine.installation import Enclosure, Placement, Sheet  # noqa: E402

Shown = Callable[[Window | None], Window]
K, M = Qt.Key, Qt.KeyboardModifier
CTRL, SHIFT, ALT = M.ControlModifier, M.ShiftModifier, M.AltModifier
KEYS = (
    (K.Key_F, CTRL), (K.Key_F, M.NoModifier), (K.Key_B, M.NoModifier), (K.Key_D, SHIFT), (K.Key_R, CTRL),
    (K.Key_N, CTRL | SHIFT), (K.Key_Left, ALT | SHIFT), (K.Key_Down, ALT | SHIFT), (K.Key_H, CTRL | ALT),
    (K.Key_V, CTRL | ALT),
)  # fmt: skip


def _press_all(window: Window, qtbot: QtBot) -> None:
    for key, modifiers in KEYS:
        window.board.setFocus()
        qtbot.keyClick(window.board, key, modifiers)
        if window.page in ("seeking", "numbering", "swapping"):
            page: Any = window.pages.currentWidget()
            line = getattr(page, "line", None)
            if line is not None:
                line.setText("fuse")
                qtbot.keyClick(line, K.Key_Down)
                qtbot.keyClick(line, K.Key_Return)
            else:
                qtbot.mouseClick(page.do, Qt.MouseButton.LeftButton)


@pytest.mark.parametrize("sheets", [0, 1])
def test_an_empty_drawing(desk: Desk, shown: Shown, qtbot: QtBot, tmp_path: Path, sheets: int) -> None:
    b = Builder()
    for n in range(sheets):
        b._new("sheets", Sheet(number=n + 1))
    path = tmp_path / "empty.linewright"
    save(b.installation, path)
    window = shown(desk.open_path(path))
    before = window.document.snapshot()
    _press_all(window, qtbot)
    assert window.document.snapshot() == before


def _crowd(path: Path, count: int) -> Path:
    b = Builder()
    sheets = [b._new("sheets", Sheet(number=n, size="A1")) for n in (1, 2)]
    panel = b._new("enclosures", Enclosure(name="<b>&=1+1 😀 أنوار " * 9))
    for n in range(count):
        item = b.add("fuse", f"F{n * 7 % 1009}", label="x" * 300, rating_a=n + 1, enclosure=panel)
        b._new("placements", Placement(equipment=item, sheet=sheets[n % 2], x=8 + n % 40 * 6, y=10 + n // 40 * 14))
    save(b.installation, path)
    return path


@pytest.mark.long
def test_three_hundred_things_on_two_sheets_are_chosen(desk: Desk, shown: Shown, qtbot: QtBot, tmp_path: Path) -> None:
    window = shown(desk.open_path(_crowd(tmp_path / "crowd.linewright", 300)))
    window.document.select(*window.document.snapshot().equipment)
    before = window.document.snapshot()
    window.board.setFocus()
    qtbot.keyClick(window.board, K.Key_Left, ALT | SHIFT)
    assert window.document.snapshot() == before, "they would stand on each other"
    qtbot.keyClick(window.board, K.Key_B)
    assert len(window.board.grasped) == 150
    window.document.select(*before.equipment)
    qtbot.keyClick(window.board, K.Key_R, CTRL)
    page: Any = window.pages.currentWidget()
    page.line.setText("circuit breaker")
    qtbot.keyClick(page.line, K.Key_Return)
    assert {r.KIND for r in window.document.snapshot().equipment.values()} == {"circuit_breaker"}
    window.document.undo()
    assert window.document.snapshot() == before


def test_a_drawing_to_read_only_stays_as_it_is(desk: Desk, shown: Shown, qtbot: QtBot, ketch: Path) -> None:
    window = shown(desk.open_path(ketch))
    window.document.read_only = "another window has it."
    window.document.headed.emit()
    before = window.document.snapshot()
    window.board.grasp([p.id for p in window.board.scene_now().on(window.document.sheet)])
    _press_all(window, qtbot)
    window.show_page("swapping")
    page: Any = window.pages.currentWidget()
    page.line.setText("motor")
    assert not page.do.isEnabled()
    assert window.document.snapshot() == before
