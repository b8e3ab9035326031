"""Conflicts in words: what is asked, and what each side has."""

from __future__ import annotations

from typing import Any

from engine.comparing.fields import field_differences
from engine.comparing.telling import value_words
from engine.installation.model import LONE, Snapshot
from engine.merging.conflict import Choice, Conflict
from engine.merging.values import LED_TO, WHERE
from engine.naming import inside, label_of, speaks_of, title_of
from engine.record import field_specs
from engine.words import _

__all__ = ["conflict_words", "side_words"]

_LONGEST = 60


def conflict_words(conflict: Conflict, base: Snapshot, a: Snapshot, b: Snapshot) -> str:
    """One sentence: what both sides did that cannot both be. `b` with ids of its own (`Merged.b`)."""
    name = _name(conflict.table, conflict.item, a, b, base)
    if conflict.sort == "field":
        return _("{name}: both changed {field}.").format(name=name, field=_field(conflict, a, b, base))
    if conflict.sort == "kind":
        return _("{name}: one made it another kind of thing, the other changed it too.").format(name=name)
    if conflict.sort == "removed":
        if conflict.a is None:
            return _("{name}: the first drawing has it no more, the second changed it.").format(name=name)
        return _("{name}: the second drawing has it no more, the first changed it.").format(name=name)
    others = ", ".join(_name(t, i, a, b, base) for t, i in conflict.others)
    if conflict.sort == "needed":
        if conflict.a is not None and conflict.b is not None:
            return _("{name}: as one drawing has it, it lacks what {others} needs.").format(name=name, others=others)
        return _("{name}: one drawing has it no more, in the other {others} needs it.").format(name=name, others=others)
    if conflict.sort == "designation":
        return _("{name}: each drawing gave this name to another thing; the other is {others}.").format(
            name=f"{conflict.b.designation} {conflict.b.label}".strip(), others=_what(conflict, a, b)
        )
    if conflict.sort == "drawn twice":
        return _("{name}: each drawing put it on a sheet; it can stand there once.").format(name=name)
    return _("{name}: each drawing has a revision of this index.").format(name=name)


def side_words(conflict: Conflict, side: Choice, base: Snapshot, a: Snapshot, b: Snapshot) -> str:
    """What one side has, for people."""
    value = {"a": conflict.a, "b": conflict.b, "base": conflict.base}[side]
    snapshot = {"a": a, "b": b, "base": base}[side]
    if conflict.sort == "field" and _together(conflict):
        if value is None:
            return _("nothing recorded")
        specs, named = conflict.specs[-len(value) :], _with(snapshot, a, b)
        words = [value_words(named, spec, each) for spec, each in zip(specs, value, strict=True)]
        if _together(conflict) == LED_TO:
            return ", ".join(words)
        cls: Any = type(_record_of(conflict, a, b, base))
        cls = conflict.specs[-len(value) - 1].item if len(conflict.specs) > len(value) else cls
        return ", ".join(
            each if spec.shape == "word" else f"{each} {inside(label_of(cls, spec))}"
            for spec, each in zip(specs, words, strict=True)
        )
    if conflict.sort == "field" and conflict.specs:
        return value_words(_with(snapshot, a, b), conflict.specs[-1], value)
    if conflict.sort == "field":
        return _("nothing recorded") if value is None else _(str(value))
    if value is None:
        return _("no longer there") if conflict.base is not None else _("not there")
    named = _with(snapshot, a, b)
    if conflict.sort == "removed" and side != "base" and type(value) is type(conflict.base):
        return _changes_words(named, conflict.base, value)
    return _record_words(named, value)


def _with(snapshot: Snapshot, a: Snapshot, b: Snapshot) -> Snapshot:
    """A snapshot whose names of equipment, places and the rest are those of all: a value may name what is new."""
    tables = {t: b.tables[t] | a.tables[t] | rows for t, rows in snapshot.tables.items()}
    return Snapshot(tables=tables, lone=snapshot.lone)


def _changes_words(snapshot: Snapshot, base: Any, record: Any) -> str:
    """What one side changed of what the other took away."""
    told = []
    for made in field_differences(base, record):
        if made.specs and not isinstance(made.after, tuple):
            label = inside(label_of(type(record) if len(made.specs) == 1 else made.specs[-2].item, made.specs[-1]))
            told.append(f"{label} {value_words(snapshot, made.specs[-1], made.after)}")
    return _shortened(", ".join(told)) if told else _record_words(snapshot, record)


def _record_words(snapshot: Snapshot, record: Any) -> str:
    """The first few things recorded of it."""
    told = []
    for spec in field_specs(type(record)):
        value = getattr(record, spec.name)
        if value == spec.default or spec.shape in ("record", "records") or spec.name == "designation":
            continue
        words = value_words(snapshot, spec, value)
        told.append(words if spec.shape in ("word", "choice") else f"{inside(label_of(type(record), spec))} {words}")
        if len(told) == 4:
            break
    kind = inside(_(type(record).NAME)) if hasattr(type(record), "NAME") else ""
    text = ", ".join(part for part in (kind, *told) if part) or _("nothing recorded")
    return _shortened(text)


def _shortened(text: str) -> str:
    return text if len(text) <= 4 * _LONGEST else text[: 4 * _LONGEST - 1].rstrip() + "…"


def _what(conflict: Conflict, a: Snapshot, b: Snapshot) -> str:
    value: Any = conflict.a
    return value.label or (inside(_(type(value).NAME)) if hasattr(type(value), "NAME") else _("a run"))


def _name(table: str, item: str, *snapshots: Snapshot) -> str:
    if table in LONE:
        return title_of(snapshots[0], table, item)
    for snapshot in snapshots:
        record = snapshot.tables[table].get(item)
        if record is not None:
            if table in ("placements", "routes"):
                of = getattr(record, "equipment", "") or getattr(record, "run", "")
                return speaks_of(snapshot, of) if of else item
            name = title_of(snapshot, table, item)
            label = getattr(record, "label", "")
            return f"{name} {label}" if label and label != name else name
    return item


def _field(conflict: Conflict, *snapshots: Snapshot) -> str:
    if not conflict.specs:
        return conflict.path.replace("_", " ")
    cls: Any = type(_record_of(conflict, *snapshots))
    parts = []
    together, specs = _together(conflict), conflict.specs
    if together:
        specs = specs[: -len(conflict.a or conflict.b or conflict.base)]
    for spec in specs:
        parts.append(inside(label_of(cls, spec)))
        cls = spec.item
    if together:
        parts.append(_("where it stands") if together == WHERE else _("where it is led"))
    about = [part.partition("]")[0] for part in conflict.path.split("[")[1:]]
    for n, item in enumerate(about):
        if item and n < len(parts):
            parts[n] = f"{parts[n]}, {next((t for t in (speaks_of(s, item) for s in snapshots) if t != item), item)}"
    return parts[0] if len(parts) == 1 else _("{part} at {whole}").format(part=parts[-1], whole=parts[-2])


def _together(conflict: Conflict) -> str:
    """Which of the things that several fields say together, "" for a field of its own."""
    name = conflict.path.rpartition(".")[2]
    return name if name in (WHERE, LED_TO) and conflict.specs else ""


def _record_of(conflict: Conflict, *snapshots: Snapshot) -> Any:
    for snapshot in snapshots:
        record = snapshot.lone.get(conflict.item) if conflict.table in LONE else None
        record = record or snapshot.tables.get(conflict.table, {}).get(conflict.item)
        if record is not None:
            return record
    return None
