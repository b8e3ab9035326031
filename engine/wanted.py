"""Which field of which record a *not judged* asks for: "F3.rating_a" is a name for people, a page needs an id.

A rule names what it lacks by what the record is called: a designation, the name of a place, an enclosure or a
condition, an id where there is no name; "vessel.hull" is a field of the record there is one of, "conditions.duties" one
of every record of a table. A field may lie inside another: "W4.stud_number" is that of one of the run's two ends.
"""

from __future__ import annotations

import functools
from collections.abc import Callable, Iterable, Iterator
from typing import Any, NamedTuple

from engine.findings import NotJudged
from engine.installation.model import LONE, Snapshot
from engine.naming import inside, label_of, title_of
from engine.record import FieldSpec, field_specs
from engine.words import _

__all__ = ["Wanted", "WantedFields", "spec_of"]

_TABLES = ("equipment", "runs", "places", "enclosures", "conditions", "interlocks", "instruments", "readings")
_NOTHING = (None, "", ())
HOURS = (
    "conditions.duties"  # when loads draw: recorded with a condition for each load, or with a load for each condition
)


class Wanted(NamedTuple):
    """A field that would tell: of which record, and both in words ("F3: rated current").

    `field` is the name of the field, "to_end.stud_number" of one inside another. `table` is the `item` itself where
    there is one record of the sort ("vessel").
    """

    item: str
    field: str
    text: str
    table: str


class WantedFields:
    """Finds fields in one state of a drawing."""

    def __init__(self, snapshot: Snapshot) -> None:
        self.snapshot = snapshot
        self._called: dict[str, list[tuple[str, str]]] = {}
        for table in _TABLES:
            for item, record in snapshot.tables[table].items():
                name = getattr(record, "designation", "") or getattr(record, "name", "") or item
                self._called.setdefault(name, []).append((table, item))

    def of(self, gap: NotJudged) -> tuple[Wanted, ...]:
        """The fields a gap misses, each once; what is no field of anything here is left out."""
        found: dict[tuple[str, str], Wanted] = {}
        for _missing, every in self.each(gap):
            for table, item, path in every:
                if (item, path) not in found:
                    found[item, path] = Wanted(item, path, self._words(table, item, path), table)
        return tuple(found.values())

    def each(
        self, gap: NotJudged, only: Callable[[str], bool] | None = None
    ) -> Iterator[tuple[str, list[tuple[str, str, str]]]]:
        """Every name a gap says, with table, id and field of what it means: none where nothing here is called so.

        `only`: names to look at.
        """
        ids = frozenset(gap.ids)
        nameless: list[tuple[str, str]] | None = None  # things the gap speaks of that have no designation
        for missing in dict.fromkeys(gap.missing):
            if only is not None and not only(missing):
                continue
            name, _dot, field = missing.rpartition(".")
            found = self._fields(ids, self._called.get(name, ()), field) if name and field else []
            if not found and name and field:
                if nameless is None:
                    spoken = ((t, i) for i in gap.ids for t in _TABLES if i in self.snapshot.tables[t])
                    nameless = [one for one in spoken if not self._designation(*one)]
                found = self._fields(ids, nameless, field) or self._of_table(gap, name, field)
            yield missing, found

    def _of_table(self, gap: NotJudged, name: str, field: str) -> list[tuple[str, str, str]]:
        """A field of the record there is one of, or of every record of a table."""
        none: frozenset[str] = frozenset()
        if name in LONE:
            return self._fields(none, [(name, name)], field)
        if f"{name}.{field}" == HOURS and self.snapshot.conditions:
            loads = [("equipment", item) for item in gap.ids if item in self.snapshot.equipment]
            found = self._fields(none, loads, "duty")
            if found:
                return found
        return self._fields(none, [(name, item) for item in self.snapshot.tables.get(name, ())], field)

    def _fields(
        self, ids: frozenset[str], records: Iterable[tuple[str, str]], field: str
    ) -> list[tuple[str, str, str]]:
        """Table, id and field of those records that have the field; only those the gap speaks of, where some are."""
        found = [(t, i, path) for t, i in records for path in _paths(self._record(t, i), field, ids)]
        return [one for one in found if one[1] in ids] or found

    def _record(self, table: str, item: str) -> Any:
        return self.snapshot.lone[table] if table in LONE else self.snapshot.tables[table][item]

    def _designation(self, table: str, item: str) -> str:
        return str(getattr(self._record(table, item), "designation", "-"))

    def _words(self, table: str, item: str, path: str) -> str:
        cls = type(self._record(table, item))
        spec = _by_name(cls)[path.partition(".")[0]]
        label = inside(label_of(cls, spec))
        within = spec_of(cls, path)
        if within is not spec:
            label = _("{part} at {whole}").format(part=inside(label_of(spec.item, within)), whole=label)
        return _("{name}: {field}").format(name=title_of(self.snapshot, table, item), field=label)


def spec_of(cls: Any, path: str) -> FieldSpec:
    """The field that a path means; "to_end.stud_number" one inside another."""
    outer, _dot, rest = path.partition(".")
    spec = _by_name(cls)[outer]
    return spec_of(spec.item, rest) if rest else spec


def _paths(record: Any, field: str, ids: frozenset[str]) -> list[str]:
    """The field itself, else those of that name inside another that are not recorded, at what `ids` names first."""
    spec = _by_name(type(record)).get(field)
    if spec is not None:
        return [spec.name]
    found = []
    for outer in field_specs(type(record)):
        if outer.shape == "record" and field in _by_name(outer.item):
            part = getattr(record, outer.name)
            if getattr(part, field, None) in _NOTHING:
                found.append((getattr(part, "equipment", "") in ids, f"{outer.name}.{field}"))
    sure = [path for meant, path in found if meant]
    return sure or [path for _meant, path in found]


def _by_name(cls: Any) -> dict[str, FieldSpec]:
    found: dict[str, FieldSpec] = _named(cls)
    return found


@functools.cache
def _named(cls: type) -> dict[str, FieldSpec]:
    return {name: spec for spec in field_specs(cls) for name in (spec.file_name, spec.name)}
