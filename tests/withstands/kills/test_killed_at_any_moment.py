"""`kill -9` at any moment, again and again, each program taking up what the one before has left: at most the edit in
flight is lost, the files on disk are whole, and nothing adds up.

What must come back is not asked of the program: the test does the edits that were told over again on a copy.
"""

from __future__ import annotations

import hashlib
import random
import signal
import time
from collections import Counter
from collections.abc import Callable
from pathlib import Path
from typing import Any, NamedTuple

import pytest

from engine.edits import History
from engine.files.drawing import dump, load, read_bytes, save
from engine.files.recovery import left_behind

pytestmark = pytest.mark.posix

HAND = Path(__file__).with_name("hand.py")
FILES = ("dunlin.linewright", "dunlin elsewhere.linewright")


class Told(NamedTuple):
    """What a killed hand had told."""

    begun: bool
    edits: int
    saved: dict[str, str]  # file -> SHA-256 of the last save that was told
    saving: str  # the file of a save that was begun and not told to be over
    unsaved: int | None  # edits since the journal was begun anew after a save, `None` where it was not


def sha256(data: bytes) -> str:
    return hashlib.sha256(data).hexdigest()


class Chain:
    """One drawing through the hands of many programs, each killed."""

    def __init__(self, folder: Path, nursery: Any, hand: Any) -> None:
        self.recovery, self.home = folder / "recovery", folder / "boat"
        self.home.mkdir()
        self.files = [str(self.home / name) for name in FILES]
        self.nursery, self.hand = nursery, hand
        self.file = self.files[0]
        x = hand.drawing()
        self.on_disk = {self.files[0]: save(x, self.files[0])}
        self.state = dump(x)
        self.edits = 0  # that no file holds
        self.came: Counter[str] = Counter()

    def kill_one(self, seed: int) -> None:
        """A program takes up the work, is killed; what it left is as it must be."""
        told = self._killed(seed, random.Random(f"{seed} kill"))
        after = self._states_after(told, seed) if told.begun else (self.state,)
        self._check_files(told, after)
        found = left_behind(self.recovery)
        try:
            if found:
                assert len(found) == 1
                assert not found[0].why
                assert not found[0].missing
                made = found[0].recover()
                state, self.file = dump(made.installation), str(made.path)
                assert not made.base_changed
                unsaved = told.edits + self.edits if told.unsaved is None else told.unsaved
                assert made.edits in (unsaved, unsaved + 1)
                self.edits = made.edits
                self.came["journal"] += 1
            else:
                self.file = told.saving or next(reversed(told.saved), self.file)
                if not Path(self.file).exists() or load(self.file).sha256 not in map(sha256, after):
                    self.file = next(reversed(told.saved), self.file)
                state = dump(load(self.file).installation)
                self.edits = 0
                self.came["file"] += 1
            assert state in after, f"seed {seed}: {told}"
            self.came["in flight too"] += state != after[0]
            self.came["before it had begun"] += not told.begun
            self.came["while saving"] += bool(told.saving)
            self.state = state
        finally:
            for left in found:
                left.close()
        # the files, a lock for each, the temporary of the last save that was killed
        beside = {path.name for path in self.home.iterdir()} - set(FILES) - {f".{name}.lock" for name in FILES}
        assert len(beside) <= 1, beside
        self.came["temporary left"] += len(beside)
        kept = list(self.recovery.iterdir()) if self.recovery.exists() else []
        assert len(kept) == len(found), kept

    def _killed(self, seed: int, dice: random.Random) -> Told:
        every = dice.choice((3, 25, 200))
        at = dice.choice((0, 0, dice.randint(1, 30), dice.randint(1, 300)))
        asked = {
            "folder": str(self.recovery), "files": self.files, "file": self.file, "seed": seed, "every": every,
            "die_at": at, "die_how": dice.choice(("before", "after", "amid")),
        }  # fmt: skip
        child = self.nursery.child("live", asked)
        messages = []
        if not at:  # by the clock: anywhere in what it does after so many messages
            wanted = dice.choice((0, 0, dice.randint(1, 12), dice.randint(1, 250)))
            while len(messages) < wanted:
                messages.append(child.line.hear())
            until = time.perf_counter_ns() + dice.randint(0, 2_000_000 if wanted else 30_000_000)
            while time.perf_counter_ns() < until:
                pass
            child.kill()
        messages.extend(child.line.rest())
        assert child.ended() == -signal.SIGKILL, messages[-3:]
        return _told(messages)

    def _states_after(self, told: Told, seed: int) -> tuple[bytes, bytes]:
        """What a hand that is not killed would have after so many edits, and after one more."""
        x = read_bytes(self.state).installation
        strokes = self.hand.strokes(History(x), seed)
        for _each in range(told.edits):
            next(strokes)
        before = dump(x)
        next(strokes)
        return before, dump(x)

    def _check_files(self, told: Told, after: tuple[bytes, ...]) -> None:
        """Each is what was last told to be saved there, or the save in flight; never anything else, never half."""
        self.on_disk |= told.saved
        for file in self.files:
            if not Path(file).exists():
                assert file not in self.on_disk
                continue
            here = sha256(Path(file).read_bytes())
            assert here == self.on_disk.get(file) or (file == told.saving and here == sha256(after[0]))
            load(file)
            self.on_disk[file] = here


def _told(messages: list[list[Any]]) -> Told:
    begun, edits, saving = False, 0, ""
    saved: dict[str, str] = {}
    unsaved: int | None = None
    for what, *told in messages:
        if what == "begun":
            begun = True
        elif what == "edit":
            edits = told[0]
            unsaved = None if unsaved is None else unsaved + 1
        elif what == "saving":
            saving = told[0]
        elif what == "saved":
            saved.pop(told[0], None)
            saved[told[0]] = told[1]
            saving = ""
        elif what == "rebased":
            unsaved = 0
    return Told(begun, edits, saved, saving, unsaved)


def chain(folder: Path, nursery_of: Callable[..., Any], hand: Any, seeds: range) -> Counter[str]:
    folder.mkdir(exist_ok=True)
    with nursery_of(HAND) as nursery:
        made = Chain(folder, nursery, hand)
        for seed in seeds:
            made.kill_one(seed)
    print(dict(made.came))
    return made.came


def test_killed_again_and_again(
    tmp_path: Path, nursery_of: Callable[..., Any], script_of: Callable[[Path], Any]
) -> None:
    came = chain(tmp_path, nursery_of, script_of(HAND), range(40))
    assert came["journal"] > 10
    assert came["before it had begun"] > 3


@pytest.mark.long
def test_killed_a_thousand_times(
    tmp_path: Path, nursery_of: Callable[..., Any], script_of: Callable[[Path], Any]
) -> None:
    """Twenty drawings, each through fifty programs."""
    came: Counter[str] = Counter()
    for n in range(20):
        came += chain(tmp_path / str(n), nursery_of, script_of(HAND), range(1000 + 50 * n, 1050 + 50 * n))
    assert came["journal"] + came["file"] == 1000
    assert came["journal"] > 500
    assert came["in flight too"] > 20
    assert came["while saving"] > 10
    assert came["before it had begun"] > 100
