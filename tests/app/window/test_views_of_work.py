"""Before, during and after the work on the board: what is hidden is not chosen, not taken away, and it is said."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QToolButton
from pytestqt.qtbot import QtBot

from app.window.main import Window
from app.window.start import Desk

pytestmark = pytest.mark.qt

Shown = Callable[[Window | None], Window]


@pytest.fixture
def window(desk: Desk, shown: Shown, ketch: Path) -> Window:
    """The ketch at its third sheet: old and new stand side by side there."""
    made = shown(desk.open_path(ketch))
    made.document.turn_to(made.document.sheets()[2])
    made.board.setFocus()
    return made


def _of(window: Window, status: str) -> set[str]:
    return {i for i, r in window.document.snapshot().equipment.items() if r.status == status}


def test_v_goes_round_and_says_what_is_shown(window: Window, qtbot: QtBot) -> None:
    document, board = window.document, window.board
    drawn = {p.equipment for p in board.scene_now().on(document.sheet)}
    seen = []
    for _n in range(4):
        qtbot.keyClick(board, Qt.Key.Key_V)
        seen.append(document.view)
        here = {p.equipment for p in board.scene_now().on(document.sheet)}
        hidden = {"before": _of(window, "new") | _of(window, "spare"), "after": _of(window, "to remove")}
        assert here == drawn - hidden.get(document.view, set()), document.view
        assert ("view" in window.banner.told()) == (document.view != "all")
    assert seen == ["before", "during", "after", "all"]
    button = window.foot.findChild(QToolButton, "view")
    assert button is not None
    assert button.text() == "Everything"


def test_choosing_everything_chooses_only_what_is_shown(window: Window, qtbot: QtBot) -> None:
    document = window.document
    document.set_view("before")
    window.menus.call("select_all")
    chosen = set(document.selection)
    assert chosen
    assert not chosen & (_of(window, "new") | _of(window, "spare"))
    new = _of(window, "new")
    qtbot.keyClick(window.board, Qt.Key.Key_Delete)
    assert _of(window, "new") == new, "what is hidden stays"
    document.undo()


def test_what_is_chosen_and_hidden_is_let_go(window: Window) -> None:
    document = window.document
    window.menus.call("select_all")
    document.set_view("before")
    assert not set(document.selection) & _of(window, "new")
    assert document.selection


def test_going_to_something_hidden_shows_everything_again(window: Window) -> None:
    document = window.document
    item = next(iter(sorted(_of(window, "new"))))
    document.set_view("before")
    window.reveal(item)
    assert document.view == "all"
    assert document.selection == (item,)
    assert window.foot.message.startswith("Everything is shown again:")
    assert "view" not in window.banner.told()


def test_one_status_alone_and_back_by_the_line_above_the_sheet(window: Window) -> None:
    document = window.document
    window.menus.call("view_new")
    assert document.view == "new"
    runs = {part.run for part in window.board.scene_now().parts_on(document.sheet)}
    assert runs
    assert {document.snapshot().runs[run].status for run in runs} == {"new"}
    told = window.banner.told()["view"]
    assert "only what is new" in told
    assert "things are hidden" in told
    from PySide6.QtWidgets import QPushButton

    next(b for b in window.banner.findChildren(QPushButton) if b.text() == "Show everything").click()
    assert document.view == "all"


def test_what_is_edited_in_a_view_keeps_off_what_is_hidden(window: Window) -> None:
    """A symbol moved where a hidden one stands: the write path sees the whole drawing."""
    document, board = window.document, window.board
    document.set_view("after")
    piece = board.scene_now().on(document.sheet)[0]
    board.grasp((piece.id,))
    before = document.snapshot()
    window.board.lift((piece.id,), 2, 2)
    window.board.settle()
    assert document.snapshot() is before
    from app.canvas.tools import acts

    acts.move_selection(board, 1, 0)
    gone = _of(window, "to remove")
    assert gone <= document.snapshot().equipment.keys()


def test_no_run_goes_unseen(window: Window) -> None:
    """Delete with its runs: one that is hidden holds it back, and is named."""
    document = window.document
    snapshot = document.snapshot()
    document.set_view("before")
    shown = window.board.scene_now().snapshot
    item, run = next(
        (end.equipment, run)
        for run, record in snapshot.runs.items()
        for end in (record.from_end, record.to_end)
        if run not in shown.runs and end.equipment in shown.equipment
    )
    window.reveal(item)
    window.menus.call("delete_with_runs")
    assert document.snapshot() is snapshot
    assert snapshot.name(run) in window.foot.message
    assert window.foot.message.endswith("would go too and is not shown; show everything first.")


@pytest.mark.long
def test_what_the_study_process_draws_is_the_view_and_figures_lie_over_it(
    judging_desk: Desk, shown: Shown, ketch: Path, qtbot: QtBot
) -> None:
    window = shown(judging_desk.open_path(ketch))
    document = window.document
    document.turn_to(document.sheets()[2])
    document.set_view("before")
    new = _of(window, "new")

    def drawn() -> bool:
        picture = document.pictures.get(document.sheet)
        return picture is not None and not set(picture.of) & new and any(o.startswith("note:") for o in picture.of)

    qtbot.waitUntil(drawn, timeout=60_000)
    judgement = document.judgement
    assert judgement is not None
    told = {number for owner in document.pictures[document.sheet].of for number in [owner.partition(":")[2]] if number}
    assert {int(n) for n in told if n.isdecimal()} <= set(judgement.numbers.values()), "numbers of the whole drawing"
    document.want_layer("flow")
    qtbot.waitUntil(lambda: document.layer is not None, timeout=60_000)
    assert document.layer is not None
    assert not any(item in owner for owner in document.layer.of for item in new)
