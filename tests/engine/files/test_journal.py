"""The journal where the system stands in the way: the person goes on working, is told, and is covered again later."""

from __future__ import annotations

import os
import shutil
import threading
from collections.abc import Callable
from pathlib import Path

import pytest

import engine.files.journal as writing
import engine.files.tape as tape
from engine.builder import Builder
from engine.edits import History, Put
from engine.files.drawing import dump
from engine.files.journal import RETRY, Journal
from engine.files.recovery import left_behind
from engine.installation import Installation, Place

AsAPerson = Callable[[Callable[[], str]], str]

posix = pytest.mark.posix
FAULT = "Changes are not kept for recovery: "


@pytest.fixture
def x() -> Installation:
    b = Builder(name="Turnstone")
    b.add("fuse", "F1", rating_a=5)
    return b.installation


def edit(x: Installation, journal: Journal, times: int = 1) -> None:
    history = History(x)
    for _each in range(times):
        done = history.do(Put("places", x.new_id("places"), Place(name=f"locker {x.last_id}"), f"Add {x.last_id}"))
        journal.record(done, x.snapshot, x.last_id)


def recovered(folder: Path) -> list[bytes]:
    found = left_behind(folder)
    try:
        return [dump(left.recover().installation) for left in found]
    finally:
        for left in found:
            left.close()


def test_no_thread_is_left(x: Installation, tmp_path: Path) -> None:
    before = threading.active_count()
    journals = [Journal.begin(tmp_path, x, x.last_id, None, "") for _each in range(3)]
    for journal in journals:
        edit(x, journal, 30)
        journal.rebase(tmp_path / "x", "", x.snapshot(), x.last_id)
        journal.close()
    assert threading.active_count() == before


