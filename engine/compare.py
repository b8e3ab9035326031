"""Two issues of one drawing: which equipment and runs were added, removed or changed, and in what.

A thing is the same in both as `engine.since.counterparts` tells. A reference to another thing has not changed where
both name the same one, whatever its id.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, NamedTuple

from engine.comparing.fields import field_differences
from engine.installation.model import Snapshot
from engine.naming import inside, label_of, natural
from engine.record import FieldSpec
from engine.since import counterparts
from engine.units import number, show, show_size
from engine.words import _

__all__ = ["Changed", "Comparison", "compare"]

TABLES = ("equipment", "runs")
_LONGEST = 40  # characters of a value that a line of changes repeats


class Changed(NamedTuple):
    """Something that both issues have, and the fields in which it differs, as they are called on a page."""

    item: str  # id in the newer issue
    fields: tuple[str, ...]
    words: tuple[str, ...] = ()  # of each: "rated current of the link: 200 A, now 150 A"


class Comparison(NamedTuple):
    """By designation. `added` and `changed` are ids of the newer issue, `removed` of the older."""

    added: tuple[str, ...]
    removed: tuple[str, ...]
    changed: tuple[Changed, ...]

    @property
    def marked(self) -> tuple[str, ...]:
        """What the newer issue shows and the older did not show so."""
        return (*self.added, *(change.item for change in self.changed))


def compare(before: Snapshot, after: Snapshot) -> Comparison:
    """What became of equipment and runs."""
    same = counterparts(before, after)
    added: list[str] = []
    removed: list[str] = []
    changed: list[Changed] = []
    for table in TABLES:
        then: dict[str, Any] = {}  # by the id of today
        gone = []
        for item, record in before.tables[table].items():
            here = same.get(item, item)
            if here in after.tables[table]:
                then[here] = record
            else:
                gone.append(item)
        for item, record in after.tables[table].items():
            was = then.get(item)
            if was is None:
                added.append(item)
            elif was != record:
                fields = _fields(was, record, same)
                if fields:
                    words = tuple(_words(before, was, after, record, spec) for spec in fields)
                    changed.append(Changed(item, tuple(_label(record, spec) for spec in fields), words))
        removed.extend(gone)
    return Comparison(
        tuple(sorted(added, key=lambda i: _order(after, i))),
        tuple(sorted(removed, key=lambda i: _order(before, i))),
        tuple(sorted(changed, key=lambda c: _order(after, c.item))),
    )


def _order(snapshot: Snapshot, item: str) -> tuple[bool, tuple[tuple[int, str], ...], str]:
    return item in snapshot.runs, natural(snapshot.name(item)), item


def _fields(was: Any, record: Any, same: Mapping[str, str]) -> tuple[FieldSpec | None, ...]:
    """The fields that differ; `None` for another kind altogether."""
    if type(was) is not type(record):
        return (None,)
    found = {d.specs[0].name: d.specs[0] for d in field_differences(was, record, same) if d.specs}
    return tuple(found.values())


def _label(record: Any, spec: FieldSpec | None) -> str:
    return _("Kind") if spec is None else label_of(type(record), spec)


def _words(before: Snapshot, was: Any, after: Snapshot, record: Any, spec: FieldSpec | None) -> str:
    """A field with what it was and is; the field alone where a line has no room for its value."""
    label = inside(_label(record, spec))
    if spec is None:
        then: str | None = _(was.NAME) if hasattr(was, "NAME") else None
        now: str | None = _(record.NAME) if hasattr(record, "NAME") else None
    else:
        then = _said(before, spec, getattr(was, spec.name))
        now = _said(after, spec, getattr(record, spec.name))
    if then is None or now is None or then == now:
        return label
    return _("{field}: {before}, now {after}").format(field=label, before=then, after=now)


def _said(snapshot: Snapshot, spec: FieldSpec, value: Any) -> str | None:
    """A value as a page says it; `None` for records within the record and for long text."""
    if value is None or value in ("", ()):
        return _("not known") if spec.shape in ("number", "whole", "yesno") or spec.choices else _("nothing recorded")
    if spec.shape == "number":
        # four digits: what a rating is changed by is seldom less
        return show(value, spec.fact.unit, snapshot.settings.units, 4) if spec.fact.unit else number(value)
    if spec.shape == "yesno":
        return _("yes") if value else _("no")
    if spec.fact.unit == "size":
        return show_size(value)
    if spec.fact.refers:
        name = snapshot.name(value) if isinstance(value, str) else value
        return str(name) if name != value else None  # an id tells a reader nothing
    if spec.shape in ("whole", "choice", "word"):
        text = " ".join(str(value).split())
        return None if len(text) > _LONGEST else _(text) if spec.choices else text
    return None
