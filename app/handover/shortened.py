"""Texts as documents print them: of one that would fill pages on its own the beginning, and how much is left out.

Each document says a name many times, and each of its pages says the title: so a single text of 20 000 letters would
make a hundred thousand lines. The drawing itself keeps every letter.
"""

from __future__ import annotations

from typing import Any

import msgspec

from engine.installation.model import Snapshot
from engine.record import field_specs
from engine.units import number
from engine.words import _, ngettext

__all__ = ["LONGEST", "shortened", "shortened_words"]

LONGEST = 2000  # characters of a text that is printed whole: a page of prose
_NAMED = 3  # fields named in the sentence


def shortened(snapshot: Snapshot) -> tuple[Snapshot, tuple[str, ...]]:
    """The snapshot, texts over `LONGEST` characters cut visibly; where each stands (`equipment.e3.remarks`).

    A text that is said twice is cut the same both times, so that what is named by it is still named.
    """
    cut: list[str] = []
    tables = {
        table: {key: _short(record, f"{table}.{key}", cut) for key, record in records.items()}
        for table, records in snapshot.tables.items()
    }
    lone = {name: _short(record, name, cut) for name, record in snapshot.lone.items()}
    return (Snapshot(tables, lone), tuple(cut)) if cut else (snapshot, ())


def shortened_words(cut: tuple[str, ...]) -> str:
    """A sentence on texts that were cut."""
    named = ", ".join(cut[:_NAMED]) + (", …" if len(cut) > _NAMED else "")
    return ngettext(
        "{n} text of the drawing is longer than {most} characters, only its beginning is printed: {fields}",
        "{n} texts of the drawing are longer than {most} characters, only their beginnings are printed: {fields}",
        len(cut),
    ).format(n=len(cut), most=number(LONGEST), fields=named)


def _short(value: Any, where: str, cut: list[str]) -> Any:
    """`value` with its texts cut; the very same where none is."""
    if isinstance(value, str):
        if len(value) <= LONGEST:
            return value
        cut.append(where)
        left = number(len(value) - LONGEST, 9)
        return value[:LONGEST].rstrip() + "… " + _("({n} characters more)").format(n=left)
    if isinstance(value, tuple):
        items = tuple(_short(each, where, cut) for each in value)
        return items if any(a is not b for a, b in zip(items, value, strict=True)) else value
    if isinstance(value, dict):
        return {_short(key, where, cut): _short(each, where, cut) for key, each in value.items()}
    if isinstance(value, msgspec.Struct):
        changed = {}
        for spec in field_specs(type(value)):
            now = getattr(value, spec.name)
            new = _short(now, f"{where}.{spec.file_name}", cut)
            if new is not now and new != now:
                changed[spec.name] = new
        return msgspec.structs.replace(value, **changed) if changed else value
    return value
