"""A run led anew among 300 pieces on one sheet: all of the edit, from what is drawn to the corners that are kept.

Rows of fuses and loads with runs of every kind between them: straight from a bus, between rows, from one side of the
sheet to the other. Told as a ratio to a floor in the same run, 300 000 additions of this same Python: 10 ms on the
machine the target was set on. The median of all runs may take as long as that, the slowest in twenty four times; fails
above twice a target. Time of this process alone, so that a busy machine counts less.
"""

from __future__ import annotations

import statistics
import sys
import time
from collections.abc import Callable

from app.drawing import changes
from engine.builder import Builder
from engine.edits import apply
from engine.installation import Placement, Sheet, Snapshot

MEDIAN, SLOW = 1.0, 4.0
ADDITIONS = 300_000
COLUMNS, ROWS = 36, 4
PIECES = 300


def drawing() -> tuple[Snapshot, str, list[str]]:
    """300 pieces on an A1 sheet, the sheet and its runs, all of them led."""
    b = Builder()
    sheet = b._new("sheets", Sheet(number=1, size="A1"))
    runs: list[str] = []
    for row in range(ROWS):
        for half in range(3):
            bar = b.add("bus_bar", f"WC{row}.{half}")
            place = Placement(equipment=bar, sheet=sheet, x=6 + half * 96, y=46 + row * 40, length=92)
            b._new("placements", place)
        for column in range(COLUMNS):
            x, y, name = 10 + column * 8, 18 + row * 40, f"{row}.{column}"
            for kind, letter, dy in (("fuse", "F", 14), ("load", "E", 0)):
                item = b.add(kind, f"{letter}{name}")
                b._new("placements", Placement(equipment=item, sheet=sheet, x=x, y=y + dy))
            runs.append(b.run(f"WF{name}", f"F{name}.out", f"E{name}.in"))
            runs.append(b.run(f"WB{name}", f"WC{row}.{column // 12}.bar", f"F{name}.in"))
    for n, far in enumerate((3, 7, 11, 17, 23, 29)):  # from one column to another, and to another row
        runs.append(b.run(f"WX{n}", f"F{n % ROWS}.{n}.in", f"F{(n + 1) % ROWS}.{far}.in"))
        runs.append(b.run(f"WY{n}", f"WC{n % ROWS}.0.bar", f"E{(n + 2) % ROWS}.{far}.in"))
    made = b.installation
    apply(made, changes.lead_anew(made.snapshot(), runs, sheet, last_id=made.last_id))
    snapshot = made.snapshot()
    assert len(snapshot.placements) >= PIECES
    led = {route.run for route in snapshot.routes.values()}
    return snapshot, sheet, [run for run in runs if run in led]


def taken_ms(call: Callable[[], object]) -> float:
    """What one call takes, ms."""
    began = time.process_time()
    call()
    return (time.process_time() - began) * 1000


def floor() -> None:
    """The floor: plain additions."""
    total = 0
    for n in range(ADDITIONS):
        total += n


def main() -> int:
    """Measure and tell."""
    snapshot, sheet, runs = drawing()
    took, least = [], []
    for n, run in enumerate(runs):
        took.append(taken_ms(lambda run=run: changes.lead_anew(snapshot, [run], sheet, last_id=10**6)))
        if n % 10 == 0:
            least.append(taken_ms(floor))
    base = statistics.median(least)
    worst = 0.0
    print(f"{len(snapshot.placements)} pieces, {len(runs)} runs led one at a time; floor {base:.1f} ms")
    for what, ms, target in (
        ("median", statistics.median(took), MEDIAN),
        ("slowest of twenty", sorted(took)[int(len(took) * 0.95)], SLOW),
    ):
        worst = max(worst, ms / base / target)
        print(f"one run, {what}: {ms:.1f} ms, {ms / base:.2f} x the floor (target {target:g})")
    return 1 if worst > 2 else 0


if __name__ == "__main__":
    sys.exit(main())
