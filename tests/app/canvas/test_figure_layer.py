"""The layer of figures on the board: put and taken off owner by owner, and never there when the drawing has gone on."""

from __future__ import annotations

from typing import Any

import pytest
from PySide6.QtCore import Qt

from app.canvas.telling import with_figure
from app.drawing.screen import Screen
from app.judgement import Layer
from engine.edits import SetFields
from engine.picture import Text, rectangle

pytestmark = pytest.mark.qt


def lay(eye: Any, *names: str, text: str = "12.3 A") -> Layer:
    document = eye.document
    document.wanted_layer = "flow"
    of = {
        f"figure:{eye.id(name)}": (
            rectangle(200, 100 + 10 * n, 220, 106 + 10 * n, fill="white", owner=f"figure:{eye.id(name)}"),
            Text(202, 105 + 10 * n, text, ink="blue", owner=f"figure:{eye.id(name)}"),
        )
        for n, name in enumerate(names)
    }
    layer = Layer(1, document.sheet, document.condition, "flow", of)
    document._layered(layer)
    return layer


def shown(eye: Any) -> set[str]:
    return {owner for owner in eye.board.shown.items.items if owner.startswith("figure:")}


def test_the_layer_comes_and_changes_owner_by_owner(ketch: Any) -> None:
    lay(ketch, "W55", "W56")
    w55, w56 = (f"figure:{ketch.id(name)}" for name in ("W55", "W56"))
    assert shown(ketch) == {w55, w56}
    kept = ketch.board.shown.items.items[w55]
    layer = lay(ketch, "W55")
    assert shown(ketch) == {w55}
    assert ketch.board.shown.items.items[w55] is kept
    assert "with currents and drops" in ketch.board.accessibleName()
    assert ketch.document.layer is layer


def test_an_edit_takes_a_stale_layer_off_at_once(ketch: Any) -> None:
    lay(ketch, "W55")
    ketch.document.do(SetFields("runs", ketch.id("W55"), (("length_m", 9.0),)))
    assert shown(ketch) == set()
    assert ketch.document.layer is None
    lay(ketch, "W55")
    ketch.document.undo()
    assert shown(ketch) == set()
    assert "with" not in ketch.board.accessibleName()


def test_so_does_another_sheet_another_condition_and_switching_it_off(ketch: Any) -> None:
    document = ketch.document
    first = document.sheet
    lay(ketch, "W55")
    document.turn_to(document.sheets()[1])
    assert shown(ketch) == set()
    document.turn_to(first)
    assert shown(ketch) == set()
    lay(ketch, "W55")
    document.set_condition(document.installation.ids("conditions")[0])
    assert shown(ketch) == set()
    lay(ketch, "W55")
    document.want_layer("")
    assert shown(ketch) == set()


def test_a_layer_for_something_else_is_not_shown(ketch: Any) -> None:
    document = ketch.document
    layer = lay(ketch, "W55")
    document.want_layer("faults")
    document._layered(layer)
    assert shown(ketch) == set()
    document.want_layer("flow")
    document._layered(layer._replace(condition="c9"))
    document._layered(layer._replace(sheet=document.sheets()[1]))
    assert shown(ketch) == set()


def test_while_something_is_lifted_the_layer_waits(ketch: Any) -> None:
    held = ketch.board.shown
    held.hold(True)
    lay(ketch, "W55")
    assert shown(ketch) == set()
    held.hold(False)
    assert len(shown(ketch)) == 1


def test_a_new_picture_leaves_the_layer_where_it_is(ketch: Any) -> None:
    lay(ketch, "W55")
    document = ketch.document
    picture = Screen()
    picture.set(document.snapshot())
    document._drawn(picture.picture(document.sheet, 2))
    assert len(shown(ketch)) == 1


def test_what_is_pointed_at_is_told_with_its_figure(ketch: Any, qtbot: Any) -> None:
    lay(ketch, "M21", text="fault max 8.2 kA")
    document, board = ketch.document, ketch.board
    assert with_figure("M21 pump", ketch.id("M21"), document.layer) == "M21 pump; fault max 8.2 kA"
    assert with_figure("M22 pump", ketch.id("M22"), document.layer) == "M22 pump"
    board.setFocus()
    told: list[str] = []
    board.pointed.connect(told.append)
    for _n in range(len(board.finder().reading_order())):
        qtbot.keyClick(board, Qt.Key.Key_Tab)
        if document.selection == (ketch.id("M21"),):
            break
    assert told[-1].endswith("; fault max 8.2 kA")
