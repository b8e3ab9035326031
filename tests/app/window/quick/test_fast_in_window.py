"""Drawing fast in the window, with real keys and mouse: typed phrases, joined on, set, inserted, repeated."""

from __future__ import annotations

import importlib.util
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from app.window.main import Window
from app.window.quick.fast import fast_of
from app.window.start import Desk

_spec = importlib.util.spec_from_file_location("drawing_hand", Path(__file__).parents[1] / "drawing_hand.py")
assert _spec is not None
assert _spec.loader is not None
helper = importlib.util.module_from_spec(_spec)
_spec.loader.exec_module(helper)

pytestmark = pytest.mark.qt
Shown = Callable[[Window | None], Window]
K = Qt.Key
CTRL = Qt.KeyboardModifier.ControlModifier
AT = (30, 60)  # where the bank is put


class Man(helper.DrawingHand):
    """A person who types on the sheet."""

    actions = 0  # a phrase with Enter, a click, a drag: one each

    @property
    def fast(self) -> Any:
        return fast_of(self.board)

    @property
    def line(self) -> Any:
        return self.fast.line

    def phrase(self, text: str) -> None:
        """Into the line that is open, and Enter."""
        assert self.fast.is_open
        assert self.line.line.window().focusWidget() is self.line.line
        self.type(text)
        self.key(K.Key_Return)
        self.actions += 1

    def click(self, place: tuple[int, int]) -> None:
        super().click(place)
        self.actions += 1

    def pull(self, start: tuple[int, int], stop: tuple[int, int]) -> None:
        self.drag(start, stop)
        self.actions += 1

    def one(self, designation: str) -> Any:
        found = self.document.installation.find(designation)
        assert len(found) == 1, (designation, found)
        return self.document.find(found[0][1])[1]

    @property
    def words(self) -> str:
        return str(self.document.history.undo_words)


@pytest.fixture
def man(desk: Desk, shown: Shown, qtbot: QtBot) -> Man:
    window = shown(desk.new())
    hand = Man(window, qtbot, window.document.snapshot())
    hand.to_board()
    return hand


@pytest.fixture
def with_bank(man: Man) -> Man:
    man.key(K.Key_Slash)
    man.phrase("lfp 280ah 25.6v")
    man.click(AT)
    return man


def test_what_is_typed_at_the_sheet_is_shown_and_placed(man: Man) -> None:
    man.move(AT)
    man.key(K.Key_Slash)
    man.type("class t 300")
    assert [man.line.list.item(n).text() for n in range(2)] == ["Fuse, class T, 300 A", "Fuse holder, class T, 300 A"]
    man.key(K.Key_Return)
    assert not man.fast.is_open
    assert man.board.window().focusWidget() is man.board
    assert man.board.tool.NAME == "place"
    man.click(AT)
    fuse = man.one("F1")
    assert (fuse.KIND, fuse.fuse_class, fuse.rating_a) == ("fuse", "class T", 300)
    assert dict(fuse.origins) == {"fuse_class": "typed", "rating_a": "typed"}
    man.key(K.Key_Z, CTRL)
    assert man.document.snapshot().equipment == {}


def test_by_keys_alone_it_is_placed_at_the_cross(man: Man) -> None:
    man.go(AT)
    man.key(K.Key_Slash)
    man.type("bus 600a")
    man.key(K.Key_Down)  # the second of what is understood, if there is one, is chosen by key
    man.key(K.Key_Up)
    man.key(K.Key_Return)
    man.key(K.Key_Return)
    assert man.one("W1").rating_a == 600


def test_what_is_not_understood_is_told_and_the_line_stays(man: Man) -> None:
    man.key(K.Key_Slash)
    man.type("fuse nonsense")
    man.key(K.Key_Return)
    assert man.fast.is_open
    assert man.line.told.text() == "“nonsense” is not understood for Fuse."
    assert man.line.told.isVisible()
    man.key(K.Key_Escape)
    assert not man.fast.is_open
    assert man.board.window().focusWidget() is man.board
    assert man.words == ""


