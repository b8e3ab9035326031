"""Which facts to go and read off the boat: what a judgement lacks, in the order one walks it.

One entry a field of a record, however many rules lack it, with the rules it would unlock. Places come in the order they
were recorded in; within a place what stands free, then each enclosure by position. What has no place recorded comes
after them, then what is known to the owner rather than read aboard (the vessel, her conditions, her interlocks), then
what names no field of anything here: it is told as the rule said it.
"""

from __future__ import annotations

import functools
from collections.abc import Iterable, Mapping, Sequence
from typing import Any, Literal, NamedTuple, TypeAlias

import msgspec

from engine.check import CheckResult
from engine.findings import WORDS, NotJudged, Word
from engine.installation.model import LONE, TABLES, Snapshot
from engine.naming import inside, label_of, natural, title_of, unit_of
from engine.record import FieldSpec, field_specs
from engine.tracing.assumed import assumed_values
from engine.wanted import WantedFields, spec_of
from engine.words import N_, _

__all__ = [
    "Asked",
    "Group",
    "Kept",
    "Key",
    "Missing",
    "MissingFact",
    "Unlock",
    "assumed_facts",
    "expected",
    "missing_facts",
]

Key: TypeAlias = tuple[str, str, str]  # id, field, what the rules say where there is no id
Kept: TypeAlias = Literal["place", "no place", "owner", "words"]  # where a fact is to be had, in walking order
KEPT: tuple[Kept, ...] = ("place", "no place", "owner", "words")
HEADINGS: dict[Kept, str] = {
    "no place": N_("No place recorded"),
    "owner": N_("Asked of the owner"),
    "words": N_("No single field would tell"),
}
MOST_NAMES = 8
_SORTS = {
    "places": N_("place"),
    "enclosures": N_("enclosure"),
    "conditions": N_("operating condition"),
    "interlocks": N_("interlock"),
    "instruments": N_("instrument"),
    "readings": N_("reading"),
}


class Unlock(msgspec.Struct, frozen=True):
    """A rule that could judge, or judge more, and the word it would carry."""

    rule: str
    word: Word


class MissingFact(msgspec.Struct, frozen=True, kw_only=True):
    """A field of a record that rules lack. `item` is "" where nothing here has that field: `text` tells then."""

    kept: Kept
    text: str  # as the rules say it: "F3.rating_a"
    table: str = ""
    item: str = ""
    field: str = ""  # "to_end.stud_number": one inside another
    name: str = ""  # what the record is called
    what: str = ""  # what it is: the kind, from where to where
    label: str = ""  # in the owner's words
    words: str = ""  # the field
    help: str = ""
    unit: str = ""  # a bare number is in
    choices: tuple[str, ...] = ()  # what may be said, where that is one of several
    place: str = ""  # id
    place_name: str = ""
    enclosure: str = ""  # its name
    position: str = ""
    unlocks: tuple[Unlock, ...] = ()  # worst word first
    assumed: str = ""  # the value that is there and only assumed, in words
    asked_of: tuple[str, ...] = ()  # what could not be judged, where that is not the record itself; a few

    @property
    def word(self) -> Word:
        """The worst word of what it would unlock."""
        return self.unlocks[0].word if self.unlocks else "notice"

    @property
    def where(self) -> str:
        """Where in the place it is: enclosure and position."""
        return ", ".join(part for part in (self.enclosure, self.position) if part)

    @property
    def key(self) -> Key:
        """Tells it from the others, over judgements."""
        return (self.item, self.field, "" if self.item else self.text)


class Asked(NamedTuple):
    """A field that is asked for, before it is told in words. `table` and `item` are "" where nothing has that field."""

    table: str
    item: str
    field: str
    text: str  # as the first rule said it
    gaps: tuple[NotJudged, ...]  # who asks

    @property
    def key(self) -> Key:
        """That of its `MissingFact`."""
        return (self.item, self.field, "" if self.item else self.text)


class Group:
    """The facts of one place, told in words only when they are wanted: a large boat lacks thousands."""

    def __init__(self, aboard: _Aboard, kept: Kept, place: str, asked: list[Asked]) -> None:
        self.kept, self.place = kept, place
        self._aboard = aboard
        self.loose = asked  # in no order
        self.heading = title_of(aboard.snapshot, "places", place) if kept == "place" else _(HEADINGS[kept])

    def __len__(self) -> int:
        return len(self.loose)

    @functools.cached_property
    def asked(self) -> list[Asked]:
        """In walking order."""
        return sorted(self.loose, key=self._aboard.walked)

    def first(self, most: int) -> tuple[MissingFact, ...]:
        """So many of them, in walking order."""
        return tuple(self._aboard.fact(asked, self.kept, self.place) for asked in self.asked[: max(most, 0)])

    @functools.cached_property
    def facts(self) -> tuple[MissingFact, ...]:
        """All of them."""
        return self.first(len(self.loose))


