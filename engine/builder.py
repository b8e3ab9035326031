"""An installation in a few lines of Python, for rule examples, benchmarks and tests. Everything goes through edits.

b = Builder(book="k1")
b.add("battery_bank", "G1", unit_v=12.8)
b.add("fuse", "F1", rating_a=250)
b.run("W1", "G1.pos", "F1.in", size="2/0 AWG", length_m=0.1)
installation = b.installation
"""

from __future__ import annotations

from typing import Any

from engine.edits.edit import Put, SetFields, apply
from engine.equipment import kinds
from engine.equipment.base import Equipment
from engine.installation import (
    Condition,
    End,
    Held,
    Installation,
    Interlock,
    Passage,
    Place,
    Run,
    Setting,
    Settings,
    Vessel,
    Waiver,
)

__all__ = ["Builder"]


class Builder:
    """Grows one installation. Names are designations; places are made when first named."""

    def __init__(self, book: str = "trade-na", **vessel: Any) -> None:
        self.installation = Installation()
        self._ids: dict[str, str] = {}
        self._places: dict[str, str] = {}
        self._put("settings", "settings", Settings(book=book))
        if vessel:
            self._put("vessel", "vessel", Vessel(**vessel))

    def _put(self, table: str, item: str, record: Any) -> str:
        apply(self.installation, Put(table, item, record))
        return item

    def _new(self, table: str, record: Any) -> str:
        return self._put(table, self.installation.new_id(table), record)

    def place(self, name: str, kind: Any = "", temperature_c: float | None = None) -> str:
        """The id of a place, made with these facts when it is new."""
        if name not in self._places:
            self._places[name] = self._new("places", Place(name=name, kind=kind, temperature_c=temperature_c))
        return self._places[name]

    def add(self, kind: str, designation: str, *, place: str = "", **fields: Any) -> str:
        """A piece of equipment; returns its id."""
        cls = kinds()[kind]
        record: Equipment = cls(designation=designation, place=self.place(place) if place else "", **fields)
        self._ids[designation] = self._new("equipment", record)
        return self._ids[designation]

    def run(self, designation: str, start: str, end: str, **fields: Any) -> str:
        """A run between `"G1.pos"` and `"F1.in"`; `places` may be names."""
        passages = tuple(
            p if isinstance(p, Passage) else Passage(place=self.place(p)) for p in fields.pop("places", ())
        )
        record = Run(
            designation=designation,
            from_end=self._end(start),
            to_end=self._end(end),
            places=passages,
            **fields,
        )
        return self._new("runs", record)

    def _end(self, text: str) -> End:
        name, _dot, terminal = text.rpartition(".")
        return End(equipment=self._ids[name], terminal=terminal)

    def interlock(self, *held: str, at_most: int = 1, kind: Any = "mechanical", name: str = "") -> str:
        """At most `at_most` of `"Q1"` (closed) or `"S1:1,2"` (positions 1 or 2)."""
        made = []
        for text in held:
            device, _colon, positions = text.partition(":")
            made.append(
                Held(equipment=self._ids[device], positions=tuple(positions.split(",")) if positions else ("closed",))
            )
        return self._new("interlocks", Interlock(name=name, kind=kind, at_most=at_most, held=tuple(made)))

    def condition(self, name: str, **positions: str) -> str:
        """An operating condition: `condition("Alongside", Q1="closed")`."""
        settings = tuple(Setting(equipment=self._ids[d], position=p) for d, p in positions.items())
        return self._new("conditions", Condition(name=name, settings=settings))

    def waive(self, rule: str, *designations: str, **fields: Any) -> str:
        """A waiver."""
        return self._new("waivers", Waiver(rule=rule, designations=designations, **fields))

    def set(self, designation: str, **fields: Any) -> None:
        """Change fields of equipment already added."""
        apply(self.installation, SetFields("equipment", self._ids[designation], tuple(fields.items())))
