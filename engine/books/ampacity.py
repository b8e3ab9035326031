"""What a conductor may carry, by a book's table: size, insulation class, hottest place, bundle, parallel conductors.

What is not recorded is not guessed. It widens the answer to a range, and `Ampacity.missing` names the fields that would
narrow it.

* Insulation not known: the table's lowest column to its highest. A class between two columns counts as the lower one.
* Bundle not known: the least factor to the one for the run's own conductors.
* Places not known: with and without the machinery factor.
* Size not known: anything from nothing to no limit.
* A size the table does not list counts as the next smaller one it does (common practice, no source), by area of ASTM
  B258; below its smallest, the table gives no allowable current.
* Copper where nothing else is recorded; for other metals the tables say nothing.

Where the book says so (`temperature_derates`), a recorded temperature above the table's basis derates by
``sqrt((Tc - Ta) / (Tc - Tbasis))``, Tc the class of the insulation (from memory, not confirmed; it gives note 1 of
33 CFR 183.425 Table 5 within 0.01 from 60 to 125 degC). In a machinery space the book's factor counts as well, and the
lesser of the two is taken. The law itself knows no temperature but the fixed factor of its note 1 for engine spaces,
so its book leaves recorded temperatures alone: a danger cited as law must be one by the law's own figures.
"""

from __future__ import annotations

import functools
import math
from typing import NamedTuple

import msgspec

from engine.books import AmpacityTable, Book
from engine.installation.model import Snapshot
from engine.installation.records import Place, Run
from engine.units import UnitError, area_mm2, number, show_size
from engine.words import _

__all__ = ["MACHINERY", "Ampacity", "Factors", "ampacity", "amps", "at_least", "at_most", "tenths"]

MACHINERY = ("petrol machinery", "diesel machinery")
COPPER = ("", "copper", "tinned copper")


class Factors(NamedTuple):
    """What a value of `Ampacity` is the product of: table ampacity x bundle x place x conductors in parallel."""

    table_a: float
    bundle: float
    place: float
    parallel: int
    row: str  # the size whose row was read
    class_c: float  # the column


class Ampacity(msgspec.Struct, frozen=True):
    """From `low_a` to `high_a` amperes, all parallel conductors together; equal when everything is recorded."""

    low_a: float
    high_a: float
    arithmetic: str = ""  # of the value, or of both ends of the range
    missing: tuple[str, ...] = ()  # "W12.size"
    why: str = ""  # why it cannot be told though nothing is missing
    low_of: Factors | None = None  # how `low_a` comes about, where a table was read

    @property
    def known(self) -> bool:
        """Whether it is one value."""
        return self.low_a == self.high_a


class _Facts(NamedTuple):
    """What the table is asked: what equal runs in equal places share."""

    size: str
    insulation_c: float | None
    copper: bool
    bundle: tuple[int, int] | None  # fewest and most conductors counted; None: bundles do not count here
    parallel: int
    # (machinery space: yes, no or not known; temperature) of every place on the way
    places: tuple[tuple[bool | None, float | None], ...]


class _Answer(NamedTuple):
    low: float
    high: float
    low_words: str
    high_words: str
    fields: tuple[str, ...]
    why: str
    low_of: Factors | None = None
    known: Ampacity | None = None  # the whole answer, where it names no run


def amps(value: float) -> str:
    """Amperes for people, to 0.1 A and half up, as the tables of the trade are rounded: 45 × 0.85 is 38.3 A."""
    return f"{tenths(value)} A"


def tenths(value: float) -> str:
    """A figure to 0.1, half up; what arithmetic leaves just below a half counts as one."""
    if not math.isfinite(value):
        return number(value, 6)
    return number(math.floor(value * 10 + 0.5 + 1e-6) / 10, 6)


def at_most(value: float) -> str:
    """Amperes of a limit not to be passed, to 0.1 A and never above it."""
    return f"{number(math.floor(value * 10 + 1e-6) / 10, 6)} A" if math.isfinite(value) else amps(value)


def at_least(value: float) -> str:
    """Amperes of a limit to be reached, to 0.1 A and never below it."""
    return f"{number(math.ceil(value * 10 - 1e-6) / 10, 6)} A" if math.isfinite(value) else amps(value)


