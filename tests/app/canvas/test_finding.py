from __future__ import annotations

from typing import Any

import pytest
from PySide6.QtCore import QPoint

from app.canvas.tool import Hit
from engine.builder import Builder
from engine.edits import Put, apply
from engine.installation import Placement, Route, Sheet
from engine.picture import Box, Text, text_box

pytestmark = pytest.mark.qt


def at(eye: Any, x: float, y: float) -> Hit:
    return eye.board.hit(eye.board.spot_mm(x, y))


def test_every_terminal_symbol_and_run_is_found_where_it_is_drawn(ketch: Any) -> None:
    finder = ketch.board.finder()
    snapshot = ketch.document.snapshot()
    for piece in finder.scene.on(finder.sheet):
        if piece.is_bar:
            (ax, ay), (bx, _by) = (finder.sight.at(p) for p in piece.ends())
            hit = at(ketch, ax + (bx - ax) * 0.37, ay)
            assert (hit.kind, hit.placement) == ("terminal", piece.id)
            continue
        for name in piece.look.ports:
            if piece.shows(name):
                hit = at(ketch, *finder.port(piece, name))
                assert hit == Hit("terminal", piece.equipment, piece.id, name)
        b = finder.boxes[piece.id]
        inside = at(ketch, (b.left + b.right) / 2, (b.top + b.bottom) / 2)
        assert inside.placement == piece.id
    for part in finder.scene.parts_on(finder.sheet):
        stretches = [(finder.sight.at(a), finder.sight.at(b)) for a, b in zip(part.points, part.points[1:])]  # noqa: B905
        n = max(range(len(stretches)), key=lambda k: abs(stretches[k][0][0] - stretches[k][1][0]) + abs(
            stretches[k][0][1] - stretches[k][1][1]))  # fmt: skip
        (ax, ay), (bx, by) = stretches[n]
        if abs(ax - bx) + abs(ay - by) < 8:
            continue
        hit = at(ketch, (ax + bx) / 2, (ay + by) / 2)
        if hit.item != part.run:  # several runs of one terminal lie on each other there
            mine = {(part.near, "near"), (part.far, "far")}
            assert any({(o.near, "near"), (o.far, "far")} & mine for o in finder.parts(hit.item))
        else:
            assert hit == Hit("run", part.run, segment=n), snapshot.name(part.run)


def test_a_thin_line_is_met_from_a_few_pixels_away_at_every_zoom(ketch: Any) -> None:
    finder = ketch.board.finder()
    run = ketch.id("W60")
    (line,) = [b for b in finder.lines(run) if b.bottom - b.top > 5]
    for zoom in (0.5, 1.0, 4.0, 12.0):
        ketch.board.fit()
        ketch.board.zoom_by(zoom)
        ketch.board.show_box(line)
        there = ketch.pixel(line.left, (line.top + line.bottom) / 2)
        assert ketch.board.hit(ketch.board.spot(there + QPoint(3, 0))).item == run
        if zoom >= 4:
            beside = ketch.board.hit(ketch.board.spot(there + QPoint(40, 0)))
            assert beside.item != run or beside.label  # what is written at it may stand there


def test_a_label_stands_for_what_it_is_written_at(ketch: Any) -> None:
    for name, kind in (("G3", "equipment"), ("W60", "run")):
        item = ketch.id(name)
        texts = [p for p in ketch.board.shown.items.of[item] if isinstance(p, Text)]
        box = text_box(next(t for t in texts if t.text == name))
        hit = at(ketch, (box.left + box.right) / 2, (box.top + box.bottom) / 2)
        assert (hit.kind, hit.item) == (kind, item)


def test_notes_and_flags_are_found_and_clicked(ketch: Any) -> None:
    from engine.check import check

    ketch.document.turn_to(ketch.document.sheets()[0])
    picture = ketch.draw(result=check(ketch.document.snapshot()))
    flags = sorted(int(o[5:]) for o in picture.of if o.startswith("flag:"))
    assert picture.note_boxes
    assert flags
    number = next(n for n in flags if n in picture.note_boxes)
    box = picture.note_boxes[number]
    ketch.click(ketch.pixel((box.left + box.right) / 2, (box.top + box.bottom) / 2))
    flag = ketch.board.finder().flag_boxes[number]
    ketch.click(ketch.pixel((flag.left + flag.right) / 2, (flag.top + flag.bottom) / 2))
    assert ketch.noted == [number, number]
    assert ketch.document.selection == ()
    marked = ketch.board.marks._note
    assert marked.isVisible()
    assert marked.path().boundingRect().width() > box.right - box.left, "the note and its flags"
    ketch.click(ketch.pixel(2, 2))
    assert not marked.isVisible()


def test_nothing_is_found_on_the_bare_sheet_or_beside_it(ketch: Any) -> None:
    for x, y in ((30, 250), (-50, -50), (1e6, 1e6), (419, 296)):
        assert at(ketch, x, y) == Hit()


def test_a_box_takes_what_lies_in_it_as_a_whole(ketch: Any) -> None:
    finder = ketch.board.finder()
    every = finder.within(Box(0, 0, 420, 297))
    assert len(every[0]) == len(finder.scene.on(finder.sheet))
    assert set(every[1]) == {p.run for p in finder.scene.parts_on(finder.sheet)}
    b = finder.boxes[ketch.placed("M21")]
    assert finder.within(b.grown(0.1))[0] == (ketch.placed("M21"),)
    assert finder.within(b.grown(-0.5)) == ((), ())


def test_the_reading_order_goes_down_the_sheet_and_names_everything_once(ketch: Any) -> None:
    finder = ketch.board.finder()
    order = finder.reading_order()
    assert len(order) == len(set(order))
    names = [ketch.document.snapshot().name(i) for i in order]
    assert names.index("G3") < names.index("M21") < names.index("WC4")
    assert names.index("M21") < names.index("M22")


def test_of_two_symbols_of_one_thing_each_is_found(on_board: Any) -> None:
    b = Builder()
    b.add("inverter_charger", "T1")
    made = b.installation
    apply(made, Put("sheets", "s100", Sheet()))
    terminals = [t.name for t in made.get("equipment", "e1").terminals()]
    for item, x, some in (("a101", 20, terminals[:1]), ("a102", 60, terminals[1:])):
        record = Placement(equipment="e1", sheet="s100", x=x, y=20, terminals=tuple(some))
        apply(made, Put("placements", item, record))
    eye = on_board(made)
    for item in ("a101", "a102"):
        box = eye.board.finder().boxes[item]
        hit = at(eye, (box.left + box.right) / 2, (box.top + box.bottom) / 2)
        assert hit.placement == item
    shown = {at(eye, *eye.board.finder().port(p, n)).terminal for p in eye.board.scene_now().on("s100")
             for n in p.look.ports if p.shows(n)}  # fmt: skip
    assert shown == set(terminals)


def test_a_route_that_leads_nowhere_is_no_trouble(on_board: Any) -> None:
    b = Builder()
    b.add("fuse", "F1")
    b.add("fuse", "F2")
    b.run("W1", "F1.out", "F2.in")
    made = b.installation
    apply(made, Put("sheets", "s100", Sheet()))
    apply(made, Put("placements", "a101", Placement(equipment="e1", sheet="s100", x=20, y=20)))
    apply(made, Put("routes", "t102", Route(run="r3", sheet="s100", bends=())))
    eye = on_board(made)
    assert eye.board.finder().reading_order()
    assert eye.board.reveal("e2") is False
