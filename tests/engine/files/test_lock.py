"""Who has a drawing open: told to a second opener, taken over from the dead, and never in the way of opening."""

from __future__ import annotations

import errno
import json
import os
import signal
import socket
import stat
import subprocess
import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

import engine.files.lock as lock
from engine.files.lock import Held, Lock, take

posix = pytest.mark.posix

HOLD = """
import sys
from engine.files.lock import take
told = take(sys.argv[1])
print(type(told).__name__, getattr(told, "sentence", ""), flush=True)
sys.stdin.readline()
if type(told).__name__ == "Lock":
    told.release()
"""


@pytest.fixture
def path(tmp_path: Path) -> Path:
    made = tmp_path / "avocet.linewright"
    made.write_text("{}")
    return made


def lock_file(path: Path) -> Path:
    return path.with_name(f".{path.name}.lock")


@contextmanager
def other_process(path: Path) -> Iterator[tuple[subprocess.Popen[str], str]]:
    """A second process that has tried to take the drawing, and what it got."""
    with subprocess.Popen(
        [sys.executable, "-c", HOLD, str(path)], stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True
    ) as child:
        assert child.stdout is not None
        try:
            yield child, child.stdout.readline().strip()
        finally:
            child.kill()


def taken(path: Path) -> Lock:
    got = take(path)
    assert isinstance(got, Lock)
    return got


def held(path: Path) -> Held:
    got = take(path)
    assert isinstance(got, Held)
    return got


def test_a_drawing_nobody_has(path: Path) -> None:
    mine = taken(path)
    assert (mine.advisory, mine.why, mine.notice) == (True, "", "")
    facts = json.loads(lock_file(path).read_text())
    assert facts["host"] == socket.gethostname()
    assert facts["pid"] == os.getpid()
    assert set(facts) == {"host", "user", "pid", "since"}
    mine.release()
    mine.release()
    assert [p.name for p in path.parent.iterdir()] == [path.name]


def test_a_drawing_that_is_not_there_yet(tmp_path: Path) -> None:
    with taken(tmp_path / "new.linewright") as mine:
        assert mine.advisory
    assert list(tmp_path.iterdir()) == []


def test_twice_in_one_process(path: Path) -> None:
    with taken(path):
        got = held(path)
        assert got.sentence == "avocet.linewright is open already in another window."
        assert got.pid == os.getpid()
        assert held(path.parent / "." / path.name) == got
    with taken(path) as again:
        assert again.advisory


def test_another_process_has_it(path: Path) -> None:
    with other_process(path) as (child, said):
        assert said == "Lock"
        got = held(path)
        assert got.pid == child.pid
        assert got.host == socket.gethostname()
        assert got.sentence.startswith("avocet.linewright is open already on this computer: ")
        assert got.since[:2] == "20"
        with other_process(path) as (_third, also):
            assert also == f"Held {got.sentence}"
        child.communicate("go\n")
        with taken(path) as mine:
            assert mine.advisory
            assert mine.notice == ""
    with taken(path) as mine, other_process(path) as (_child, said):
        assert said.startswith("Held avocet.linewright is open already on this computer: ")


@posix
def test_a_killed_one_is_taken_over(path: Path) -> None:
    with other_process(path) as (child, said):
        assert said == "Lock"
        child.send_signal(signal.SIGKILL)
        child.wait()
        assert lock_file(path).exists()
        with taken(path) as mine:
            assert (mine.advisory, mine.notice, mine.before) == (True, "", None)
            assert json.loads(lock_file(path).read_text())["pid"] == os.getpid()
    assert not lock_file(path).exists()


def test_left_open_on_another_computer(path: Path) -> None:
    facts = {"host": "shearwater", "user": "ann", "pid": 4, "since": "2026-03-01T10:00:00+00:00"}
    lock_file(path).write_text(json.dumps(facts) + " " * 1000)
    with taken(path) as mine:
        assert mine.advisory
        assert mine.notice.startswith("avocet.linewright was left open by ann on shearwater since 2026-03-01 ")
        assert mine.before == Held("avocet.linewright", **facts)  # type: ignore[arg-type]
        assert json.loads(lock_file(path).read_text())["host"] == socket.gethostname()
    assert not lock_file(path).exists()