def ampacity(
    book: Book,
    run: Run,
    snapshot: Snapshot,
    volts: float | None,
    *,
    place_factor: bool = True,
    temperature_derates: bool = True,
    name: str = "",
) -> Ampacity:
    """What the live conductors of `run` may carry by `book`.

    `volts` is the nominal voltage of its circuit, `None` where it is not known: some books count bundles only from a
    voltage up. Without `place_factor` every place counts as the table's own surroundings, without
    `temperature_derates` a recorded temperature changes nothing. `name` is what a run without designation is called.
    """
    table = book.ampacity
    facts = _Facts(
        run.size,
        run.insulation_c,
        run.conductor in COPPER,
        _bundle(table, run, volts),
        run.parallel,
        _places(run, snapshot, temperature_derates) if place_factor else ((False, None),),
    )
    known = _answers(table)
    answer = known.get(facts)
    if answer is None:
        answer = known[facts] = _whole(_answer(table, facts))
    return answer.known or _named(run, snapshot, answer, temperature_derates, name)


_ANSWERS: dict[int, tuple[AmpacityTable, dict[_Facts, _Answer]]] = {}


def _answers(table: AmpacityTable) -> dict[_Facts, _Answer]:
    """What was asked of a table before: equal runs are many."""
    kept = _ANSWERS.get(id(table))
    if kept is None or len(kept[1]) > 4096:
        kept = _ANSWERS[id(table)] = (table, {})  # the table is kept too, so that its id stays its own
    return kept[1]


def _bundle(table: AmpacityTable, run: Run, volts: float | None) -> tuple[int, int] | None:
    """Fewest and most current-carrying conductors to count."""
    if not table.bundle or (volts is not None and volts < table.bundle_from_v):
        return None
    own = len(run.phases.split()) if run.function == "ac" else 1
    if run.bundle is None:
        return (1 if volts is None and table.bundle_from_v > 0 else own), table.bundle[-1][0]
    most = max(own, run.bundle)
    return (1 if volts is None and table.bundle_from_v > 0 else most), most


def _places(run: Run, snapshot: Snapshot, by_temperature: bool) -> tuple[tuple[bool | None, float | None], ...]:
    if not run.places:
        return ((None, None),)
    if len(run.places) == 1:
        only = snapshot.places.get(run.places[0].place)
        return ((None, None) if only is None else _warmth(only, by_temperature),)
    found = set()
    for passage in run.places:
        place = snapshot.places.get(passage.place)
        found.add((None, None) if place is None else _warmth(place, by_temperature))
    return tuple(sorted(found, key=repr))


def _warmth(place: Place, by_temperature: bool) -> tuple[bool | None, float | None]:
    if not by_temperature:
        return (place.kind in MACHINERY if place.kind else None), None
    # where the kind is not said but the temperature is, the temperature decides
    kind = None if not place.kind and place.temperature_c is None else place.kind in MACHINERY
    return kind, place.temperature_c


def _answer(table: AmpacityTable, facts: _Facts) -> _Answer:
    if not facts.size:
        return _Answer(0.0, math.inf, "", "", ("size",), "")
    try:
        area = area_mm2(facts.size)
    except UnitError as fault:
        return _Answer(0.0, math.inf, "", "", ("size",), str(fault))
    times = f"{facts.parallel} × " if facts.parallel > 1 else ""
    if table.amps_per_mm2:
        amount = area * table.amps_per_mm2 * facts.parallel
        words = f"{times}{show_size(facts.size)}, {number(table.amps_per_mm2)} A/mm²: {amps(amount)}"
        of = Factors(area * table.amps_per_mm2, 1.0, 1.0, facts.parallel, facts.size, math.nan)
        return _Answer(amount, amount, words, words, (), "", of)
    row = _row(table, area)
    if row is None:
        smallest = max(table.rows[_sizes(tuple(table.rows))[0][1]].values())
        why = _("{size} is smaller than any size in {source}").format(size=show_size(facts.size), source=table.source)
        return _Answer(0.0, smallest * facts.parallel, "", "", (), why)
    return _ranged(table, facts, row, times)


