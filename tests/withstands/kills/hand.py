"""A hand that edits a drawing at random, the same for the same seed, keeps a journal and saves; a test kills it.

Forked by `nursery.py`. What it does is told after it was done and before the next is begun.
"""

from __future__ import annotations

import itertools
import os
import random
import signal
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

from engine.builder import Builder
from engine.edits import Edit, EditError, History, Put, SetFields, Several
from engine.equipment import kinds
from engine.files import journal as journals
from engine.files import tape
from engine.files.drawing import load, save
from engine.files.journal import Journal
from engine.files.lock import Lock, take
from engine.files.recovery import left_behind
from engine.installation import End, Installation, Place, Run

SAVES = 0.08  # of a hundred edits so many are followed by a save
ELSEWHERE = 0.3  # of the saves
CALLS = ("open", "write", "fsync", "fdatasync", "ftruncate", "chmod", "replace", "rename", "unlink")


def drawing() -> Installation:
    """What is opened: small, but with all that could get lost."""
    b = Builder(name="Sandpiper")
    b.add("battery_bank", "G1", unit_v=12.8, unit_ah=100.0)
    b.add("bus_bar", "X1")
    b.add("fuse", "F1", rating_a=100)
    b.run("W1", "G1.pos", "F1.in", size="2 AWG", length_m=0.5)
    b.run("W2", "F1.out", "X1.bar", size="2 AWG", length_m=1.5)
    b.installation.unknown = (("yard", '{"hull":[1,2,{"no":123456789012345678901234567890}]}'),)
    b.installation.last_id += 7  # ids that were given to what is no more
    return b.installation


def strokes(history: History, seed: int) -> Iterator[Edit]:
    """Edits without end, each done when it is given."""
    dice = random.Random(seed)
    x = history.installation
    while True:
        what = dice.random()
        edit: Edit | None = None
        if what < 0.12:
            edit = history.undo()
        elif what < 0.2:
            edit = history.redo()
        else:
            try:
                edit = history.do(_stroke(x, what, dice))
            except EditError:
                continue
        if edit is not None:
            yield edit


def _stroke(x: Installation, what: float, dice: random.Random) -> Edit:
    ids = x.ids("equipment")
    last = x.last_id
    if what < 0.45:
        kind = dice.choice(("fuse", "load", "bus_bar", "battery_switch"))
        mine = kinds()[kind](designation=f"N{last}", label="ü " * dice.randint(0, 30), unknown=(("odd", "[1.5,null]"),))
        item = f"e{last + 1}"
        edits: list[Edit] = [Put("equipment", item, mine)]
        end = x.get("equipment", dice.choice(ids)).terminals() if ids else ()
        if end and dice.random() < 0.7:
            there = dice.choice(ids)
            ends = x.get("equipment", there).terminals()
            run = Run(
                designation=f"W{last}",
                from_end=End(equipment=there, terminal=dice.choice(ends).name),
                to_end=End(equipment=item, terminal=mine.terminals()[0].name),
            )
            edits.append(Put("runs", f"r{last + 2}", run))
        return Several(tuple(edits), f"Place N{last}")
    if what < 0.55:
        return Put("places", f"p{last + 1}", Place(name=f"locker {last}"), "Add a place")
    if what < 0.65 and len(ids) > 3:
        item = dice.choice(ids)
        gone = [Put("runs", run, None) for run in x.runs_at(item)]
        return Several((*gone, Put("equipment", item, None)), "Remove it")
    if what < 0.7:
        return SetFields("vessel", "vessel", (("name", f"Sandpiper {dice.randint(1, 9)}"),), "Name the vessel")
    return SetFields("equipment", dice.choice(ids), (("label", f"label {dice.random()}"),), "Label it")


def live(line: Any, asked: dict[str, Any]) -> None:
    """Take up what the one before has left, then edit and save until killed."""
    if asked["die_at"]:
        _die_at(asked["die_at"], asked["die_how"])
    journals.EVERY = asked["every"]
    dice = random.Random(f"{asked['seed']} saves")
    files = [Path(file) for file in asked["files"]]
    journal, x, path = _begun(Path(asked["folder"]), Path(asked["file"]))
    lock = take(path)
    assert isinstance(lock, Lock)
    assert lock.advisory, lock.why
    line.tell("begun", str(path))
    history = History(x)
    for number, edit in enumerate(strokes(history, asked["seed"]), start=1):
        journal.record(edit, x.snapshot, x.last_id)
        line.tell("edit", number)
        assert not journal.fault, journal.fault
        if dice.random() < SAVES:
            if dice.random() < ELSEWHERE:
                path = dice.choice(files)
                lock.release()
                lock = take(path)
                assert isinstance(lock, Lock)
            line.tell("saving", str(path))
            sha256 = save(x, path)
            line.tell("saved", str(path), sha256)
            journal.rebase(path, sha256, x.snapshot(), x.last_id)
            line.tell("rebased")


def _begun(folder: Path, file: Path) -> tuple[Journal, Installation, Path]:
    """As the window begins: what was left behind is recovered, and its journal goes when the new one is on the disk."""
    found = left_behind(folder)
    if not found:
        opened = load(file)
        x = opened.installation
        return Journal.begin(folder, x, x.last_id, file, opened.sha256), x, file
    left = found[0]
    made = left.recover()
    x, path = made.installation, made.path
    assert path is not None
    journal = Journal.begin(
        folder, x, x.last_id, path, made.base_sha256,
        edits=made.edits, words=made.words, takes_over=left.file.name,
    )  # fmt: skip
    assert not journal.fault, journal.fault
    journal.flush()
    left.discard()
    for other in found[1:]:
        other.close()
    return journal, x, path


def _die_at(wanted: int, how: str) -> None:
    """Be killed at a call of the system: before it, after it, or in the middle of what it writes."""
    count = itertools.count(1)

    def deadly(name: str, real: Callable[..., Any]) -> Callable[..., Any]:
        def call(*arguments: Any, **named: Any) -> Any:
            if next(count) != wanted:
                return real(*arguments, **named)
            if how == "amid" and name == "write":
                handle, data = arguments
                real(handle, bytes(data)[: len(data) // 2])
            elif how == "after":
                real(*arguments, **named)
            os.kill(os.getpid(), signal.SIGKILL)
            raise AssertionError

        return call

    for name in CALLS:
        if hasattr(os, name):
            setattr(os, name, deadly(name, getattr(os, name)))
    tape._sync = getattr(os, "fdatasync", os.fsync)
