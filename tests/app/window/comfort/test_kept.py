"""A drawing opens again as it was looked at last: sheet, zoom, place, page; for a limited number of drawings."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest
from pytestqt.qtbot import QtBot

from app.window.comfort import kept
from app.window.main import Window
from app.window.start import Desk
from engine.picture import Box

pytestmark = pytest.mark.qt
Shown = Callable[[Window | None], Window]


def test_a_drawing_opens_as_it_was_looked_at(desk: Desk, shown: Shown, ketch: Path, qtbot: QtBot) -> None:
    window = shown(desk.open_path(ketch))
    third = window.document.sheets()[2]
    window.document.turn_to(third)
    window.show_page("history")
    window.board.zoom_by(3.0)
    window.board.show_box(Box(300, 200, 310, 210))
    before = window.board.view_now()
    window.leaving = True
    window.close()
    qtbot.waitUntil(lambda: not desk.windows)
    again = shown(desk.open_path(ketch))
    after = again.board.view_now()
    assert again.document.sheet == third
    assert again.page == "history"
    assert after.px_per_mm == pytest.approx(before.px_per_mm, rel=1e-3)
    assert (after.x, after.y) == pytest.approx((before.x, before.y), abs=1.0)
    again.resize(again.width() - 120, again.height() - 80)  # the place stays in the middle
    assert (again.board.view_now().x, again.board.view_now().y) == pytest.approx((before.x, before.y), abs=1.0)


@pytest.mark.parametrize(
    "view",
    [7, {}, {"sheet": "x"}, {"sheet": "S", "fits": "page", "x_mm": "a", "y_mm": 1, "px_per_mm": 1},
     {"sheet": "S", "fits": "", "x_mm": 1e99, "y_mm": 1, "px_per_mm": 1},
     {"sheet": "S", "fits": "", "x_mm": 1, "y_mm": 1, "px_per_mm": float("nan")}, {"page": ["x"]}],
)  # fmt: skip
def test_settings_somebody_has_edited_do_no_harm(desk: Desk, ketch: Path, view: object) -> None:
    desk.settings.set("views", {str(ketch.absolute()): view})
    window = desk.open_path(ketch)
    assert window is not None
    if isinstance(view, dict) and view.get("sheet") == "S":
        view["sheet"] = window.document.sheets()[0]
    assert not kept.restore(window)
    assert kept.kept_page(window) is None


def test_only_the_drawings_used_last_are_remembered(desk: Desk, ketch: Path) -> None:
    desk.settings.set("views", {f"/boats/{n}.linewright": {"page": ""} for n in range(kept.MOST + 20)})
    window = desk.open_path(ketch)
    assert window is not None
    kept.keep(window)
    views = desk.settings.get("views")
    assert len(views) == kept.MOST
    assert list(views)[-1] == str(ketch.absolute())
    assert "/boats/20.linewright" not in views
