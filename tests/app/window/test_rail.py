"""The rails beside the sheet: in a low window every word still stands there."""

from __future__ import annotations

from collections.abc import Callable
from itertools import pairwise

import pytest
from PySide6.QtCore import Qt

from app.window.main import Window
from app.window.start import Desk

pytestmark = pytest.mark.qt


def test_in_a_low_window_words_stand_without_signs(desk: Desk, shown: Callable[[Window | None], Window]) -> None:
    window = shown(desk.new())
    for height, style in (
        (560, Qt.ToolButtonStyle.ToolButtonTextOnly),
        (900, Qt.ToolButtonStyle.ToolButtonTextUnderIcon),
    ):
        window.resize(1000, height)
        buttons = window.page_rail.buttons
        assert {button.toolButtonStyle() for button in buttons} == {style}
        assert window.height() == height
        window.page_rail.layout().activate()
        for above, below in pairwise(buttons):
            assert above.geometry().bottom() < below.geometry().top()
        assert buttons[-1].geometry().bottom() < window.page_rail.height()
