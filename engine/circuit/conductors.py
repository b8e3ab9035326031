"""What a book allows every conductor: its ampacity, the multiple for a single device, length and covering as recorded.

Every answer is a pair, the least and the most that what is recorded leaves open.
"""

from __future__ import annotations

from typing import NamedTuple

from engine.books import Book
from engine.books.ampacity import Ampacity, ampacity
from engine.circuit.distances import Distances
from engine.circuit.expand import Circuit, Feed
from engine.circuit.volts import Island, SystemVolts
from engine.installation.model import Snapshot
from engine.installation.records import Run

__all__ = ["EXEMPTING", "PLACING", "RATING", "BookLimits", "Conductors", "Limits", "feed_fields", "volts_fields"]

RATING = "rating-above-ampacity"  # the rule whose values say how large a device may be
PLACING = "far-from-source"  # the rule whose values say where it may stand
CLASSES = "voltage-mismatch"  # the rule whose options say which volts are one nominal system
EXEMPTING = "no-protection"  # the rule whose values say what needs none
BOUNDLESS = 1e12  # A: an ampacity that is not known at its best; no fed current short of "no limit" exceeds it


class Limits(NamedTuple):
    """What may flow into one conductor, A: as a sum of feeds, and behind one single device."""

    low: float
    high: float
    single_low: float
    single_high: float
    ampacity: Ampacity
    volts: float | None  # nominal, `None` where no source on the system records it
    multiple: float  # the book's, for the volts known
    needs_volts: bool = False  # the volts, not known, would change what is allowed


class BookLimits:
    """A book's values for overcurrent protection, read once."""

    def __init__(self, book: Book) -> None:
        self.book = book
        self.split_v = self._value(RATING, "split")
        self.below = self._value(RATING, "below_split") or 1.0
        self.above = self._value(RATING, "from_split") or 1.0
        self.next_limit = self._value(RATING, "next_size_limit") or 1.0
        self.next_size = bool(book.option(RATING, "next_standard_size", False))
        self.place_factor = bool(book.option(RATING, "place_factor", True))
        self.temperature_derates = bool(book.option(RATING, "temperature_derates", True))
        self.ordinary_alternator = bool(book.option(EXEMPTING, "ordinary_alternator_limits_itself", False))
        self.pigtail_m = self._value(EXEMPTING, "pigtail")
        self.pigtail_below = bool(book.option(EXEMPTING, "pigtail_below", False))
        self.needs_reason = bool(book.option(PLACING, "needs_reason", False))
        self.danger_beyond = self._value(PLACING, "danger_beyond")
        self.classes: dict[str, tuple[tuple[float, float], ...]] = {
            system: tuple((float(low), float(high)) for low, high in book.option(CLASSES, f"{system}_classes", ()))
            for system in ("dc", "ac")
        }
        endless = float("inf")  # a book that sets no distance asks for none
        self.distances = Distances(
            bare=_or(self._value(PLACING, "bare"), endless),
            sheathed=_or(self._value(PLACING, "sheathed"), endless),
            battery=_or(self._value(PLACING, "battery"), endless),
            battery_needs_sheath=bool(book.option(PLACING, "battery_needs_sheath", True)),
            limited_source_may_end_run=bool(book.option(PLACING, "limited_source_may_end_run", False)),
            charging=self._value(PLACING, "charging"),
            ac=self._value(PLACING, "ac"),
            ac_sheathed_to_panel=bool(book.option(PLACING, "ac_sheathed_to_panel", False)),
        )

    def _value(self, rule: str, name: str) -> float | None:
        limit = self.book.limit(rule, name)
        return None if limit is None else limit.value

    def nominal(self, feed: Feed) -> float | None:
        """The nominal volts of a source: the lowest of its class, so that a 51.2 V bank counts as a 48 V one."""
        volts = feed.source.nominal_v
        if volts is None:
            return None
        bands = self.classes.get(feed.source.system, ())
        return next((low for low, high in bands if low <= volts <= high), volts)

    def is_pigtail(self, length_m: float) -> bool:
        """Whether a component's own lead is short enough to need no device."""
        most = self.pigtail_m
        if most is None:
            return False
        return length_m < most * (1 - 1e-9) if self.pigtail_below else length_m <= most * (1 + 1e-9)

    def is_low(self, volts: float) -> bool:
        """Whether a circuit counts as low voltage."""
        return self.split_v is None or volts < self.split_v

    def single(self, amps: float, low_volts: bool) -> float:
        """The largest rating of one device before a conductor that may carry `amps`."""
        if low_volts and self.split_v != 0:  # with a split at 0 V no circuit counts as low
            return amps * self.below
        allowed = amps * self.above
        if self.next_size and amps < BOUNDLESS:
            standard = self.book.standard_ratings_a
            # "if not a standard size, the next larger standard size": a standard ampacity gains nothing
            following = next((r for r in sorted(standard) if r >= amps * (1 - 1e-9)), None)
            if following is not None:
                allowed = max(allowed, min(following, amps * self.next_limit))
        return allowed


