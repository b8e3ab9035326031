"""The conductor that keeps the volts of every load behind it within what its class may lose.

What is left of the allowance after the rest of the way is the run's. Where the whole way loses too much, runs that
lose less than an equal part keep what they lose, and the others share what remains by their length: neither a short
lead nor a lamp at the end of a poor feeder becomes a thick one, and the answers for all runs of a way together keep to
the allowance.
"""

from __future__ import annotations

import math
from typing import NamedTuple

from engine.books.resistances import ohm_per_m, reactance_ohm_per_m
from engine.circuit.flow.drop_class import DROP
from engine.circuit.flow.frame import frame
from engine.circuit.flow.operating import STARTER
from engine.circuit.flow.results import LoadFlow, RunFlow
from engine.sizing.basis import ALIKE, Basis, Behind, DropClass
from engine.sizing.needs import SMALLEST, Need, first
from engine.units import number, show_size
from engine.words import _

__all__ = ["by_drop", "by_start"]


class _Asked(NamedTuple):
    """A load behind the run in one condition."""

    behind: Behind
    held: DropClass
    nominal_v: float
    own_v: float  # lost in the run
    rest_v: float  # on the rest of the way, contacts included
    fixed_v: float  # in what is no conductor
    metres: float  # of the run, there and back
    others: tuple[tuple[float, float], ...]  # of every other run on the way: volts, metres
    missing: tuple[str, ...]

    def permitted_v(self, share: float) -> float:
        """What the run may lose."""
        allowed = share * self.nominal_v
        if self.rest_v + self.own_v <= allowed:
            return allowed - self.rest_v
        # no conductor makes good what contacts lose: half of the allowance is the conductors' whatever those take
        left = max(allowed - self.fixed_v, allowed / 2)
        return _part(left, (self.own_v, self.metres), self.others)

    def ratio(self, share: float) -> float:
        """How much of its resistance the run may keep."""
        return self.permitted_v(share) / self.own_v if self.own_v > 0 else math.inf

    def is_over(self, share: float) -> bool:
        """Whether the way as it is loses too much."""
        return self.rest_v + self.own_v > share * self.nominal_v * (1 + ALIKE)


def _part(left_v: float, own: tuple[float, float], others: tuple[tuple[float, float], ...]) -> float:
    """The volts a run may lose of `left_v` that a way of such runs may lose together."""
    every = (own, *others)
    equal = left_v / len(every)
    if own[0] <= equal:
        return equal
    large = [row for row in every if row[0] > equal]
    left_v -= sum(volts for volts, _metres in every if volts <= equal)
    metres = sum(length for _volts, length in large)
    for volts, mine in sorted(large, key=lambda row: row[0] / row[1] if row[1] > 0 else 0.0):
        if metres <= 0 or volts * metres >= left_v * mine:
            break
        left_v, metres = left_v - volts, metres - mine
    return left_v * own[1] / metres if metres > 0 else left_v


def by_drop(b: Basis, item: str, sizes: tuple[str, ...], floor: int) -> Need | None:
    """The smallest conductor by voltage drop, confirmed by solving the condition again where it decides."""
    run = b.snapshot.runs[item]
    behind = b.behind.get(item)
    if not behind or b.study.book.limit(DROP, "other") is None:
        return None
    if run.length_m is None or not math.isfinite(run.length_m) or run.length_m < 0:
        return Need("voltage drop", None, None, "", b.study.book.clause(DROP), (f"{b.study.name(item)}.length_m",))
    size = run.size or sizes[min(floor, len(sizes) - 1)]
    asked = _asked(b, item, size, behind)
    if not asked:
        return None
    place = _place(b, item, sizes, size, asked, "high", floor)
    strict = place
    if any(a.held.low != a.held.high for a in asked):
        strict = max(place, _place(b, item, sizes, size, asked, "low", floor))
    decides = min(asked, key=lambda a: a.ratio(a.held.high))
    rests_on = tuple(dict.fromkeys(m for a in asked for m in a.missing if m != f"{b.study.name(item)}.size"))
    gaps = tuple(dict.fromkeys(m for a in asked for m in a.held.missing)) if strict != place else ()
    text = _words(b, item, sizes[min(max(place, floor), len(sizes) - 1)], decides, decides.held.high)
    if strict != place:
        load = min(asked, key=lambda a: a.ratio(a.held.low)).behind.load
        text += _("; were {load} of the essential class: {size}").format(
            load=b.study.name(load.equipment), size=show_size(sizes[min(strict, len(sizes) - 1)])
        )
    return Need("voltage drop", place, place, text, b.study.book.clause(DROP), gaps, rests_on, strict)


