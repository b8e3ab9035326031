"""Journals cut at every byte, with every byte flipped, or full of rubbish: a prefix comes back, nothing is raised."""

from __future__ import annotations

import os
from pathlib import Path
from typing import NamedTuple

import pytest
from hypothesis import given
from hypothesis import strategies as st

from engine.builder import Builder
from engine.edits import History, Put, SetFields
from engine.equipment import kinds
from engine.files import frames
from engine.files.drawing import FileError, dump
from engine.files.journal import Journal
from engine.files.recovery import Left, left_behind
from engine.installation import Place


class Kept(NamedTuple):
    data: bytes  # of a journal
    states: list[bytes]  # after each count of edits
    ends: list[int]  # where the journal ended then


@pytest.fixture(scope="module")
def kept(tmp_path_factory: pytest.TempPathFactory) -> Kept:
    folder = tmp_path_factory.mktemp("kept")
    b = Builder(name="Dunlin")
    b.add("fuse", "F1", rating_a=5)
    x = b.installation
    history = History(x)
    journal = Journal.begin(folder, x, x.last_id, None, "")
    assert journal.file is not None
    states, ends = [dump(x)], [journal.file.stat().st_size]
    for edit in (
        SetFields("equipment", "e1", (("label", "bilge pump"),), "Label F1"),
        Put("places", x.new_id("places"), Place(name="bilge"), "Add a place"),
        Put("equipment", "e9", kinds()["load"](designation="E1", current_a=4.5), "Place E1"),
        SetFields("equipment", "e1", (("rating_a", 10.0),), "Change F1"),
    ):
        journal.record(history.do(edit), x.snapshot, x.last_id)
        states.append(dump(x))
        ends.append(journal.file.stat().st_size)
    data = journal.file.read_bytes()
    journal.close()
    return Kept(data, states, ends)


def left(folder: Path, data: bytes) -> Left | None:
    """The one journal of a folder, if it is told of."""
    (folder / "20260101-000000-abc.journal").write_bytes(data)
    found = left_behind(folder)
    assert len(found) <= 1
    return found[0] if found else None


def same(one: Left, kept: Kept) -> int:
    """How many edits came back; the state must be the one after so many."""
    recovered = one.recover()
    assert dump(recovered.installation) == kept.states[recovered.edits]
    assert recovered.edits == one.edits
    return recovered.edits


def test_cut_at_every_byte(kept: Kept, tmp_path: Path) -> None:
    for size in range(len(kept.data) + 1):
        one = left(tmp_path, kept.data[:size])
        whole = sum(end <= size for end in kept.ends) - 1
        if one is None:
            assert whole <= 0
            assert list(tmp_path.iterdir()) == []  # it held nothing and is gone
            continue
        if one.why:
            assert whole < 0, one.why
            with pytest.raises(FileError):
                one.recover()
        else:
            assert whole > 0
            assert same(one, kept) == whole
            assert one.torn == (size not in kept.ends)
            assert not one.damaged
            assert one.missing == 0
        one.close()
    assert whole == 4


def test_every_byte_flipped(kept: Kept, tmp_path: Path) -> None:
    for place in range(len(kept.data)):
        data = bytearray(kept.data)
        data[place] ^= 1 << place % 8
        one = left(tmp_path, bytes(data))
        whole = sum(end <= place for end in kept.ends) - 1  # edits before the damage
        if one is None:
            pytest.fail(f"{place}: a damaged journal went away unasked")
        if one.why:
            assert whole <= 0, one.why
        else:
            assert same(one, kept) == whole
            assert one.torn
            assert one.damaged or place >= kept.ends[3]  # of the last, a damaged length looks as if it were cut
        one.close()


@given(
    changes=st.lists(
        st.tuples(st.integers(0, 10**6), st.sampled_from(("set", "cut", "put")), st.binary(min_size=1, max_size=30)),
        min_size=1,
        max_size=4,
    )
)
def test_any_damage(
    kept: Kept, tmp_path_factory: pytest.TempPathFactory, changes: list[tuple[int, str, bytes]]
) -> None:
    data = kept.data
    for where, how, what in changes:
        at = where % (len(data) + 1)
        data = data[:at] + (b"" if how == "cut" else what) + data[at + (0 if how == "put" else len(what)) :]
    one = left(tmp_path_factory.mktemp("any"), data)
    if one is not None:
        if not one.why:
            same(one, kept)
        one.close()


