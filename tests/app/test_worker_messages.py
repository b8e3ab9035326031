"""What the window and the study process say to each other arrives as it was sent, in whatever pieces."""

from __future__ import annotations

import hypothesis.strategies as st
import pytest
from hypothesis import given

from app.judgement import Judgement, LiveParts, SheetPicture
from app.worker_messages import (
    LOT,
    Drawn,
    EditRequest,
    Fault,
    Frames,
    Judged,
    Lit,
    OpenRequest,
    QuitRequest,
    ViewRequest,
    answer_of,
    framed,
    judged_parts,
    judgement_of,
    live_of,
    packed,
    request_of,
)
from app.worker_pictures import STROKES, drawn_parts, merged
from engine.check import check
from engine.edits import Put, Several
from engine.files.edit_form import edit_of, plain_edit, plain_snapshot, snapshot_of
from engine.findings import NotJudged
from engine.installation import Place
from engine.picture import Box, Path, Primitive, Text, circle, line
from engine.rules import rules


def through(message: object) -> bytes:
    """The body of a message as it arrives."""
    frames = Frames()
    frames.feed(packed(message))  # type: ignore[arg-type]
    body = frames.take()
    assert body is not None
    assert frames.take() is None
    return body


def sent(picture: SheetPicture, before: SheetPicture | None) -> tuple[SheetPicture, list[Drawn]]:
    parts = []
    for part in drawn_parts(picture, None if before is None else before.of):
        arrived = answer_of(through(part))
        assert isinstance(arrived, Drawn)
        parts.append(arrived)
    return merged(parts, before), parts


@given(st.lists(st.binary(max_size=40), max_size=8), st.integers(1, 7))
def test_frames_arrive_whole_in_whatever_pieces(bodies: list[bytes], piece: int) -> None:
    stream = b"".join(framed(body) for body in bodies)
    frames, got = Frames(), []
    for n in range(0, len(stream), piece):
        frames.feed(stream[n : n + piece])
        while (body := frames.take()) is not None:
            got.append(body)
    assert got == bodies


def test_what_is_no_frame_of_ours_is_refused() -> None:
    frames = Frames()
    frames.feed(b"Traceback (most recent call last)")
    with pytest.raises(ValueError, match="a message of"):
        frames.take()


@given(st.binary(max_size=30))
def test_nonsense_is_a_value_error(body: bytes) -> None:
    for read in (request_of, answer_of):
        try:
            read(body)
        except ValueError:
            continue


def test_requests_arrive_as_they_were_sent() -> None:
    snapshot = rules()["no-protection"].bad[0].build().snapshot()
    edit = Several((Put("places", "p99", Place(name="bilge")),), "Add a place")
    opened = request_of(through(OpenRequest(1, plain_snapshot(snapshot))))
    assert isinstance(opened, OpenRequest)
    assert snapshot_of(opened.drawing) == snapshot
    edited = request_of(through(EditRequest(2, plain_edit(edit))))
    assert isinstance(edited, EditRequest)
    assert edit_of(edited.edit) == edit
    assert request_of(through(ViewRequest(3, "s1", "c2"))) == ViewRequest(3, "s1", "c2")
    assert request_of(through(QuitRequest())) == QuitRequest()


@pytest.mark.parametrize("count", [0, 1, LOT, LOT + 1, 3 * LOT + 7])
def test_a_judgement_arrives_whole(count: int) -> None:
    result = check(rules()["no-protection"].bad[0].build().snapshot())
    gaps = tuple(
        NotJudged(rule="r", would_be="danger", designations=(f"F{n}",), ids=("e1",), missing=()) for n in range(count)
    )
    result = type(result)(**{f: getattr(result, f) for f in result.__struct_fields__} | {"not_judged": gaps})
    judgement = Judgement(7, result, {f.key: n for n, f in enumerate(result.findings, 1)}, {"a": "s1"})
    first, *rest = [answer_of(through(part)) for part in judged_parts(judgement)]
    assert isinstance(first, Judged)
    assert first.more == len(rest)
    assert judgement_of(first, rest) == judgement  # type: ignore[arg-type]


PRIMITIVES: tuple[Primitive, ...] = (
    line(0, 0, 1, 2.5, dash="dashed", owner="e1"),
    Text(1, 2, "μΩ ½ \n\0", rotation=90, bold=True, link="r1:to"),
    circle(1, 2, 3, 0.0, "red", fill="white", owner="e1"),
)


def picture(of: dict[str, tuple[Primitive, ...]], at: int = 1) -> SheetPicture:
    return SheetPicture("s1", at, 420.0, 297.0, of, {3: Box(1, 2, 3, 4)})


def test_a_picture_arrives_whole_and_then_only_what_has_changed() -> None:
    first = picture({"": PRIMITIVES, "e1": PRIMITIVES[:2], "e2": (), "flag:3": PRIMITIVES[2:]})
    got, _parts = sent(first, None)
    assert got == first
    assert list(got.of) == list(first.of)
    assert isinstance(got.of[""][0], Path)
    assert isinstance(got.of[""][1], Text)
    assert isinstance(got.note_boxes[3], Box)
    second = picture({"": PRIMITIVES, "e9": PRIMITIVES[1:], "e1": PRIMITIVES[:1], "flag:3": PRIMITIVES[2:]}, 2)
    got, parts = sent(second, got)
    assert got == second
    assert list(got.of) == list(second.of)
    assert [set(part.of) for part in parts] == [{"e9", "e1"}]
    got, parts = sent(second._replace(at=3), got)
    assert got == second._replace(at=3)
    assert [part.of for part in parts] == [{}]


def test_a_large_picture_comes_in_parts_and_never_a_large_one() -> None:
    of = {f"e{n}": PRIMITIVES for n in range(STROKES)}
    got, parts = sent(picture(of), None)
    assert got == picture(of)
    assert len(parts) > 2
    assert max(len(part.paths) + len(part.texts) for part in parts) <= STROKES


def test_a_change_of_what_was_never_sent_is_refused() -> None:
    of = {"e1": PRIMITIVES, "e2": PRIMITIVES}
    parts = [answer_of(through(p)) for p in drawn_parts(picture(of), {"e1": PRIMITIVES})]
    with pytest.raises(ValueError, match="lacks 'e1'"):
        merged(parts, None)  # type: ignore[arg-type]


def test_what_is_live_arrives() -> None:
    lit = answer_of(through(Lit(4, "c1", ("e1", "r2"), ("e3",))))
    assert isinstance(lit, Lit)
    assert live_of(lit) == LiveParts(4, "c1", frozenset({"e1", "r2"}), frozenset({"e3"}))
    assert answer_of(through(Fault(1, "KeyError"))) == Fault(1, "KeyError")