def test_what_is_told_of_another_computer(path: Path) -> None:
    got = Held("avocet.linewright", "shearwater", "ann", 4, "2026-03-01T10:00:00+00:00")
    assert got.sentence.startswith("avocet.linewright is open already on shearwater: ann has had it open since 2026-")
    nobody = Held("avocet.linewright", "shearwater", "", 4, "")
    assert nobody.sentence == (
        "avocet.linewright is open already on shearwater: somebody has had it open since an unknown time."
    )
    assert Held("a").sentence == "a is open already somewhere else; who has it open is not told."


@given(
    text=st.binary(max_size=200)
    | st.recursive(
        st.none() | st.booleans() | st.integers() | st.text(),
        lambda inner: st.dictionaries(st.sampled_from(("host", "user", "pid", "since", "x")), inner) | st.lists(inner),
    ).map(lambda value: json.dumps(value).encode())
)
def test_whatever_stands_in_a_lock_file(text: bytes, tmp_path_factory: pytest.TempPathFactory) -> None:
    path = tmp_path_factory.mktemp("any") / "avocet.linewright"
    lock_file(path).write_bytes(text)
    with open(lock_file(path), "rb") as other:
        assert lock.try_lock(other.fileno())
        got = held(path)
        assert got.sentence.isprintable()
        assert len(got.sentence) < 400
    with taken(path) as mine:
        assert mine.advisory
        assert mine.notice.isprintable()
    assert not lock_file(path).exists()


@posix
def test_a_link_is_the_drawing_it_leads_to(path: Path) -> None:
    (path.parent / "links").mkdir()
    link = path.parent / "links" / "latest"
    link.symlink_to(path)
    with taken(link):
        assert lock_file(path).exists()
        assert held(path).name == path.name
        assert list((path.parent / "links").iterdir()) == [link]


@posix
def test_a_link_in_the_place_of_the_lock_file(path: Path) -> None:
    victim = path.parent / "victim"
    victim.write_text("precious")
    lock_file(path).symlink_to(victim)
    mine = taken(path)
    assert (mine.advisory, mine.why) == (False, "what stands in the place of its lock file is none")
    mine.release()
    assert victim.read_text() == "precious"
    lock_file(path).unlink()
    lock_file(path).symlink_to(path.parent / "nowhere")
    assert not taken(path).advisory
    assert not (path.parent / "nowhere").exists()


@posix
@pytest.mark.parametrize("what", ["pipe", "folder"])
def test_no_file_in_the_place_of_the_lock_file(what: str, path: Path) -> None:
    if what == "pipe":
        os.mkfifo(lock_file(path))
    else:
        lock_file(path).mkdir()
    mine = taken(path)  # and does not wait for somebody to write into the pipe
    assert not mine.advisory
    assert mine.why
    mine.release()
    assert lock_file(path).exists()


def test_names_that_cannot_be(tmp_path: Path) -> None:
    for name in ("x" * 250, "a\0b", "none/such", "", "/"):
        mine = take(tmp_path / name if name not in ("", "/") else name)
        assert isinstance(mine, Lock), name
        if name:
            assert mine.why or name == "/"
        mine.release()
    assert list(tmp_path.iterdir()) == []


