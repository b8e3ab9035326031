"""What a rule book's file may say: every fault of one, with its key (`rules.far-from-source.bare.value: ...`).

Which rules there are, which values each may have, in which unit, and what its options look like, is what the books of
this program say: a yard's own book uses their names and their units.
"""

from __future__ import annotations

import difflib
import functools
import itertools
import tomllib
from collections.abc import Callable, Collection, Iterator, Mapping
from typing import Any, TypeAlias

import msgspec

from engine.books import FOLDER
from engine.findings import WORDS
from engine.installation.records import Vessel
from engine.toml_text import InShort
from engine.units import UnitError, read_size
from engine.words import _

__all__ = ["book_faults", "limit_faults", "say_kind"]

WHOLE = ("slug", "title", "edition", "basis", "listed", "base", "binds", "ampacity", "standard_ratings", "rules")
TEXTS = ("title", "edition", "basis")
RULE_KEYS = ("clause", "confirmed", "word", "good_practice", "options")
LIMIT_KEYS = ("value", "unit", "text", "clause", "source", "confirmed", "good_practice")
TABLE_KEYS = (
    "table", "source", "confirmed", "basis_c", "machinery_basis_c", "insulation_c", "machinery", "bundle",
    "bundle_source", "bundle_from_v", "amps_per_mm2", "rows",
)  # fmt: skip
MAY_BE_NEGATIVE = ("degC",)
MOST_FAULTS = 100
LARGEST = 1e12  # of any number in a book; it also keeps out what is no number at all


Check: TypeAlias = Callable[[Mapping[str, Any]], Iterator[str]]


class Known(msgspec.Struct, frozen=True):
    """What the books of this program say of one rule."""

    units: dict[str, str]  # value -> unit
    options: dict[str, Any]  # option -> what one looks like


@functools.cache
def known() -> dict[str, Known]:
    """By rule, out of every book of this program."""
    found: dict[str, Known] = {}
    for path in sorted(FOLDER.glob("*.toml")):
        with path.open("rb") as file:
            data = tomllib.load(file)
        for rule, entry in data["rules"].items() if data.get("listed", True) else ():
            here = found.setdefault(rule, Known({}, {}))
            for name, value in entry.items():
                if name == "options":
                    for option, given in value.items():
                        if not here.options.get(option):  # an empty list shows nothing
                            here.options[option] = given
                elif isinstance(value, dict):
                    here.units.setdefault(name, value.get("unit", ""))
    return found


def book_faults(data: Mapping[str, Any], rules: Collection[str], base: Mapping[str, Any] | None = None) -> list[str]:
    """Every fault of a book as read; of a yard's own, which has only what differs, with the book it stands on.

    Of what is no book at all, the first `MOST_FAULTS`.
    """
    found = _book(data, rules, base)
    made = [str(InShort(fault, 400)) for fault in itertools.islice(found, MOST_FAULTS)]
    return [*made, _("and more of them")] if next(found, None) is not None else made


def _book(data: Mapping[str, Any], rules: Collection[str], base: Mapping[str, Any] | None) -> Iterator[str]:
    yield from _unknown("", data, WHOLE)
    for key in TEXTS if base is None else TEXTS[:2]:
        if key not in data:
            yield f"{key}: " + _("missing")
    for key in TEXTS:
        if key in data:
            yield from _text(key, data[key])
    yield from _part(data, "binds", _binds)
    under = {} if base is None else base.get("ampacity", {})
    yield from _part(data, "ampacity", lambda entry: _ampacity(entry, under))
    yield from _part(data, "standard_ratings", _ratings)
    sections = data.get("rules", {})
    if not isinstance(sections, dict):
        yield "rules: " + _("expected sections, found {kind}").format(kind=say_kind(sections))
        return
    for rule, entry in sections.items():
        key = f"rules.{InShort(rule)}"
        if rule not in rules:
            yield f"{key}: " + _("there is no such rule") + _meant(rule, rules)
        elif not isinstance(entry, dict):
            yield f"{key}: " + _("expected a section, found {kind}").format(kind=say_kind(entry))
        else:
            yield from _rule(key, entry, known().get(rule))


def _part(data: Mapping[str, Any], key: str, check: Check) -> Iterator[str]:
    if key not in data:
        return
    if isinstance(data[key], dict):
        yield from check(data[key])
    else:
        yield f"{key}: " + _("expected a section, found {kind}").format(kind=say_kind(data[key]))


def _unknown(key: str, entry: Mapping[str, Any], names: Collection[str]) -> Iterator[str]:
    for name in entry:
        if name not in names:
            yield f"{key}{InShort(name)}: " + _("a book has no such key here") + _meant(name, names)


