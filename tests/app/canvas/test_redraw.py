"""After an edit the sheet is right at once; what the study process draws then takes its place, owner by owner."""

from __future__ import annotations

from typing import Any

import pytest
from PySide6.QtWidgets import QApplication

from app.drawing.changes import move, turn
from app.drawing.screen import Screen
from engine.builder import Builder
from engine.edits import Put, SetFields, Several, apply
from engine.edits.removing import remove
from engine.geometry import Roads
from engine.installation import Placement, Sheet
from engine.picture import Path, Text

pytestmark = pytest.mark.qt


def strokes(eye: Any, item: str) -> list[Path]:
    return sorted(
        (p for p in eye.board.shown.items.of.get(item, ()) if isinstance(p, Path) and p.ink != "grey"), key=repr
    )


def as_drawn(eye: Any, sheet: str = "") -> dict[str, tuple[Any, ...]]:
    screen = Screen()
    screen.set(eye.document.snapshot(), eye.document.condition)
    return dict(screen.picture(sheet or eye.document.sheet, 1).of)


def lines_of(eye: Any, primitives: tuple[Any, ...]) -> set[tuple[Any, ...]]:
    """Strokes of a run or symbol, but for signs that stand where the label does."""
    return {p.segments for p in primitives if isinstance(p, Path) and len(p.segments) > 2}


def test_what_stands_there_at_opening_is_what_paper_shows(ketch: Any) -> None:
    drawn = as_drawn(ketch)
    for owner, primitives in drawn.items():
        if owner:
            assert set(ketch.board.shown.items.of[owner]) == set(primitives), owner
    shown = {p for of in ("", "dots") for p in ketch.board.shown.items.of[of]}
    texts = {p.text for p in drawn[""] if isinstance(p, Text)}
    assert {p.text for p in shown if isinstance(p, Text)} <= texts


def test_a_move_shows_at_once_and_undo_and_redo_too(ketch: Any) -> None:
    item, placement = ketch.id("M21"), ketch.placed("M21")
    before = dict(ketch.board.shown.items.of)
    label = next(p for p in before[item] if isinstance(p, Text) and p.text == "M21")
    ketch.document.do(move(ketch.document.snapshot(), (placement,), 3, -2))
    drawn = as_drawn(ketch)
    assert lines_of(ketch, ketch.board.shown.items.of[item]) == lines_of(ketch, drawn[item])
    now = next(p for p in ketch.board.shown.items.of[item] if isinstance(p, Text) and p.text == "M21")
    assert (now.x, now.y) == pytest.approx((label.x + 7.5, label.y - 5)), "its label went along"
    run = ketch.id("W55")
    assert ketch.board.finder().parts(run)[0].points[-1] != ()
    line = max(ketch.board.shown.items.of[run], key=lambda p: len(p.segments) if isinstance(p, Path) else 0)
    assert line in drawn[run], "the run is led to where the motor now is"
    ketch.document.undo()
    assert {o: set(p) for o, p in ketch.board.shown.items.of.items()} == {o: set(p) for o, p in before.items()}
    ketch.document.redo()
    assert lines_of(ketch, ketch.board.shown.items.of[item]) == lines_of(ketch, drawn[item])


def test_turned_removed_renamed(ketch: Any) -> None:
    document = ketch.document
    item = ketch.id("P23")
    document.do(turn(document.snapshot(), (ketch.placed("P23"),)))
    drawn = as_drawn(ketch)
    assert list(strokes(ketch, item)) == sorted(
        (p for p in drawn[item] if isinstance(p, Path) and p.ink != "grey"), key=repr
    )
    document.do(SetFields("equipment", item, (("designation", "P99"), ("label", "Gas alarm")), "Rename"))
    assert "P99" in ketch.texts(item)
    assert "P23" not in ketch.texts(item)
    document.do(remove(document.snapshot(), document.installation.last_id, (item,), with_runs=True))
    assert item not in ketch.owners()
    gone = {r for r in ketch.owners() if r[:1] == "r"} - set(document.snapshot().runs)
    assert not gone
    document.undo()
    assert "P99" in ketch.texts(item)


def test_a_new_piece_has_its_symbol_and_designation_at_once(ketch: Any) -> None:
    document = ketch.document
    record = Builder().installation  # nothing of it is used but the class below
    del record
    from engine.equipment.protection.fuse import Fuse

    last = document.installation.last_id
    item, placement = f"e{last + 1}", f"a{last + 2}"
    document.do(
        Several(
            (
                Put("equipment", item, Fuse(designation="F77")),
                Put("placements", placement, Placement(equipment=item, sheet=document.sheet, x=10, y=60)),
            ),
            "Place F77",
        )
    )
    assert "F77" in ketch.texts(item)
    assert set(strokes(ketch, item)) <= set(as_drawn(ketch)[item])
    assert ketch.board.finder().box_of(item) is not None
    count = ketch.items()
    document.undo()
    assert item not in ketch.owners()
    document.redo()
    assert ketch.items() == count


def test_what_the_study_process_draws_takes_the_place_of_only_what_differs(ketch: Any) -> None:
    ketch.draw()
    kept = {owner: list(items) for owner, items in ketch.board.shown.items.items.items()}
    item = ketch.id("M21")
    ketch.document.do(move(ketch.document.snapshot(), (ketch.placed("M21"),), 2, 0))
    picture = ketch.draw()
    items = ketch.board.shown.items
    assert {o: p for o, p in items.of.items() if o not in ("", "dots")} == {
        o: tuple(p) for o, p in picture.of.items() if o
    }
    far = ketch.id("T9")
    assert items.items[far] is not None
    assert [i for i, _s in items.items[far]] == [i for i, _s in kept[far]], "what is as it was keeps its items"
    assert items.items[item] != kept[item]


