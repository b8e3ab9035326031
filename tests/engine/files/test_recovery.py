"""What a process that died has left comes back; what lives, or holds nothing, is not offered."""

from __future__ import annotations

import datetime
import os
import shutil
import stat
import subprocess
import sys
from pathlib import Path

import pytest

import engine.files.journal as writing
from engine.builder import Builder
from engine.edits import History, Put, SetFields
from engine.equipment import kinds
from engine.files.drawing import FileError, dump, load, read_bytes, save
from engine.files.journal import Journal
from engine.files.recovery import left_behind
from engine.installation import Installation


class Hand:
    """A drawing with its file and its journal, edited step by step; `die` ends it without a word."""

    def __init__(self, folder: Path, path: Path | None = None, installation: Installation | None = None) -> None:
        b = Builder(name="Whimbrel")
        b.add("fuse", "F1", rating_a=5)
        self.x = installation or b.installation
        self.path = path
        self.history = History(self.x)
        sha256 = save(self.x, path) if path is not None else ""
        self.journal = Journal.begin(folder, self.x, self.x.last_id, path, sha256)
        assert self.journal.fault == ""

    def label(self, text: str) -> None:
        edit = self.history.do(SetFields("equipment", "e1", (("label", text),), f"Label {text}"))
        self.journal.record(edit, self.x.snapshot, self.x.last_id)

    def undo(self) -> None:
        edit = self.history.undo()
        assert edit is not None
        self.journal.record(edit, self.x.snapshot, self.x.last_id, "undo")

    def save(self) -> None:
        assert self.path is not None
        self.journal.rebase(self.path, save(self.x, self.path), self.x.snapshot(), self.x.last_id)

    def die(self) -> None:
        self.journal.close(keep=True)


def test_everything_comes_back(tmp_path: Path) -> None:
    path = tmp_path / "whimbrel.linewright"
    hand = Hand(tmp_path / "recovery", path)
    for n in range(7):
        hand.label(f"{n}")
    hand.undo()
    hand.die()
    (left,) = left_behind(tmp_path / "recovery")
    assert (left.name, left.edits, left.why, left.torn, left.missing) == ("whimbrel.linewright", 8, "", False, 0)
    got = left.recover()
    assert dump(got.installation) == dump(hand.x)
    assert got.words == ("Label 3", "Label 4", "Label 5", "Label 6", "Undo: Label 6")
    assert got.edits == 8
    assert got.path == path
    assert (got.base_changed, got.base_gone, got.torn, got.other_version) == (False, False, False, "")
    assert got.base_sha256 == load(path).sha256
    now = datetime.datetime.now().astimezone()
    assert datetime.timedelta(0) <= now - got.when < datetime.timedelta(minutes=5)
    assert left.recover().installation is not got.installation  # a second one, not the same once more
    assert left.discard()
    assert left_behind(tmp_path / "recovery") == ()


def test_what_the_program_does_not_know_and_the_last_id_come_back(tmp_path: Path) -> None:
    x = read_bytes(
        b"""{"format": "linewright drawing", "version": 1, "last_id": 40, "yard": {"slip": [1, 2.50, "\xc3\xbc"]},
        "equipment": {"e1": {"kind": "fuse", "designation": "F1", "glow": 123456789012345678901234567890}},
        "vessel": {"name": "Whimbrel", "sail": null}}"""
    ).installation
    hand = Hand(tmp_path, None, x)
    hand.label("unknown members of the record that is written stay")
    edit = hand.history.do(Put("equipment", "e77", kinds()["load"](), "Place"))
    hand.journal.record(edit, x.snapshot, x.last_id)
    hand.undo()
    assert x.last_id == 77  # an id is never given twice, undone or not
    hand.die()
    (left,) = left_behind(tmp_path)
    got = left.recover().installation
    assert dump(got) == dump(x)
    assert got.last_id == 77
    assert got.unknown == x.unknown
    assert "glow" in dict(got.get("equipment", "e1").unknown)
    assert left.name == "Whimbrel"
    left.close()


