"""What the recovery journal costs the window, as ratios to one pass over the graph (see `bench_files`).

An edit is recorded before the screen changes, and the whole drawing after every 200 edits: both stand between a click
and its effect. Beginning the journal is part of opening; reading a journal happens only after a crash.
"""

from __future__ import annotations

import statistics
import sys
import tempfile
import time
from pathlib import Path

from bench_rules import best, graph_pass
from boats import boat

from engine.edits import History, SetFields
from engine.files.journal import EVERY, Journal
from engine.files.recovery import left_behind

SIZES = (100, 1000, 5000)
EDITS = 5 * EVERY


def measure(pieces: int, folder: Path) -> None:
    """Print the costs at one size."""
    installation = boat(pieces)
    floor = best(lambda: graph_pass(installation), 10)
    history = History(installation)
    ids = installation.ids("equipment")
    start = time.perf_counter()
    journal = Journal.begin(folder, installation, installation.last_id, None, "")
    begun = time.perf_counter() - start
    plain, whole = [], []
    for number in range(1, EDITS + 1):
        item = ids[number * 7919 % len(ids)]
        edit = history.do(SetFields("equipment", item, (("label", f"label {number}"),), "Label"))
        start = time.perf_counter()
        journal.record(edit, installation.snapshot, installation.last_id)
        (whole if number % EVERY == 0 else plain).append(time.perf_counter() - start)
    assert journal.fault == ""
    journal.close(keep=True)
    start = time.perf_counter()
    (left,) = left_behind(folder)
    left.recover()
    read = time.perf_counter() - start
    left.discard()
    told = [
        ("begin", begun),
        ("an edit", statistics.median(plain)),
        ("worst edit", max(plain)),
        (f"every {EVERY}th edit", statistics.median(whole)),
        ("find and recover", read),
    ]
    figures = ", ".join(f"{name} {seconds * 1000:.2f} ms = {seconds / floor:.1f}" for name, seconds in told)
    print(f"{pieces} pieces: pass {floor * 1000:.2f} ms; {figures} passes")


def main() -> int:
    """Measure every size."""
    with tempfile.TemporaryDirectory() as folder:
        for pieces in SIZES:
            measure(pieces, Path(folder))
    return 0


if __name__ == "__main__":
    sys.exit(main())
