"""Tidy against sheets drawn by hand, and how long it takes.

Sheets of the samples were drawn anew by hand, looking at the pictures (`hand/*.toml`). Tidy is given the same symbols
in a heap, in rows by id, and has to find a layout of its own. Both are scored by `app.drawing.tidy.score`.

Gates: nothing overlaps; no more crossings than by hand, and one; bends and length at most `BENDS` and `LENGTH` times
those by hand. A sheet of 150 pieces takes at most so many times as long as a floor measured in the same run: 1.5 s on a
machine on which that floor takes `FLOOR_S`, both in time of the processor. Whoever gives up is heard
within `HEARD_S` of that scale.
"""

from __future__ import annotations

import sys
import time
import tomllib
from pathlib import Path
from typing import Any

import msgspec

from app.drawing.tidy import Score, tidy_sheet
from app.drawing.tidy.score import score_of
from app.drawing.tidy.tidying import standing
from engine.files.drawing import load
from engine.installation import Bend, Placement, Route, Sheet, Snapshot
from engine.pausing import GivenUp

sys.path.insert(0, str(Path(__file__).parent))

from boats import boat

HAND = Path(__file__).parent / "hand"
SAMPLES = Path(__file__).parents[2] / "samples"
BENDS, LENGTH = 1.5, 1.5
FLOOR_S, LIMIT_S, HEARD_S = 0.07, 1.5, 0.25


def sample(name: str) -> Snapshot:
    """A sample as it is delivered."""
    return load(SAMPLES / name / f"{name}.linewright").installation.snapshot()


def changed(snapshot: Snapshot, **tables: dict[str, Any]) -> Snapshot:
    """The snapshot with some tables replaced."""
    return Snapshot(tables=snapshot.tables | tables, lone=snapshot.lone)


def drawn_by_hand(snapshot: Snapshot, sheet: str, plain: dict[str, Any]) -> Snapshot:
    """A sheet as `hand/*.toml` tells it. Raises `KeyError` where a symbol of the sheet is not told."""
    placements = dict(snapshot.placements)
    for item, p in snapshot.placements.items():
        if p.sheet == sheet:
            x, y, *length = plain["symbols"][snapshot.equipment[p.equipment].designation]
            placements[item] = msgspec.structs.replace(p, x=x, y=y, length=length[0] if length else p.length)
    routes = {item: r for item, r in snapshot.routes.items() if r.sheet != sheet}
    for item, r in snapshot.routes.items():
        if r.sheet == sheet:
            bends = plain["runs"].get(snapshot.runs[r.run].designation, ())
            corners = tuple(Bend(x=x, y=y) for x, y in bends)
            routes[item] = Route(run=r.run, sheet=sheet, bends=corners)
    return changed(snapshot, placements=placements, routes=routes)