class Missing:
    """What a judgement lacks, place by place. `unnamed` could not be judged for a reason that is no missing fact."""

    def __init__(self, aboard: _Aboard, asked: Iterable[Asked] = (), unnamed: Iterable[NotJudged] = ()) -> None:
        self._aboard = aboard
        self.of_assumed = aboard.assumed is not None  # values that are there and only assumed
        self.unnamed = tuple(unnamed)
        by_place: dict[tuple[Kept, str], list[Asked]] = {}
        for one in asked:
            by_place.setdefault(aboard.kept(one), []).append(one)
        order = sorted(by_place, key=lambda place: (KEPT.index(place[0]), aboard.order.get(place[1], -1)))
        self.groups = tuple(Group(aboard, *place, by_place[place]) for place in order)

    @classmethod
    def nothing(cls, snapshot: Snapshot) -> Missing:
        """Where nothing is asked for."""
        return cls(_Aboard(snapshot))

    def __len__(self) -> int:
        """How many facts."""
        return sum(len(group) for group in self.groups)

    def __bool__(self) -> bool:
        return bool(self.groups or self.unnamed)

    @property
    def facts(self) -> tuple[MissingFact, ...]:
        """All facts in walking order."""
        return tuple(fact for group in self.groups for fact in group.facts)

    def keys(self) -> set[Key]:
        """Of every fact."""
        return {asked.key for group in self.groups for asked in group.loose}

    def down_to(self, word: Word) -> Missing:
        """Only what would let a rule judge that carries this word or a worse one."""
        if word == WORDS[-1]:
            return self
        words = WORDS[: WORDS.index(word) + 1]
        every = (asked for group in self.groups for asked in group.loose)
        return Missing(
            self._aboard,
            (asked for asked in every if any(gap.would_be in words for gap in asked.gaps)),
            (gap for gap in self.unnamed if gap.would_be in words),
        )

    def by_place(self) -> list[tuple[str, tuple[MissingFact, ...]]]:
        """Headings with their facts, in walking order."""
        return [(group.heading, group.facts) for group in self.groups]


def missing_facts(result: CheckResult, snapshot: Snapshot) -> Missing:
    """The facts a judgement of that snapshot lacks, in walking order. No field of a gap is dropped."""
    fields = WantedFields(snapshot)
    asked: dict[tuple[str, str, str, str], tuple[str, list[NotJudged]]] = {}
    for gap in result.not_judged:
        for missing, found in fields.each(gap):
            for table, item, field in found or [("", "", "")]:
                key = (table, item, field, "" if item else missing)
                asked.setdefault(key, (missing, []))[1].append(gap)
    every = (Asked(*key[:3], text, tuple(gaps)) for key, (text, gaps) in asked.items())
    return Missing(_Aboard(snapshot), every, (gap for gap in result.not_judged if not gap.missing))


def assumed_facts(again: CheckResult, bare: Snapshot, snapshot: Snapshot) -> Missing:
    """The values that are only assumed, to be read aboard: those no rule asks for too.

    `again` judged `bare`, the drawing as it is known without them (`engine.tracing.without_assumed`).
    """
    fields = WantedFields(bare)
    assumed = {(value.item, value.field): value for value in assumed_values(snapshot)}
    gaps: dict[tuple[str, str], list[NotJudged]] = {}
    for gap in again.not_judged:
        for _text, found in fields.each(gap):
            for _table, item, field in found:
                if (item, field) in assumed:
                    gaps.setdefault((item, field), []).append(gap)
    every = (
        Asked(value.table, item, field, f"{value.name}.{field}", tuple(gaps.get((item, field), ())))
        for (item, field), value in assumed.items()
    )
    return Missing(_Aboard(snapshot, {key: value.value for key, value in assumed.items()}), every)


def expected(fact: MissingFact) -> str:
    """What is to be written down: a number in its unit, one of several words; "" where any text will do."""
    return fact.unit or _(" / ").join(fact.choices)


