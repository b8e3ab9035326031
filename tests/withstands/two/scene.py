"""Two windows, command lines and a file manager on the same files; a dice says whose turn it is.

Everything is driven from here, so whatever changes on the disk between telling a program something and hearing from it
was that program. For each such change the scene asks: may it have written over what stood there? It may where nothing
stood there, where it is what the program itself had opened or saved, or where its person was asked, or said, that just
this may go.
"""

from __future__ import annotations

import hashlib
import os
import random
import shutil
from collections import Counter
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from app.drawing.layout import lay_out
from engine.builder import Builder
from engine.edits import apply
from engine.files import leftovers
from engine.files.drawing import load, save
from engine.files.issues import issue_with_copy
from engine.installation import Installation

OVER = {"The file has changed", "The file exists"}  # titles of the questions whose "over" lets a file go
COMMANDS = (
    ("fix", "{source}", "1", "-o", "{path}"),
    ("renumber", "{source}", "-o", "{path}"),
    ("issue", "{source}", "--by", "A. Dunnock", "-o", "{path}"),
    ("revise", "{issued}", "-o", "{path}"),
    ("history", "{issued}", "--open", "A", "-o", "{path}"),
    ("tidy", "{source}", "-o", "{path}"),
    ("merge", "{source}", "{source}", "{source}", "-o", "{path}"),
    ("place", "solar", "{path}"),
    ("check", "--record", "{path}"),
)


def boat(name: str) -> Installation:
    """A small boat with something that `fix` puts right."""
    b = Builder(name=name)
    b.add("battery_bank", "G1", unit_v=12, charge_v=14.4)
    b.add("fuse", "F1", rating_a=100, rated_dc_v=32)
    b.add("load", "E1", dc_v=12)
    cable = {"size": "14 AWG", "insulation_c": 105, "bundle": 1, "places": ("Saloon",)}
    b.place("Saloon", "accommodation", 30)
    b.run("W1", "G1.pos", "F1.in", length_m=0.1, **cable)
    b.run("W2", "F1.out", "E1.in", length_m=2, **cable)
    apply(b.installation, lay_out(b.installation.snapshot()))
    return b.installation


def content(path: str) -> str:
    """SHA-256 of what stands there, "" nothing."""
    try:
        return hashlib.sha256(Path(path).read_bytes()).hexdigest()
    except FileNotFoundError:
        return ""


class Hand:
    """One person at one program with a window: what the test knows of it."""

    def __init__(self, name: str, home: Path) -> None:
        self.name, self.home = name, home
        self.child: Any = None
        self.state: dict[str, Any] = {"open": False, "path": ""}
        self.left: dict[str, Any] | None = None  # its state when it was killed
        self.granted: dict[str, str] = {}  # path -> what may go, for the length of a step
        self.asks_for = ""  # the file its step is about

    def end(self) -> None:
        """Its program ends."""
        if self.child is not None:
            self.child.line.close()
            assert self.child.ended() == 0
            self.child = None

    def may_go(self, path: str) -> set[str]:
        had = {self.state["sha256"]} if self.state["path"] == path else set()
        return {"", self.granted.get(path, "")} | had