def test_no_item_is_left_over(ketch: Any) -> None:
    ketch.draw()
    document = ketch.document
    count = ketch.items()
    for n in range(6):
        document.do(move(document.snapshot(), (ketch.placed("M21"), ketch.placed("M22")), 1 if n % 2 else -1, 0))
        ketch.draw()
    for _n in range(6):
        document.undo()
    ketch.draw()
    assert ketch.items() == count
    for sheet in (*document.sheets(), document.sheets()[2]):
        document.turn_to(sheet)
    assert ketch.items() == count


def test_another_sheet_is_shown_as_it_now_is_even_when_it_was_drawn_before(ketch: Any) -> None:
    document = ketch.document
    first, third = document.sheets()[0], document.sheets()[2]
    ketch.draw(third)
    ketch.draw(first)
    document.turn_to(first)
    assert ketch.id("M21") not in ketch.owners()
    placement = next(i for i, p in document.snapshot().placements.items() if p.equipment == ketch.id("M21"))
    document.do(move(document.snapshot(), (placement,), 4, 0))
    assert ketch.id("M21") not in ketch.owners(), "it is on another sheet"
    document.turn_to(third)
    drawn = as_drawn(ketch)
    assert lines_of(ketch, ketch.board.shown.items.of[ketch.id("M21")]) == lines_of(ketch, drawn[ketch.id("M21")])


def test_switches_stand_as_in_the_condition(ketch: Any) -> None:
    document = ketch.document
    snapshot = document.snapshot()
    placed = {p.equipment: p.sheet for p in snapshot.placements.values()}
    condition, setting = next(
        (c, s)
        for c, record in snapshot.conditions.items()
        for s in record.settings
        if snapshot.equipment[s.equipment].drawn_position() != s.position and s.equipment in placed
    )
    document.turn_to(placed[setting.equipment])
    before = set(strokes(ketch, setting.equipment))
    document.set_condition(condition)
    assert set(strokes(ketch, setting.equipment)) != before
    assert set(strokes(ketch, setting.equipment)) == {
        p for p in as_drawn(ketch)[setting.equipment] if isinstance(p, Path) and p.ink != "grey"
    }
    document.set_condition("")
    assert set(strokes(ketch, setting.equipment)) == before


def test_a_sheet_of_another_size_a_removed_sheet_a_drawing_without_sheets(on_board: Any) -> None:
    b = Builder()
    b.add("fuse", "F1")
    eye = on_board(b.installation)
    assert eye.owners() == set()
    assert eye.board.hit(eye.board.spot_mm(10, 10)).kind == ""
    assert eye.board.accessibleName() == "No sheet"
    document = eye.document
    sheet = Put("sheets", "s100", Sheet(size="A4", title="One"))
    document.do(Several((sheet, Put("placements", "a101", Placement(equipment="e1", sheet="s100", x=20, y=20))), "Add"))
    document.turn_to("s100")
    QApplication.processEvents()
    assert "F1" in eye.texts("e1")
    assert eye.board._paper.rect().width() == 297
    assert eye.board.seen_box().right >= 297
    document.do(SetFields("sheets", "s100", (("size", "A3"),), "Larger"))
    assert eye.board._paper.rect().width() == 420
    assert "F1" in eye.texts("e1")
    document.undo()
    assert eye.board._paper.rect().width() == 297
    document.undo()
    assert eye.owners() == set()


def test_a_crowded_sheet_is_labelled_without_a_search(on_board: Any) -> None:
    b = Builder()
    made = b.installation
    apply(made, Put("sheets", "s900000", Sheet(size="A2")))
    for n in range(130):
        b.add("fuse", f"F{n}", label="A circuit of some length", rating_a=10)
        item = made.find(f"F{n}")[0][1]
        record = Placement(equipment=item, sheet="s900000", x=6 + (n % 26) * 7, y=10 + (n // 26) * 24)
        apply(made, Put("placements", f"a{910_000 + n}", record))
    eye = on_board(made)
    for n in range(130):
        assert f"F{n}" in eye.texts(eye.id(f"F{n}"))


def test_a_run_without_a_clear_way_is_broken_off_and_the_sheet_is_not_searched_at_every_edit(
    on_board: Any, monkeypatch: pytest.MonkeyPatch
) -> None:
    b = Builder()
    apply(b.installation, Put("sheets", "s900000", Sheet(number=1, size="A1")))
    for n in range(60):  # a wall of fuses from top to bottom
        b.add("fuse", f"F{n}", rating_a=10)
    b.add("load", "E1")
    b.run("W1", "F0.out", "E1.in")
    for n in range(60):
        item = b.installation.find(f"F{n}")[0][1]
        x, y = (10, 40) if n == 0 else (60 + n % 2 * 3, 4 + n * 3)
        apply(
            b.installation, Put("placements", f"a{900_001 + n}", Placement(equipment=item, sheet="s900000", x=x, y=y))
        )
    load = b.installation.find("E1")[0][1]
    apply(b.installation, Put("placements", "a900090", Placement(equipment=load, sheet="s900000", x=110, y=40)))
    asked: list[int | None] = []
    real = Roads.find

    def noted(self: Roads, *ends: Any, **limits: Any) -> Any:
        asked.append(limits.get("steps"))
        return real(self, *ends, **limits)

    monkeypatch.setattr(Roads, "find", noted)
    eye = on_board(b.installation)
    eye.document.do(SetFields("equipment", load, (("label", "Horn"),)))
    assert asked
    assert all(steps is not None and steps <= 2000 for steps in asked), "the window waits for every step"
    run = b.installation.find("W1")[0][1]
    assert strokes(eye, run), "it is shown all the same"