def _meant(name: str, names: Collection[str]) -> str:
    near = difflib.get_close_matches(name[:60], names, 1, 0.6)
    return "; " + _("{near} comes nearest").format(near=near[0]) if near else ""


# -- whom it binds, tables --------------------------------------------------------------------------------------------
def _binds(entry: Mapping[str, Any]) -> Iterator[str]:
    yield from _unknown("binds.", entry, ("text", "when"))
    if "text" in entry:
        yield from _text("binds.text", entry["text"])
    when = entry.get("when", {})
    if not isinstance(when, dict):
        yield "binds.when: " + _("expected a section, found {kind}").format(kind=say_kind(when))
        return
    fields = {field.name for field in msgspec.structs.fields(Vessel)}
    for name, values in when.items():
        if name not in fields:
            yield f"binds.when.{name}: " + _("the vessel record has no such field") + _meant(name, fields)
        elif not isinstance(values, list) or not values or not all(isinstance(v, str) for v in values):
            yield f"binds.when.{name}: " + _("expected a list of texts")


def _ampacity(entry: Mapping[str, Any], under: Mapping[str, Any]) -> Iterator[str]:
    yield from _unknown("ampacity.", entry, TABLE_KEYS)
    if "table" in entry:
        found = next((p for p in (FOLDER / "tables").glob("*.toml") if p.stem == entry["table"]), None)
        if found is not None:
            with found.open("rb") as file:
                under = tomllib.load(file)
        if found is None or "rows" not in under:
            yield "ampacity.table: " + _("there is no table {name!r}").format(name=entry["table"])
    if set(entry) - {"table", "bundle_from_v", "bundle_source"}:
        yield from _sourced("ampacity", entry)
    for name in ("basis_c", "machinery_basis_c", "bundle_from_v", "amps_per_mm2"):
        if name in entry:
            yield from _number(f"ampacity.{name}", entry[name])
    columns = entry.get("insulation_c", under.get("insulation_c"))
    width = len(columns) if isinstance(columns, list) else None
    if "insulation_c" in entry:
        yield from _numbers("ampacity.insulation_c", entry["insulation_c"])
        for name in ("rows", "machinery"):
            if name not in entry and name in under:
                yield f"ampacity.{name}: " + _("missing; other columns need their own")
    if "machinery" in entry:
        yield from _numbers("ampacity.machinery", entry["machinery"], width)
    pairs = entry.get("bundle", [])
    if not isinstance(pairs, list):
        yield "ampacity.bundle: " + _("expected a list like {sample}, found {kind}").format(
            sample=[[3, 0.7]], kind=say_kind(pairs)
        )
    for n, pair in enumerate(pairs if isinstance(pairs, list) else [], 1):
        yield from _numbers(f"ampacity.bundle.{n}", pair, 2)
    rows = entry.get("rows", {})
    if not isinstance(rows, dict):
        yield "ampacity.rows: " + _("expected a section, found {kind}").format(kind=say_kind(rows))
        return
    for size, amps in rows.items():
        try:
            read_size(size)
        except UnitError as fault:
            yield f"ampacity.rows.{size}: {fault}"
        yield from _numbers(f"ampacity.rows.{size}", amps, width)


def _ratings(entry: Mapping[str, Any]) -> Iterator[str]:
    yield from _unknown("standard_ratings.", entry, ("source", "confirmed", "amps"))
    yield from _sourced("standard_ratings", entry)
    yield from _numbers("standard_ratings.amps", entry.get("amps"))


# -- rules ------------------------------------------------------------------------------------------------------------
def _rule(key: str, entry: Mapping[str, Any], there: Known | None) -> Iterator[str]:
    if "word" in entry and entry["word"] not in WORDS:
        words = ", ".join(WORDS)
        yield f"{key}.word: " + _("expected one of {words}, found {found}").format(
            words=words, found=say_kind(entry["word"])
        )
    if "clause" in entry:
        yield from _text(f"{key}.clause", entry["clause"])
        if "confirmed" not in entry:
            yield f"{key}.confirmed: " + _("missing; true where the clause was read in its source, else false")
    for name in ("confirmed", "good_practice"):
        if name in entry:
            yield from _yes_no(f"{key}.{name}", entry[name])
    for name, value in entry.items():
        if name in RULE_KEYS:
            continue
        if there is not None and name not in there.units:
            yield f"{key}.{name}: " + _("this rule has no such value") + _meant(name, [*there.units, *RULE_KEYS])
        elif not isinstance(value, dict):
            yield f"{key}.{name}: " + _("expected value, source and confirmed, found {kind}").format(
                kind=say_kind(value)
            )
        else:
            yield from limit_faults(f"{key}.{name}", value, None if there is None else there.units[name])
    options = entry.get("options", {})
    if not isinstance(options, dict):
        yield f"{key}.options: " + _("expected a section, found {kind}").format(kind=say_kind(options))
        return
    if there is None:
        return
    for name, value in options.items():
        if name not in there.options:
            yield f"{key}.options.{name}: " + _("this rule has no such option") + _meant(name, there.options)
        elif not _alike(value, there.options[name]):
            yield f"{key}.options.{name}: " + _("expected {wanted}, found {found}").format(
                wanted=say_shape(there.options[name]), found=say_kind(value)
            )


