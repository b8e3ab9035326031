"""Squares of deficiencies as strokes: numbered in the margin, at the thing, told from findings by form, linked."""

from __future__ import annotations

from pathlib import Path

import pytest

from app.drawing.screen import Screen
from app.drawing.sheets import pictures
from app.drawing.squares.which import drawn_with
from engine.check import check
from engine.deficiencies import close, mark
from engine.edits import Put, apply
from engine.files.drawing import load
from engine.installation import Deficiency, Installation
from engine.picture import Box, Picture, Primitive, Text, path_box, text_box
from engine.picture import Path as Stroke

LAUNCH = Path(__file__).parents[4] / "samples" / "launch" / "launch.linewright"


@pytest.fixture
def launch() -> Installation:
    return load(LAUNCH).installation


def put(i: Installation, **fields: object) -> str:
    item = i.new_id("deficiencies")
    apply(i, mark(i.snapshot(), item, Deficiency(**{"observation": "burnt lug", **fields})))  # type: ignore[arg-type]
    return item


def sheet_of(i: Installation) -> str:
    return next(iter(i.snapshot().sheets))


def drawn(i: Installation) -> tuple[Picture, ...]:
    return pictures(i.snapshot(), check(i.snapshot()))


def owned(pages: tuple[Picture, ...], owner: str) -> list[Primitive]:
    return [p for page in pages for p in page.primitives if p.owner == owner]


def corners(strokes: list[Primitive]) -> list[Stroke]:
    """Closed shapes without a curve, four straight sides."""
    closed = (p for p in strokes if isinstance(p, Stroke) and p.segments[-1][0] == "Z")
    return [p for p in closed if all(s[0] != "C" for s in p.segments) and len(p.segments) == 5]


def test_a_square_at_the_thing_and_in_the_margin_lead_to_one_another(launch: Installation) -> None:
    q1 = launch.find("Q1")[0][1]
    put(launch, at=q1, grade="A", risk="fire", recommendation="renew it", due="2026-06-01")
    pages = drawn(launch)
    flag, note = owned(pages, "flag:-1"), owned(pages, "note:-1")
    assert len(corners(flag)) == 1
    assert len(corners(note)) == 1
    assert [(t.text, t.link, t.bold) for t in flag if isinstance(t, Text)] == [("1", "note:-1", True)]
    number, *lines = [t for t in note if isinstance(t, Text)]
    assert (number.text, number.link) == ("1", "flag:-1")
    assert lines[0].bold
    assert lines[0].text == "Class A, to be put right before further use"
    told = " ".join(t.text for t in lines)
    for words in ("Q1", "burnt lug", "Risk: fire", "To do: renew it", "By 2026-06-01."):
        assert words in told
    anchors = {name for page in pages for name, _x, _y in page.anchors}
    assert {"flag:-1", "note:-1"} <= anchors


def test_findings_have_circles_and_deficiencies_squares_of_the_same_number(launch: Installation) -> None:
    put(launch, at=launch.find("Q1")[0][1])
    pages = drawn(launch)
    finding, deficiency = owned(pages, "flag:1"), owned(pages, "flag:-1")
    assert finding
    assert not corners(finding)
    assert any("C" in {s[0] for s in p.segments} for p in finding if isinstance(p, Stroke))
    assert corners(deficiency)
    assert all("C" not in {s[0] for s in p.segments} for p in deficiency if isinstance(p, Stroke))


def test_a_square_covers_neither_symbol_nor_label(launch: Installation) -> None:
    for item in (*launch.snapshot().equipment, *list(launch.snapshot().runs)[:6]):
        put(launch, at=item)
    page = drawn(launch)[0]
    flags = {
        p.owner: path_box(p) for p in page.primitives
        if isinstance(p, Stroke) and p.owner.startswith("flag:-") and corners([p])
    }  # fmt: skip
    assert len(flags) > 15
    texts = [text_box(t) for t in page.primitives if isinstance(t, Text) and t.owner in launch.snapshot().equipment]
    for owner, box in flags.items():
        assert not [t for t in texts if _meet(box, t)], owner
    boxes = list(flags.values())
    assert not [(a, b) for n, a in enumerate(boxes) for b in boxes[:n] if _meet(a, b)]


