"""Time-current bands of protective devices: how soon and how late a device opens at a multiple of its rating.

What the maker's sheet says comes first (`Trip.points`, the instantaneous multiples); the class's band
(`tables/time-current.toml`) stands in where the record has no points, with its source. Between points both edges are
straight in log-log. Past the last point time falls with the same I2t (melting) or stays (a mechanism), as the class
says. Below the first current that must open the device, nothing is promised: `inf`.
"""

from __future__ import annotations

import functools
import itertools
import math
import tomllib
from typing import Any, NamedTuple

from engine.books import FOLDER
from engine.equipment.behaviour import Trip
from engine.words import _, in_words

__all__ = ["Band", "band_of", "classes"]

Edge = tuple[tuple[float, float], ...]  # (multiple, s), multiples rising


class Band(NamedTuple):
    """From `fastest` to `slowest`; multiples of `rating_a`. An empty edge is not known."""

    rating_a: float
    fastest: Edge
    slowest: Edge
    instant_low: float | None = None  # does not open at once below it
    instant_high: float | None = None  # opens within `instant_s` above it
    instant_s: float = 0.1
    same_energy: bool = True  # past the last point
    source: str = ""
    confirmed: bool = False

    def fastest_s(self, amps: float) -> float | None:
        """The soonest it may open; inf where it does not open, `None` where it is not known."""
        times = self._ratio(amps)
        if self.instant_low is not None and times >= self.instant_low:
            return 0.0
        if not self.fastest:
            return None
        if times < self.fastest[0][0]:
            return math.inf if times <= 1 else self.fastest[0][1]
        return self._between(self.fastest, times, late=False)

    def slowest_s(self, amps: float) -> float | None:
        """The latest it opens; inf where it may never, `None` where it is not known."""
        times = self._ratio(amps)
        if self.instant_high is not None and times >= self.instant_high:
            late = self._between(self.slowest, times, late=True) if self.slowest else self.instant_s
            return min(self.instant_s, late)
        if not self.slowest:
            return None
        if times < self.slowest[0][0]:
            return math.inf
        return self._between(self.slowest, times, late=True)

    def opens_above_a(self) -> float | None:
        """The smallest current that is promised to open it, A."""
        sure = [times for times, seconds in self.slowest if math.isfinite(seconds)]
        if self.instant_high is not None:
            sure.append(self.instant_high)
        return min(sure) * self.rating_a if sure else None

    def _ratio(self, amps: float) -> float:
        return abs(amps) / self.rating_a if self.rating_a > 0 else math.inf

    def _between(self, edge: Edge, times: float, late: bool) -> float:
        last, seconds = edge[-1]
        if times >= last:
            # a mechanism opens no later than before; how much sooner it may is not said: melting sets the pace
            if times == last or (late and not self.same_energy):
                return seconds
            return seconds * (last / times) ** 2 if math.isfinite(times) else 0.0
        for (low, begin), (high, end) in itertools.pairwise(edge):
            if times == low:
                return begin
            if low < times < high:
                if not (math.isfinite(begin) and math.isfinite(end)):
                    return begin if late else end
                if begin <= 0 or end <= 0:
                    return begin if late else end
                share = math.log(times / low) / math.log(high / low)
                return float(begin * (end / begin) ** share)
        return edge[0][1]


@functools.cache
def _tables() -> dict[str, dict[str, Any]]:
    with (FOLDER / "tables" / "time-current.toml").open("rb") as file:
        return tomllib.load(file)


def classes() -> tuple[str, ...]:
    """Names of the classes and curves that have a band."""
    return tuple(_tables())


@in_words
@functools.lru_cache(maxsize=512)
def band_of(trip: Trip) -> Band | None:
    """The band of a device as recorded; `None` where rating or class is not known or the class has none."""
    rating = trip.rating_a
    if not rating or not math.isfinite(rating) or rating <= 0:
        return None
    given = _entry(trip.form, rating)
    if trip.points:
        fastest, slowest = _edges(trip.points)
        source, confirmed, same_energy = _("points of its maker's sheet"), True, trip.is_fuse
    elif given is None:
        if trip.instant_low is None and trip.instant_high is None:
            return None
        fastest, slowest, same_energy = (), (), False
        source, confirmed = _("instantaneous multiples as recorded"), True
    else:
        points = [(m, None if math.isnan(f) else f, s) for m, f, s in given["points"]] + _gates(given, rating)
        fastest, slowest = _edges(points)
        source, confirmed, same_energy = given["source"], given["confirmed"], given["beyond"] == "energy"
    instant = given.get("instant", (None, None)) if given else (None, None)
    low = trip.instant_low if trip.instant_low is not None else instant[0]
    high = trip.instant_high if trip.instant_high is not None else instant[1]
    at_once = float(given["instant_s"]) if given and "instant_s" in given else 0.1
    return Band(rating, fastest, slowest, low, high, at_once, same_energy, source, confirmed)


def _entry(form: str, rating: float) -> dict[str, Any] | None:
    entry = _tables().get(form)
    if entry is None:
        return None
    for made in (entry, *entry.get("larger", ())):
        if rating <= made.get("up_to_a", math.inf):
            return dict(made)
    return None


def _gates(given: dict[str, Any], rating: float) -> list[tuple[float, float | None, float | None]]:
    """The gates of the nearest rating, as points."""
    rows = given.get("gates")
    if not rows:
        return []
    at, ten, five, low, high = min(rows, key=lambda row: abs(math.log(row[0] / rating)))
    return [(ten / at, 10.0, None), (five / at, None, 5.0), (low / at, 0.1, None), (high / at, None, 0.1)]


def _edges(points: Any) -> tuple[Edge, Edge]:
    """Both edges, made to fall: a larger current never opens it later."""
    edges: list[Edge] = []
    for place in (1, 2):
        every = sorted((float(p[0]), float(p[place])) for p in points if p[place] is not None)
        falling: list[tuple[float, float]] = []
        for times, seconds in every:
            if times <= 0 or seconds < 0 or math.isnan(seconds):
                continue
            if falling and falling[-1][0] == times:
                falling[-1] = times, min(seconds, falling[-1][1])
            else:
                falling.append((times, min(seconds, falling[-1][1]) if falling else seconds))
        edges.append(tuple(falling))
    return edges[0], edges[1]
