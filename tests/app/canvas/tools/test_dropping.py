"""A symbol that stands alone, dragged onto a run, is put into it; all else only moves."""

from __future__ import annotations

import msgspec
import pytest

from engine.edits import Put

pytestmark = pytest.mark.qt


def known(hand, name: str = "W2", **values) -> None:
    """The run has these facts."""
    item = hand.id(name)
    run = msgspec.structs.replace(hand.document.snapshot().runs[item], **values)
    hand.document.do(Put("runs", item, run, "Set"))


def drag(hand, start, stop) -> None:
    hand.press(start)
    hand.move(((start[0] + stop[0]) // 2, (start[1] + stop[1]) // 2))
    hand.move(stop)
    hand.release(stop)


def test_a_lone_switch_dropped_on_a_run_is_put_into_it(hand) -> None:
    known(hand, size="35 mm2", conductor="tinned copper", length_m=2.0)
    hand.take("choose")
    drag(hand, (50, 20), (20, 25))
    snapshot = hand.document.snapshot()
    assert hand.document.history.undo_words == "Put Q2 into W2"
    first, second = (r for r in snapshot.runs.values() if r.size == "35 mm2")
    assert (first.conductor, second.conductor) == ("tinned copper", "tinned copper")
    assert (first.length_m, second.length_m) == (None, None)  # what is drawn is no cable length
    ends = {(e.equipment, e.terminal) for r in (first, second) for e in (r.from_end, r.to_end)}
    assert {(hand.id("Q2"), "in"), (hand.id("Q2"), "out")} <= ends
    assert sum(p.equipment == hand.id("Q2") for p in snapshot.placements.values()) == 1  # the symbol it had
    hand.document.undo()
    assert (hand.placement("Q2").x, hand.placement("Q2").y) == (50, 20)
    assert len(hand.document.snapshot().runs) == 4


def test_it_is_told_before_it_is_let_go(hand) -> None:
    said: list[str] = []
    hand.board.pointed.connect(said.append)
    hand.take("choose")
    hand.press((50, 20))
    hand.move((40, 22))
    hand.move((20, 25))
    assert said[-1] == "Inserts it into W2; the lengths of its two parts are unknown then"
    hand.move((30, 34))
    hand.release((30, 34))
    assert hand.document.history.undo_words.startswith("Move Q2")


def test_what_is_joined_already_only_moves(hand) -> None:
    hand.take("choose")
    drag(hand, (40, 20), (20, 25))
    assert hand.document.history.undo_words.startswith("Move E1")
    assert len(hand.document.snapshot().runs) == 4


def test_what_no_run_passes_through_only_moves(hand) -> None:
    hand.take("place", "load")
    hand.click((60, 40))
    name = next(iter(hand.chosen()))
    at = hand.placement(name)
    drag(hand, (at.x, at.y), (20, 25))
    assert hand.document.history.undo_words.startswith(f"Move {name}")


def test_placed_onto_a_run_both_parts_keep_what_is_known_of_the_conductor(hand) -> None:
    known(hand, size="35 mm2", insulation_c=105.0, length_m=2.0)
    hand.take("place", "fuse")
    hand.click((20, 25))
    parts = [r for r in hand.document.snapshot().runs.values() if r.size == "35 mm2"]
    assert [(r.insulation_c, r.length_m) for r in parts] == [(105.0, None)] * 2
