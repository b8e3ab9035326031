"""What sizing asks of a study, gathered once: every operating condition solved, currents, classes, series of sizes."""

from __future__ import annotations

import math
import weakref
from collections import Counter
from functools import cached_property
from typing import Any, NamedTuple

import msgspec

from engine.circuit.flow.drop_class import DROP, class_fields, drop_class
from engine.circuit.flow.frame import frame
from engine.circuit.flow.operating import Operation
from engine.circuit.flow.results import Flow, LoadFlow
from engine.circuit.flow.returns import Return, assumed_returns
from engine.installation.model import Snapshot
from engine.installation.records import Run
from engine.sizing.ways import Ways
from engine.study import Study
from engine.units import AWG_SIZES, METRIC_SIZES, UnitError, area_mm2

__all__ = ["Basis", "Behind", "Carried", "DropClass", "Situation", "basis", "offered", "with_field"]

# sold as a stock size nowhere near a boat: common practice, no source
NOT_OFFERED = ("3 AWG",)
ALIKE = 1e-9


class Situation(NamedTuple):
    """A condition, solved."""

    flow: Flow
    operation: Operation


class Behind(NamedTuple):
    """A load, in one situation, and the runs of its way: how many conductors of each its current passes in turn."""

    situation: Situation
    load: LoadFlow
    way: dict[str, int]
    bank: str = ""  # counted from there, not from the source


class Carried(NamedTuple):
    """The most that flows somewhere, and when. `missing`: fields without which it may be more."""

    amps: float = 0.0
    condition: str = ""
    volts: float | None = None
    missing: tuple[str, ...] = ()


class DropClass(NamedTuple):
    """Shares of the nominal volts that a load may lose; they differ where its class is not recorded."""

    low: float
    high: float
    missing: tuple[str, ...] = ()


class Basis:
    """One study as sizing sees it."""

    def __init__(self, study: Study) -> None:
        self._study = weakref.ref(study)  # kept by the study, not the other way round
        self._trials: dict[tuple[str, str], Study] = {}
        self._ways: dict[str, Ways] = {}

    @property
    def study(self) -> Study:
        """The study it was made for."""
        study = self._study()
        assert study is not None  # whoever asks holds it
        return study

    @property
    def snapshot(self) -> Snapshot:
        """Its records."""
        return self.study.snapshot

    # -- conditions -------------------------------------------------------------------------------------------------
    @cached_property
    def situations(self) -> tuple[Situation, ...]:
        """Every condition at nominal volts; then as drawn, for what draws in none of them."""
        study = self.study
        made = [Situation(study.flow(o.condition), o) for o in study.operations]
        if study.snapshot.conditions:
            made.append(Situation(study.flow(""), study.operation("")))
        return tuple(made)

    @cached_property
    def _returns(self) -> list[Return]:
        study = self.study
        return assumed_returns(study.circuit, frame(study.circuit, study.book, "working").run_ohm)

    @cached_property
    def _banks(self) -> frozenset[str]:
        return frozenset(item for item, record in self.snapshot.equipment.items() if record.store() is not None)

    def ways(self, situation: Situation) -> Ways:
        """How each load is fed in a situation."""
        key = situation.operation.condition
        if key not in self._ways:
            self._ways[key] = Ways(self.study.circuit, situation.operation.positions, self._returns, self._banks)
        return self._ways[key]

    @cached_property
    def behind(self) -> dict[str, list[Behind]]:
        """Loads whose way passes a run, by run; those that draw in no condition as drawn."""
        made: dict[str, list[Behind]] = {}
        seen: set[str] = set()
        last = self.situations[-1] if self.snapshot.conditions else None
        for situation in self.situations:
            ways = self.ways(situation)
            for load in situation.flow.loads:
                if situation is last and load.equipment in seen:
                    continue
                if situation is not last:
                    seen.add(load.equipment)
                way = ways.way(load.equipment, load.terminal, load.source) if load.source else None
                for run in way.runs if way is not None else ():
                    assert way is not None  # it has runs
                    made.setdefault(run, []).append(Behind(situation, load, way.runs, way.bank))
        return made

    def _flows(self) -> list[Flow]:
        """What currents are taken from: full power is drawn at the lowest volts too."""
        study = self.study
        return [study.flow(o.condition, charge) for o in study.operations for charge in ("nominal", "lowest")]

    @cached_property
    def run_amps(self) -> dict[str, Carried]:
        """The most any conductor of a run carries; as drawn where it carries nothing in any condition."""
        most = _most(self._flows())
        if self.snapshot.conditions:
            for run, drawn in _most([self.study.flow("")]).items():
                if most.get(run, Carried()).amps <= ALIKE and drawn.amps > ALIKE:
                    most[run] = drawn
        return most

    @cached_property
    def device_amps(self) -> dict[str, Carried]:
        """The most that passes a switch, a fuse, a breaker."""
        made: dict[str, Carried] = {}
        for flow in self._flows():
            for device in flow.devices:
                _raise(made, device.equipment, device.amps, flow.name, None, device.missing if device.at_least else ())
        if self.snapshot.conditions:
            drawn = self.study.flow("")
            for device in drawn.devices:
                if made.get(device.equipment, Carried()).amps <= ALIKE < device.amps:
                    made[device.equipment] = Carried(device.amps, drawn.name)
        return made

    @cached_property
    def start_amps(self) -> dict[str, Carried]:
        """Of runs and devices, while something starts."""
        made: dict[str, Carried] = {}
        for start in self.study.starts:
            for item, amps in (*start.runs, *start.devices):
                _raise(made, item, amps, start.designation, None, ())
        return made

    # -- sizes ------------------------------------------------------------------------------------------------------
    @cached_property
    def _usual(self) -> str:
        """The series most of the drawing uses, else the one its units suggest."""
        used = Counter(size.split()[-1] for run in self.snapshot.runs.values() if (size := run.size))
        if used:
            return max(sorted(used), key=lambda series: used[series])
        return "AWG" if self.snapshot.settings.units == "US" else "mm2"

    def series(self, run: Run) -> str:
        """ "AWG" or "mm2": its own, else the drawing's."""
        return run.size.split()[-1] if run.size else self._usual

    def sizes(self, run: Run) -> tuple[str, ...]:
        """What may be fitted, the smallest first."""
        return offered(self.series(run))

    # -- trials -----------------------------------------------------------------------------------------------------
    def trial(self, run: str, size: str) -> Study:
        """The same drawing with one run of another size."""
        if self.snapshot.runs[run].size == size:
            return self.study
        key = (run, size)
        if key not in self._trials:
            if len(self._trials) > 8:
                self._trials.pop(next(iter(self._trials)))
            changed = with_field(self.snapshot, "runs", run, size=size)
            self._trials[key] = Study(changed, self.study.book)
        return self._trials[key]

    def loop_ohm(self, run: str, size: str) -> float:
        """Resistance of one conductor of a run at working temperature, its parallel ones together, ohm."""
        study = self.trial(run, size)
        return abs(frame(study.circuit, study.book, "working").run_ohm.get(run, 0.0))

    # -- classes ----------------------------------------------------------------------------------------------------
    def drop_class(self, item: str) -> DropClass | None:
        """What a load may lose on the way; `None` where the book sets no limit."""
        book = self.study.book
        essential, other = book.limit(DROP, "essential"), book.limit(DROP, "other")
        if essential is None or other is None:
            return None
        kind = drop_class(self.snapshot, book, item)
        if kind == "essential":
            return DropClass(essential.value, essential.value)
        # a converter without a class: the rules hold it to nothing, practice to what any other circuit may lose
        if kind or self.snapshot.equipment[item].use() is None:
            return DropClass(other.value, other.value)
        return DropClass(essential.value, other.value, class_fields(self.snapshot, item))