def test_the_thread_syncs_and_flush_waits_for_it(
    x: Installation, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    synced = threading.Event()
    who = []

    def sync(handle: int) -> None:
        who.append(threading.current_thread().name)
        synced.set()

    monkeypatch.setattr(tape, "_sync", sync)
    journal = Journal.begin(tmp_path, x, x.last_id, None, "")
    assert synced.wait(10)
    synced.clear()
    edit(x, journal)
    assert synced.wait(10)
    assert set(who) == {"journal"}  # never the caller, who draws the screen
    journal.flush()
    assert who[-1] != "journal"
    journal.close()


def test_record_does_not_wait_for_the_disk(x: Installation, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    answers = threading.Event()
    monkeypatch.setattr(tape, "_sync", lambda handle: answers.wait(60))
    journal = Journal.begin(tmp_path, x, x.last_id, None, "")
    assert journal.file is not None
    edit(x, journal, 300)
    journal.rebase(tmp_path / "x", "", x.snapshot(), x.last_id)
    edit(x, journal)
    assert journal.fault == ""
    assert not answers.is_set()
    answers.set()
    journal.close()
    assert list(tmp_path.iterdir()) == []


def test_a_disk_that_fails_is_told_and_left(x: Installation, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def sync(handle: int) -> None:
        raise OSError(5, "Input/output error")

    with monkeypatch.context() as now:
        now.setattr(tape, "_sync", sync)
        journal = Journal.begin(tmp_path, x, x.last_id, None, "")
        first = journal.file
        edits = 0
        while not journal.fault and edits < 10_000:  # it is the thread that finds out
            edit(x, journal)
            edits += 1
        assert journal.fault == f"{FAULT}Input/output error."
    edit(x, journal, 3)
    assert journal.file == first
    assert first is not None
    shutil.copytree(tmp_path, tmp_path / "copy")  # a process that dies loses nothing all the same
    assert recovered(tmp_path / "copy") == [dump(x)]
    edit(x, journal, RETRY)  # another file, which may stand better
    assert journal.fault == ""
    assert journal.file != first
    journal.close(keep=True)
    assert recovered(tmp_path) == [dump(x)]


@posix
def test_a_full_disk(x: Installation, folder: Path, as_a_person: AsAPerson) -> None:
    import resource
    import signal

    before = dump(x)

    def work() -> str:
        signal.signal(signal.SIGXFSZ, signal.SIG_IGN)
        journal = Journal.begin(folder / "recovery", x, x.last_id, None, "")
        assert journal.file is not None
        assert journal.fault == ""
        size = journal.file.stat().st_size + 200  # room for an edit or two
        resource.setrlimit(resource.RLIMIT_FSIZE, (size, resource.RLIM_INFINITY))
        edit(x, journal, 5)
        said = journal.fault
        resource.setrlimit(resource.RLIMIT_FSIZE, (resource.RLIM_INFINITY, resource.RLIM_INFINITY))
        kept = journal.file.read_bytes()
        (folder / "then").write_bytes(kept)
        edit(x, journal, RETRY)  # and some time later there is room again
        (folder / "state").write_bytes(dump(x))
        journal.flush()
        journal.close(keep=True)
        (folder / "recovery").chmod(0o777)
        for file in (folder / "recovery").iterdir():
            file.rename(folder / "later")
        return f"{said}|{journal.fault}"

    assert as_a_person(work) == f"{FAULT}File too large.|"
    (folder / "old").mkdir()
    (folder / "old" / "a.journal").write_bytes((folder / "then").read_bytes())
    (left,) = left_behind(folder / "old")
    assert 0 < left.edits < 5  # what there was room for, nothing torn
    assert not left.torn
    left.close()
    (folder / "new").mkdir()
    (folder / "new" / "a.journal").write_bytes((folder / "later").read_bytes())
    (left,) = left_behind(folder / "new")
    assert left.edits == 5 + RETRY
    assert dump(left.recover().installation) == (folder / "state").read_bytes() != before
    left.close()


@posix
def test_an_unwritable_folder(x: Installation, folder: Path, as_a_person: AsAPerson) -> None:
    folder.chmod(0o555)

    def work() -> str:
        journal = Journal.begin(folder / "recovery", x, x.last_id, None, "")
        edit(x, journal, 3)
        said = journal.fault
        journal.rebase(folder / "x", "", x.snapshot(), x.last_id)
        journal.flush()
        journal.close()
        return f"{said} {len(x.ids('places'))}"

    assert as_a_person(work) == f"{FAULT}not allowed by the system. 3"
    assert list(folder.iterdir()) == []


@pytest.mark.root
def test_a_folder_of_somebody_else(x: Installation, folder: Path, as_a_person: AsAPerson) -> None:
    (folder / "recovery").mkdir()
    (folder / "recovery").chmod(0o777)  # it could be written to, and its owner would read it

    def work() -> str:
        return Journal.begin(folder / "recovery", x, x.last_id, None, "").fault

    assert as_a_person(work) == f"{FAULT}not allowed by the system."
    (folder / "mine").mkdir()
    (folder / "link").symlink_to(folder / "mine")
    nobody = 65534
    os.chown(folder / "link", nobody, nobody, follow_symlinks=False)
    journal = Journal.begin(folder / "link", x, x.last_id, None, "")
    assert journal.fault == f"{FAULT}not allowed by the system."
    assert list((folder / "mine").iterdir()) == []


def test_a_file_in_the_place_of_the_folder(x: Installation, tmp_path: Path) -> None:
    (tmp_path / "recovery").write_text("mine")
    journal = Journal.begin(tmp_path / "recovery", x, x.last_id, None, "")
    assert journal.fault.startswith(FAULT)
    edit(x, journal)
    (tmp_path / "recovery").unlink()
    edit(x, journal, RETRY)
    assert journal.fault == ""
    journal.close(keep=True)
    assert recovered(tmp_path / "recovery") == [dump(x)]


@posix
def test_a_journal_that_somebody_removes_is_begun_again(x: Installation, tmp_path: Path) -> None:
    journal = Journal.begin(tmp_path / "recovery", x, x.last_id, None, "")
    edit(x, journal)
    shutil.rmtree(tmp_path / "recovery")
    edit(x, journal)
    assert journal.fault == ""
    journal.close(keep=True)
    (left,) = left_behind(tmp_path / "recovery")
    assert left.edits == 2
    assert dump(left.recover().installation) == dump(x)
    left.close()


def test_a_snapshot_that_cannot_be_written_costs_nothing(
    x: Installation, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, caplog: pytest.LogCaptureFixture
) -> None:
    journal = Journal.begin(tmp_path, x, x.last_id, None, "")
    monkeypatch.setattr(writing, "EVERY", 5)
    with monkeypatch.context() as now:
        now.setattr(writing, "dump_snapshot", lambda *a: 1 / 0)
        edit(x, journal, 7)
    assert journal.fault == ""
    assert "no snapshot" in caplog.text
    edit(x, journal, 7)
    journal.close(keep=True)
    assert recovered(tmp_path) == [dump(x)]


def test_an_edit_that_cannot_be_written_is_made_up_for(
    x: Installation, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    journal = Journal.begin(tmp_path, x, x.last_id, None, "")
    with monkeypatch.context() as now:
        now.setattr(writing, "plain_edit", lambda *a: 1 / 0)
        edit(x, journal)
    assert journal.fault == f"{FAULT}the log says why."
    edit(x, journal, RETRY)
    assert journal.fault == ""
    journal.close(keep=True)
    assert recovered(tmp_path) == [dump(x)]


def test_saving_on_a_full_disk_leaves_no_old_journal(
    x: Installation, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    journal = Journal.begin(tmp_path, x, x.last_id, None, "")
    edit(x, journal)
    with monkeypatch.context() as now:
        now.setattr(writing, "dump_snapshot", lambda *a: 1 / 0)
        journal.rebase(tmp_path / "x", "ab", x.snapshot(), x.last_id)
    assert journal.fault
    assert journal.file is None
    assert list(tmp_path.iterdir()) == []
    edit(x, journal, RETRY)
    assert journal.fault == ""
    journal.close(keep=True)
    (left,) = left_behind(tmp_path)
    assert left.edits == RETRY
    left.close()


def test_a_path_of_any_bytes(x: Installation, tmp_path: Path) -> None:
    path = tmp_path / "t\udcffurn\n“stone”"
    journal = Journal.begin(tmp_path, x, x.last_id, path, "ab")
    edit(x, journal)
    assert journal.fault == ""
    journal.close(keep=True)
    (left,) = left_behind(tmp_path)
    assert left.recover().path == path
    left.close()


def test_half_a_character(x: Installation, tmp_path: Path) -> None:
    journal = Journal.begin(tmp_path, x, x.last_id, None, "")
    never_done = Put("places", "p9001", Place(name="\udcff"))  # no drawing takes it
    journal.record(never_done, x.snapshot, x.last_id)
    assert journal.fault  # and nothing is raised
    edit(x, journal, RETRY)
    assert journal.fault == ""
    journal.close(keep=True)
    assert recovered(tmp_path) == [dump(x)]