def _ranged(table: AmpacityTable, facts: _Facts, row: str, times: str) -> _Answer:
    fields: list[str] = []
    columns = sorted(table.rows[row])
    if facts.insulation_c is None:
        fields.append("insulation_c")
        classes = [(column, column) for column in columns]
    else:
        below = [column for column in columns if column <= facts.insulation_c]
        if not below:
            why = _("{class_c} °C insulation is below any class in {source}").format(
                class_c=number(facts.insulation_c), source=table.source
            )
            return _Answer(0.0, table.rows[row][columns[0]] * facts.parallel, "", "", (), why)
        classes = [(below[-1], facts.insulation_c)]
    bundles = [1.0] if facts.bundle is None else sorted({_bundled(table, n) for n in _counts(table, facts.bundle)})
    if len(bundles) > 1:
        fields.append("bundle")
    if any(machinery is None for machinery, _t in facts.places):
        fields.append("places")
    made: list[tuple[float, str, Factors]] = []
    for column, class_c in classes:
        base = table.rows[row][column]
        for bundled in (bundles[0], bundles[-1]):
            for placed in _placed(table, facts.places, column):
                factors = [f for f in (bundled, placed) if f != 1.0]
                amount = base * bundled * placed * facts.parallel
                size = show_size(facts.size)
                as_row = "" if row == facts.size else f" ({_('as')} {show_size(row)})"
                name = f"{times}{size}{as_row} {number(class_c)} °C"
                sum_ = " × ".join([number(base, 6), *(number(f, 3) for f in factors)])
                if times:
                    sum_ = times + sum_
                words = f"{name}, {sum_} = {amps(amount)}" if factors or times else f"{name}, {amps(amount)}"
                made.append((amount, words, Factors(base, bundled, placed, facts.parallel, row, column)))
    low, high = min(made), max(made)
    if not facts.copper:
        why = _("{source} is for copper").format(source=table.source)
        return _Answer(0.0, high[0], "", high[1], tuple(fields), why)
    return _Answer(low[0], high[0], low[1], high[1], tuple(fields), "", low[2])


@functools.lru_cache(maxsize=64)
def _sizes(rows: tuple[str, ...]) -> tuple[tuple[float, str], ...]:
    return tuple(sorted((area_mm2(size), size) for size in rows))


def _row(table: AmpacityTable, area: float) -> str | None:
    """The largest size of the table that is no larger."""
    fitting = [size for have, size in _sizes(tuple(table.rows)) if have <= area * (1 + 1e-9)]
    return fitting[-1] if fitting else None


def _counts(table: AmpacityTable, bundle: tuple[int, int]) -> list[int]:
    fewest, most = bundle
    return [fewest, *(n for n, _f in table.bundle if fewest < n <= most), most]


def _bundled(table: AmpacityTable, conductors: int) -> float:
    factor = 1.0
    for least, value in table.bundle:
        if conductors >= least:
            factor = value
    return factor


def _placed(table: AmpacityTable, places: tuple[tuple[bool | None, float | None], ...], column: float) -> list[float]:
    """The factor of the hottest place, or the least and the greatest it may be."""
    low, high = 1.0, 1.0
    for machinery, temperature in places:
        warm = 1.0 if temperature is None else _derated(table.basis_c, temperature, column)
        in_machinery = min(warm, table.machinery.get(column, 1.0))
        low = min(low, warm if machinery is False else in_machinery)
        high = min(high, in_machinery if machinery else warm)
    return [low] if low == high else [low, high]


def _derated(basis_c: float, temperature_c: float, class_c: float) -> float:
    if temperature_c <= basis_c:
        return 1.0
    return math.sqrt(max(0.0, class_c - temperature_c) / (class_c - basis_c))


def _whole(answer: _Answer) -> _Answer:
    if answer.fields:
        return answer
    return answer._replace(known=Ampacity(answer.low, answer.high, _words(answer), (), answer.why, answer.low_of))


def _words(answer: _Answer) -> str:
    if answer.low == answer.high:
        return answer.low_words
    return " … ".join(w for w in (answer.low_words, answer.high_words) if w)


def _named(run: Run, snapshot: Snapshot, answer: _Answer, by_temperature: bool, called: str) -> Ampacity:
    """The answer for one run, what is missing named after it."""
    name = run.designation or called or _("run without designation")
    missing = []
    for field in answer.fields:
        if field == "bundle" and run.bundle is not None:
            continue  # recorded; whether it counts depends on the volts
        if field == "places" and run.places:
            unsaid = {
                p.place: snapshot.places.get(p.place)
                for p in run.places
                if snapshot.places.get(p.place) is None or _warmth(snapshot.places[p.place], by_temperature)[0] is None
            }
            missing += [f"{name}.places" if place is None else f"{place.name}.kind" for place in unsaid.values()]
        else:
            missing.append(f"{name}.{field}")
    return Ampacity(answer.low, answer.high, _words(answer), tuple(dict.fromkeys(missing)), answer.why, answer.low_of)
