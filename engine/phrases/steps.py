"""What can be read at one place of a typed line, for records of one class: each step covers some atoms."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from typing import Any, NamedTuple

from engine.colours import read_colours
from engine.naming import US_UNITS
from engine.phrases.atoms import Atom, is_figure
from engine.phrases.counts import LETTERED, counts_at
from engine.phrases.figures import Figure, figures_at, fitting, sizes_at
from engine.phrases.kinds import Entry, rank, words_of
from engine.phrases.vocabulary import Vocabulary, bare_fields, needs_name, plain_fields
from engine.record import FieldSpec
from engine.units import UnitError, read
from engine.words import N_, _

__all__ = ["Around", "Given", "Step", "Steps"]

_FILLERS = N_("of with and the for rated each")
_AT = N_("at @")
_TO = N_("to")
_NOT = N_("no not without")
_PAIR = re.compile(r"([\d.,]+) ?v?(?: ?(?:/|→|->) ?| to )([\d.,]+) ?(v\w*)", re.IGNORECASE)
# words of the trade for a choice; to type, never shown: (word, field, value)
_ALSO = (
    ("mppt", "method", "tracking"),
    ("lifepo4", "chemistry", "LFP"),
    ("lithium", "chemistry", "LFP"),
    ("lithium", "chemistry", "NMC"),
    ("lithium", "chemistry", "other lithium"),
    ("lead", "chemistry", "flooded"),
    ("lead", "chemistry", "AGM"),
    ("lead", "chemistry", "gel"),
    ("tinned", "conductor", "tinned copper"),
    ("insulated", "sheath", "bare"),
)
_UNIT_LETTERS = "avwhmsf"  # by themselves they are units
_LONG_ENOUGH = 5  # letters of a word that may go on: "verzinnt" of "verzinntes Kupfer"
_LOOSE = 3  # beside figures a word must be one of the name or what people call it, no mere part of one
_MOST_CHOICES = 4
_LEAST_KNOWN_A = 1000.0  # from here on a current of a protective device may be what it breaks


class Given(NamedTuple):
    """A value for a field; `origin` where the person said where it comes from."""

    field: str
    value: Any
    origin: str = ""


class Step(NamedTuple):
    """Some atoms understood."""

    end: int  # the atom after them
    cost: float
    given: tuple[Given, ...] = ()
    says_kind: bool = False  # it tells what the thing is


class Around(NamedTuple):
    """What of the drawing a phrase is read with."""

    system: str  # "metric" or "US"
    places: dict[tuple[str, ...], tuple[str, str]]  # words of a name -> field ("place", "enclosure"), id
    volts: tuple[tuple[float, str], ...]  # the drawing's systems: volts, "DC" or "AC"


class Steps:
    """All steps of one line for one class; `entry`: the kind whose words may be used, `None` where it is settled."""

    def __init__(self, words: Vocabulary, entry: Entry | None, atoms: Sequence[Atom], around: Around) -> None:
        self.words, self.entry, self.atoms, self.around = words, entry, atoms, around
        self.refused = ""  # why a figure that was understood is not taken
        self._split = [words_of(a.text) if a.sort == "word" else () for a in atoms]
        self._has_figures = any(c.isdigit() for a in atoms for c in a.text)
        self._fillers = set(words_of(_(_FILLERS)))
        self._at = set(_(_AT).split())

    @property
    def may_say_kind(self) -> bool:
        """Whether any atom could tell that it is this kind: a word of it, or of its choices."""
        for atom, words in zip(self.atoms, self._split, strict=True):
            for word in words:
                if self.entry is not None and rank(self.entry, word) is not None:
                    return True
                if word in self.words.choice_words or any(word == also for also, _field, _value in _ALSO):
                    return True
                if atom.is_last and len(word) >= 2 and any(w.startswith(word) for w in self.words.choice_words):
                    return True
                found = LETTERED.fullmatch(word)
                if found is not None and found[1] in self.words.choice_words:
                    return True
        return False

    def at(self, at: int, taken: frozenset[str]) -> list[Step]:
        """What can be read from an atom on; fields in `taken` have their value."""
        atom = self.atoms[at]
        if atom.sort == "quote":
            return self._give(at + 1, 0, "label", atom.text, taken)
        if atom.sort == "named":
            return self._named(at, taken)
        if atom.sort == "origin":
            return []
        found: list[Step] = []
        for steps in (self._names, self._figures, self._counts, self._places, self._choices, self._kind, self._rest):
            found.extend(steps(at, taken))
        return found

    # -- giving -------------------------------------------------------------------------------------------------
    def _give(
        self, end: int, cost: float, field: str, value: Any, taken: frozenset[str], kind: bool = False
    ) -> list[Step]:
        spec = self.words.specs.get(field)
        if spec is None or field in taken:
            return []
        made, why = fitting(spec, value)
        if why:
            self.refused = _("{field}: {why}").format(field=_label(self.words, spec), why=why)
            return []
        return [Step(end, cost, (Given(field, made),), kind)]

    def _named(self, at: int, taken: frozenset[str]) -> list[Step]:
        """`field=value`, as in lists."""
        from engine.files.lists.cells import CellError, split_cell
        from engine.files.lists.values import read_value

        atom = self.atoms[at]
        name = next((n for n, s in self.words.specs.items() if atom.field in (n, s.file_name)), "")
        if not name or name in taken:
            return []
        cell = split_cell(atom.text)
        spec = self.words.specs[name]
        try:
            value = read_value(spec, cell, self.names, self._bare_unit(spec))
        except CellError as fault:
            self.refused = _("{field}: {why}").format(field=_label(self.words, spec), why=str(fault))
            return []
        return [Step(at + 1, 0, (Given(name, value, cell.origin),))]

    def _bare_unit(self, spec: FieldSpec) -> str:
        """What a figure without a unit is in."""
        return US_UNITS.get(spec.fact.unit, "") if self.around.system == "US" else ""

    names: Any = None  # `engine.files.lists.values.Names`, set by who reads

    # -- figures ------------------------------------------------------------------------------------------------
    def _figures(self, at: int, taken: frozenset[str]) -> Iterator[Step]:
        yield from self._breaking(at, taken)
        yield from self._pair(at, taken)
        for figure in figures_at(self.atoms, at, self.words.units):
            after = self._name_after(figure.end)
            fields = plain_fields(self.words, figure.unit, figure.value, figure.said, taken)
            if (
                figure.unit == "A"
                and figure.value >= _LEAST_KNOWN_A
                and self._breaks_faults
                and fields[:1] != ["rating_a"]
            ):
                fields = []  # a second current, in kiloamperes, is what a protective device breaks
            for n, field in enumerate(fields[:6]):
                yield from self._give(figure.end, 0.1 * n, field, figure.value, taken)
            for end, field in after:
                if self.words.specs[field].fact.unit == figure.unit:
                    yield from self._give(end, -0.5, field, figure.value, taken)
        if "size" in self.words.specs:
            series = "AWG" if self.around.system == "US" else "mm2"
            for n, (end, size) in enumerate(sizes_at(self.atoms, at, series)):
                yield from self._give(end, 0.1 * n, "size", size, taken)
        if is_figure(self.atoms[at].text):
            yield from self._bare(at, self.atoms[at].text, at + 1, taken)

    def _bare(self, at: int, text: str, end: int, taken: frozenset[str]) -> Iterator[Step]:
        """A figure without a unit."""
        fields = bare_fields(self.words, _plain(text))
        if "length_m" in self.words.specs:
            fields = [("length_m", "m")]
        for n, (field, unit) in enumerate(fields):
            bare = "ft" if unit == "m" and self.around.system == "US" else ""
            try:
                value = read(text, unit, bare)
            except UnitError:
                continue
            yield from self._give(end, 0.2 + 0.1 * n, field, value, taken)

    def _breaking(self, at: int, taken: frozenset[str]) -> Iterator[Step]:
        """ "10 kA at 14 V DC", or "10 kA" alone, which is told at each voltage of the drawing."""
        if "breaking" not in self.words.specs:
            return
        for amps in figures_at(self.atoms, at, ("A",)):
            then = amps.end + (amps.end < len(self.atoms) and self.atoms[amps.end].text.casefold() in self._at)
            volts: list[Figure] = figures_at(self.atoms, then, ("V",)) if then > amps.end else []
            for volt in volts:
                for kind in (volt.said,) if volt.said else _kinds_of(volt.value):
                    yield from self._breaks(volt.end, 0, amps.value, volt.value, kind)
            if volts or amps.value < _LEAST_KNOWN_A or not self._breaks_faults:
                continue
            if then < len(self.atoms) and then == amps.end:
                beside = [v for v in figures_at(self.atoms, then, ("V",)) if v.said]
                for volt in beside:
                    yield from self._breaks(volt.end, 0, amps.value, volt.value, volt.said)
            for n, (value, kind) in enumerate(self.around.volts):
                yield from self._breaks(amps.end, 0.1 + 0.01 * n, amps.value, value, kind)

    @property
    def _breaks_faults(self) -> bool:
        return getattr(self.words.cls, "ROLE", "") == "protection"

    def _breaks(self, end: int, cost: float, amps: float, volts: float, kind: str) -> list[Step]:
        said = {"amps": amps, "volts": volts, "kind": "AC" if kind == "AC" else "DC"}
        return self._give(end, cost, "breaking", [said], frozenset())

    def _pair(self, at: int, taken: frozenset[str]) -> Iterator[Step]:
        """ "24 V to 12 V" of what converts."""
        pairs = [p for p in (("in_v", "out_v"), ("primary_v", "secondary_v")) if p[0] in self.words.specs]
        if not pairs:
            return
        to = _(_TO)
        for end in range(min(at + 5, len(self.atoms)), at, -1):
            if any(a.sort != "word" for a in self.atoms[at:end]):
                continue
            text = " ".join("to" if a.text.casefold() == to else a.text for a in self.atoms[at:end])
            found = _PAIR.fullmatch(text)
            if found is None:
                continue
            try:
                values = [read(found[n], "V") for n in (1, 2)]
            except UnitError:
                return
            field, other = pairs[0]
            for step in self._give(end, -0.5, field, values[0], taken):
                for more in self._give(end, 0, other, values[1], taken):
                    yield Step(end, -0.5, step.given + more.given)
            return

    def _counts(self, at: int, taken: frozenset[str]) -> Iterator[Step]:
        """ "4x", "2p", "C16", a designation."""
        for end, cost, values in counts_at(self.words, self.atoms, at):
            given: tuple[Given, ...] = ()
            for field, value in values:
                steps = self._give(end, 0, field, value, taken)
                if not steps:
                    break
                given += steps[0].given
            else:
                yield Step(end, cost, given)
        if (found := LETTERED.fullmatch(self.atoms[at].text)) and words_of(found[1]) in self.words.choices:
            for of, letter in self.words.choices[words_of(found[1])]:  # C16: curve C, 16 A (IEC 60898-1)
                for step in self._bare(at, found[2], at + 1, taken) if of == "curve" else ():
                    for more in self._give(step.end, 0, of, letter, taken):
                        yield Step(step.end, 0, more.given + step.given)

    # -- places ---------------------------------------------------------------------------------------------------
    def _places(self, at: int, taken: frozenset[str]) -> Iterator[Step]:
        """ "in Engine box"; the name alone where it is a place's."""
        start = at
        if self.atoms[at].text.casefold() in ("in", _("in"), *self._at):
            start += 1
        for end in range(min(start + 6, len(self.atoms)), start, -1):
            words = tuple(w for part in self._split[start:end] for w in part)
            found = self.around.places.get(words)
            if found is not None and all(a.sort == "word" for a in self.atoms[start:end]):
                yield from self._give(end, 0 if start > at else 1.2, found[0], found[1], taken)
                return

    # -- words ----------------------------------------------------------------------------------------------------
    def _grams(self, at: int) -> Iterator[tuple[int, tuple[str, ...]]]:
        """Stretches of words from an atom on, the longest first."""
        for end in range(min(at + self.words.longest, len(self.atoms)), at, -1):
            if all(a.sort == "word" for a in self.atoms[at:end]):
                words = tuple(w for part in self._split[at:end] for w in part)
                if words:
                    yield end, words

    def _names(self, at: int, taken: frozenset[str]) -> Iterator[Step]:
        """The name of a field, then its value; a yes-or-no field by its name alone."""
        start, said = at, True
        if self.atoms[at].text.casefold() in words_of(_(_NOT)) and at + 1 < len(self.atoms):
            start, said = at + 1, False
        for end, words in self._grams(start):
            for field in self.words.names.get(words, ()):
                spec = self.words.specs[field]
                if spec.shape == "yesno":
                    yield from self._give(end, 0, field, said, taken)
                elif said:
                    yield from self._value_of(spec, end, taken)

    def _name_after(self, at: int) -> Iterator[tuple[int, str]]:
        """Names of fields that follow a figure."""
        for end, words in self._grams(at) if at < len(self.atoms) else ():
            for field in self.words.names.get(words, ()):
                if self.words.specs[field].shape == "number":
                    yield end, field

    def _value_of(self, spec: FieldSpec, at: int, taken: frozenset[str]) -> Iterator[Step]:
        if at >= len(self.atoms):
            return
        atom, field = self.atoms[at], spec.name
        if spec.shape == "number":
            for figure in figures_at(self.atoms, at, (spec.fact.unit,)) if spec.fact.unit else ():
                yield from self._give(figure.end, -0.5, field, figure.value, taken)
            if is_figure(atom.text):
                try:
                    value = read(
                        atom.text, spec.fact.unit, "ft" if self.around.system == "US" and spec.fact.unit == "m" else ""
                    )
                except UnitError:
                    return
                yield from self._give(at + 1, -0.4, field, value, taken)
        elif spec.shape == "whole" and atom.text.isdecimal():
            yield from self._give(at + 1, -0.5, field, int(atom.text), taken)
        elif spec.shape == "choice":
            for end, words in self._grams(at):
                for of, choice in self.words.choices.get(words, ()):
                    if of == field:
                        yield from self._give(end, -0.5, field, _stored(spec, choice), taken)
        elif spec.shape == "word" and spec.fact.unit == "size":
            for end, size in sizes_at(self.atoms, at, "AWG" if self.around.system == "US" else "mm2"):
                yield from self._give(end, -0.5, field, size, taken)
        elif spec.shape == "word" and not spec.fact.refers and (atom.sort == "quote" or field != "label"):
            yield from self._give(at + 1, -0.5 if atom.sort == "quote" else 1.5, field, atom.text, taken)

    def _choices(self, at: int, taken: frozenset[str]) -> Iterator[Step]:
        for end, words in self._grams(at):
            whole = [one for one in self.words.choices.get(words, ()) if not needs_name(*one)]
            for field, value in whole:
                yield from self._chosen(end, 0, field, value, taken)
            if len(words) == 1:
                for n, (word, field, value) in enumerate(_ALSO):
                    if word == words[0]:
                        yield from self._chosen(end, 0.01 * n, field, value, taken)
            if not whole or self.atoms[end - 1].is_last:
                yield from self._part_choices(end, words, taken)
            if "colour" in self.words.specs and any(c.isalpha() for c in words[0]):
                text = " ".join(a.text for a in self.atoms[at:end])
                if read_colours(text):
                    yield from self._give(end, 0, "colour", text, taken)

    def _part_choices(self, end: int, words: tuple[str, ...], taken: frozenset[str]) -> Iterator[Step]:
        """Choices that these words are a part of, or the beginning of where nothing comes after them."""
        if self.entry is not None and all(
            (rank(self.entry, w) or 0) <= 1 and rank(self.entry, w) is not None for w in words
        ):
            return
        half = len(words[-1]) >= (2 if self.atoms[end - 1].is_last else _LONG_ENOUGH)
        found: dict[tuple[str, str], float] = {}
        for key, meant in self.words.choices.items():
            cost = _part_of(words, key, half)
            for one in meant if cost else ():
                if one[0] in self.words.own and not needs_name(*one):
                    found[one] = min(cost, found.get(one, 9.0))
        if len(found) <= _MOST_CHOICES:
            for (field, value), cost in found.items():
                yield from self._chosen(end, cost, field, value, taken)

    def _chosen(self, end: int, cost: float, field: str, value: str, taken: frozenset[str]) -> list[Step]:
        spec = self.words.specs.get(field)
        if spec is None or value not in spec.choices:
            return []
        own = field in self.words.own
        if own and self.entry is not None and any(w in self.entry.also for w in words_of(value)):
            cost -= 0.2  # what people call such a thing
        return self._give(end, cost, field, _stored(spec, value), taken, own)

    def _kind(self, at: int, taken: frozenset[str]) -> Iterator[Step]:
        """Words of the kind itself."""
        words = self._split[at]
        if self.entry is None or not words or (len(words[0]) == 1 and at > 0):
            return
        ranks = [rank(self.entry, w) for w in words]
        most = _LOOSE if self._has_figures else 9
        if all(r is not None and r <= most for r in ranks):
            yield Step(at + 1, sum(r for r in ranks if r is not None), (), True)

    def _rest(self, at: int, taken: frozenset[str]) -> Iterator[Step]:
        if self.atoms[at].text.casefold() in self._fillers and not self.atoms[at].is_last:
            yield Step(at + 1, 0.6)


