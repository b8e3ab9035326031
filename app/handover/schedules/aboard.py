"""What every schedule asks: names, places, systems, what was solved once; and the notes below a table."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from functools import cached_property
from typing import TYPE_CHECKING, Literal, TypeAlias, TypeVar

from app.handover.job import Job
from app.handover.schedules.zones import Device, Zones
from app.paper.table import Value
from engine.books.ampacity import Ampacity
from engine.circuit.flow.results import Flow, LoadFlow
from engine.equipment.base import LIVE, Equipment
from engine.installation.model import Snapshot
from engine.installation.records import End
from engine.naming import inside, label_of, natural, title_of
from engine.units import number, show_size
from engine.wanted import spec_of
from engine.words import _

if TYPE_CHECKING:
    from app.handover.panel_door.mains import Main

__all__ = ["FOOT_M", "Aboard", "Guard", "Notes", "by_condition", "counted_from", "lines", "rounded", "taken"]

FOOT_M = 0.3048  # exact
Guard: TypeAlias = Literal["it", "another", "none"]  # what protects a conductor in the zone of a device
_Key = TypeVar("_Key", bound=str)


class Aboard:
    """One job, with what several schedules share worked out once."""

    def __init__(self, job: Job) -> None:
        self.job = job
        self.study = job.study
        self.snapshot = job.snapshot
        self._ampacities: dict[str, Ampacity | None] = {}

    # -- names and places -------------------------------------------------------------------------------------------
    def name(self, item: str) -> str:
        """Designation; else what it is called: a run by its ends, equipment by its label or kind."""
        table = "equipment" if item in self.snapshot.equipment else "runs"
        record = self.snapshot.tables[table].get(item)
        if record is None:
            return item
        if record.designation or table == "runs":
            return title_of(self.snapshot, table, item)
        return record.label or _("{kind} without designation").format(kind=_(record.NAME))

    def told(self, item: str) -> str:
        """Designation and label: *E3 Cabin lights*."""
        record = self.snapshot.equipment[item]
        name = self.name(item)
        label = record.label or ("" if not record.designation else _(record.NAME))
        return f"{name} {label}".strip() if label and label != name else name

    def end(self, end: End) -> str:
        """*F3.out*; a terminal that is the only one is not named."""
        record = self.snapshot.equipment.get(end.equipment)
        if record is None:
            return f"{end.equipment}.{end.terminal}"
        name = self.name(end.equipment)
        return name if len(record.terminals()) == 1 else f"{name}.{end.terminal}"

    def panel(self, record: Equipment) -> str:
        """Enclosure and position in it, `""` where neither is recorded."""
        enclosure = self.snapshot.enclosures.get(record.enclosure)
        return " ".join(part for part in (enclosure.name if enclosure else "", record.position) if part)

    def place(self, record: Equipment) -> str:
        """The place aboard, its enclosure's where its own is not recorded."""
        enclosure = self.snapshot.enclosures.get(record.enclosure)
        place = record.place or (enclosure.place if enclosure else "")
        return self.place_name(place) if place else ""

    def place_name(self, place: str) -> str:
        """The name of a place."""
        record = self.snapshot.places.get(place)
        return record.name if record is not None else place

    def where(self, record: Equipment) -> Value:
        """Enclosure, position and place; `None` where nothing is recorded."""
        parts = [part for part in (self.panel(record), self.place(record)) if part]
        return ", ".join(parts) or None

    def sorted(self, items: Iterable[_Key]) -> list[_Key]:
        """By designation as a person counts: F2 before F10; never by id unless nothing else tells two apart."""
        return sorted(items, key=self.sorted_key)

    def sorted_key(self, item: str) -> tuple[object, ...]:
        """What `sorted` sorts by."""
        record = self.snapshot.equipment.get(item) or self.snapshot.runs.get(item)
        name = self.name(item)
        label = getattr(record, "label", "")
        return not getattr(record, "designation", ""), natural(name), name, natural(label), label, natural(item)

    # -- units ------------------------------------------------------------------------------------------------------
    @property
    def is_us(self) -> bool:
        """Whether lengths are told in feet."""
        return self.snapshot.settings.units == "US"

    @property
    def length_unit(self) -> str:
        """The drawing's unit of length in a list."""
        return "ft" if self.is_us else "m"

    @property
    def length_decimals(self) -> int:
        """Places behind the point of a length."""
        return 1 if self.is_us else 2

    def length(self, metres: float | None) -> float | None:
        """A length in that unit, to a hundredth of a metre or a tenth of a foot."""
        if metres is None:
            return None
        return round(metres / FOOT_M, 1) if self.is_us else round(metres, 2)

    # -- what the study says ----------------------------------------------------------------------------------------
    @cached_property
    def zones(self) -> Zones:
        """What each protective device protects and feeds."""
        return Zones(self.study)

    @cached_property
    def mains(self) -> tuple[Main, ...]:
        """The main disconnects, as on the panel door."""
        from app.handover.panel_door.mains import mains

        return mains(self.study)

    @cached_property
    def flows(self) -> tuple[Flow, ...]:
        """What flows, in every operating condition; as drawn where none is recorded."""
        return self.study.flows

    @cached_property
    def as_drawn(self) -> Flow:
        """What flows as drawn: for what draws in no condition."""
        return self.study.flow("")

    @cached_property
    def arriving(self) -> dict[str, list[tuple[Flow, LoadFlow]]]:
        """What arrives at each consumer, by condition."""
        made: dict[str, list[tuple[Flow, LoadFlow]]] = {}
        for flow in self.flows:
            for load in flow.loads:
                made.setdefault(load.equipment, []).append((flow, load))
        return made

    def guard(self, device: Device, run: str) -> Guard:
        """Whether a device in whose zone a run is protects it: `"it"`, `"another"`, or `"none"` with a finding.

        It does where no device that feeds the run lets more into the conductor than one single device may. What is not
        recorded is not held against it: the fields stand with the ampacity.
        """
        if run in self._unprotected:
            return "none"
        nodes = self.zones.circuit.nodes
        live = [node for node in self.zones.nodes_of_run.get(run, ()) if nodes[node].conductor in LIVE]
        if not live:
            return "it"
        conductors = self.study.coverage.conductors
        allowed = min(conductors.limits(run, node).single_high for node in live)
        every = (one.protection.rating_a for one in (device, *self.zones.of_run.get(run, ())))
        return "it" if all(rating is None or rating <= allowed * (1 + 1e-9) for rating in every) else "another"

    @cached_property
    def _unprotected(self) -> frozenset[str]:
        return frozenset(end.run for end in self.study.coverage.uncovered if end.judged)

    def ampacity(self, run: str) -> Ampacity | None:
        """What the book lets a run carry; `None` for one that carries nothing in normal use."""
        if run not in self._ampacities:
            self._ampacities[run] = self._ampacity(run)
        return self._ampacities[run]

    def _ampacity(self, run: str) -> Ampacity | None:
        if self.snapshot.runs[run].function in ("earth", "bonding", "signal"):
            return None
        nodes = self.zones.nodes_of_run.get(run, ())
        if not nodes:
            return None
        conductors = self.study.coverage.conductors
        return min((conductors.limits(run, node).ampacity for node in nodes), key=lambda a: (a.low_a, a.high_a))

    def ampacity_value(self, run: str, notes: Notes) -> Value:
        """As a value of a table: a number, a range in words, or not known; what is missing goes into the notes."""
        found = self.ampacity(run)
        if found is None:
            return _("n/a")
        if not found.known:
            notes.missing(found.missing)
        if found.why:
            notes.also(f"{self.name(run)}: {found.why}")
        return self.span(found.low_a, found.high_a)

    @staticmethod
    def span(low_a: float, high_a: float) -> Value:
        """An ampacity: a number, a range in words, `None` where it may be anything."""
        if low_a == high_a:
            return rounded(low_a)
        if low_a > 0 and high_a < 1e9:
            return _("{low} to {high}").format(low=number(low_a), high=number(high_a))
        return None

    def size(self, run: str) -> Value:
        """*2 × 35 mm²* where several conductors are in parallel; `None` where it is not recorded."""
        record = self.snapshot.runs[run]
        if not record.size:
            return None
        size = show_size(record.size)
        return f"{record.parallel} × {size}" if record.parallel > 1 else size


