"""Which facts to go and read off the boat: what a judgement lacks, in the order one walks it.

One entry a field of a record, however many rules lack it, with the rules it would unlock. Places come in the order they
were recorded in; within a place what stands free, then each enclosure by position. What has no place recorded comes
after them, then what is known to the owner rather than read aboard (the vessel, her conditions, her interlocks), then
what names no field of anything here: it is told as the rule said it.
"""

from __future__ import annotations

from typing import Any, Literal

import msgspec

from engine.check import CheckResult
from engine.findings import WORDS, NotJudged, Word
from engine.installation.model import LONE, TABLES, Snapshot
from engine.naming import inside, label_of, natural, title_of, unit_of
from engine.record import FieldSpec, field_specs
from engine.wanted import WantedFields, spec_of
from engine.words import N_, _

__all__ = ["Kept", "Missing", "MissingFact", "Unlock", "expected", "missing_facts"]

Kept = Literal["place", "no place", "owner", "words"]  # where a fact is to be had, in walking order
KEPT: tuple[Kept, ...] = ("place", "no place", "owner", "words")
HEADINGS: dict[Kept, str] = {
    "no place": N_("No place recorded"),
    "owner": N_("Asked of the owner"),
    "words": N_("No single field would tell"),
}
_SORTS = {
    "places": N_("place"),
    "enclosures": N_("enclosure"),
    "conditions": N_("operating condition"),
    "interlocks": N_("interlock"),
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
    asked_of: tuple[str, ...] = ()  # designations of what could not be judged, the record's own left out

    @property
    def word(self) -> Word:
        """The worst word of what it would unlock."""
        return self.unlocks[0].word if self.unlocks else "notice"

    @property
    def where(self) -> str:
        """Where in the place it is: enclosure and position."""
        return ", ".join(part for part in (self.enclosure, self.position) if part)

    @property
    def key(self) -> tuple[str, str, str]:
        """Tells it from the others, over judgements."""
        return (self.item, self.field, "" if self.item else self.text)


class Missing(msgspec.Struct, frozen=True, kw_only=True):
    """What a judgement lacks. `unnamed` could not be judged for a reason that is no missing fact."""

    facts: tuple[MissingFact, ...] = ()
    unnamed: tuple[NotJudged, ...] = ()

    def __bool__(self) -> bool:
        return bool(self.facts or self.unnamed)

    def down_to(self, word: Word) -> Missing:
        """Only what would let a rule judge that carries this word or a worse one."""
        worst = WORDS.index(word)
        return Missing(
            facts=tuple(fact for fact in self.facts if WORDS.index(fact.word) <= worst),
            unnamed=tuple(gap for gap in self.unnamed if WORDS.index(gap.would_be) <= worst),
        )

    def by_place(self) -> list[tuple[str, tuple[MissingFact, ...]]]:
        """Headings with their facts, in walking order."""
        groups: dict[tuple[Kept, str], list[MissingFact]] = {}
        for fact in self.facts:
            groups.setdefault((fact.kept, fact.place), []).append(fact)
        return [(_heading(facts[0]), tuple(facts)) for facts in groups.values()]


def _heading(fact: MissingFact) -> str:
    return fact.place_name if fact.kept == "place" else _(HEADINGS[fact.kept])


def missing_facts(result: CheckResult, snapshot: Snapshot) -> Missing:
    """The facts a judgement of that snapshot lacks, in walking order. No field of a gap is dropped."""
    fields = WantedFields(snapshot)
    asked: dict[tuple[str, str, str], list[NotJudged]] = {}  # table, id, field: who asks
    said: dict[tuple[str, str, str], str] = {}
    loose: dict[str, list[NotJudged]] = {}
    for gap in result.not_judged:
        for missing in gap.missing:
            found = fields.named(gap, missing)
            for wanted in found:
                key = (wanted.table, wanted.item, wanted.field)
                said.setdefault(key, missing)
                asked.setdefault(key, []).append(gap)
            if not found:
                loose.setdefault(missing, []).append(gap)
    aboard = _Aboard(snapshot)
    facts = [aboard.fact(*key, said[key], gaps) for key, gaps in asked.items()]
    facts += [
        MissingFact(
            kept="words", text=text, words=_none_yet(text), unlocks=_unlocks(gaps), asked_of=_designations(gaps)
        )
        for text, gaps in loose.items()
    ]
    return Missing(
        facts=tuple(sorted(facts, key=aboard.walked)),
        unnamed=tuple(gap for gap in result.not_judged if not gap.missing),
    )


def expected(fact: MissingFact) -> str:
    """What is to be written down: a number in its unit, one of several words; "" where any text will do."""
    return fact.unit or _(" / ").join(fact.choices)


class _Aboard:
    """Where things are, in one state of a drawing."""

    def __init__(self, snapshot: Snapshot) -> None:
        self.snapshot = snapshot
        self._order = {place: n for n, place in enumerate(snapshot.places)}  # ids are made in the order of the table

    def fact(self, table: str, item: str, field: str, text: str, gaps: list[NotJudged]) -> MissingFact:
        """One entry."""
        snapshot = self.snapshot
        record: Any = snapshot.lone[table] if table in LONE else snapshot.tables[table][item]
        outer, spec = spec_of(type(record), field.partition(".")[0]), spec_of(type(record), field)
        words = inside(label_of(type(record), outer))
        if spec is not outer:
            words = _("{part} at {whole}").format(part=inside(label_of(outer.item, spec)), whole=words)
        place, enclosure, position = self._where(table, item, record)
        place = place if place in snapshot.places else ""
        owners = table in LONE or table in ("conditions", "interlocks")
        kept: Kept = "place" if place else "owner" if owners else "no place"
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
            enclosure=title_of(snapshot, "enclosures", enclosure) if enclosure in snapshot.enclosures else "",
            position=position,
            unlocks=_unlocks(gaps),
            asked_of=tuple(d for d in _designations(gaps) if d != name),
        )

    def _where(self, table: str, item: str, record: Any) -> tuple[str, str, str]:
        """Place, enclosure and position; of a run: the place it begins in."""
        if table == "places":
            return item, "", ""
        if table == "enclosures":
            return record.place, item, ""
        if table == "equipment":
            inside_of = self.snapshot.enclosures.get(record.enclosure)
            place = record.place or (inside_of.place if inside_of is not None else "")
            return place, record.enclosure, record.position
        if table == "runs":
            ends = [self.snapshot.equipment.get(end.equipment) for end in (record.from_end, record.to_end)]
            places = [self._where("equipment", "", end)[0] for end in ends if end is not None]
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

    def walked(self, fact: MissingFact) -> tuple[object, ...]:
        """The order one walks in."""
        record = type(self.snapshot.lone[fact.table]) if fact.table in LONE else None
        if record is None and fact.item:
            record = type(self.snapshot.tables[fact.table][fact.item])
        names = [spec.name for spec in field_specs(record)] if record is not None else []
        outer = fact.field.partition(".")[0]
        return (
            KEPT.index(fact.kept),
            self._order.get(fact.place, -1),
            fact.table != "places",  # the place itself first
            natural(fact.enclosure),
            fact.table != "enclosures",
            natural(fact.position),
            natural(fact.name),
            natural(fact.item),
            names.index(outer) if outer in names else -1,
            fact.field,
            natural(fact.text),
        )


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


def _unlocks(gaps: list[NotJudged]) -> tuple[Unlock, ...]:
    """Each rule once, at its worst word; dangers first."""
    worst: dict[str, int] = {}
    for gap in gaps:
        word = WORDS.index(gap.would_be)
        worst[gap.rule] = min(word, worst.get(gap.rule, word))
    return tuple(Unlock(rule, WORDS[word]) for rule, word in sorted(worst.items(), key=lambda u: (u[1], u[0])))


def _designations(gaps: list[NotJudged]) -> tuple[str, ...]:
    return tuple(sorted({name for gap in gaps for name in gap.designations}, key=natural))
