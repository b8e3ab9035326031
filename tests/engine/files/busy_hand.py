"""A hand that edits a drawing at random, the same for the same seed, and keeps a recovery journal; some test kills it.

As a script: `busy_hand.py FOLDER FILE SEED`. Prints the count of edits made after each was recorded and before the next
is begun. With an even seed it saves the drawing to FILE now and then.
"""

from __future__ import annotations

import os
import random
import sys
from collections.abc import Iterator
from pathlib import Path

from engine.builder import Builder
from engine.edits import Edit, EditError, History, Put, SetFields, Several
from engine.equipment import kinds
from engine.files.drawing import save
from engine.files.journal import Journal
from engine.installation import End, Installation, Place, Run

SAVES = 83  # edits between two saves


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


def main(folder: str, file: str, seed: int) -> None:
    """Edit until killed."""
    x = drawing()
    path = Path(file)
    journal = Journal.begin(folder, x, x.last_id, path, save(x, path))
    history = History(x)
    os.write(1, b"0\n")
    for number, edit in enumerate(strokes(history, seed), start=1):
        journal.record(edit, x.snapshot, x.last_id)
        os.write(1, b"%d\n" % number)
        assert not journal.fault, journal.fault
        if seed % 2 == 0 and number % SAVES == 0:
            journal.rebase(path, save(x, path), x.snapshot(), x.last_id)


if __name__ == "__main__":
    main(sys.argv[1], sys.argv[2], int(sys.argv[3]))