def test_a_click_elsewhere_closes_the_line_and_changes_nothing(man: Man) -> None:
    man.move((20, 20))
    man.key(K.Key_Slash)
    man.type("fuse 10")
    man.click((10, 70))
    assert not man.fast.is_open
    assert man.words == ""


def test_a_run_dragged_to_an_empty_place_goes_on_in_what_is_typed(with_bank: Man) -> None:
    man = with_bank
    man.actions = 0
    man.key(K.Key_D)
    man.pull((30, 58), (30, 45))
    man.phrase("class t 300; 2/0 3 m")
    assert man.words == "Place F1, joined by W1"
    run, fuse = man.one("W1"), man.one("F1")
    assert (run.size, run.length_m, run.to_end.terminal) == ("2/0 AWG", 3, "in")
    assert (fuse.fuse_class, fuse.rating_a) == ("class T", 300)
    assert man.actions == 2  # a device with its run, both with their figures
    assert man.board.tool.NAME == "run"  # the next may begin at once
    man.pull((30, 41), (30, 30))
    man.phrase("bus 600a positive")
    assert man.words == "Place W2, joined by W3"
    man.key(K.Key_Z, CTRL)
    man.key(K.Key_Z, CTRL)
    assert list(man.document.snapshot().runs) == []
    assert [r.KIND for r in man.document.snapshot().equipment.values()] == ["battery_bank"]


def test_by_keys_a_run_goes_on_in_what_is_typed(with_bank: Man) -> None:
    man = with_bank
    man.key(K.Key_D)
    man.go((30, 58))
    man.key(K.Key_Return)
    man.go((30, 45))
    man.key(K.Key_Slash)
    man.phrase("battery switch 300 a")
    assert man.words == "Place Q1, joined by W1"
    assert man.one("Q1").continuous_a == 300


def test_what_cannot_be_joined_is_told_and_escape_leaves_the_run_in_hand(with_bank: Man) -> None:
    man = with_bank
    before = man.words
    man.key(K.Key_D)
    man.pull((30, 58), (30, 45))
    man.phrase("generator 5 kva")
    assert man.fast.is_open
    assert man.line.told.text() == (
        "Generator cannot be joined to G1 “pos”: that carries +, -, it has terminals for L1, L2, L3, N, PE."
    )
    man.key(K.Key_Escape)
    assert man.words == before
    assert man.board.tool.NAME == "run"
    man.key(K.Key_Return)  # the run ends loose where the drag ended, as it would have without a line
    assert man.words != before


def test_figures_typed_set_the_chosen_run(with_bank: Man) -> None:
    man = with_bank
    man.key(K.Key_D)
    man.pull((30, 58), (30, 45))
    man.phrase("fuse 100")
    man.key(K.Key_Escape)
    man.click((30, 52))
    assert man.document.selection == (man.document.installation.find("W1")[0][1],)
    man.type("3")
    assert man.fast.is_open
    man.phrase("5 mm2 3,5 m tinned 105C sheathed W12")
    run = man.one("W12")
    assert (run.size, run.length_m, run.conductor, run.insulation_c, run.sheath) == (
        "35 mm2",
        3.5,
        "tinned copper",
        105,
        "sheathed",
    )
    man.key(K.Key_Z, CTRL)
    assert man.one("W1").size == ""


def test_values_of_several_are_set_in_one_edit_and_escape_sets_none(man: Man) -> None:
    for n, kind in enumerate(("fuse", "fuse", "breaker")):
        man.key(K.Key_Slash)
        man.phrase(kind)
        man.click((20 + 10 * n, 30))
    man.key(K.Key_A, CTRL)
    man.key(K.Key_Equal)
    man.type("10 a")
    man.key(K.Key_Escape)
    assert man.one("F1").rating_a is None
    man.key(K.Key_Equal)
    man.phrase("10 a new")
    assert [(man.one(f).rating_a, man.one(f).status) for f in ("F1", "F2", "F3")] == [(10, "new")] * 3
    man.key(K.Key_Z, CTRL)
    assert [man.one(f).rating_a for f in ("F1", "F2", "F3")] == [None] * 3