def _counts_volts(values: BookLimits, amps: float) -> bool:
    """Whether the volts of a circuit change what a book allows a conductor of `amps`."""
    return values.single(amps, True) != values.single(amps, False) or values.book.ampacity.bundle_from_v > 0


def _or(value: float | None, default: float) -> float:
    return default if value is None else value


class Conductors:
    """The runs of an installation as a book sees them."""

    def __init__(self, snapshot: Snapshot, circuit: Circuit, book: Book, volts: SystemVolts) -> None:
        self.snapshot = snapshot
        self.circuit = circuit
        self.values = BookLimits(book)
        self._volts = volts
        self._of_island: dict[int, float | None] = {}
        self._shared: dict[tuple[object, ...], Limits] = {}
        self._own: dict[tuple[str, float | None], Limits] = {}

    def volts(self, node: int) -> float | None:
        """The highest nominal volts recorded by a source that can feed a node."""
        island = self._volts.at(node)
        if id(island) not in self._of_island:
            every = [volts for feed in island.feeds if (volts := self.values.nominal(feed)) is not None]
            self._of_island[id(island)] = max(every, default=None)
        return self._of_island[id(island)]

    def island(self, node: int) -> Island:
        """The sources that can feed a node."""
        return self._volts.at(node)

    def limits(self, run_id: str, node: int) -> Limits:
        """What may flow into the conductor of a run at a node."""
        volts = self.volts(node)
        run = self.snapshot.runs[run_id]
        places = run.places
        where = places[0].place if len(places) == 1 else tuple(p.place for p in places)
        # all that ampacity asks of a run, so that equal runs share one answer
        key = (
            run.size,
            run.insulation_c,
            run.bundle,
            run.parallel,
            where,
            run.conductor,
            run.function,
            run.phases,
            volts,
        )
        found = self._shared.get(key) or self._own.get((run_id, volts))
        if found is None:
            values = self.values
            amps = ampacity(
                values.book,
                run,
                self.snapshot,
                volts,
                place_factor=values.place_factor,
                temperature_derates=values.temperature_derates,
                name=self.snapshot.name(run_id),
            )
            found = self._made(amps, volts)
            if amps.missing:  # named after the run
                self._own[run_id, volts] = found
            else:
                self._shared[key] = found
        return found

    def _made(self, amps: Ampacity, volts: float | None) -> Limits:
        values = self.values
        low, high = amps.low_a, min(amps.high_a, BOUNDLESS)
        if volts is not None:
            is_low = values.is_low(volts)
            multiple = values.below if is_low else values.above
            return Limits(low, high, values.single(low, is_low), values.single(high, is_low), amps, volts, multiple)
        return Limits(
            low,
            high,
            min(values.single(low, True), values.single(low, False)),
            max(values.single(high, True), values.single(high, False)),
            amps,
            volts,
            min(values.below, values.above),
            needs_volts=_counts_volts(values, low) or _counts_volts(values, high),
        )

    # -- placement --------------------------------------------------------------------------------------------------
    def is_sheathed(self, run: Run) -> bool | None:
        """Whether it is in a sheath or enclosure the whole way; `None`: not recorded."""
        if not run.sheath:
            return None
        return run.sheath != "bare" and not any(p.unsheathed_m for p in run.places)

    def unplaced(self, run_id: str) -> tuple[str, ...]:
        """Fields that placement lacks."""
        name, run = self.snapshot.name(run_id), self.snapshot.runs[run_id]
        return tuple(
            f"{name}.{field}"
            for field, lacking in (("length_m", run.length_m is None), ("sheath", not run.sheath))
            if lacking
        )


def feed_fields(feed: Feed, name: str) -> tuple[str, ...]:
    """Fields that would tell how much a source gives."""
    source = feed.source
    if source.supposed:
        return (f"{name}.{source.supposed}",)
    if source.protection is not None and source.protection.rating_a is None:
        return (f"{name}.{source.protection.missing}",)
    amps = [f for f in source.missing if not f.endswith("_v")] or list(source.missing)
    return tuple(f"{name}.{field}" for field in amps)


def volts_fields(island: Island, name: dict[str, str]) -> tuple[str, ...]:
    """Fields that would tell the nominal volts of an island."""
    return tuple(
        dict.fromkeys(
            f"{name[feed.equipment]}.{field}"
            for feed in island.unknown()
            for field in ([f for f in feed.source.missing if f.endswith("_v")] or feed.source.missing)
        )
    )
