"""Drawing runs, with real mouse and keys."""

from __future__ import annotations

import pytest
from PySide6.QtCore import Qt

pytestmark = pytest.mark.qt

# the terminals of the small boat
E1_NEG = (42, 21)
G1_NEG = (20, 42)
Q2_IN, Q2_OUT = (50, 22), (50, 18)
Q3_IN, Q3_OUT = (56, 22), (56, 18)
S1_ONE, S1_COMMON = (50, 36), (52, 32)


def new_run(hand):
    """The run drawn last, as (its ends, what it carries)."""
    snapshot = hand.document.snapshot()
    run = snapshot.runs[hand.document.selection[0]]
    ends = {f"{snapshot.name(e.equipment)}.{e.terminal}" for e in (run.from_end, run.to_end)}
    return ends, run


def kinds_of(hand, ends):
    snapshot = hand.document.snapshot()
    return sorted(e.KIND for e in snapshot.equipment.values() if snapshot.name(e.designation) and e.designation in
                  {n.partition(".")[0] for n in ends})  # fmt: skip


def test_click_to_click_joins_two_terminals(hand) -> None:
    hand.take("run")
    assert hand.board.marks._rings.isVisible()
    hand.click(Q2_OUT)
    hand.move((53, 12))
    assert hand.board.marks._rubber.isVisible()
    hand.nothing_done()
    hand.click(Q3_OUT)
    ends, run = new_run(hand)
    assert ends == {"Q2.out", "Q3.out"}
    assert run.length_m is None, "a drawn length is no cable length"
    assert hand.chosen() == {"W5"}
    assert hand.board.tool.NAME == "run"
    hand.no_preview()
    assert hand.one_edit() == "Draw W5"


def test_press_drag_release_joins_two_terminals_too(hand) -> None:
    hand.take("run")
    hand.drag(Q2_OUT, (53, 12), Q3_OUT)
    assert new_run(hand)[0] == {"Q2.out", "Q3.out"}
    hand.one_edit()


def test_clicks_between_set_corners_that_stay(hand) -> None:
    hand.take("run")
    hand.click(Q2_OUT)
    hand.click((50, 14))
    hand.click((56, 14))
    hand.nothing_done()
    hand.click(Q3_OUT)
    assert new_run(hand)[0] == {"Q2.out", "Q3.out"}
    assert hand.line("W5") in (((50, 18), (50, 14), (56, 14), (56, 18)), ((56, 18), (56, 14), (50, 14), (50, 18)))
    route = next(r for r in hand.document.snapshot().routes.values() if r.run == hand.id("W5"))
    assert route.by_hand
    hand.one_edit()


def test_backspace_takes_the_last_corner_back_then_the_start(hand) -> None:
    hand.take("run")
    hand.click(Q2_OUT)
    hand.click((50, 14))
    hand.click((60, 12))
    hand.key(Qt.Key.Key_Backspace)
    hand.click((56, 14))
    hand.click(Q3_OUT)
    assert set(hand.line("W5")) == {(50, 18), (50, 14), (56, 14), (56, 18)}
    hand.document.undo()
    hand.click(Q2_OUT)
    hand.key(Qt.Key.Key_Backspace)
    hand.no_preview()
    hand.click(Q3_OUT)  # begins anew
    hand.nothing_done()


def test_escape_gives_the_run_up_then_the_tool(hand) -> None:
    hand.take("run")
    hand.click(Q2_OUT)
    hand.click((50, 14))
    hand.key(Qt.Key.Key_Escape)
    hand.no_preview()
    assert hand.board.tool.NAME == "run"
    assert hand.board.marks._rings.isVisible()
    hand.key(Qt.Key.Key_Escape)
    assert hand.board.tool.NAME == "choose"
    assert not hand.board.marks._rings.isVisible()
    hand.nothing_done()


def test_a_double_click_on_an_empty_place_ends_loose(hand) -> None:
    hand.take("run")
    hand.click(Q2_OUT)
    hand.double((56, 12))
    ends, _run = new_run(hand)
    assert "open_end" in kinds_of(hand, ends)
    snapshot = hand.document.snapshot()
    loose = next(i for i, e in snapshot.equipment.items() if e.KIND == "open_end")
    assert [(p.x, p.y) for p in snapshot.placements.values() if p.equipment == loose] == [(56, 12)]
    hand.no_preview()
    hand.one_edit()