class _Aboard:
    """Where things are, in one state of a drawing."""

    def __init__(self, snapshot: Snapshot, assumed: Mapping[tuple[str, str], str] | None = None) -> None:
        self.snapshot = snapshot
        self.assumed = assumed  # values by id and field, in words
        self.order = {place: n for n, place in enumerate(snapshot.places)}  # ids are made in the order of the table
        self._stands: dict[tuple[str, str], tuple[str, str, str]] = {}

    def _record(self, table: str, item: str) -> Any:
        return self.snapshot.lone[table] if table in LONE else self.snapshot.tables[table][item]

    def kept(self, asked: Asked) -> tuple[Kept, str]:
        """Where a fact is to be had, and the id of the place."""
        if not asked.item:
            return "words", ""
        place = self._where(asked.table, asked.item)[0]
        if place:
            return "place", place
        return ("owner" if asked.table in LONE or asked.table in ("conditions", "interlocks") else "no place"), ""

    def fact(self, asked: Asked, kept: Kept, place: str) -> MissingFact:
        """One entry, in words."""
        snapshot, (table, item, field, text, gaps) = self.snapshot, asked
        if not item:
            return MissingFact(
                kept=kept, text=text, words=_none_yet(text), unlocks=_unlocks(gaps), asked_of=_designations(gaps, "")
            )
        record = self._record(table, item)
        outer, spec = spec_of(type(record), field.partition(".")[0]), spec_of(type(record), field)
        words = inside(label_of(type(record), outer))
        if spec is not outer:
            words = _("{part} at {whole}").format(part=inside(label_of(outer.item, spec)), whole=words)
        _place, enclosure, position = self._where(table, item)
        name = title_of(snapshot, table, item)
        return MissingFact(
            kept=kept,
            text=text,
            table=table,
            item=item,
            field=field,
            name=name,
            what=self._what(table, record),
            label=getattr(record, "label", ""),
            words=words,
            help=_(spec.fact.help),
            unit=_("AWG or mm²") if spec.fact.unit == "size" else unit_of(spec, snapshot.settings.units),
            choices=_choices(spec),
            place=place,
            place_name=title_of(snapshot, "places", place) if place else "",
            enclosure=enclosure,
            position=position,
            unlocks=_unlocks(gaps),
            assumed=(self.assumed or {}).get((item, field), ""),
            asked_of=_designations(gaps, name),
        )

    def _where(self, table: str, item: str) -> tuple[str, str, str]:
        """Id of the place, name of the enclosure, position; of a run: the place it begins in."""
        there = self._stands.get((table, item))
        if there is None:
            place, enclosure, position = self._stand(table, item)
            known = enclosure in self.snapshot.enclosures
            name = title_of(self.snapshot, "enclosures", enclosure) if known else ""
            there = (place if place in self.snapshot.places else "", name, position)
            self._stands[table, item] = there
        return there

    def _stand(self, table: str, item: str) -> tuple[str, str, str]:
        record = self._record(table, item)
        if table == "places":
            return item, "", ""
        if table == "enclosures":
            return record.place, item, ""
        if table == "equipment":
            inside_of = self.snapshot.enclosures.get(record.enclosure)
            place = record.place or (inside_of.place if inside_of is not None else "")
            return place, record.enclosure, record.position
        if table == "runs":
            ends = (end.equipment for end in (record.from_end, record.to_end))
            places = [self._where("equipment", end)[0] for end in ends if end in self.snapshot.equipment]
            places += [passage.place for passage in record.places]
            return next((place for place in places if place), ""), "", ""
        return "", "", ""

    def _what(self, table: str, record: Any) -> str:
        if table == "equipment":
            return _(record.NAME)
        if table == "runs":
            start, end = (title_of(self.snapshot, "equipment", e.equipment) for e in (record.from_end, record.to_end))
            return _("run from {start} to {end}").format(start=start, end=end)
        return _(_SORTS.get(table, ""))

    def walked(self, asked: Asked) -> tuple[object, ...]:
        """The order one walks in within a place."""
        table, item, field, text, _gaps = asked
        if not item:
            return (natural(text),)
        _place, enclosure, position = self._where(table, item)
        return (
            table != "places",  # the place itself first
            natural(enclosure),
            table != "enclosures",
            natural(position),
            natural(title_of(self.snapshot, table, item)),
            natural(item),
            _number_of(type(self._record(table, item)), field.partition(".")[0]),
            field,
        )


def _number_of(cls: Any, field: str) -> int:
    """Which of its class's fields it is."""
    return _numbers(cls).get(field, -1)


@functools.cache
def _numbers(cls: type) -> dict[str, int]:
    return {spec.name: n for n, spec in enumerate(field_specs(cls))}


def _none_yet(text: str) -> str:
    """In words, what is a field of a sort of record of which there is none yet; "" for all else."""
    table, _dot, field = text.partition(".")
    spec = next((s for s in field_specs(TABLES[table][0]) if s.file_name == field), None) if table in _SORTS else None
    if spec is None:
        return ""
    label = inside(label_of(TABLES[table][0], spec))
    return _("{field} of the {sort}; none is recorded").format(field=label, sort=_(_SORTS[table]))


def _choices(spec: FieldSpec) -> tuple[str, ...]:
    if spec.shape == "yesno":
        return _("yes"), _("no")
    return tuple(_(choice) for choice in spec.choices if choice)


def _unlocks(gaps: Sequence[NotJudged]) -> tuple[Unlock, ...]:
    """Each rule once, at its worst word; dangers first."""
    worst: dict[str, int] = {}
    for gap in gaps:
        word = WORDS.index(gap.would_be)
        worst[gap.rule] = min(word, worst.get(gap.rule, word))
    return tuple(Unlock(rule, WORDS[word]) for rule, word in sorted(worst.items(), key=lambda u: (u[1], u[0])))


def _designations(gaps: Sequence[NotJudged], name: str) -> tuple[str, ...]:
    """What could not be judged, where that is something else than what lacks the fact; the first few of many."""
    others = (gap.designations for gap in gaps if gap.designations[:1] != (name,))
    return tuple(sorted({d for some in others for d in some[:MOST_NAMES] if d != name}, key=natural))[:MOST_NAMES]