def offered(series: str) -> tuple[str, ...]:
    """Sizes of a series that are proposed, the smallest first."""
    return tuple(s for s in (AWG_SIZES if series == "AWG" else METRIC_SIZES) if s not in NOT_OFFERED)


def index_of(size: str, sizes: tuple[str, ...]) -> int | None:
    """The place of the smallest size that is no smaller; the number of sizes where it is larger than all."""
    try:
        area = area_mm2(size)
    except UnitError:
        return None
    return next((n for n, s in enumerate(sizes) if area_mm2(s) >= area * (1 - 1e-6)), len(sizes))


def with_field(snapshot: Snapshot, table: str, item: str, **fields: Any) -> Snapshot:
    """The same records with fields of one of them changed."""
    changed = msgspec.structs.replace(snapshot.tables[table][item], **fields)
    tables = {**snapshot.tables, table: {**snapshot.tables[table], item: changed}}
    return msgspec.structs.replace(snapshot, tables=tables)


def _most(flows: list[Flow]) -> dict[str, Carried]:
    made: dict[str, Carried] = {}
    for flow in flows:
        for run in flow.runs:
            amps = max((a for _conductor, a in run.conductors), default=0.0)
            _raise(made, run.run, amps, flow.name, run.nominal_v, run.missing if run.at_least else ())
    return made


def _raise(
    made: dict[str, Carried], item: str, amps: float, name: str, volts: float | None, missing: tuple[str, ...]
) -> None:
    before = made.get(item, Carried())
    gaps = tuple(dict.fromkeys((*before.missing, *missing)))
    if not math.isfinite(amps):
        return
    if amps > before.amps * (1 + ALIKE) or item not in made:
        made[item] = Carried(amps, name, volts if volts is not None else before.volts, gaps)
    else:
        made[item] = before._replace(missing=gaps, volts=before.volts if before.volts is not None else volts)


_BASES: weakref.WeakKeyDictionary[Study, Basis] = weakref.WeakKeyDictionary()


def basis(study: Study) -> Basis:
    """The basis of a study, made once."""
    found = _BASES.get(study)
    if found is None:
        found = _BASES[study] = Basis(study)
    return found