def test_enter_ends_loose_where_the_pointer_is(hand) -> None:
    hand.take("run")
    hand.click(Q2_OUT)
    hand.move((56, 12))
    hand.key(Qt.Key.Key_Return)
    assert "open_end" in kinds_of(hand, new_run(hand)[0])
    hand.one_edit()


def test_a_click_on_a_run_makes_a_junction(hand) -> None:
    hand.take("run")
    hand.click(Q2_IN)
    hand.click((34, 26))
    ends, _run = new_run(hand)
    assert "junction" in kinds_of(hand, ends)
    assert len(hand.document.snapshot().runs) == 6
    assert hand.document.snapshot().runs[hand.id("W1")].length_m == 1
    hand.one_edit()


def test_a_run_may_begin_on_a_run_and_on_an_empty_place(hand) -> None:
    hand.take("run")
    hand.click((34, 26))
    hand.click(Q2_IN)
    assert "junction" in kinds_of(hand, new_run(hand)[0])
    hand.one_edit()
    hand.document.undo()
    hand.click((50, 28))
    hand.click(Q2_IN)
    assert "open_end" in kinds_of(hand, new_run(hand)[0])
    hand.one_edit()


def test_a_run_to_a_bus_arrives_where_it_was_clicked(hand) -> None:
    hand.take("run")
    hand.click(Q2_OUT)
    hand.click((25, 10))
    assert new_run(hand)[0] == {"Q2.out", "X1.bar"}
    assert (25, 10) in hand.line("W5")
    hand.one_edit()


def test_a_click_on_a_symbol_takes_its_nearest_terminal(hand) -> None:
    hand.take("run")
    hand.click((50, 19))
    hand.click((56, 19.2))
    assert new_run(hand)[0] == {"Q2.out", "Q3.out"}


def test_the_loose_end_of_a_run_is_led_on(hand) -> None:
    hand.take("run")
    hand.click(Q2_OUT)
    hand.double((56, 12))
    hand.click((56, 12))
    hand.click(Q3_OUT)
    snapshot = hand.document.snapshot()
    assert len(snapshot.runs) == 5
    assert not any(e.KIND == "open_end" for e in snapshot.equipment.values())
    assert set(hand.ends("W5")) == {"Q2.out", "Q3.out"}


def test_terminals_without_a_common_conductor_are_crossed_and_refused(hand) -> None:
    told: list[str] = []
    hand.board.pointed.connect(told.append)
    hand.take("run")
    assert not hand.board.marks._crosses.isVisible()
    hand.click(G1_NEG)
    assert hand.board.marks._crosses.isVisible()
    hand.move((42, 19))  # the earth of the load
    hand.rest(hand.board.marks._rubber_end.isVisible)
    assert told[-1].startswith("A run there would join nothing: G1")
    assert hand.board.marks._rubber_end.isVisible()
    hand.click((42, 19))
    hand.nothing_done()
    assert hand.said == [told[-1]]
    hand.click(E1_NEG)  # it goes on from there
    ends, run = new_run(hand)
    assert ends == {"G1.neg", "E1.neg"}
    assert run.function == "dc negative"
    assert not hand.board.marks._crosses.isVisible()
    hand.one_edit()


def test_both_ends_on_one_terminal_make_no_run(hand) -> None:
    hand.take("run")
    hand.click(Q2_OUT)
    hand.click((50, 14))
    hand.click((53, 14))
    hand.click(Q2_OUT)
    hand.nothing_done()
    assert hand.said == ["Both ends of the run would be at the same terminal."]
    hand.key(Qt.Key.Key_Escape)
    hand.double(Q2_OUT)
    hand.key(Qt.Key.Key_Return)
    hand.nothing_done()


def test_the_whole_from_the_keyboard(hand) -> None:
    hand.take("run")
    hand.go(*Q2_OUT)
    hand.key(Qt.Key.Key_Return)
    hand.go(50, 14)
    hand.key(Qt.Key.Key_Space)  # a corner
    hand.go(56, 14)
    hand.key(Qt.Key.Key_Space)
    hand.go(*Q3_OUT)
    hand.key(Qt.Key.Key_Return)
    assert new_run(hand)[0] == {"Q2.out", "Q3.out"}
    assert set(hand.line("W5")) == {(50, 18), (50, 14), (56, 14), (56, 18)}
    hand.one_edit()


def test_a_loose_end_from_the_keyboard(hand) -> None:
    hand.take("run")
    hand.go(*Q2_OUT)
    hand.key(Qt.Key.Key_Return)
    hand.key(Qt.Key.Key_Return)
    hand.nothing_done()
    hand.go(56, 12)
    hand.key(Qt.Key.Key_Return)
    assert "open_end" in kinds_of(hand, new_run(hand)[0])
    hand.one_edit()