def test_with_nothing_chosen_figures_and_equals_open_nothing(man: Man) -> None:
    man.type("3")
    man.key(K.Key_Equal)
    assert not man.fast.is_open


def test_something_is_typed_into_the_chosen_run(with_bank: Man) -> None:
    man = with_bank
    man.key(K.Key_D)
    man.pull((30, 58), (30, 30))
    man.phrase("fuse 100; 35 mm2 3 m tinned")
    man.key(K.Key_Escape)
    man.click((30, 50))
    man.key(K.Key_I)
    assert "lengths of its two parts are unknown" in man.line.title.text()
    man.phrase("battery switch 300a")
    parts = list(man.document.snapshot().runs.values())
    assert [(r.size, r.conductor, r.length_m) for r in parts] == [("35 mm2", "tinned copper", None)] * 2
    man.key(K.Key_Z, CTRL)
    man.click((30, 50))
    man.key(K.Key_I)
    man.phrase("battery switch 300a; 0.5 m")
    parts = list(man.document.snapshot().runs.values())
    assert sorted(r.length_m for r in parts) == [0.5, 2.5]
    man.key(K.Key_Z, CTRL)
    man.click((30, 50))
    man.key(K.Key_I)
    man.phrase("battery switch 300a; 5 m")
    assert man.line.told.text() == "W1 is not that long: the part up to the device is shorter than the whole."
    man.key(K.Key_Escape)


def test_again_places_the_same_and_sets_the_same(with_bank: Man) -> None:
    man = with_bank
    window = man.window
    man.key(K.Key_R)
    assert man.board.tool.NAME == "place"
    man.click((50, 60))
    assert (man.one("G2").unit_ah, man.one("G2").chemistry) == (280, "LFP")
    man.key(K.Key_Equal)
    man.phrase("new")
    man.click(AT)
    window.menus.refresh()
    assert window.menus.of["repeat"].text() == "Repeat: set new on G1"
    man.key(K.Key_R)
    assert man.one("G1").status == "new"
    window.menus.refresh()
    assert window.menus.of["repeat"].text() == "Repeat: place Battery bank, LFP, 280 Ah, 25.6 V"


def test_nothing_is_repeated_on_an_empty_drawing(man: Man) -> None:
    assert not man.window.menus.may(man.window.menus._data["repeat"])


def test_the_list_of_equipment_takes_ratings_and_templates(man: Man) -> None:
    man.key(K.Key_E)
    page = man.window.pages.kinds_list()
    man.type("class t 300")
    assert page.list.item(0).text().splitlines()[0] == "Fuse, class T, 300 A"
    man.key(K.Key_Return)
    man.click(AT)
    assert man.one("F1").rating_a == 300
    man.key(K.Key_E)
    man.type("solar controller")
    titles = [page.list.item(n).text().splitlines() for n in range(page.list.count())]
    assert ["Solar with controller", "template"] in titles
    page.list.setCurrentRow(titles.index(["Solar with controller", "template"]))
    man.key(K.Key_Return)
    assert man.board.tool.NAME == "set"
    man.click((80, 40))
    assert "solar_array" in {r.KIND for r in man.document.snapshot().equipment.values()}


def test_a_drawing_to_be_read_only_takes_nothing(man: Man) -> None:
    man.document.read_only = "another window has it"
    man.document.headed.emit()
    said: list[str] = []
    man.board.refused.connect(said.append)
    man.key(K.Key_Slash)
    assert not man.fast.is_open
    fast_of(man.board).place()
    assert not man.fast.is_open
    assert said == ["The drawing is open to read only: another window has it"]
    man.document.read_only = ""


def test_the_line_stays_inside_a_small_window(man: Man) -> None:
    man.window.resize(500, 420)
    QApplication.processEvents()
    man.board.fit()
    man.key(K.Key_Slash)
    man.type("f")
    frame = man.line.geometry()
    assert man.window.rect().contains(frame)
    man.key(K.Key_Escape)
