"""Symbols in the window: the standard of the drawing, the symbol of a piece, a yard's own, with real pages."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest
from PySide6.QtWidgets import QComboBox
from pytestqt.qtbot import QtBot

from app.drawing.layout import sheet_records
from app.own_symbols import refreshed
from app.window.main import Window
from app.window.start import Desk
from engine.builder import Builder
from engine.edits import apply
from engine.files.drawing import save
from engine.picture import Path as Stroke
from engine.picture import path_box

pytestmark = pytest.mark.qt

BEACON = 'kind = "load"\nname = "Beacon"\nstrokes = [ { rectangle = [-2, -2, 2, 2] }, { circle = [0, 0, 0.5] } ]\n'


@pytest.fixture
def yard(tmp_path: Path) -> Path:
    folder = tmp_path / "yard"
    folder.mkdir()
    (folder / "beacon.toml").write_text(BEACON, "utf-8")
    return folder


@pytest.fixture
def window(desk: Desk, shown: Callable[[Window | None], Window], tmp_path: Path) -> Window:
    """A bank and a lamp on one sheet, the particulars of the lamp beside it."""
    b = Builder(name="Sandling")
    b.add("battery_bank", "G1", unit_v=12)
    b.add("load", "E1", service="lighting")
    b.run("W1", "G1.pos", "E1.in")
    for put in sheet_records(b.installation.snapshot()):
        apply(b.installation, put)
    save(b.installation, tmp_path / "sandling.linewright")
    window = shown(desk.open_path(tmp_path / "sandling.linewright"))
    window.show_page("particulars")
    window.document.select(piece(window, "E1"))
    return window


def piece(window: Window, name: str) -> str:
    snapshot = window.document.snapshot()
    return next(item for item in snapshot.equipment if snapshot.name(item) == name)


def sizes(window: Window, name: str) -> list[tuple[float, ...]]:
    """How large each stroke of a piece is on the board, mm."""
    strokes = (p for p in window.board.shown.items.of[piece(window, name)] if isinstance(p, Stroke))
    return [(round(b.right - b.left, 2), round(b.bottom - b.top, 2)) for b in map(path_box, strokes)]


def choose(box: QComboBox, data: str) -> None:
    index = box.findData(data)
    assert index >= 0, [box.itemData(n) for n in range(box.count())]
    box.setCurrentIndex(index)
    box.activated.emit(index)


def test_a_piece_is_drawn_as_recorded_or_as_chosen(window: Window, qtbot: QtBot) -> None:
    box = window.pages.particulars().drawn_as.choice
    qtbot.waitUntil(box.isVisible)
    assert box.currentText() == "as recorded: Lamp"
    as_lamp = sizes(window, "E1")
    choose(box, "horn")
    document = window.document
    assert {p.symbol for p in document.snapshot().placements.values() if p.equipment == piece(window, "E1")} == {"horn"}
    assert sizes(window, "E1") != as_lamp
    assert box.currentText() == "Horn"
    document.undo()
    assert sizes(window, "E1") == as_lamp
    assert box.currentText() == "as recorded: Lamp"
    page = window.pages.particulars().drawn_as
    for items in (tuple(document.snapshot().runs), (piece(window, "E1"), piece(window, "G1")), ()):
        document.select(*items)  # runs, pieces of several kinds, nothing: nothing is asked
        assert not page.isVisible()
    document.read_only = "somebody has it open"
    document.select(piece(window, "E1"))
    assert page.isVisible()
    assert not page.choice.isEnabled()


def test_another_standard_redraws_the_board_and_the_pictures_of_kinds(window: Window, qtbot: QtBot) -> None:
    window.show_page("kinds")
    kinds = window.pages.kinds_list()

    def pictures() -> list[bytes]:
        images = (kinds.list.item(n).icon().pixmap(36, 36).toImage() for n in range(kinds.list.count()))
        return [bytes(image.constBits()) for image in images if not image.isNull()]

    before, lamp = pictures(), sizes(window, "E1")
    window.show_page("particulars")
    window.pages.particulars().show_record("settings", "settings")
    row = window.pages.particulars().whole.forms["settings"].rows["symbols"]
    field = row.findChild(QComboBox)
    assert field is not None
    index = field.findText("IEEE 315")
    field.setCurrentIndex(index)
    field.activated.emit(index)
    assert window.document.snapshot().settings.symbols == "IEEE 315"
    assert sizes(window, "E1") != lamp
    window.show_page("kinds")
    assert len(pictures()) == len(before)
    assert pictures() != before
    window.document.undo()
    assert sizes(window, "E1") == lamp
    assert pictures() == before


def test_a_folder_of_own_symbols_is_offered_and_what_is_gone_is_told(window: Window, yard: Path, qtbot: QtBot) -> None:
    settings = window.desk.settings
    settings.set("symbols_folder", str(yard))
    assert settings.save()
    document, page = window.document, window.pages.particulars().drawn_as
    document.select()
    document.select(piece(window, "E1"))
    lamp = sizes(window, "E1")
    choose(page.choice, "beacon")
    assert page.choice.currentText() == "Beacon (your own)"
    assert sizes(window, "E1") != lamp
    (yard / "beacon.toml").unlink()
    document.select()
    document.select(piece(window, "E1"))
    assert page.choice.currentText() == "beacon: not found on this machine"
    item = next(i for i, p in document.snapshot().placements.items() if p.symbol == "beacon")
    assert document.snapshot().placements[item].symbol == "beacon"
    settings.set("symbols_folder", "")
    assert settings.save()
    assert refreshed().symbols == {}
