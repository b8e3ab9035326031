"""Three states of one record made one, field by field; what both changed unlike is asked."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import msgspec

from engine.comparing.fields import key_of
from engine.merging.conflict import Choice
from engine.record import FieldSpec, Record, field_specs

__all__ = ["Ask", "merged_record"]

# (path, specs, base, a, b) -> whose value is taken
Ask = Callable[[str, tuple[FieldSpec, ...], Any, Any, Any], Choice]


def merged_record(base: Record, a: Record, b: Record, ask: Ask) -> Record:
    """All three of one class. Where only one side changed a field, its value is taken."""
    changes: dict[str, Any] = {}
    for spec in field_specs(type(a)):
        values = (getattr(base, spec.name), getattr(a, spec.name), getattr(b, spec.name))
        made = _value(spec.file_name, (spec,), *values, ask)
        if made is not values[1]:
            changes[spec.name] = made
    for extra in ("origins", "unknown"):
        mine, theirs, first = (dict(getattr(record, extra)) for record in (a, b, base))
        pairs: dict[str, Any] = {}
        for name in sorted({*first, *mine, *theirs}):
            value = _plain(f"{extra}.{name}", (), first.get(name), mine.get(name), theirs.get(name), ask)
            if value is not None:
                pairs[name] = value
        if pairs != mine:
            changes[extra] = tuple(sorted(pairs.items()))
    return msgspec.structs.replace(a, **changes) if changes else a


def _plain(path: str, specs: tuple[FieldSpec, ...], base: Any, a: Any, b: Any, ask: Ask) -> Any:
    if a == b or b == base:
        return a
    if a == base:
        return b
    return {"a": a, "b": b, "base": base}[ask(path, specs, base, a, b)]


def _value(path: str, specs: tuple[FieldSpec, ...], base: Any, a: Any, b: Any, ask: Ask) -> Any:
    if a == b or b == base:
        return a
    if a == base:
        return b
    spec = specs[-1]
    if spec.shape == "record" and None not in (base, a, b):
        return _struct(path, specs, base, a, b, ask)
    if spec.shape == "records":
        key = key_of(spec.item)
        three = [_keyed(values, key) for values in (base, a, b)]
        if key and all(each is not None for each in three):
            first, mine, theirs = (each or {} for each in three)
            return _members(path, specs, first, mine, theirs, ask)
    if spec.shape == "words" and all(len(set(values)) == len(values) for values in (base, a, b)):
        return _set(base, a, b)
    return _plain(path, specs, base, a, b, ask)


def _struct(path: str, specs: tuple[FieldSpec, ...], base: Any, a: Any, b: Any, ask: Ask) -> Any:
    changes: dict[str, Any] = {}
    for inner in field_specs(specs[-1].item):
        values = (getattr(base, inner.name), getattr(a, inner.name), getattr(b, inner.name))
        made = _value(f"{path}.{inner.file_name}", (*specs, inner), *values, ask)
        if made is not values[1]:
            changes[inner.name] = made
    return msgspec.structs.replace(a, **changes) if changes else a


def _keyed(values: tuple[Any, ...], key: str) -> dict[str, Any] | None:
    found = {getattr(value, key): value for value in values} if key else {}
    return found if len(found) == len(values) and "" not in found else None


def _members(
    path: str,
    specs: tuple[FieldSpec, ...],
    base: dict[str, Any],
    a: dict[str, Any],
    b: dict[str, Any],
    ask: Ask,
) -> tuple[Any, ...]:
    """A list of small records by what each is about; one taken out there and changed here is asked as a whole."""
    made: dict[str, Any] = {}
    for name in _order(tuple(base), tuple(a), tuple(b)):
        at = f"{path}[{name}]"
        first, mine, theirs = base.get(name), a.get(name), b.get(name)
        if first is not None and mine is not None and theirs is not None:
            value = _struct(at, specs, first, mine, theirs, ask)
        else:
            value = _plain(at, specs, first, mine, theirs, ask)
        if value is not None:
            made[name] = value
    return tuple(made.values())


def _order(base: tuple[str, ...], a: tuple[str, ...], b: tuple[str, ...]) -> list[str]:
    """Names in the order of the side that changed it, `a` where both did; what only the other has stands behind."""
    shared = [name for name in base if name in a and name in b]
    moved_b = [name for name in b if name in shared] != shared
    moved_a = [name for name in a if name in shared] != shared
    first, second = (b, a) if moved_b and not moved_a else (a, b)
    return list(dict.fromkeys((*first, *second, *base)))


def _set(base: tuple[str, ...], a: tuple[str, ...], b: tuple[str, ...]) -> tuple[str, ...]:
    """What either added, without what either took out."""
    gone = {each for each in base if each not in a or each not in b}
    return tuple(each for each in _order(base, a, b) if each not in gone)
