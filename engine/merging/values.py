"""Three states of one record made one, field by field; what both changed unlike is asked."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import msgspec

from engine.comparing.fields import key_of
from engine.merging.conflict import Choice
from engine.record import FieldSpec, Record, field_specs

__all__ = ["LED_TO", "WHERE", "Ask", "merged_record"]

WHERE, LED_TO = "where", "led to"  # paths of what several fields say together
_TOGETHER = ((WHERE, ("sheet", "x", "y")), (LED_TO, ("equipment", "terminal")), (LED_TO, ("at", "terminal")))
_SETS = ("left_out", "standards", "designations", "positions")  # lists of words that each stand for themselves

# (path, specs, base, a, b) -> whose value is taken
Ask = Callable[[str, tuple[FieldSpec, ...], Any, Any, Any], Choice]


def merged_record(base: Record, a: Record, b: Record, ask: Ask) -> Record:
    """All three of one class. Where only one side changed a field, its value is taken."""
    changes = _together("", (), base, a, b, ask)
    for spec in field_specs(type(a)):
        if spec.name in changes:
            continue
        values = (getattr(base, spec.name), getattr(a, spec.name), getattr(b, spec.name))
        made = _value(spec.file_name, (spec,), *values, ask)
        if made is not values[1]:
            changes[spec.name] = made
    for extra in ("origins", "unknown"):
        _pairs("", extra, base, a, b, ask, changes)
    return msgspec.structs.replace(a, **changes) if changes else a


def _pairs(prefix: str, extra: str, base: Any, a: Any, b: Any, ask: Ask, changes: dict[str, Any]) -> None:
    """`origins` or `unknown` of three, name by name, where that changes what `a` has."""
    mine, theirs, first = (dict(getattr(each, extra)) for each in (a, b, base))
    pairs: dict[str, Any] = {}
    for name in sorted({*first, *mine, *theirs}):
        value = _plain(f"{prefix}{extra}.{name}", (), first.get(name), mine.get(name), theirs.get(name), ask)
        if value is not None:
            pairs[name] = value
    if pairs != mine:
        changes[extra] = tuple(sorted(pairs.items()))


def _together(prefix: str, specs: tuple[FieldSpec, ...], base: Any, a: Any, b: Any, ask: Ask) -> dict[str, Any]:
    """Values of fields of which one says nothing without the other: a point, a terminal of a piece of equipment."""
    by_name = {spec.name: spec for spec in field_specs(type(a))}
    for path, fields in _TOGETHER:
        own = [name for name in fields if name in by_name]
        if len(own) < 2 or (path == LED_TO and own[-1] != "terminal"):
            continue
        three = [tuple(getattr(side, name) for name in own) for side in (base, a, b)]
        first, mine, theirs = three
        if mine != theirs and first not in (mine, theirs):
            each = tuple(by_name[name] for name in own)
            side = ask(f"{prefix}{path}", (*specs, *each), first, mine, theirs)
            return dict(zip(own, {"a": mine, "b": theirs, "base": first}[side], strict=True))
    return {}


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
    if (
        spec.shape == "words"
        and (spec.fact.refers or spec.name in _SETS)
        and all(len(set(values)) == len(values) for values in (base, a, b))
    ):
        return _set(base, a, b)
    return _plain(path, specs, base, a, b, ask)


def _struct(path: str, specs: tuple[FieldSpec, ...], base: Any, a: Any, b: Any, ask: Ask) -> Any:
    changes = _together(f"{path}.", specs, base, a, b, ask)
    for inner in field_specs(specs[-1].item):
        if inner.name in changes:
            continue
        values = (getattr(base, inner.name), getattr(a, inner.name), getattr(b, inner.name))
        made = _value(f"{path}.{inner.file_name}", (*specs, inner), *values, ask)
        if made is not values[1]:
            changes[inner.name] = made
    _pairs(f"{path}.", "unknown", base, a, b, ask, changes)
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
    for name in _asked_order(path, specs, base, a, b, ask):
        at = f"{path}[{name}]"
        first, mine, theirs = base.get(name), a.get(name), b.get(name)
        if first is not None and mine is not None and theirs is not None:
            value = _struct(at, specs, first, mine, theirs, ask)
        else:
            value = _plain(at, specs, first, mine, theirs, ask)
        if value is not None:
            made[name] = value
    return tuple(made.values())


def _asked_order(
    path: str,
    specs: tuple[FieldSpec, ...],
    base: dict[str, Any],
    a: dict[str, Any],
    b: dict[str, Any],
    ask: Ask,
) -> list[str]:
    """As `_order`; where both put them into another order, and not the same, it is asked."""
    three = [[name for name in side if name in base and name in a and name in b] for side in (base, a, b)]
    if three[1] == three[2] or three[0] in three[1:]:
        return _order(tuple(base), tuple(a), tuple(b))
    values = [tuple(side[name] for name in order) for side, order in zip((base, a, b), three, strict=True)]
    side = ask(f"{path}[]", specs, *values)
    first = {"a": a, "b": b, "base": base}[side]
    return list(dict.fromkeys((*first, *a, *b, *base)))


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
