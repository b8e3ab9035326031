"""What differs between two drawings, in sentences: sections for what is aboard first, then for how it is drawn."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any, Literal, NamedTuple

import msgspec

from engine.comparing.differences import Differences, FieldChange
from engine.comparing.fields import WAS, key_of
from engine.installation.model import LONE, Snapshot
from engine.naming import inside, label_of, natural, speaks_of, title_of
from engine.record import FieldSpec, field_specs
from engine.units import number, show, show_size
from engine.words import N_, _, ngettext

__all__ = ["SECTIONS", "Line", "Section", "told", "value_words"]

How = Literal["added", "removed", "changed"]
_LONGEST = 60  # characters of a text that a line repeats
_DRAWN_TABLES = ("placements", "routes")  # told as numbers: nobody reads grid steps

SECTIONS: tuple[tuple[str, str, tuple[str, ...]], ...] = (
    ("equipment", N_("Equipment"), ("equipment",)),
    ("runs", N_("Runs"), ("runs",)),
    ("conditions", N_("Operating conditions and switch positions"), ("conditions",)),
    ("interlocks", N_("Interlocks"), ("interlocks",)),
    ("book", N_("Rule book and settings of the drawing"), ("settings",)),
    ("places", N_("Places, panels and enclosures"), ("places", "enclosures")),
    ("vessel", N_("Vessel"), ("vessel",)),
    ("survey", N_("Survey"), ("surveys", "deficiencies", "inspections", "instruments", "readings", "photographs")),
    ("waivers", N_("Waivers"), ("waivers",)),
    ("issue", N_("Title block and revisions"), ("title_block", "revisions")),
    ("sheets", N_("How it is drawn"), ("sheets", "placements", "routes", "remarks")),
)


class Line(NamedTuple):
    """One thing: what became of it, what it is called, its fields in words. `item` is "" where things are counted."""

    how: How
    table: str
    item: str  # id in the newer drawing; in the older where it was removed
    name: str
    fields: tuple[str, ...] = ()
    because: str = ""  # by likeness: why it was taken for the same, with the score


class Section(NamedTuple):
    """Lines on things of one sort, removed, added, changed, each by name."""

    key: str
    title: str
    lines: tuple[Line, ...]


def told(before: Snapshot, after: Snapshot, made: Differences) -> tuple[Section, ...]:
    """The sections in which something differs, in their order."""
    by_thing: dict[tuple[str, str], list[FieldChange]] = {}
    for change in made.changed:
        by_thing.setdefault((change.table, change.item), []).append(change)
    why = {pair.after: pair for pair in made.pairs}
    sections = []
    for key, title, tables in SECTIONS:
        lines: list[Line] = []
        for table in tables:
            if table in _DRAWN_TABLES:
                continue
            lines += [Line("removed", t, i, _name(before, t, i)) for t, i in made.removed if t == table]
            lines += [Line("added", t, i, _name(after, t, i)) for t, i in made.added if t == table]
            for (t, item), changes in by_thing.items():
                if t == table:
                    pair = why.get(item)
                    because = "" if pair is None or not pair.unsure else _because(pair.score, pair.why)
                    fields = tuple(_field_words(before, after, change) for change in changes)
                    lines.append(Line("changed", t, item, _changed_name(before, after, changes[0]), fields, because))
        if key == "sheets":
            lines += _drawn(made)
        if lines:
            order = {"removed": 0, "added": 1, "changed": 2}
            lines.sort(key=lambda line: (order[line.how], natural(line.name)))
            sections.append(Section(key, _(title), tuple(lines)))
    return tuple(sections)


def _because(score: float, why: Sequence[str]) -> str:
    reasons = "; ".join(why) or _("nothing else is as like")
    return _("taken for the same, but not surely ({score} of 1): {reasons}").format(
        score=number(score, 2), reasons=reasons
    )


def _name(snapshot: Snapshot, table: str, item: str) -> str:
    name = title_of(snapshot, table, item)
    record = snapshot.tables[table][item]
    label = getattr(record, "label", "")
    return f"{name} {label}" if label and label != name else name


def _changed_name(before: Snapshot, after: Snapshot, change: FieldChange) -> str:
    if change.table in LONE:
        return title_of(after, change.table, change.item)
    now, was = title_of(after, change.table, change.item), title_of(before, change.table, change.was)
    record: Any = after.tables[change.table][change.item]
    label = getattr(record, "label", "")
    named = f"{now} {label}" if label and label != now else now
    old: Any = before.tables[change.table][change.was]
    if now != was and hasattr(old, "designation") and old.designation:
        return _("{name}, formerly {was}").format(name=named, was=was)
    return named


def _drawn(made: Differences) -> list[Line]:
    """Symbols and lines that were moved, drawn or taken off, counted."""
    lines = []
    moved = len({c.item for c in made.changed if c.table == "placements"})
    led = len({c.item for c in made.changed if c.table == "routes"})
    fresh = sum(t in _DRAWN_TABLES for t, _i in made.added)
    gone = sum(t in _DRAWN_TABLES for t, _i in made.removed)
    for count, one, many in (
        (moved, N_("{n} symbol is drawn elsewhere"), N_("{n} symbols are drawn elsewhere")),
        (led, N_("{n} line is led another way"), N_("{n} lines are led another way")),
        (fresh, N_("{n} symbol or line is drawn anew"), N_("{n} symbols or lines are drawn anew")),
        (gone, N_("{n} symbol or line is no longer drawn"), N_("{n} symbols or lines are no longer drawn")),
    ):
        if count:
            lines.append(Line("changed", "placements", "", ngettext(one, many, count).format(n=count)))
    return lines


# -- fields -----------------------------------------------------------------------------------------------------------
def _field_words(before: Snapshot, after: Snapshot, change: FieldChange) -> str:
    """*rated current of the link: 200 A, now 150 A*."""
    if change.field == "kind":
        then, now = _kind(change.before), _kind(change.after)
        return _("kind: {before}, now {after}").format(before=then, after=now)
    if change.field.startswith("origins."):
        field = _field_named(_record(after, change.table, change.item), change.field.partition(".")[2])
        return _("where the value of {field} comes from: {before}, now {after}").format(
            field=field,
            before=_(change.before) if change.before else _("not said"),
            after=_(change.after) if change.after else _("not said"),
        )
    if not change.specs:
        then, now = (_("nothing recorded") if v is None else _short(str(v)) for v in (change.before, change.after))
        return _("{field}, which this version does not know: {before}, now {after}").format(
            field=change.field, before=then, after=now
        )
    label = _label(before, after, change)
    last: FieldSpec = change.specs[-1]
    if change.field.endswith("]") and last.shape == "records":
        return _member_words(before, after, change, label)
    return _("{field}: {before}, now {after}").format(
        field=label, before=value_words(before, last, change.before), after=value_words(after, last, change.after)
    )


def _label(before: Snapshot, after: Snapshot, change: FieldChange) -> str:
    """The field as pages call it; a field within another with what it lies in."""
    record = _record(after, change.table, change.item)
    cls: Any = type(record)
    if not any(spec.name == change.specs[0].name for spec in field_specs(cls)):
        cls = type(_record(before, change.table, change.was))
    parts = []
    for spec in change.specs:
        parts.append(inside(label_of(cls, spec)))
        cls = spec.item
    about = [part.partition("]")[0] for part in change.field.split("[")[1:]]
    for n, item in enumerate(about):
        if item and n < len(parts):
            name = speaks_of(after, item)
            if name == item:
                name = speaks_of(before, item.removeprefix(WAS))
            if key_of(change.specs[n].item) == "equipment" and n == len(parts) - 2:
                return _("{part} of {whole}").format(part=parts[-1], whole=name)
            parts[n] = f"{parts[n]}, {name}"
    if len(parts) == 1:
        return parts[0]
    return _("{part} at {whole}").format(part=parts[-1], whole=parts[-2])


def _member_words(before: Snapshot, after: Snapshot, change: FieldChange, label: str) -> str:
    if change.field.endswith("[]"):
        return _("{field}: in another order").format(field=label)
    gone = change.after is None
    held = change.before if gone else change.after
    cls: Any = type(held)
    value = _struct_words(before if gone else after, held, key_of(cls))
    if gone:
        return _("{field}: no longer; it was {value}").format(field=label, value=value)
    return _("{field}: new, {value}").format(field=label, value=value)


def _record(snapshot: Snapshot, table: str, item: str) -> Any:
    return snapshot.lone[table] if table in LONE else snapshot.tables[table][item]


def _field_named(record: Any, name: str) -> str:
    """A field as pages call it; its name in the file where the record has no such field."""
    cls: Any = type(record)
    spec = next((s for s in field_specs(cls) if name in (s.name, s.file_name)), None)
    return name.replace("_", " ") if spec is None else inside(label_of(cls, spec))


def _kind(kind: str) -> str:
    from engine.equipment import kind_named

    cls = kind_named(kind)
    return inside(_(cls.NAME)) if cls is not None else kind


def value_words(snapshot: Snapshot, spec: FieldSpec, value: Any) -> str:
    """A value as people read it; that it is not known where it is not."""
    if value is None or value in ("", ()):
        return _("not known") if spec.shape in ("number", "whole", "yesno") or spec.choices else _("nothing recorded")
    if isinstance(value, msgspec.Struct):
        return _struct_words(snapshot, value)
    if spec.shape == "number":
        return show(value, spec.fact.unit, snapshot.settings.units, 4) if spec.fact.unit else number(value, 4)
    if spec.shape == "yesno":
        return _("yes") if value else _("no")
    if spec.fact.unit == "size":
        return show_size(value)
    if isinstance(value, tuple):
        return ", ".join(_each(snapshot, spec, each) for each in value)
    return _each(snapshot, spec, value)


def _each(snapshot: Snapshot, spec: FieldSpec, value: Any) -> str:
    if isinstance(value, msgspec.Struct):
        return _struct_words(snapshot, value)
    if isinstance(value, str) and (spec.fact.refers or spec.name in ("at", "points_at")):
        table = spec.fact.refers
        if table and value in snapshot.tables.get(table, {}):
            return title_of(snapshot, table, value)
        return speaks_of(snapshot, value)
    text = " ".join(str(value).split())
    text = _(text) if spec.choices else text
    return _short(text)


def _short(text: str) -> str:
    return text if len(text) <= _LONGEST else f"“{text[: _LONGEST - 1].rstrip()}…”"


def _struct_words(snapshot: Snapshot, value: Any, told_already: str = "") -> str:
    """A small record by what is recorded in it."""
    if not isinstance(value, msgspec.Struct):
        return str(value)
    told_fields = []
    for spec in field_specs(type(value)):
        held = getattr(value, spec.name)
        if spec.name == told_already or (held == spec.default and spec.default is not msgspec.NODEFAULT):
            continue
        words = value_words(snapshot, spec, held)
        if spec.shape in ("number", "whole", "yesno"):
            words = f"{inside(label_of(type(value), spec))} {words}"
        told_fields.append(words)
    return ", ".join(told_fields) or _("nothing recorded")
