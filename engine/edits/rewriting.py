"""A record with what it names changed or left out: when things go, and when they are pasted under new ids."""

from __future__ import annotations

import functools
from collections.abc import Callable
from typing import Any

import msgspec

from engine.record import FieldSpec, field_specs

__all__ = ["Rename", "rewritten"]

# (table, id) -> the id it has now, "" where it is no longer there
Rename = Callable[[str, str], str]


def rewritten(record: Any, rename: Rename) -> Any:
    """The record with every id it names renamed; `None` where it must name something that is no longer there.

    A list gets shorter by what names nothing any more, a field that may be empty becomes empty.
    """
    cls: Any = type(record)
    changes: dict[str, Any] = {}
    for spec in _naming(cls):
        old = getattr(record, spec.name)
        if not old:
            continue
        new: Any = old
        if spec.shape == "records":
            new = tuple(made for made in (rewritten(each, rename) for each in old) if made is not None)
        elif spec.shape == "record":
            new = rewritten(old, rename)
            if new is None and not spec.optional:
                return None
        elif spec.shape == "words":
            new = tuple(made for made in (rename(spec.fact.refers, each) for each in old) if made)
        else:
            new = rename(spec.fact.refers, old)
            if not new and spec.default is msgspec.NODEFAULT:
                return None
        if new != old:
            changes[spec.name] = new
    return msgspec.structs.replace(record, **changes) if changes else record


@functools.cache
def _naming(cls: Any) -> tuple[FieldSpec, ...]:
    """Fields of a class that name records, or hold what does."""
    return tuple(
        spec
        for spec in field_specs(cls)
        if spec.fact.refers or (spec.shape in ("records", "record") and _naming(spec.item))
    )
