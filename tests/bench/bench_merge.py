"""Three drawings of 5000 pieces merged, as a ratio to one pass over the graph in the same run.

Fails above 400 passes.
"""

from __future__ import annotations

import random
import sys

from bench_compare import best
from bench_rules import graph_pass
from boats import boat

from engine.edits import SetFields, apply
from engine.merging import edit_to, merge

PIECES, MOST = 5000, 400.0


def main() -> int:
    """Print what it takes with 400 changes on either side, 20 of them to the same fields; 1 where it is too much."""
    rng = random.Random(1)
    base, a, b = boat(PIECES), boat(PIECES), boat(PIECES)
    every = list(base.equipment)
    rng.shuffle(every)
    for x, some in ((a, every[:400]), (b, every[380:780])):
        for item in some:
            apply(x, SetFields("equipment", item, (("note", f"seen {rng.random()}"),)))
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
        f"{PIECES} pieces, 400 changes on either side, 20 of them meet: pass {floor * 1000:.2f} ms; merged in "
        f"{taken * 1000:.0f} ms = {taken / floor:.0f} passes, its edit in {edit * 1000:.0f} ms"
    )
    return int(taken / floor > MOST)


if __name__ == "__main__":
    sys.exit(main())