class Notes:
    """What is said below a table: assumptions first, then gaps, each once."""

    def __init__(self, aboard: Aboard) -> None:
        self._aboard = aboard
        self._said: dict[str, None] = {}
        self._fields: dict[str, None] = {}
        self._also: dict[str, None] = {}

    def say(self, *sentences: str) -> None:
        """Sentences that stand first, in the order said."""
        self._said.update(dict.fromkeys(sentence for sentence in sentences if sentence))

    def missing(self, fields: Iterable[str]) -> None:
        """Fields not recorded, as the study names them: *W12.size*."""
        self._fields.update(dict.fromkeys(fields))

    def lacks(self, item: str, *fields: str) -> None:
        """Fields of a record that are not recorded."""
        name = self._aboard.snapshot.name(item)
        self.missing(f"{name}.{field}" for field in fields)

    def also(self, sentence: str) -> None:
        """A sentence on a single row."""
        self._also[sentence] = None

    @property
    def fields(self) -> tuple[str, ...]:
        """All fields that were missing."""
        return tuple(self._fields)

    def texts(self) -> tuple[str, ...]:
        """The notes."""
        return (*self._said, *sorted(self._also, key=natural), *_fields_in_words(self._aboard, self._fields))


def _fields_in_words(aboard: Aboard, fields: Iterable[str]) -> Iterator[str]:
    """*Not known because not recorded: conductor size of W2, W5; length of W7.*"""
    made: dict[str, dict[str, None]] = {}
    classes = _classes(aboard)
    for each in sorted(set(fields), key=natural):
        name, _dot, field = each.rpartition(".")
        made.setdefault(_field_words(classes, name, field), {})[name or each] = None
    told = [
        _("{field} of {names}").format(field=words, names=", ".join(names))
        for words, names in sorted(made.items(), key=lambda one: natural(one[0]))
    ]
    if told:
        yield _("Not known because not recorded: {fields}.").format(fields="; ".join(told))


