"""What fields and records are called, for people: one name each, whoever asks.

A page, a list to take along and an undo step all call "F3.rating_a" *F3: rated current of the link*.
"""

from __future__ import annotations

import functools
import re
from typing import Any

from engine.installation.model import LONE, Snapshot
from engine.record import FieldSpec, field_specs
from engine.units import UNITS
from engine.words import N_, _, has_small_nouns, in_words

__all__ = ["US_UNITS", "capital", "inside", "label_of", "natural", "speaks_of", "title_of", "unit_of"]

US_UNITS = {"m": "ft", "mm": "in"}  # what a bare length is in, where the drawing is in US units
_LONE_NAMES = {"vessel": N_("the vessel"), "title_block": N_("the title block"), "settings": N_("the drawing")}
_DIGITS = re.compile(r"([0-9]+)")


@functools.lru_cache(maxsize=65536)
def natural(text: str) -> tuple[tuple[int, str], ...]:
    """A key that puts F2 before F10."""
    parts = _DIGITS.split(text.casefold())
    return tuple((int(part), "") if i % 2 else (-1, part) for i, part in enumerate(parts) if part)


# -- fields ----------------------------------------------------------------------------------------------------------
def label_of(cls: Any, spec: FieldSpec) -> str:
    """What a field is called on a page: the head of its help, with a capital. Two fields of a class never share one."""
    return _labels(cls)[spec.name]


@in_words
@functools.cache
def _labels(cls: Any) -> dict[str, str]:
    specs = field_specs(cls)
    heads = {spec.name: _head(spec) for spec in specs}
    every = list(heads.values())
    return {
        spec.name: capital(heads[spec.name])
        if every.count(heads[spec.name]) == 1
        else f"{capital(heads[spec.name])} ({_plain_name(spec)})"
        for spec in specs
    }


def _head(spec: FieldSpec) -> str:
    head = re.split(r"[:;(]", _(spec.fact.help))[0].strip()
    parts = head.split(", ")
    if not head or (len(parts) > 2 and spec.shape == "choice"):  # the help tells the choices one after another
        return _plain_name(spec)
    return parts[0] if len(parts) > 2 else head


def _plain_name(spec: FieldSpec) -> str:
    return spec.file_name.replace("_", " ")


def capital(text: str) -> str:
    """With a capital in front."""
    return text[:1].upper() + text[1:]


def inside(label: str) -> str:
    """A label inside a sentence; what begins with several capitals keeps them (BMS, AC)."""
    return label if label[1:2].isupper() or not has_small_nouns() else label[:1].lower() + label[1:]


def unit_of(spec: FieldSpec, system: str) -> str:
    """The unit a bare number of a field is in, as people write it; "" where it has none. `system`: metric or US."""
    if spec.shape != "number" or spec.fact.unit not in UNITS:
        return ""
    if system == "US" and spec.fact.unit in US_UNITS:
        return US_UNITS[spec.fact.unit]
    return UNITS[spec.fact.unit].sign


# -- records ---------------------------------------------------------------------------------------------------------
_LONGEST = 30  # characters of a remark that its name repeats


def called_remark(text: str) -> str:
    """*remark “Spare way”*: a remark by how it begins."""
    words = " ".join(text.split())
    short = words if len(words) <= _LONGEST else words[: _LONGEST - 1].rstrip() + "…"
    return _("remark “{text}”").format(text=short) if short else _("an empty remark")


def speaks_of(snapshot: Snapshot, at: str) -> str:
    """What `at` of a deficiency, an inspection or a reading means, by name; the words themselves where it is gone."""
    for table in ("equipment", "runs", "sheets", "enclosures", "places"):
        if at in snapshot.tables[table]:
            return title_of(snapshot, table, at)
    return at


def title_of(snapshot: Snapshot, table: str, item: str) -> str:
    """What a record is called: its designation, its name, else what it is and its number."""
    if table in LONE:
        return _(_LONE_NAMES[table])
    record = snapshot.tables[table].get(item)
    if record is None:
        return item
    if table == "sheets":
        title = _("sheet {number}").format(number=record.number)
        return f"{title} {record.title}".rstrip()
    for field in ("designation", "name", "index", "rule"):
        if getattr(record, field, ""):
            return str(getattr(record, field))
    if table == "equipment":
        return record.label or f"{_(record.NAME)} {item}".strip()
    if table == "runs":
        ends = (title_of(snapshot, "equipment", end.equipment) for end in (record.from_end, record.to_end))
        return _("run from {start} to {end}").format(start=next(ends), end=next(ends))
    if table == "remarks":
        return called_remark(record.text)
    if table == "deficiencies":
        number = "" if record.number is None else str(record.number)
        return " ".join(part for part in (number, record.grade, record.observation) if part) or item
    if table == "photographs":
        return record.caption or item
    if table == "surveys":
        return record.date or item
    if table in ("inspections", "readings"):
        return speaks_of(snapshot, record.at) or getattr(record, "system", "") or item
    return item