def heaped(snapshot: Snapshot, sheet: str) -> Snapshot:
    """The same symbols in rows by id, every run to be led anew."""
    placements = dict(snapshot.placements)
    here = [item for item, p in snapshot.placements.items() if p.sheet == sheet]
    for n, item in enumerate(here):
        at = {"x": 10 + 14 * (n % 7), "y": 8 + 12 * (n // 7), "rotation": 0, "mirrored": False}
        placements[item] = msgspec.structs.replace(placements[item], **at)
    kept = {item: r for item, r in snapshot.routes.items() if r.sheet != sheet}
    return changed(snapshot, placements=placements, routes=kept)


def on_one_sheet(snapshot: Snapshot, size: str) -> Snapshot:
    """Everything heaped on one sheet."""
    placements = {
        f"a{90_000 + n}": Placement(equipment=item, sheet="s90000", x=10 + 14 * (n % 18), y=8 + 12 * (n // 18))
        for n, item in enumerate(snapshot.equipment)
    }
    sheets = {"s90000": Sheet(title="All", number=1, size=size)}  # type: ignore[arg-type]  # a size there is
    return changed(snapshot, placements=placements, sheets=sheets, routes={})


def compare(name: str) -> tuple[Score, Score]:
    """A sheet by hand and tidied out of a heap."""
    plain = tomllib.loads((HAND / f"{name}.toml").read_text())
    snapshot = sample(plain["sample"])
    sheet = next(item for item, s in snapshot.sheets.items() if s.number == plain["sheet"])
    by_hand = score_of(standing(drawn_by_hand(snapshot, sheet, plain), sheet), sheet)
    return by_hand, tidy_sheet(heaped(snapshot, sheet), sheet).after


def floor_s() -> float:
    """A piece of plain work, the quickest of five."""
    best = 1e9
    for _n in range(5):
        begun = time.process_time()
        total = 0
        for n in range(1_500_000):
            total += n & 7
        best = min(best, time.process_time() - begun)
    return best


def ratio(one: float, other: float) -> float:
    """How many times `other`; 1 where both are nothing."""
    return one / other if other else (1.0 if not one else float("inf"))


def main() -> int:
    """Compare, time, say what does not hold."""
    wrong: list[str] = []
    print(f"{'sheet':18}{'crossings':>14}{'bends':>14}{'overlaps':>14}{'length mm':>18}{'cost':>16}  (hand, tidy)")
    for path in sorted(HAND.glob("*.toml")):
        hand, tidy = compare(path.stem)
        bends, length = ratio(tidy.bends, hand.bends), ratio(tidy.length_mm, hand.length_mm)
        print(
            f"{path.stem:18}{hand.crossings:>9} {tidy.crossings:>4}{hand.bends:>9} {tidy.bends:>4}"
            f"{hand.overlaps:>9} {tidy.overlaps:>4}{hand.length_mm:>12.0f} {tidy.length_mm:>5.0f}"
            f"{hand.cost:>11.0f} {tidy.cost:>4.0f}  bends x {bends:.2f}, length x {length:.2f}"
        )
        if hand.overlaps or tidy.overlaps:
            wrong.append(f"{path.stem}: something overlaps")
        if tidy.crossings > hand.crossings + 1:
            wrong.append(f"{path.stem}: {tidy.crossings} crossings")
        if bends > BENDS or length > LENGTH:
            wrong.append(f"{path.stem}: bends x {bends:.2f}, length x {length:.2f}")
    floor = floor_s()
    crowd = on_one_sheet(boat(150, 3).snapshot(), "A1")
    begun = time.process_time()
    made = tidy_sheet(crowd, "s90000")
    took = time.process_time() - begun
    print(f"150 pieces: {took:.2f} s, {took / floor:.1f} x floor of {floor:.3f} s; {made.after.told()}")
    if took / floor > LIMIT_S / FLOOR_S:
        wrong.append(f"150 pieces take {took / floor:.1f} times the floor, not {LIMIT_S / FLOOR_S:.0f}")
    heard = longest_unheard(crowd)
    print(f"giving up is heard within {heard:.3f} s, {heard / floor:.1f} x floor")
    if heard / floor > HEARD_S / FLOOR_S:
        wrong.append(f"giving up is heard after {heard / floor:.1f} times the floor")
    for each in wrong:
        print("NOT HELD:", each)
    return bool(wrong)


def longest_unheard(snapshot: Snapshot) -> float:
    """The longest time between two places where tidying can be given up."""
    last = time.process_time()
    longest = 0.0

    def go_on() -> None:
        nonlocal last, longest
        now = time.process_time()
        longest, last = max(longest, now - last), now

    tidy_sheet(snapshot, "s90000", go_on=go_on)

    def stop() -> None:
        raise GivenUp

    try:
        tidy_sheet(snapshot, "s90000", go_on=stop)
    except GivenUp:
        return longest
    raise AssertionError("nobody heard that it was given up")


if __name__ == "__main__":
    raise SystemExit(main())