def _meet(a: Box, b: Box) -> bool:
    slack = 0.2
    return (
        a.left + slack < b.right and b.left + slack < a.right and a.top + slack < b.bottom and b.top + slack < a.bottom
    )


def test_a_place_of_a_sheet_is_marked_and_what_is_nowhere_told_on_the_first(launch: Installation) -> None:
    put(launch, sheet=sheet_of(launch), x=4, y=40, observation="no diagram")
    put(launch, observation="nobody knows the boat")
    put(launch, at="Old fuse", observation="gone")
    pages = drawn(launch)
    cross = [p for p in owned(pages, "flag:-1") if isinstance(p, Stroke) and not corners([p])]
    assert len(cross) == 3  # a cross, and the leader
    assert not owned(pages, "flag:-2")
    words = " ".join(t.text for t in pages[0].primitives if isinstance(t, Text))
    assert "no diagram" in words
    every = " ".join(t.text for page in pages for t in page.primitives if isinstance(t, Text))
    assert "nobody knows the boat" in every
    assert "Old fuse: gone" in every


def test_a_closed_one_is_told_apart_by_form_and_says_so(launch: Installation) -> None:
    item = put(launch, at=launch.find("Q1")[0][1])
    apply(launch, close(launch.snapshot(), item, closed_by="R. Tern", closed="2026-05-02", evidence="new lug"))
    pages = drawn(launch)
    flag = [p for p in owned(pages, "flag:-1") if isinstance(p, Stroke)]
    assert all(p.width == 0 for p in corners(flag))  # the paper behind the number: no side is drawn
    assert sum(len(p.segments) == 3 for p in flag) == 4  # four corners
    told = " ".join(t.text for t in owned(pages, "note:-1") if isinstance(t, Text))
    assert "Closed, seen put right by R. Tern on 2026-05-02: new lug." in told
    assert not any(p.ink == "red" for p in (*flag, *owned(pages, "note:-1")))
    assert not owned(pictures(drawn_with(launch.snapshot(), "open")), "flag:-1")


def test_the_window_knows_them_before_anything_is_judged_and_where_their_notes_stand(launch: Installation) -> None:
    put(launch, at=launch.find("Q1")[0][1])
    screen = Screen()
    screen.set(launch.snapshot())
    picture = screen.picture(sheet_of(launch), 1)
    assert -1 in picture.note_boxes
    assert "flag:-1" in picture.of
    assert screen.bodies_drawn == 1
    put(launch, at=launch.find("F1")[0][1])
    screen.set(launch.snapshot())
    screen.note(check(launch.snapshot()))
    picture = screen.picture(sheet_of(launch), 2)
    assert {-1, -2, 1} <= picture.note_boxes.keys()
    assert screen.bodies_drawn == 1  # a deficiency draws no symbol anew


def test_what_does_not_fit_goes_on_and_nothing_is_lost(launch: Installation) -> None:
    for n in range(40):
        put(launch, at=launch.find("Q1")[0][1], observation=f"fault number {n} of many", grade="ABC"[n % 3])
    pages = drawn(launch)
    every = " ".join(t.text for page in pages for t in page.primitives if isinstance(t, Text))
    for n in range(40):
        assert f"fault number {n} of many" in every
    assert len(pages) > 1


def test_a_drawing_without_any_is_drawn_as_it_was(launch: Installation) -> None:
    put(launch, at=launch.find("Q1")[0][1])
    with_none = pictures(drawn_with(launch.snapshot(), "none"), check(launch.snapshot()))
    assert with_none == pictures(load(LAUNCH).installation.snapshot(), check(launch.snapshot()))


def test_one_without_a_number_is_told_without_a_square(launch: Installation) -> None:
    apply(launch, Put("deficiencies", "d900", Deficiency(observation="noted by another program")))
    pages = drawn(launch)
    every = " ".join(t.text for page in pages for t in page.primitives if isinstance(t, Text))
    assert "noted by another program" in every
    assert not owned(pages, "flag:0")
