"""What cannot be decided without a person: where both changed the same, or one removed what the other needs."""

from __future__ import annotations

from typing import Any, Literal, NamedTuple

__all__ = ["Choice", "Conflict", "MergeError", "Sort"]

Choice = Literal["a", "b", "base"]
Sort = Literal["field", "removed", "kind", "needed", "designation", "drawn twice", "revision"]


class MergeError(ValueError):
    """Why the three cannot be merged, in one sentence."""


class Conflict(NamedTuple):
    """One question. `key` is the same each time the three drawings are merged, whatever else was decided.

    `table`, `item`: the record it is about; `path`: the field, "" the whole record. `base`, `a`, `b`: what each has,
    `None` for what is not there; of several fields that only together say something (`path` "where", "led to") their
    values in the order of `specs`. `choices`: what may be answered. `specs`: of the field, from the outermost in.
    """

    key: str
    sort: Sort
    table: str
    item: str
    path: str
    base: Any
    a: Any
    b: Any
    choices: tuple[Choice, ...] = ("a", "b", "base")
    specs: tuple[Any, ...] = ()
    others: tuple[tuple[str, str], ...] = ()  # (table, id) of what it also concerns: who needs what was removed
    chosen: Choice | None = None
