"""What the process that compares tells: after edits the same as anew, whole in lots, faults as a sentence."""

from __future__ import annotations

import random
from pathlib import Path

import msgspec
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from app.drawing.redlines.messages import (
    LOT,
    Answer,
    Compared,
    Done,
    Failed,
    Follow,
    Marked,
    More,
    Open,
    answer_of,
    compared_in_lots,
    packed,
    request_of,
    strokes_of,
)
from app.drawing.redlines.process import Comparer
from app.frames import Frames
from engine.edits import Put, SetFields, Several, apply
from engine.files.drawing import load
from engine.files.edit_form import plain_edit, plain_snapshot

SAMPLES = Path(__file__).parents[4] / "samples"
LAUNCH = SAMPLES / "launch" / "launch.linewright"


def _through(message: Answer) -> Answer:
    """As it arrives: packed and read again."""
    frames = Frames()
    frames.feed(packed(message))
    body = frames.take()
    assert body is not None
    return answer_of(body)


def _asked(*requests: Open | Follow) -> list[Answer]:
    heard: list[Answer] = []
    comparer = Comparer(lambda answer: heard.append(_through(answer)))
    for request in requests:
        heard.clear()
        frames = Frames()
        frames.feed(packed(request))
        body = frames.take()
        assert body is not None
        comparer.take(request_of(body))
    assert isinstance(heard[-1], Done)
    return heard[:-1]


@settings(max_examples=8, deadline=None)
@given(st.integers(0, 1000))
def test_after_edits_it_says_the_same_as_if_it_were_asked_anew(seed: int) -> None:
    drawn = random.Random(seed)
    installation = load(LAUNCH).installation
    first = Open(1, str(LAUNCH), "auto", "", plain_snapshot(installation.snapshot()))
    fuses = [item for item, record in installation.snapshot().equipment.items() if record.KIND == "fuse"]
    remarks = dict(installation.tables["remarks"])
    puts = []
    for item in drawn.sample(fuses, k=min(2, len(fuses))):
        apply(installation, SetFields("equipment", item, (("rating_a", float(drawn.randint(1, 400))),)))
        puts.append(Put("equipment", item, installation.snapshot().equipment[item]))
    vessel = msgspec.structs.replace(installation.vessel, name="Sanderling")
    apply(installation, Put("vessel", "vessel", vessel))
    puts.append(Put("vessel", "vessel", vessel))
    for item in list(remarks)[:1]:
        apply(installation, Put("remarks", item))
        puts.append(Put("remarks", item))
    followed = _asked(first, Follow(2, "auto", "", plain_edit(Several(tuple(puts)))))
    anew = _asked(Open(2, str(LAUNCH), "auto", "", plain_snapshot(installation.snapshot())))
    before = {(each.side, each.sheet): each for each in _asked(first) if isinstance(each, Marked)}
    followed = [
        msgspec.structs.replace(each, strokes=before[each.side, each.sheet].strokes, same=False)
        if isinstance(each, Marked) and each.same
        else each
        for each in followed
    ]
    assert followed == anew
    (told,) = [each for each in followed if isinstance(each, Compared)]
    assert any("Sanderling" in field for entry in told.entries for field in entry.fields)


def test_nothing_changed_is_nothing_told_and_every_older_sheet_is_drawn() -> None:
    snapshot = load(LAUNCH).installation.snapshot()
    told, *sheets = _asked(Open(1, str(LAUNCH), "auto", "", plain_snapshot(snapshot)))
    assert isinstance(told, Compared)
    assert told.entries == ()
    marked = [each for each in sheets if isinstance(each, Marked)]
    assert [each.side for each in marked] == ["older"] * len(snapshot.sheets)
    assert told.sheets == len(marked)
    for each in marked:
        strokes = strokes_of(each.strokes)
        assert strokes["drawn"]
        assert not strokes["under"]
        assert not strokes["over"]


@pytest.mark.parametrize("text", ["{ no drawing", "", "[]", '{"format": 99}'])
def test_what_is_no_drawing_is_told_in_a_sentence(tmp_path: Path, text: str) -> None:
    path = tmp_path / "odd.linewright"
    path.write_text(text)
    snapshot = load(LAUNCH).installation.snapshot()
    (told,) = _asked(Open(1, str(path), "auto", "", plain_snapshot(snapshot)))
    assert isinstance(told, Failed)
    assert told.words
    assert "Traceback" not in told.words
    assert "\n" not in told.words


def test_many_differences_come_in_lots_and_none_is_lost() -> None:
    snapshot = load(LAUNCH).installation.snapshot()
    empty = Open(1, str(LAUNCH), "ids", "", plain_snapshot(type(snapshot)(tables={}, lone=snapshot.lone)))
    (whole,) = [each for each in _asked(empty) if isinstance(each, Compared)][:1]
    entries = tuple(entry._replace(number=n) for n, entry in enumerate(whole.entries * (3 * LOT // len(whole.entries))))
    large = msgspec.structs.replace(whole, entries=entries, where={3: "here", len(entries) - 1: "there"})
    lots = list(compared_in_lots(large))
    assert [each.more for each in lots] == list(range(len(lots) - 1, -1, -1))
    assert len(lots) > 1
    assert all(isinstance(each, More) for each in lots[1:])
    assert sum((each.entries for each in lots), ()) == entries
    where: dict[int, str] = {}
    for each in lots:
        where |= each.where
    assert where == large.where


def test_sheets_that_stay_as_they_were_are_not_sent_again() -> None:
    installation = load(LAUNCH).installation
    first = Open(1, str(LAUNCH), "auto", "", plain_snapshot(installation.snapshot()))
    fuse = next(item for item, record in installation.snapshot().equipment.items() if record.KIND == "fuse")
    other = msgspec.structs.replace(installation.snapshot().equipment[fuse], rating_a=3.0)
    edit = plain_edit(Several((Put("equipment", fuse, other),)))
    marked = [each for each in _asked(first, Follow(2, "auto", "", edit)) if isinstance(each, Marked)]
    fresh = {(each.side, each.sheet) for each in marked if not each.same}
    shows = {p.sheet for p in installation.snapshot().placements.values() if p.equipment == fuse}
    assert fresh == {(side, sheet) for side in ("newer", "older") for sheet in shows}
    assert all(each.strokes for each in marked if not each.same)
    again = [each for each in _asked(first, Follow(2, "auto", "")) if isinstance(each, Marked)]
    assert all(each.same for each in again)
