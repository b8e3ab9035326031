"""Which fields a page shows, and in what order."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any, NamedTuple

from engine.equipment.base import Equipment
from engine.installation.records import Run
from engine.record import FieldSpec, field_specs
from engine.words import N_, _

__all__ = ["Group", "common_specs", "groups"]

IDENTITY = ("designation", "label", "place", "enclosure", "position", "status", "in_position")
PURCHASE = ("maker", "part_number", "price", "quantity")
ONE_ONLY = ("designation",)  # two things must not be called the same


class Group(NamedTuple):
    """Fields that stand together under a heading, "" for none."""

    title: str
    specs: tuple[FieldSpec, ...]


def common_specs(records: Sequence[Any]) -> tuple[FieldSpec, ...]:
    """The fields that all these records have, alike in type and unit."""
    classes = list(dict.fromkeys(type(record) for record in records))
    # a picture under a sheet, a label put by hand: the board sets them
    specs = tuple(s for s in field_specs(classes[0]) if not (s.shape == "record" and s.optional))
    for cls in classes[1:]:
        there = {s.name: s for s in field_specs(cls)}
        specs = tuple(
            s
            for s in specs
            if (other := there.get(s.name)) is not None
            and (other.type, other.fact.unit, other.fact.refers) == (s.type, s.fact.unit, s.fact.refers)
        )
    if len(records) > 1:
        specs = tuple(s for s in specs if s.name not in ONE_ONLY and s.shape != "record")
    # what cannot be moved has no position as drawn
    still = any(isinstance(r, Equipment) and not r.positions() and not r.in_position for r in records)
    return tuple(s for s in specs if s.name != "in_position") if still else specs


def groups(cls: Any, specs: Sequence[FieldSpec]) -> tuple[Group, ...]:
    """Fields of a record in groups: what it is, its own facts, those every kind has, what an order needs."""
    if not issubclass(cls, (Equipment, Run)):
        return (Group("", tuple(specs)),)
    shared = {s.name for s in field_specs(Equipment)} if issubclass(cls, Equipment) else set()
    by_title: dict[str, list[FieldSpec]] = {}
    order = (N_("What it is"), N_("Ends"), N_("Its own facts"), N_("Facts every kind has"), N_("Purchase"))
    for spec in specs:
        if spec.name in IDENTITY:
            title = order[0]
        elif spec.shape == "record":
            title = order[1]
        elif spec.name in PURCHASE:
            title = order[4]
        else:
            title = order[3] if spec.name in shared else order[2]
        by_title.setdefault(title, []).append(spec)
    if "What it is" in by_title:
        by_title["What it is"].sort(key=lambda s: IDENTITY.index(s.name))
    return tuple(Group(_(title), tuple(by_title[title])) for title in order if title in by_title)