class Scene:
    """One interleaving."""

    def __init__(self, folder: Path, nursery: Any, hands: list[Hand], seed: int, locks: int = 0) -> None:
        self.dice = random.Random(seed)
        self.nursery, self.locks = nursery, locks
        self.folder = folder
        folder.mkdir(parents=True)
        self.paths = [str(folder / "knot.linewright"), str(folder / "ruff.linewright")]
        self.source = str(folder / "source.linewright")
        self.issued = str(folder / "lent.linewright")
        save(boat("Source"), self.source)
        save(boat("Knot"), self.paths[0])
        lent = boat("Lent")
        apply(lent, issue_with_copy(lent, Path(self.issued), by="A. Dunnock", day="2026-11-29"))
        save(lent, self.issued)
        self.hands = hands
        self.now = {path: content(path) for path in self.paths}
        self.kept: list[bytes] = []  # what a file manager may copy back
        self.whole: set[str] = set()
        self.busy: set[str] = set()
        self.number = 0
        self.came: Counter[str] = Counter()
        self.story: list[str] = []

    # -- the disk -------------------------------------------------------------------------------------------------
    def look(self, hand: Hand | None, who: str) -> None:
        """What has changed since the last look was `who`; `hand` is whose right to it is asked, `None` anybody's."""
        for path in self.paths:
            old, new = self.now[path], content(path)
            if old == new:
                continue
            self.now[path] = new
            self.story.append(f"    {who}: {Path(path).name} {old[:6] or 'nothing'} -> {new[:6] or 'nothing'}")
            if hand is not None:
                assert new, f"{who} took {path} away"
                assert old in hand.may_go(path), f"{who} wrote over what it had not seen"
                self.came["written over as answered"] += bool(old) and old == hand.granted.get(path)
                hand.granted[path] = new
            if new and new not in self.whole:
                load(path)
                self.whole.add(new)
                self.kept.append(Path(path).read_bytes())

    # -- steps ----------------------------------------------------------------------------------------------------
    def play(self, steps: int) -> None:
        """So many turns, then everybody leaves."""
        for hand in self.hands:
            if hand.child is None:
                self._wake(hand)
            self._say(hand, "set_locks", self.locks)
        for _turn in range(steps):
            self.turn()
        for hand in self.hands:
            if hand.child is None:
                self._wake(hand)
            self._say(hand, "drop_all")
        leftovers._swept.clear()
        leftovers.sweep(self.folder)  # as the next program that saves here
        names = {path.name for path in self.folder.iterdir()}
        assert not [name for name in names if name.endswith(".part")], names

    def turn(self, inside: bool = False) -> None:
        """Somebody does something."""
        free = [hand for hand in self.hands if hand.name not in self.busy]
        what = self.dice.random()
        if what < 0.7 and free:
            self.window_turn(self.dice.choice(free))
        elif what < 0.82 and "command" not in self.busy:
            self.command_turn()
        else:
            self.manager_turn()
        if not inside:
            self.busy.clear()

    @contextmanager
    def _at_work(self, who: str) -> Iterator[None]:
        self.busy.add(who)
        yield
        self.busy.discard(who)

    # -- a window -------------------------------------------------------------------------------------------------
    def window_turn(self, hand: Hand) -> None:
        """What one does with a window, rather edits and saves."""
        if hand.child is None:
            self._wake(hand)
        if not hand.state["open"]:
            path = self.dice.choice([self.paths[0], *self.paths])
            if Path(path).exists():
                self._say(hand, "open", path)
            return
        does = self.dice.choices(
            ("edit", "undo", "save", "save_as", "close", "kill"), weights=(8, 1, 8, 2, 2, 1)
        )[0]  # fmt: skip
        if does == "kill":
            self._kill(hand)
        elif does == "edit":
            self.number += 1
            self._say(hand, "edit", f"{hand.name} {self.number}")
        else:
            self._say(hand, does)

    def _wake(self, hand: Hand) -> None:
        """A program is started, and what the one before has left is taken up."""
        hand.child = self.nursery.child("window", {"home": str(hand.home)})
        assert hand.child.line.hear() == ["ready"]
        hand.state = {"open": False, "path": ""}
        self._say(hand, "set_locks", self.locks)
        left, hand.left = hand.left, None
        if left is None:
            return
        done = self._say(hand, "recover")
        if done:
            assert hand.state["is"] == left["is"], "what was recovered is not what was there"
            self.came["recovered"] += 1
        else:
            assert not left["dirty"] or left["is"] in self.now.values(), "work is gone"

    def _kill(self, hand: Hand) -> None:
        hand.child.kill()
        hand.child.line.rest()
        assert hand.child.ended() == -9
        self.story.append(f"{hand.name} is killed")
        self.came["killed"] += 1
        # what may only be read has no journal, and cannot have been changed
        hand.left = hand.state if hand.state["open"] and not hand.state["read_only"] else None
        hand.child = None
        hand.state = {"open": False, "path": ""}
        hand.granted.clear()
        self.look(hand, hand.name)

    def _say(self, hand: Hand, what: str, *arguments: Any) -> bool:
        """One step of a window, its questions answered, others let in where it waits; whether it was done."""
        before = hand.state
        self.story.append(f"{hand.name} {what} {' '.join(Path(str(a)).name for a in arguments)}")
        if self.dice.random() < 0.4 and what in ("save", "save_as", "close"):
            hand.child.line.tell("arm")
        hand.asks_for = hand.state["path"]
        with self._at_work(hand.name):
            hand.child.line.tell(what, *arguments)
            while True:
                heard = hand.child.line.hear()
                assert heard, f"{hand.name} is gone"
                self.look(hand, hand.name)
                if heard[0] == "done":
                    break
                self.story.append(f"  {hand.name} {' '.join(map(str, heard))}")
                if heard[0] == "stopped":
                    self.came["stopped amid a save"] += 1
                    self._let_in()
                    if self.dice.random() < 0.1:
                        self._kill(hand)
                        return False
                    hand.child.line.tell("go")
                else:
                    self._answer(hand, heard)
        _done, done, hand.state = heard
        hand.granted.clear()
        self.story.append(f"  {hand.name} {'did' if done else 'did not'}")
        self._check(hand, what, done, before)
        return bool(done)

    def _answer(self, hand: Hand, heard: list[Any]) -> None:
        _asked, title, _text, keys = heard
        if title == "file":
            hand.asks_for = self.dice.choice(self.paths)
            hand.granted[hand.asks_for] = self.now[hand.asks_for]  # the dialog asks where it is there
            hand.child.line.tell(hand.asks_for)
            self.story.append(f"    named {Path(hand.asks_for).name}")
            return
        self.came[title if title in OVER else f"told: {title.replace('knot', 'ruff')}"] += 1
        about = {path: self.now[path] for path in self.paths}
        if self.dice.random() < 0.3:
            self._let_in()  # a question may stand for hours
        key = self.dice.choice(keys)
        if title in OVER and key == "over":
            hand.granted[hand.asks_for] = about.get(hand.asks_for, "")
        self.story.append(f"    answered {key}")
        hand.child.line.tell(key)

    def _let_in(self) -> None:
        if len(self.busy) < 3:
            for _each in range(self.dice.randint(0, 2)):
                self.turn(inside=True)

    def _check(self, hand: Hand, what: str, done: bool, before: dict[str, Any]) -> None:
        """After a step: what was told to be saved is on the disk, and never do two hold one file."""
        state = hand.state
        if what in ("save", "save_as"):
            self.came["saved"] += done
            self.came["not saved"] += not done
            if done:
                assert self.now[state["path"]] == state["sha256"] == state["is"], "saved, and not there"
                assert not state["dirty"]
            else:
                assert (state["is"], state["dirty"]) == (before["is"], before["dirty"]), "changed unsaved"
        held = [h.state["path"] for h in self.hands if h.state.get("holds")]
        assert len(set(held)) == len(held), "two hold one file"
        self.came["open to read only"] += what == "open" and bool(state.get("read_only"))

    # -- a command line -------------------------------------------------------------------------------------------
    def command_turn(self) -> None:
        """A command writes a drawing, or writes into one."""
        path = self.dice.choice([self.paths[0], *self.paths])
        pattern = self.dice.choice(COMMANDS)
        arguments = [part.format(source=self.source, issued=self.issued, path=path) for part in pattern]
        hand = Hand("command", self.folder / "home of command")
        hand.granted[path] = self.now[path]  # it reads it, or its person says that it may go
        if "-o" in arguments:
            if self.dice.random() < 0.7:
                arguments.append("--replace")
            else:
                hand.granted.clear()
        self.story.append(f"command {' '.join(Path(a).name for a in arguments)}")
        with self._at_work("command"):
            code = self._command(arguments, hand, self.dice.random() < 0.5)
        self.came[f"command gave {code}"] += 1

    def _command(self, arguments: list[str], hand: Hand, armed: bool) -> int:
        home = str(self.folder / "home of command")
        child = self.nursery.child(
            "command", {"home": home, "arguments": arguments, "armed": armed, "locks": self.locks}
        )
        while True:
            heard = child.line.hear()
            assert heard, arguments
            self.look(hand, "command")
            if heard[0] == "done":
                break
            self._let_in()
            child.line.tell("go")
        assert child.ended() == 0
        self.story.append(f"  command: {heard[1]} {heard[2].strip()}")
        self.came["command refused: in use"] += "is open already" in heard[2]
        self.came["command refused: saved meanwhile"] += "meanwhile" in heard[2]
        return int(heard[1])

    # -- a file manager -------------------------------------------------------------------------------------------
    def manager_turn(self) -> None:
        """What people do to files from outside."""
        path = Path(self.dice.choice([self.paths[0], *self.paths]))
        lock = path.with_name(f".{path.name}.lock")
        does = self.dice.choice(("replace", "remove", "touch", "copy back", "unlock", "another computer", "clock"))
        self.story.append(f"file manager: {does} {path.name}")
        if does == "replace":
            self.number += 1
            other = path.with_name("other")
            save(boat(f"by hand {self.number}"), other)
            os.replace(other, path)
        elif does == "remove":
            path.unlink(missing_ok=True)
        elif does == "touch" and path.exists():
            path.touch()
        elif does == "copy back" and self.kept:
            path.write_bytes(self.dice.choice(self.kept))
        elif does == "clock":  # set back: what is written now is older than what was
            for each in (path, lock):
                if each.exists():
                    os.utime(each, (0, 0))
        elif does in ("unlock", "another computer"):
            lock.unlink(missing_ok=True)
            if does == "another computer":
                lock.write_text('{"host": "shearwater", "user": "ann", "pid": 1, "since": "2026-03-01T10:00:00+00:00"}')
            for hand in self.hands:
                if hand.state["path"] == str(path):
                    hand.state = hand.state | {"holds": False}
        self.came["file manager"] += 1
        self.look(None, "file manager")

    def clear(self) -> None:
        """Nothing is left of it."""
        shutil.rmtree(self.folder, ignore_errors=True)
