"""Three drawings of 5000 pieces merged, as a ratio to one pass over the graph in the same run.

Fails above 120 passes, where either side changes, removes and adds.
"""

from __future__ import annotations

import random
import sys
from typing import Any

from bench_compare import best
from bench_rules import graph_pass
from boats import boat

from engine.edits import Put, SetFields, apply
from engine.edits.removing import remove
from engine.equipment import kind_named
from engine.merging import edit_to, merge

PIECES, MOST = 5000, 120.0


def main() -> int:
    """Print what it takes with 400 changes on either side, 20 of them to the same fields; 1 where it is too much."""
    rng = random.Random(1)
    base, a, b = boat(PIECES), boat(PIECES), boat(PIECES)
    every = list(base.equipment)
    rng.shuffle(every)
    for x, some in ((a, every[:400]), (b, every[380:780])):
        for item in some:
            apply(x, SetFields("equipment", item, (("note", f"seen {rng.random()}"),)))
    cls: Any = kind_named("fuse")
    for x, some in ((a, every[1000:1020]), (b, every[1100:1120])):
        apply(x, remove(x.snapshot(), x.last_id, some, with_runs=True), again=True)
        for _new in range(100):
            apply(x, Put("equipment", x.new_id("equipment"), cls(note=f"{rng.random()}")))
    three = base.snapshot(), a.snapshot(), b.snapshot()
    floor = best(lambda: graph_pass(base), 20)
    listed = merge(*three)
    assert len(listed.open) == 20
    chosen = {conflict.key: "b" for conflict in listed.open}
    taken = best(lambda: merge(*three, chosen), 3)  # type: ignore[arg-type]
    made = merge(*three, chosen)  # type: ignore[arg-type]
    edit = best(lambda: edit_to(three[1], made.snapshot, made.last_id, "Merge"), 3)
    assert not made.open
    print(
        f"{PIECES} pieces, 400 changed, 20 gone, 100 new on either side, 20 met: pass {floor * 1000:.2f} ms; merged in "
        f"{taken * 1000:.0f} ms = {taken / floor:.0f} passes, its edit in {edit * 1000:.0f} ms"
    )
    return int(taken / floor > MOST)


if __name__ == "__main__":
    sys.exit(main())