def test_snapshots_are_used_and_the_words_before_them_are_told(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(writing, "EVERY", 10)
    hand = Hand(tmp_path)
    asked = []

    def snapshot() -> object:
        asked.append(len(asked))
        return hand.x.snapshot()

    for n in range(21):
        edit = hand.history.do(SetFields("equipment", "e1", (("label", f"{n}"),), f"Label {n}"))
        hand.journal.record(edit, snapshot, hand.x.last_id)  # type: ignore[arg-type]
    assert len(asked) == 2  # only when one is due
    hand.die()
    (left,) = left_behind(tmp_path)
    got = left.recover()
    assert dump(got.installation) == dump(hand.x)
    assert (got.edits, got.words[-2:]) == (21, ("Label 19", "Label 20"))
    assert len(got.words) == 5
    left.close()


def test_nothing_to_recover_is_tidied_away(tmp_path: Path) -> None:
    path = tmp_path / "whimbrel.linewright"
    recovery = tmp_path / "recovery"
    only_opened = Hand(recovery, path)
    only_opened.die()
    assert left_behind(recovery) == ()
    saved = Hand(recovery, path)
    saved.label("a")
    saved.save()
    saved.die()
    assert left_behind(recovery) == ()
    undone = Hand(recovery, path)
    undone.label("b")
    undone.undo()
    undone.die()
    assert left_behind(recovery) == ()
    not_told = Hand(recovery, path)  # died between saving and telling the journal
    not_told.label("c")
    save(not_told.x, path)
    not_told.die()
    assert left_behind(recovery) == ()
    unsaved = Hand(recovery, path)
    unsaved.save()
    unsaved.label("d")
    unsaved.die()
    (left,) = left_behind(recovery)
    assert (left.edits, left.words) == (1, ("Label d",))
    left.close()


def test_closing_removes_it(tmp_path: Path) -> None:
    hand = Hand(tmp_path)
    hand.label("a")
    hand.journal.close()
    assert list(tmp_path.iterdir()) == []
    hand.label("nothing is kept after closing, and nothing goes wrong")
    hand.journal.flush()
    hand.journal.close()
    assert list(tmp_path.iterdir()) == []


def test_the_file_has_changed_or_gone(tmp_path: Path) -> None:
    path = tmp_path / "whimbrel.linewright"
    hand = Hand(tmp_path / "recovery", path)
    hand.label("a")
    hand.die()
    (left,) = left_behind(tmp_path / "recovery")
    path.write_bytes(path.read_bytes() + b"\n")
    got = left.recover()
    assert (got.base_changed, got.base_gone) == (True, False)
    path.unlink()
    got = left.recover()
    assert (got.base_changed, got.base_gone) == (True, True)
    left.close()


def test_recovered_and_killed_again(tmp_path: Path) -> None:
    hand = Hand(tmp_path)
    hand.label("a")
    hand.die()
    (left,) = left_behind(tmp_path)
    got = left.recover()
    again = Journal.begin(
        tmp_path, got.installation, got.installation.last_id, None, "", edits=got.edits, words=got.words
    )
    assert left.discard()
    again.close(keep=True)  # no edit was made since
    (left,) = left_behind(tmp_path)
    assert (left.edits, left.words) == (1, ("Label a",))
    assert dump(left.recover().installation) == dump(hand.x)
    left.close()


def test_a_living_one_is_not_touched(tmp_path: Path) -> None:
    hand = Hand(tmp_path)
    hand.label("a")
    assert left_behind(tmp_path) == ()  # this very process holds it
    code = "import sys; from engine.files.recovery import left_behind; print(len(left_behind(sys.argv[1])))"
    other = [sys.executable, "-c", code, str(tmp_path)]
    assert subprocess.run(other, capture_output=True, text=True, check=True).stdout == "0\n"
    assert len(list(tmp_path.iterdir())) == 1
    hand.die()
    assert subprocess.run(other, capture_output=True, text=True, check=True).stdout == "1\n"
    (left,) = left_behind(tmp_path)
    assert left_behind(tmp_path) == ()  # one start has it in hand
    assert subprocess.run(other, capture_output=True, text=True, check=True).stdout == "0\n"
    left.close()
    with pytest.raises(FileError, match="it was let go of"):
        left.recover()
    (left,) = left_behind(tmp_path)
    del left  # let go of by being forgotten, without a warning
    (left,) = left_behind(tmp_path)
    assert left.discard()


@pytest.mark.posix
def test_starts_that_tidy_up_never_take_one_that_begins(tmp_path: Path) -> None:
    code = """
import sys
from engine.files.recovery import left_behind
print("here", flush=True)
while True:
    for left in left_behind(sys.argv[1]):
        print("took", left.file, left.why, flush=True)
"""
    with subprocess.Popen([sys.executable, "-c", code, str(tmp_path)], stdout=subprocess.PIPE, text=True) as other:
        assert other.stdout is not None
        try:
            assert other.stdout.readline() == "here\n"
            for n in range(150):
                hand = Hand(tmp_path)
                hand.label(f"{n}")
                assert hand.journal.file is not None
                assert hand.journal.file.exists()
                hand.journal.close()
        finally:
            other.kill()
        assert other.stdout.read() == ""
    assert list(tmp_path.iterdir()) == []


def test_two_windows_on_one_file_keep_two_journals(tmp_path: Path) -> None:
    path = tmp_path / "whimbrel.linewright"
    one, two = Hand(tmp_path / "recovery", path), Hand(tmp_path / "recovery", path)
    one.label("one")
    two.label("two")
    one.die()
    (left,) = left_behind(tmp_path / "recovery")
    assert left.recover().installation.get("equipment", "e1").label == "one"
    two.die()
    (other,) = left_behind(tmp_path / "recovery")
    assert other.recover().installation.get("equipment", "e1").label == "two"
    left.close()
    other.close()


def test_the_newest_first(tmp_path: Path) -> None:
    for n in range(3):
        hand = Hand(tmp_path)
        hand.label(f"{n}")
        hand.die()
        assert hand.journal.file is not None
        os.utime(hand.journal.file, (1e9 + n, 1e9 + n))
    found = left_behind(tmp_path)
    assert [left.words for left in found] == [("Label 2",), ("Label 1",), ("Label 0",)]
    for left in found:
        left.close()


@pytest.mark.parametrize("what", ["version", "FORMAT", "CURRENT"])
def test_another_version_gives_its_last_snapshot(what: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(writing, "EVERY", 3)
    with monkeypatch.context() as then:
        then.setattr(writing, what, (lambda: "0.0.9") if what == "version" else 99)
        hand = Hand(tmp_path)
        for n in range(4):
            hand.label(f"{n}")
        hand.die()
    (left,) = left_behind(tmp_path)
    assert left.why == ""
    assert left.other_version == ("0.0.9" if what == "version" else writing.version())
    got = left.recover()
    assert (got.edits, got.missing, got.other_version) == (3, 1, left.other_version)
    assert got.installation.get("equipment", "e1").label == "2"
    left.close()


def test_another_version_without_an_edit_is_tidied_away(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    with monkeypatch.context() as then:
        then.setattr(writing, "version", lambda: "0.0.9")
        Hand(tmp_path).die()
        one_edit = Hand(tmp_path)
        one_edit.label("a")
        one_edit.die()
    (left,) = left_behind(tmp_path)
    assert (left.edits, left.missing) == (0, 1)  # what wrote it could still read it: never removed unasked
    assert left.recover().installation.get("equipment", "e1").label == ""
    left.close()


def test_a_drawing_of_a_newer_format_comes_back_to_read_only(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def newer(*arguments: object) -> bytes:
        return real(*arguments).replace(b'"version": 1', b'"version": 2', 1)  # type: ignore[arg-type]

    real = writing.dump_snapshot
    with monkeypatch.context() as then:
        then.setattr(writing, "version", lambda: "9.0")
        then.setattr(writing, "dump_snapshot", newer)
        hand = Hand(tmp_path)
        hand.label("a")
        hand.die()
    (left,) = left_behind(tmp_path)
    got = left.recover()
    assert got.installation.read_only
    assert len(got.notices) == 1
    left.close()


@pytest.mark.posix
def test_only_this_person_can_look_in(tmp_path: Path) -> None:
    folder = tmp_path / "person" / "recovery"
    hand = Hand(folder)
    hand.label("a")
    assert hand.journal.file is not None
    assert stat.S_IMODE(folder.stat().st_mode) == 0o700
    assert stat.S_IMODE(hand.journal.file.stat().st_mode) == 0o600
    folder.chmod(0o755)
    hand.journal.rebase(tmp_path / "x", "", hand.x.snapshot(), hand.x.last_id)
    assert stat.S_IMODE(folder.stat().st_mode) == 0o700
    hand.journal.close()


@pytest.mark.posix
def test_a_beginning_that_was_never_whole_is_tidied_away(tmp_path: Path) -> None:
    hand = Hand(tmp_path / "a")
    hand.label("a")
    hand.die()
    assert hand.journal.file is not None
    (tmp_path / "b").mkdir()
    shutil.copy(hand.journal.file, tmp_path / "b" / "20260101-000000-abc.part")
    assert left_behind(tmp_path / "b") == ()
    assert list((tmp_path / "b").iterdir()) == []


def test_what_a_newer_journal_has_taken_over_is_not_offered_twice(tmp_path: Path) -> None:
    """A program that died while it recovered: the new journal was whole, the old one still there."""
    b = Builder(name="Whimbrel")
    x = b.installation
    first = Journal.begin(tmp_path, x, x.last_id, None, "", edits=3, words=("Name her",))
    first.close(keep=True)
    (left,) = left_behind(tmp_path)
    second = Journal.begin(tmp_path, x, x.last_id, None, "", edits=3, words=left.words, takes_over=left.file.name)
    left.close()
    assert second.file is not None
    second.close(keep=True)
    os.utime(second.file, (0, 0))  # the clock was set back meanwhile
    (found,) = left_behind(tmp_path)
    assert found.file == second.file
    assert list(tmp_path.iterdir()) == [second.file]
    found.close()
