"""The fields in which two records of one table differ, down to those of the records within them.

A path names a field as the file does: `rating_a`, `to.torque_nm`, `settings[e5].position`. A list of small records is
gone through by what each of them is about (the switch of a setting, the place of a passage) where no two are about the
same; else the list is told as a whole.
"""

from __future__ import annotations

import functools
from collections.abc import Iterator, Mapping
from typing import Any, NamedTuple

import msgspec

from engine.record import FieldSpec, Part, Record, field_specs, to_builtins

__all__ = ["WAS", "Difference", "field_differences", "gone", "key_of", "moved"]

KIND = "kind"  # the path that says that it is another kind altogether
WAS = "was "  # before an id of the older drawing that is nothing in the newer: no id begins so
_KEYS = ("equipment", "place", "position", "name", "terminal")  # what a small record is about


class Difference(NamedTuple):
    """One field: its path, the specs that lead to it, and its value in both. `None` for a member that is not there."""

    path: str
    specs: tuple[FieldSpec, ...]
    before: Any
    after: Any


def field_differences(was: Record, now: Record, same: Mapping[str, str] | None = None) -> Iterator[Difference]:
    """Every field that differs, in the order of the record.

    `same`: every id of the drawing of `was` -> id in that of `now` of the same thing, `gone` where there is none.

    Where a value comes from (`origins`) and what this version does not know (`unknown`) count as fields too.
    """
    if was is now:
        return
    same = same or {}
    if _foreign(was) or _foreign(now):
        yield from _foreign_differences(was, now)
        return
    if type(was) is not type(now):
        yield Difference(KIND, (), getattr(was, "KIND", ""), getattr(now, "KIND", ""))
        by_name = {spec.name: spec for spec in field_specs(type(was))}
        pairs = [(by_name[s.name], s) for s in field_specs(type(now)) if s.name in by_name]
        mine = {s.name for s in field_specs(type(now))}
        for spec in field_specs(type(was)):
            if spec.name not in mine and getattr(was, spec.name) != spec.default:
                yield Difference(spec.file_name, (spec,), getattr(was, spec.name), None)
        for spec in field_specs(type(now)):
            if spec.name not in by_name and getattr(now, spec.name) != spec.default:
                yield Difference(spec.file_name, (spec,), None, getattr(now, spec.name))
    else:
        pairs = [(spec, spec) for spec in field_specs(type(now))]
    for old, spec in pairs:
        before, after = getattr(was, old.name), getattr(now, spec.name)
        if (
            (before is not after and before != after)
            or (spec.fact.refers and same)
            or (spec.shape in ("record", "records") and same and before)
        ):
            yield from _value(spec.file_name, (spec,), before, after, same)
    if was.origins != now.origins:
        then, there = dict(was.origins), dict(now.origins)
        for name in sorted(then.keys() | there.keys()):
            if then.get(name) != there.get(name):
                yield Difference(f"origins.{name}", (), then.get(name), there.get(name))
    yield from _unknown("", was, now)


def _unknown(prefix: str, was: Part, now: Part) -> Iterator[Difference]:
    """Members this version does not know, as JSON text."""
    if was.unknown == now.unknown:
        return
    then, there = dict(was.unknown), dict(now.unknown)
    for name in sorted(then.keys() | there.keys()):
        if then.get(name) != there.get(name):
            yield Difference(f"{prefix}{name}", (), then.get(name), there.get(name))


def _foreign(record: Record) -> bool:
    """Whether it is of a kind that this version does not know: all its members are kept as they were read."""
    return getattr(record, "KIND", None) == ""


def _foreign_differences(was: Record, now: Record) -> Iterator[Difference]:
    """Member by member as the file holds them, each as JSON text: what they mean is not known."""
    then, there = _members_of(was), _members_of(now)
    for name in sorted(then.keys() | there.keys(), key=lambda n: (n != KIND, n)):
        if then.get(name) != there.get(name):
            yield Difference(name, (), then.get(name), there.get(name))