def limit_faults(key: str, entry: Mapping[str, Any], unit: str | None) -> Iterator[str]:
    """Every fault of one value; `unit` is the one it is kept in."""
    yield from _unknown(f"{key}.", entry, LIMIT_KEYS)
    if "value" not in entry:
        yield f"{key}.value: " + _("missing")
    else:
        yield from _number(f"{key}.value", entry["value"], unit in MAY_BE_NEGATIVE)
    if unit is not None and entry.get("unit", unit) != unit:
        yield f"{key}.unit: " + _("expected {unit}, found {found}").format(
            unit=unit or _("none"), found=say_kind(entry["unit"])
        )
    for name in ("text", "clause"):
        if name in entry:
            yield from _text(f"{key}.{name}", entry[name])
    yield from _sourced(key, entry)
    if "good_practice" in entry:
        yield from _yes_no(f"{key}.good_practice", entry["good_practice"])


def _sourced(key: str, entry: Mapping[str, Any]) -> Iterator[str]:
    if "source" not in entry:
        yield f"{key}.source: " + _("missing; where none is known: common practice, no source")
    else:
        yield from _text(f"{key}.source", entry["source"])
    if "confirmed" not in entry:
        yield f"{key}.confirmed: " + _("missing; true where the source was read, else false")
    else:
        yield from _yes_no(f"{key}.confirmed", entry["confirmed"])


# -- kinds ------------------------------------------------------------------------------------------------------------
def _text(key: str, value: Any) -> Iterator[str]:
    if not isinstance(value, str) or not value.strip():
        yield f"{key}: " + _("expected a text, found {found}").format(found=say_kind(value))


def _yes_no(key: str, value: Any) -> Iterator[str]:
    if not isinstance(value, bool):
        yield f"{key}: " + _("expected true or false, found {found}").format(found=say_kind(value))


def _number(key: str, value: Any, negative: bool = False) -> Iterator[str]:
    if not _is_number(value):
        yield f"{key}: " + _("expected a number, found {found}").format(found=say_kind(value))
    elif value < 0 and not negative:
        yield f"{key}: " + _("expected zero or more, found {found}").format(found=say_kind(value))


def _numbers(key: str, value: Any, width: int | None = None) -> Iterator[str]:
    if not isinstance(value, list) or not value or not all(_is_number(v) and v >= 0 for v in value):
        yield f"{key}: " + _("expected a list of numbers, found {found}").format(found=say_kind(value))
    elif width is not None and len(value) != width:
        yield f"{key}: " + _("expected {n} numbers, found {found}").format(n=width, found=len(value))


def _is_number(value: Any) -> bool:
    return isinstance(value, int | float) and not isinstance(value, bool) and abs(value) <= LARGEST


def _alike(value: Any, sample: Any) -> bool:
    """Whether an option has the shape of the sample: a list is as its first, a pair keeps its places."""
    if isinstance(sample, list):
        if not isinstance(value, list):
            return False
        if sample and isinstance(sample[0], list):
            return all(isinstance(v, list) and len(v) == len(sample[0]) and _pair(v, sample[0]) for v in value)
        return not sample or all(_alike(v, sample[0]) for v in value)
    if isinstance(sample, bool) or isinstance(value, bool):
        return isinstance(sample, bool) and isinstance(value, bool)
    if _is_number(sample):
        return _is_number(value)
    return isinstance(value, type(sample))


def _pair(value: list[Any], sample: list[Any]) -> bool:
    return all(_alike(v, s) for v, s in zip(value, sample, strict=True))


def say_shape(sample: Any) -> str:
    """What is expected, in words."""
    if isinstance(sample, bool):
        return _("true or false")
    if isinstance(sample, list):
        if sample and isinstance(sample[0], list):
            return _("a list like {sample}").format(sample=[sample[0]])
        return _("a list of texts") if not sample or isinstance(sample[0], str) else _("a list of numbers")
    return _("a number") if _is_number(sample) else _("a text")


def say_kind(value: Any) -> str:
    """What was found, in words short enough for a line."""
    if isinstance(value, str):
        return repr(InShort(value if len(value) <= 40 else f"{value[:37]}..."))
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, list):
        return _("a list of {n}").format(n=len(value))
    if isinstance(value, dict):
        return _("a section")
    return _("nothing") if value is None else str(InShort(value))