@given(data=st.binary(max_size=300))
def test_rubbish(tmp_path_factory: pytest.TempPathFactory, data: bytes) -> None:
    for before in (b"", frames.MARK, frames.MARK + frames.frame(frames.HEADER, 0, b"{}")):
        one = left(tmp_path_factory.mktemp("any"), before + data)
        if one is not None:
            assert one.why
            one.close()


HEAD = frames.frame(frames.HEADER, 0, b"{}")


@pytest.mark.parametrize(
    "data",
    [
        b"linewright recovery journal 2\n",
        frames.MARK,
        frames.MARK + HEAD,
        frames.MARK + frames.frame(frames.HEADER, 0, b"[1]"),
        frames.MARK + frames.frame(frames.HEADER, 0, b"{" * 100_000),
        frames.MARK + frames.frame(frames.HEADER, 0, b'{"path": "a\\u0000b", "sha256": 3, "words": 4, "pid": "x"}'),
        frames.MARK + frames.frame(frames.EDIT, 1, b"{}") + HEAD,
        frames.MARK + HEAD + frames.frame(frames.SNAPSHOT, 0, b"no drawing"),
        frames.MARK + HEAD + frames.frame(frames.EDIT, 1, b'{"words": "x", "puts": [], "last_id": 1}'),
    ],
)
def test_what_is_no_journal_says_why(data: bytes, tmp_path: Path) -> None:
    one = left(tmp_path, data)
    assert one is not None
    assert one.why
    assert "\n" not in one.why
    with pytest.raises(FileError, match=r"damaged|cannot be read"):
        one.recover()
    assert one.discard()
    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize("size", [0, 1, 5000])
def test_nothing_reached_the_disk(size: int, tmp_path: Path) -> None:
    assert left(tmp_path, bytes(size)) is None
    assert list(tmp_path.iterdir()) == []


def test_edits_that_cannot_be_done_are_told_as_missing(kept: Kept, tmp_path: Path) -> None:
    for payload in (b"{}", b"not JSON", b'{"words": "x", "puts": [["runs", "r1", null]], "last_id": 1}', b"[" * 10**5):
        data = kept.data[: kept.ends[2]] + frames.frame(frames.EDIT, 3, payload) + kept.data[kept.ends[3] :]
        one = left(tmp_path, data)
        assert one is not None
        assert same(one, kept) == 2
        assert one.missing == 2
        assert one.words == ("Label F1", "Add a place")
        one.close()


def test_an_edit_that_is_not_there_ends_it(kept: Kept, tmp_path: Path) -> None:
    one = left(tmp_path, kept.data[: kept.ends[1]] + kept.data[kept.ends[2] :])
    assert one is not None
    assert same(one, kept) == 1
    assert one.missing == 3
    one.close()


def test_an_edit_that_stands_twice_is_done_once(kept: Kept, tmp_path: Path) -> None:
    one = left(tmp_path, kept.data[: kept.ends[2]] + kept.data[kept.ends[1] :])
    assert one is not None
    assert same(one, kept) == 4
    one.close()


def test_a_snapshot_that_cannot_be_read_is_passed_over(kept: Kept, tmp_path: Path) -> None:
    broken = frames.frame(frames.SNAPSHOT, 2, b'{"format": "linewright drawing", "version": 1, "runs": 3}')
    one = left(tmp_path, kept.data[: kept.ends[2]] + broken + kept.data[kept.ends[2] :])
    assert one is not None
    assert same(one, kept) == 4
    assert one.missing == 0
    one.close()


@pytest.mark.posix
def test_what_is_no_file_is_left_alone(kept: Kept, tmp_path: Path) -> None:
    folder = tmp_path / "recovery"
    folder.mkdir()
    (tmp_path / "elsewhere").write_bytes(kept.data)
    (folder / "a.journal").symlink_to(tmp_path / "elsewhere")
    (folder / "b.journal").symlink_to(tmp_path / "nothing")
    (folder / "c.journal").mkdir()
    os.mkfifo(folder / "d.journal")
    (folder / "e.txt").write_text("no journal")
    assert left_behind(folder) == ()
    assert len(list(folder.iterdir())) == 5
    assert (tmp_path / "elsewhere").read_bytes() == kept.data


def test_no_folder(tmp_path: Path) -> None:
    assert left_behind(tmp_path / "none") == ()
    (tmp_path / "file").touch()
    assert left_behind(tmp_path / "file") == ()
