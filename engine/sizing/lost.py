"""What is lost on the way to a point, counted from its battery where one stands on the way, and in which runs.

An alternator that charges drives its own current through the cables between it and the battery; what a circuit loses
begins at the battery. So it does where charging current and battery meet at a bus on the way.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, NamedTuple

from engine.circuit.flow.results import Flow
from engine.rules.bounds import into_run, weighty
from engine.study import Study

if TYPE_CHECKING:
    from engine.sizing.ways import Way

__all__ = ["Losses", "Lost", "size_for"]


class Lost(NamedTuple):
    """Volts lost between a source and a point, there and back."""

    volts: float
    percent: float
    nominal_v: float
    source: str  # equipment id it is counted from
    runs: tuple[tuple[str, float], ...]  # (run id, volts lost in it), most first
    most_percent: float  # no more than this, where something that draws is not known
    alone_percent: float  # what it loses in the conductors if nothing else draws
    missing: tuple[str, ...] = ()  # fields that would tell


class Losses:
    """Losses in one condition."""

    def __init__(self, study: Study, flow: Flow) -> None:
        from engine.circuit.flow.frame import frame
        from engine.sizing.basis import Situation, basis

        self._study, self._flow = study, flow
        self._ways = basis(study).ways(Situation(flow, study.operation(flow.condition)))
        self._runs = {run.run: run for run in flow.runs}
        self._is_rising = any(run.at_least for run in flow.runs)
        self._ohm = {run: abs(ohm) for run, ohm in frame(study.circuit, study.book, "working").run_ohm.items()}
        self._one_v: dict[str, float] = {}  # of each run: what is lost in one of its conductors
        self._nominal_v: dict[str, float] = {}
        for run in flow.runs:
            if run.nominal_v:
                record = study.snapshot.runs[run.run]
                for end in (record.from_end, record.to_end):
                    self._nominal_v.setdefault(end.equipment, run.nominal_v)
        self.volts = {(node.equipment, node.terminal): node.volts for node in flow.nodes}
        feeds = [feed for feed in study.circuit.feeds if feed.source.system == "dc"]
        self._banks = sorted({feed.equipment for feed in feeds if feed.source.battery})
        self._charging = {feed.equipment for feed in feeds} - set(self._banks)
        self._given_v: dict[str, float] = {}
        for (item, _terminal), given in self.volts.items():
            if given is not None:
                self._given_v[item] = max(given, self._given_v.get(item, given))

    def of(
        self,
        equipment: str,
        terminal: str,
        volts: float,
        drop_v: float,
        source: str,
        nominal_v: float,
        amps: float | None = None,
    ) -> Lost:
        """What is lost up to a terminal that has `volts`, `drop_v` below `source`, and where `amps` are taken."""
        way = self._ways.way(equipment, terminal, source) if source else None
        bank = way.bank if way is not None else ""
        if way is not None and not bank and source in self._charging:
            bank, way = self._beside(equipment, terminal) or ("", way)
        runs = way.runs if way is not None else {}
        given = self._given_v.get(bank)
        if bank != source and given is not None:
            drop_v, source = max(0.0, given - volts), bank
        own = {run: self._own_v(run, count) for run, count in runs.items()}
        most, missing = drop_v, tuple[str, ...]()
        if self._is_rising:
            most, missing = self._most(runs, own, drop_v)
        return Lost(
            drop_v,
            100 * drop_v / nominal_v,
            nominal_v,
            source,
            tuple(sorted(own.items(), key=lambda one: (-one[1], self._study.name(one[0])))),
            100 * most / nominal_v,
            100 * min(drop_v, sum(self._own_v(run, count, amps or 0.0) for run, count in runs.items())) / nominal_v,
            missing,
        )

    def _beside(self, equipment: str, terminal: str) -> tuple[str, Way] | None:
        """The battery, of several the one of most volts, that charging current meets on the way to a terminal."""
        ways = [(bank, self._ways.way(equipment, terminal, bank)) for bank in self._banks]
        met = [(bank, way) for bank, way in ways if way is not None and way.bank in ("", bank)]
        return max(met, key=lambda one: (self._given_v.get(one[0], 0.0), one[0]), default=None)

    def alone_v(self, equipment: str, terminal: str, source: str, amps: float) -> float:
        """What `amps` lose in the conductors up to a terminal, nothing else drawing."""
        way = self._ways.way(equipment, terminal, source) if source else None
        return sum(self._own_v(run, count, amps) for run, count in way.runs.items()) if way is not None else 0.0

    def nominal_v(self, equipment: str) -> float | None:
        """Nominal volts of the system that feeds equipment: by the runs that arrive."""
        return self._nominal_v.get(equipment)

    def _own_v(self, run: str, count: int, amps: float | None = None) -> float:
        if amps is not None:
            return amps * self._ohm.get(run, 0.0) * count if run in self._runs else 0.0
        one = self._one_v.get(run)
        if one is None:
            told = self._runs.get(run)
            carried = max((a for _conductor, a in told.conductors), default=0.0) if told is not None else 0.0
            one = self._one_v[run] = carried * self._ohm.get(run, 0.0)
        return one * count

    def _most(self, runs: dict[str, int], own: dict[str, float], drop_v: float) -> tuple[float, tuple[str, ...]]:
        """The most that can be lost, by what devices let into the runs whose current is a least value."""
        rising = [
            run
            for run in runs
            if (told := self._runs.get(run)) is not None and told.at_least and weighty(told.missing, factors=False)
        ]
        if not rising:
            return drop_v, ()
        contacts = max(0.0, drop_v - sum(own.values()))
        most, ratio = sum(volts for run, volts in own.items() if run not in rising), 1.0
        for run in rising:
            told = self._runs[run]
            let_in = into_run(self._study, run)
            if not math.isfinite(let_in):
                most = math.inf
                break
            most += max(own[run], self._own_v(run, runs[run], let_in))
            if told.amps:
                ratio = max(ratio, let_in / told.amps)
        missing = weighty(tuple(dict.fromkeys(f for run in rising for f in self._runs[run].missing)), factors=False)
        return max(drop_v, most + contacts * ratio), missing


def size_for(study: Study, run: str, own_v: float, lost: Lost, allowed_v: float, volts: float) -> str:
    """The smallest size of a run that takes what is lost down to `allowed_v` by itself; `""` where none does.

    A load of constant resistance takes more as its `volts` rise: the run is reckoned with that.
    """
    from engine.books.resistances import ohm_per_m
    from engine.sizing.basis import offered
    from engine.units import UnitError

    record, over_v = study.snapshot.runs[run], lost.volts - allowed_v
    if own_v <= over_v or not record.size or volts <= 0:
        return ""
    try:
        now = ohm_per_m(record.size, record.conductor)
    except UnitError:
        return ""
    wanted = now * (own_v - over_v) / own_v * volts / (volts + over_v)
    series = record.size.split()[-1]
    return next((size for size in offered(series) if ohm_per_m(size, record.conductor) <= wanted), "")