def _plain(text: str) -> float:
    try:
        return read(text, "")
    except UnitError:
        return 0.0


def _label(words: Vocabulary, spec: FieldSpec) -> str:
    from engine.naming import label_of

    return label_of(words.cls, spec)


def _stored(spec: FieldSpec, text: str) -> Any:
    return next((value for value in spec.literals if str(value) == text), text)


def _part_of(words: tuple[str, ...], key: tuple[str, ...], half: bool) -> float:
    """1 where the words stand one after the other in the key, 2 where the last is only begun, 0 where they do not."""
    if len(words) > len(key) or (len(words) == len(key) and not half):
        return 0
    if len(words) == 1 and len(words[0]) == 1 and (len(key) != 2 or words[0] in _UNIT_LETTERS):
        return 0
    if len(words) == 1 and len(words[0]) == 2:
        return 2.0 if half and key[0].startswith(words[0]) else 0
    for n in range(len(key) - len(words) + 1):
        part = key[n : n + len(words)]
        if part == words:
            return 1.0
        if half and part[:-1] == words[:-1] and part[-1].startswith(words[-1]):
            return 2.0
    return 0


def _kinds_of(volts: float) -> tuple[str, ...]:
    from engine.phrases.vocabulary import AC_FROM_V, DC_UP_TO_V

    return (*(("DC",) if volts < AC_FROM_V else ()), *(("AC",) if volts > DC_UP_TO_V else ()))