def _members_of(record: Record) -> dict[str, str]:
    held = to_builtins(record)
    held.pop("arrivals", None)  # follows from the runs
    held.setdefault(KIND, getattr(record, "KIND", ""))
    return {
        name: str(value) if name == KIND else msgspec.json.encode(value, order="sorted").decode()
        for name, value in held.items()
    }


def _value(
    path: str, specs: tuple[FieldSpec, ...], before: Any, after: Any, same: Mapping[str, str]
) -> Iterator[Difference]:
    spec = specs[-1]
    if spec.shape == "record" and before is not None and after is not None:
        for inner in field_specs(spec.item):
            yield from _value(
                f"{path}.{inner.file_name}",
                (*specs, inner),
                getattr(before, inner.name),
                getattr(after, inner.name),
                same,
            )
        yield from _unknown(f"{path}.", before, after)
        return
    if spec.shape == "records":
        key = key_of(spec.item)
        old = _keyed(before, key, same)
        new = _keyed(after, key, {})
        if key and old is not None and new is not None and (old or new):
            yield from _members(path, specs, key, old, new, same)
            return
    if before == after and not same:
        return
    if moved(before, spec, same) != after:
        yield Difference(path, specs, before, after)


def _members(
    path: str,
    specs: tuple[FieldSpec, ...],
    key: str,
    old: dict[str, Any],
    new: dict[str, Any],
    same: Mapping[str, str],
) -> Iterator[Difference]:
    spec = specs[-1]
    for name in (*old, *(n for n in new if n not in old)):
        at = f"{path}[{name}]"
        if name not in old or name not in new:
            yield Difference(at, specs, old.get(name), new.get(name))
            continue
        for inner in field_specs(spec.item):
            if inner.name != key:
                yield from _value(
                    f"{at}.{inner.file_name}",
                    (*specs, inner),
                    getattr(old[name], inner.name),
                    getattr(new[name], inner.name),
                    same,
                )
        yield from _unknown(f"{at}.", old[name], new[name])
    there = [n for n in old if n in new]
    if there != [n for n in new if n in old]:  # the same members in another order: it may matter, so it is told
        yield Difference(f"{path}[]", specs, tuple(there), tuple(n for n in new if n in old))


@functools.cache
def key_of(cls: Any) -> str:
    """The field that says what a small record is about, "" where none does."""
    names = {spec.name for spec in field_specs(cls)}
    return next((key for key in _KEYS if key in names), "")


def gone(item: str) -> str:
    """Stands for what the older drawing has under an id and the newer has not: the same as no id of the newer."""
    return WAS + item


@functools.cache
def _speaks(cls: Any, key: str) -> bool:
    """Whether a field of a small record holds ids."""
    return any(spec.name == key and bool(spec.fact.refers) for spec in field_specs(cls))


def _keyed(values: tuple[Any, ...], key: str, same: Mapping[str, str]) -> dict[str, Any] | None:
    """By what each is about; `None` where two are about the same, or one about nothing."""
    if not key:
        return None
    found: dict[str, Any] = {}
    cls: Any = type(values[0]) if values else None
    speaks = bool(values) and _speaks(cls, key)
    for value in values:
        name = getattr(value, key)
        if same and speaks:
            name = same.get(name, name)
        if not name or name in found:
            return None
        found[name] = value
    return found


def moved(value: Any, spec: FieldSpec, same: Mapping[str, str]) -> Any:
    """A value of the older drawing with the ids of the newer, where its field holds ids."""
    if not same:
        return value
    if spec.fact.refers or spec.name in ("at", "points_at"):
        if isinstance(value, str):
            return same.get(value, value)
        if isinstance(value, tuple):
            return tuple(same.get(each, each) for each in value)
    if spec.shape == "record" and value is not None:
        return _moved_struct(value, same)
    if spec.shape == "records":
        return tuple(_moved_struct(each, same) for each in value)
    return value


def _moved_struct(value: Any, same: Mapping[str, str]) -> Any:
    changes = {}
    for spec in field_specs(type(value)):
        before = getattr(value, spec.name)
        after = moved(before, spec, same)
        if after is not before and after != before:
            changes[spec.name] = after
    return msgspec.structs.replace(value, **changes) if changes else value