def _asked(b: Basis, item: str, size: str, behind: list[Behind]) -> list[_Asked]:
    study = b.trial(item, size)
    ohms = frame(study.circuit, study.book, "working").run_ohm
    made: list[_Asked] = []
    flowing: dict[str, dict[str, RunFlow]] = {}
    loads: dict[str, dict[tuple[str, str], LoadFlow]] = {}
    for one in behind:
        situation, before, way, bank = one
        count = way[item]
        held = b.drop_class(before.equipment)
        condition = situation.operation.condition
        if condition not in flowing:
            flow = study.flow(condition)
            flowing[condition] = {run.run: run for run in flow.runs}
            loads[condition] = {(load.equipment, load.terminal): load for load in flow.loads}
        load = loads[condition].get((before.equipment, before.terminal), before)
        mine = flowing[condition].get(item)
        # of its system: what is made for another voltage is another rule's
        nominal = mine.nominal_v if mine is not None and mine.nominal_v else load.nominal_v
        if held is None or not nominal or nominal <= 0 or not math.isfinite(nominal):
            continue
        runs = flowing[condition]
        own_v = _own_v(runs, ohms, item, count)
        if own_v <= ALIKE:
            continue
        others = tuple(
            (_own_v(runs, ohms, other, n), (study.snapshot.runs[other].length_m or 0.0) * n)
            for other, n in way.items()
            if other != item
        )
        lost_v = sum(volts for volts, _metres in others)
        rest_v, missing = lost_v, load.missing
        if load.drop_v is not None and not bank:
            rest_v, missing = max(0.0, load.drop_v - own_v), ()
        fixed_v = max(0.0, rest_v - lost_v)
        metres = (study.snapshot.runs[item].length_m or 0.0) * count
        made.append(_Asked(one._replace(load=load), held, nominal, own_v, rest_v, fixed_v, metres, others, missing))
    return made


def _own_v(runs: dict[str, RunFlow], ohms: dict[str, complex], item: str, count: int) -> float:
    told = runs.get(item)
    if told is None:
        return 0.0
    return max((a for _conductor, a in told.conductors), default=0.0) * abs(ohms.get(item, 0.0)) * count


def _z(b: Basis, item: str, size: str) -> float:
    """Impedance of a metre at 20 degC: only its ratio counts."""
    run = b.snapshot.runs[item]
    resistance = ohm_per_m(size, run.conductor)
    if run.function != "ac":
        return resistance
    hertz = frame(b.study.circuit, b.study.book, "working").frequency_hz
    return math.hypot(resistance, reactance_ohm_per_m(size, hertz))


def _place(b: Basis, item: str, sizes: tuple[str, ...], size: str, asked: list[_Asked], which: str, floor: int) -> int:
    """By proportion first; then, where that decides, by solving again with the size put in."""
    ratio = min(a.ratio(getattr(a.held, which)) for a in asked)
    now = _z(b, item, size)
    place = first(len(sizes), lambda n: _z(b, item, sizes[n]) <= now * ratio * (1 + ALIKE))
    collapsed = any(a.behind.load.collapsed for a in asked)  # then what flows now says little
    if not collapsed and place <= floor and _z(b, item, sizes[min(floor, len(sizes) - 1)]) <= now * ratio * 0.9:
        return place  # something else asks for more
    near = [a for a in asked if collapsed or a.ratio(getattr(a.held, which)) <= ratio * 1.2]
    place = max(place, floor)
    while place < len(sizes) and not _passes(b, item, sizes[place], near, which):
        place += 1
    while place > floor and _passes(b, item, sizes[place - 1], near, which):
        place -= 1
    return place