def test_another_tool_gives_the_run_up(hand) -> None:
    hand.take("run")
    hand.click(Q2_OUT)
    hand.click((50, 14))
    hand.take("choose")
    hand.no_preview()
    assert not hand.board.marks._rings.isVisible()
    hand.click("F1")
    assert hand.chosen() == {"F1"}
    hand.nothing_done()


def test_undo_while_a_run_is_drawn_takes_its_start_with_it(hand) -> None:
    hand.take("place", "fuse")
    hand.click((36, 38))
    hand.take("run")
    hand.click((36, 36))  # the upper terminal of the new fuse
    hand.document.undo()
    hand.move((44, 30))
    hand.no_preview()
    hand.click(S1_COMMON)  # begins anew
    hand.click(S1_ONE)
    assert hand.said == []
    assert new_run(hand)[0] == {"S1.common", "S1.one"}


def test_the_line_shown_is_the_line_drawn(hand) -> None:
    hand.take("run")
    hand.click((20, 42))
    hand.move(E1_NEG)
    guess = hand.board.marks._rubber.path()
    hand.rest(lambda: hand.board.marks._rubber.path() != guess)
    path = hand.board.marks._rubber.path()
    shown = [(path.elementAt(n).x, path.elementAt(n).y) for n in range(path.elementCount())]
    hand.click(E1_NEG)
    sight = hand.board.finder().sight
    drawn = [sight.at(p) for p in hand.line("W5")]
    assert shown in (drawn, drawn[::-1])


def test_a_drag_that_ends_on_nothing_goes_on(hand) -> None:
    hand.take("run")
    hand.drag(Q2_OUT, (50, 16), (50, 13))
    hand.nothing_done()
    hand.click(Q3_OUT)
    assert new_run(hand)[0] == {"Q2.out", "Q3.out"}
    assert (50, 13) in hand.line("W5")
    hand.one_edit()


def test_off_the_sheet_is_refused(hand) -> None:
    hand.take("run")
    hand.click(S1_ONE)
    hand.double((1, 24))
    hand.nothing_done()
    assert len(hand.said) == 1


def test_a_read_only_drawing_is_left_alone(hand) -> None:
    hand.document.read_only = "another window has it."
    hand.take("run")
    hand.click(Q2_OUT)
    hand.click(Q3_OUT)
    hand.nothing_done()
    assert len(hand.said) == 1


def test_an_empty_sheet(hand_on) -> None:
    from engine.edits import Put, apply
    from engine.installation import Installation, Sheet

    installation = Installation()
    apply(installation, Put("sheets", "s1", Sheet()))
    hand = hand_on(installation)
    hand.take("run")
    hand.click((20, 20))
    hand.double((30, 26))
    assert len(hand.document.snapshot().runs) == 1
    hand.one_edit()


def label_spot(hand, name: str):
    """The middle of the label of a thing, in grid steps."""
    from engine.picture import Text, text_box

    item = hand.id(name)
    texts = [p for p in hand.board.shown.items.of[item] if isinstance(p, Text) and p.text == name]
    box = text_box(texts[0])
    sight = hand.board.finder().sight
    return ((box.left + box.right) / 2 - sight.left) / 2.5, ((box.top + box.bottom) / 2 - sight.top) / 2.5


@pytest.mark.parametrize("name", ["E1", "W4"])
def test_a_click_on_a_label_sets_a_corner_and_joins_nothing(hand, name) -> None:
    spot = label_spot(hand, name)
    assert hand.board.hit(hand.board.spot(hand.pixel(spot))).item == hand.id(name)
    hand.take("run")
    hand.click(Q2_OUT)
    hand.click(spot)
    hand.nothing_done()
    assert hand.said == []
    hand.click(Q3_OUT)
    assert new_run(hand)[0] == {"Q2.out", "Q3.out"}


def test_another_sheet_gives_the_run_up(hand) -> None:
    from app.drawing.changes import add_sheet

    made = add_sheet(hand.document.snapshot(), hand.document.installation.last_id)
    hand.document.do(made.edit)
    hand.take("run")
    hand.click(Q2_OUT)
    hand.document.turn_to(made.items[0])
    hand.move((30, 30))
    hand.no_preview()
    hand.click((30, 30))
    hand.double((40, 36))
    assert len(hand.document.snapshot().runs) == 5, "a run of the new sheet alone"
    assert "Q2.out" not in new_run(hand)[0]