def test_a_file_system_without_locks(path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def none(handle: int) -> bool:
        raise OSError(errno.ENOLCK, os.strerror(errno.ENOLCK))

    monkeypatch.setattr(lock, "try_lock", none)
    mine = taken(path)
    assert (mine.advisory, mine.why) == (False, os.strerror(errno.ENOLCK))
    mine.release()
    assert not lock_file(path).exists()


@posix
def test_one_that_is_let_go_of_between_opening_and_locking(path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Its owner removes the file we have just opened: what we lock then has no name, and a third could lock anew."""
    real = lock.try_lock
    tries = []

    def late(handle: int) -> bool:
        tries.append(handle)
        if len(tries) < 3:
            lock_file(path).unlink()
        return real(handle)

    monkeypatch.setattr(lock, "try_lock", late)
    with taken(path) as mine:
        assert mine.advisory
        assert len(tries) == 3
        assert lock_file(path).exists()
        monkeypatch.undo()
        with other_process(path) as (_child, said):
            assert said.startswith("Held")
    assert not lock_file(path).exists()


@posix
def test_letting_go_does_not_remove_the_lock_of_another(path: Path) -> None:
    mine = taken(path)
    lock_file(path).unlink()  # somebody tidied up
    with other_process(path) as (_child, said):
        assert said == "Lock"
        mine.release()
        assert lock_file(path).exists()
        assert isinstance(take(path), Held)


@posix
def test_many_at_once_never_two(path: Path) -> None:
    """Processes that take, look at what only the owner may have, and let go, as fast as they can."""
    code = """
import os, sys
from engine.files.lock import Lock, take
path, mark, got = sys.argv[1], sys.argv[2], 0
while got < 150:
    mine = take(path)
    if isinstance(mine, Lock):
        assert mine.advisory, mine.why
        os.close(os.open(mark, os.O_CREAT | os.O_EXCL))
        os.unlink(mark)
        mine.release()
        got += 1
"""
    children = [
        subprocess.Popen([sys.executable, "-c", code, str(path), str(path.parent / "mark")], stderr=subprocess.PIPE)
        for _each in range(3)
    ]
    for child in children:
        _out, said = child.communicate()
        assert child.returncode == 0, said.decode()
    assert [p.name for p in path.parent.iterdir()] == [path.name]


AsAPerson = Callable[[Callable[[], str]], str]


# -- without the rights of root -----------------------------------------------------------------------------------
def told(path: Path) -> Callable[[], str]:
    def work() -> str:
        got = take(path)
        if isinstance(got, Held):
            return f"Held {got.pid}"
        return f"Lock {got.advisory} {got.why}{got.notice}"

    return work


@posix
def test_an_unwritable_folder(folder: Path, as_a_person: AsAPerson) -> None:
    path = folder / "avocet.linewright"
    path.write_text("{}")
    folder.chmod(0o555)
    assert as_a_person(told(path)) == "Lock False not allowed by the system"
    assert [p.name for p in folder.iterdir()] == [path.name]


needs_root = pytest.mark.root


@needs_root
@pytest.mark.parametrize("mode", [0o777, 0o555, 0o1777])
def test_another_person_has_it(mode: int, folder: Path, as_a_person: AsAPerson) -> None:
    path = folder / "avocet.linewright"
    with taken(path):
        assert not stat.S_IMODE(lock_file(path).stat().st_mode) & stat.S_IWOTH
        folder.chmod(mode)
        assert as_a_person(told(path)) == f"Held {os.getpid()}"


@needs_root
def test_left_by_another_person(folder: Path, as_a_person: AsAPerson) -> None:
    path = folder / "avocet.linewright"
    lock_file(path).write_text('{"host": "shearwater", "user": "ann"}')
    assert as_a_person(told(path)).startswith("Lock True avocet.linewright was left open by ann on shearwater ")
    lock_file(path).unlink()
    lock_file(path).write_text('{"host": "shearwater", "user": "ann"}')
    lock_file(path).chmod(0o644)
    folder.chmod(0o555)
    said = as_a_person(told(path))
    assert said.startswith("Lock False not allowed by the systemavocet.linewright was left open by ann on shearwater ")
    assert lock_file(path).exists()


@needs_root
def test_a_lock_file_that_cannot_be_read(folder: Path, as_a_person: AsAPerson) -> None:
    path = folder / "avocet.linewright"
    with taken(path):
        lock_file(path).chmod(0o600)
        assert as_a_person(told(path)) == "Lock False not allowed by the system"