def _passes(b: Basis, item: str, size: str, near: list[_Asked], which: str) -> bool:
    """Whether what is lost is allowed with the run in this size, or the run keeps to what it may lose."""
    for a in _asked(b, item, size, [a.behind for a in near]):
        share = getattr(a.held, which)
        if a.is_over(share) and a.own_v > a.permitted_v(share) * (1 + ALIKE):
            return False
    return True


def _words(b: Basis, item: str, size: str, a: _Asked, share: float) -> str:
    run = b.snapshot.runs[item]
    scale = _z(b, item, size) / _z(b, item, run.size or size) if run.size else 1.0
    own = a.own_v * scale
    if not run.size or a.behind.load.collapsed:
        own = _asked(b, item, size, [a.behind])[0].own_v
    allowed = share * a.nominal_v
    words = _(
        "{load} in {condition}: {own} V in {size} and {rest} V on the rest of the way;"
        " {share} % of {nominal} V = {allowed} V"
    )
    text = words.format(
        load=b.study.name(a.behind.load.equipment),
        condition=a.behind.situation.flow.name,
        own=number(own, 2),
        size=show_size(size),
        rest=number(a.rest_v, 2),
        share=number(100 * share),
        nominal=number(a.nominal_v),
        allowed=number(allowed, 2),
    )
    if a.behind.bank:
        text += _(" (from {bank})").format(bank=b.study.name(a.behind.bank))
    if a.is_over(share) and a.fixed_v > allowed / 2:
        text += _("; {volts} V are lost in contacts and devices alone").format(volts=number(a.fixed_v, 2))
    elif a.is_over(share):
        text += _("; the way loses {lost} V as it is: {volts} V is this run's part").format(
            lost=number(a.rest_v + a.own_v, 2), volts=number(a.permitted_v(share), 2)
        )
    return text


# -- while an engine starts -----------------------------------------------------------------------------------------
def by_start(b: Basis, item: str, sizes: tuple[str, ...]) -> Need | None:
    """A conductor of a cranking circuit: its share by length of what may be lost while an engine starts."""
    study = b.study
    limit = study.book.limit(SMALLEST, "starting")
    run, name = b.snapshot.runs[item], study.name(item)
    found = [start for start in study.starts if _is_engine(b, start.motor) and dict(start.runs).get(item, 0.0) > ALIKE]
    if not found or limit is None:
        return None
    start = max(found, key=lambda one: dict(one.runs)[item])
    carried = dict(start.runs)
    current = carried[item]
    record = b.snapshot.equipment[start.motor]
    nominal = next((v for d in record.draws() if (v := (record.nominal_volts(d.terminal) or ("", None))[1])), None)
    if current < max(carried.values()) * 0.5:
        return None  # a side way: it feeds something else meanwhile
    if run.length_m is None or not nominal:
        gap = f"{name}.length_m" if run.length_m is None else f"{study.name(start.motor)}.dc_v"
        return Need("volts while starting", None, None, "", "", (gap,))
    main = [r for r, amps in carried.items() if amps >= max(carried.values()) * 0.5]
    whole = sum(b.snapshot.runs[r].length_m or 0.0 for r in main)
    permitted = limit.value * nominal * (run.length_m / whole if whole > 0 else 1.0)

    def lost(n: int) -> float:
        return current * ohm_per_m(sizes[n], run.conductor) * (run.length_m or 0.0) / max(1, run.parallel)

    place = first(len(sizes), lambda n: lost(n) <= permitted * (1 + ALIKE))
    at = min(place, len(sizes) - 1)
    words = _(
        "{amps} A while {motor} starts: {lost} V in {size}; {share} % of {nominal} V, by length {permitted} V of it"
    )
    text = words.format(
        amps=number(current),
        motor=start.designation,
        lost=number(lost(at), 2),
        size=show_size(sizes[at]),
        share=number(100 * limit.value),
        nominal=number(nominal),
        permitted=number(permitted, 2),
    )
    return Need("volts while starting", place, place, text, limit.source)


def _is_engine(b: Basis, motor: str) -> bool:
    use = b.snapshot.equipment[motor].use() if motor in b.snapshot.equipment else None
    return use is not None and (bool(use.starts) or use.service == STARTER)