def _classes(aboard: Aboard) -> dict[str, object]:
    tables = aboard.snapshot.tables
    made: dict[str, object] = {"vessel": aboard.snapshot.vessel}
    for table in ("conditions", "places", "enclosures", "interlocks", "runs", "equipment"):
        for item, record in tables[table].items():
            made[getattr(record, "designation", "") or getattr(record, "name", "") or item] = record
    return made


def _field_words(classes: dict[str, object], name: str, field: str) -> str:
    record = classes.get(name)
    return spec_of_words(record, field) if record is not None else field.replace("_", " ")


def spec_of_words(record: object, field: str) -> str:
    """What a field of a record is called inside a sentence; its own name where there is no such field."""
    try:
        return inside(label_of(type(record), spec_of(type(record), field)))
    except (KeyError, AttributeError, TypeError):  # one inside another, or no field at all
        return field.replace("_", " ")


def rounded(value: float) -> float:
    """A computed figure to three digits, whole figures kept."""
    return float(number(value, 3)) if abs(value) < 1e14 else value


def counted_from(snapshot: Snapshot, source: str) -> int:
    """Which source a drop is better counted from: 2 a battery that stays, 1 another that stays, 0 what goes."""
    record = snapshot.equipment.get(source)
    if record is None or record.status == "to remove":
        return 0
    return 2 if record.store() is not None else 1


def lines(parts: Iterable[str]) -> str:
    """One below the other."""
    return "\n".join(part for part in parts if part)


def taken(what: str, sentences: Iterable[str]) -> str:
    """*Taken for the fault currents: ...; ...* in one sentence; `""` for none."""
    every = "; ".join(dict.fromkeys(sentences))
    return _("Taken {what}: {every}.").format(what=what, every=every) if every else ""


def by_condition(said: Iterable[tuple[str, tuple[str, ...]]]) -> Iterator[str]:
    """What was taken as so in each condition (name, sentences): what holds in all of them once."""
    every = list(said)
    names: dict[str, list[str]] = {}
    for name, sentences in every:
        for sentence in dict.fromkeys(sentences):
            names.setdefault(sentence, []).append(name)
    for sentence, where in names.items():
        yield sentence if len(where) == len(every) else f"{', '.join(where)}: {sentence}"
