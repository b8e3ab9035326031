"""Which field of which record a *not judged* asks for: "F3.rating_a" is a name for people, the page needs an id."""

from __future__ import annotations

import functools
from typing import Any, NamedTuple

from app.window.entries import label_of, title_of
from engine.findings import NotJudged
from engine.installation.model import Snapshot
from engine.record import FieldSpec, field_specs
from engine.words import _

__all__ = ["Wanted", "WantedFields"]

_TABLES = ("equipment", "runs", "places", "enclosures", "conditions", "interlocks")


class Wanted(NamedTuple):
    """A field that would tell: of which record, and both in words ("F3: rated current")."""

    item: str
    field: str
    text: str


class WantedFields:
    """Finds fields in one state of a drawing."""

    def __init__(self, snapshot: Snapshot) -> None:
        self.snapshot = snapshot
        self._called: dict[str, list[tuple[str, str]]] = {}
        for table in _TABLES:
            for item, record in snapshot.tables[table].items():
                names = {getattr(record, "designation", "") or getattr(record, "name", ""), snapshot.name(item)}
                for name in names - {""}:
                    self._called.setdefault(name, []).append((table, item))

    def of(self, gap: NotJudged) -> tuple[Wanted, ...]:
        """The fields a gap misses, each once; what is no field of anything here is left out."""
        found: dict[tuple[str, str], Wanted] = {}
        for missing in gap.missing:
            name, _dot, field = missing.rpartition(".")
            for table, item in self._owners(gap, name, field):
                spec = _spec(self._record(table, item), field)
                if spec is not None:
                    found.setdefault((item, spec.name), Wanted(item, spec.name, self._words(table, item, spec)))
        return tuple(found.values())

    def _owners(self, gap: NotJudged, name: str, field: str) -> list[tuple[str, str]]:
        """Records called so that have the field; those the gap itself speaks of, where some are."""
        called = [(t, i) for t, i in self._called.get(name, ()) if _spec(self._record(t, i), field) is not None]
        if not called:  # without a designation it is named in other words
            spoken = [(t, i) for i in gap.ids for t in _TABLES if i in self.snapshot.tables[t]]
            called = [
                (t, i)
                for t, i in spoken
                if not getattr(self._record(t, i), "designation", "-") and _spec(self._record(t, i), field) is not None
            ]
        meant = [(t, i) for t, i in called if i in gap.ids]
        return meant or called

    def _record(self, table: str, item: str) -> Any:
        return self.snapshot.tables[table][item]

    def _words(self, table: str, item: str, spec: FieldSpec) -> str:
        label = label_of(type(self._record(table, item)), spec)
        label = label if label[1:2].isupper() else label[:1].lower() + label[1:]
        return _("{name}: {field}").format(name=title_of(self.snapshot, table, item), field=label)


def _spec(record: Any, field: str) -> FieldSpec | None:
    return _by_name(type(record)).get(field)


@functools.cache
def _by_name(cls: Any) -> dict[str, FieldSpec]:
    return {name: spec for spec in field_specs(cls) for name in (spec.file_name, spec.name)}
