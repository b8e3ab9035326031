"""Rule books: every limit a rule reads, each with its source and whether that source was read (`confirmed`).

A book is a TOML file in this folder. Rule logic never holds a number. A value from memory says so.
"""

from __future__ import annotations

import functools
import tomllib
from pathlib import Path
from typing import Any

import msgspec

from engine.findings import WORDS, Word
from engine.installation.records import Vessel

__all__ = ["AmpacityTable", "Book", "BookError", "Limit", "book_names", "load"]

FOLDER = Path(__file__).parent


class BookError(ValueError):
    """A rule book that cannot be used, and why."""


class Limit(msgspec.Struct, frozen=True):
    """One value of a book."""

    value: float
    unit: str
    source: str
    confirmed: bool
    text: str = ""  # as the source writes it ("7 in")


class AmpacityTable(msgspec.Struct, frozen=True):
    """Allowable current by size and insulation class, with the factors that go with it.

    `rows` maps a conductor size to amperes by insulation temperature class (degC). `machinery` are the factors in a
    machinery space, `bundle` pairs (conductors from, factor), counted from `bundle_from_v` volts up. With
    `amps_per_mm2` set (test books only) there are no rows.
    """

    source: str
    confirmed: bool
    rows: dict[str, dict[float, float]] = {}
    basis_c: float = 30.0
    machinery: dict[float, float] = {}
    machinery_basis_c: float = 50.0
    bundle: tuple[tuple[int, float], ...] = ()
    bundle_from_v: float = 0.0
    bundle_source: str = ""
    amps_per_mm2: float = 0.0


class Book(msgspec.Struct, frozen=True):
    """A rule book."""

    slug: str
    title: str
    edition: str
    basis: str
    binds_text: str  # whom it binds, in words
    binds_when: dict[str, tuple[str, ...]]  # vessel field -> values; empty: nobody
    rules: dict[str, dict[str, Any]]
    ampacity: AmpacityTable
    standard_ratings_a: tuple[float, ...]
    listed: bool = True  # False: for tests only

    def law_for(self, vessel: Vessel) -> bool | None:
        """Whether the book is law for this vessel; `None` when the record does not say enough."""
        if not self.binds_when:
            return False
        unknown = False
        for field, values in self.binds_when.items():
            have = getattr(vessel, field)
            if have in ("", None):
                unknown = True
            elif have not in values:
                return False
        return None if unknown else True

    def has(self, rule: str) -> bool:
        """Whether the book has a clause for a rule."""
        return bool(self.rules.get(rule, {}).get("clause"))

    def clause(self, rule: str, which: str = "") -> str:
        """The clause a finding of `rule` cites; `which` is a limit with a clause of its own."""
        entry = self.rules.get(rule, {})
        if which and isinstance(entry.get(which), dict) and "clause" in entry[which]:
            return str(entry[which]["clause"])
        return str(entry.get("clause", ""))

    def confirmed(self, rule: str) -> bool:
        """Whether the clause of `rule` was read in its source."""
        return bool(self.rules.get(rule, {}).get("confirmed", False))

    def word(self, rule: str, default: Word) -> Word:
        """The signal word of `rule` in this book."""
        word: Word = self.rules.get(rule, {}).get("word", default)
        return word

    def limit(self, rule: str, name: str) -> Limit | None:
        """A value of the book, in its storage unit; `None` where the book sets none."""
        entry = self.rules.get(rule, {}).get(name)
        if not isinstance(entry, dict):
            return None
        return Limit(
            value=float(entry["value"]),
            unit=str(entry.get("unit", "")),
            source=str(entry.get("source", "")),
            confirmed=bool(entry.get("confirmed", False)),
            text=str(entry.get("text", "")),
        )

    def option(self, rule: str, name: str, default: Any = None) -> Any:
        """A word or yes/no of the book (`[rules.x.options]`)."""
        return self.rules.get(rule, {}).get("options", {}).get(name, default)


def book_names(all_books: bool = False) -> tuple[str, ...]:
    """Names of the books; those for tests only with `all_books`."""
    every = sorted(p.stem for p in FOLDER.glob("*.toml"))
    return tuple(n for n in every if all_books or load(n).listed)


@functools.cache
def load(name: str) -> Book:
    """The book called `name`. Raises `BookError`."""
    path = FOLDER / f"{name}.toml"
    if not name.replace("-", "").isalnum() or not path.is_file():
        have = ", ".join(sorted(p.stem for p in FOLDER.glob("*.toml")))
        raise BookError(f"there is no rule book {name!r}; there are: {have}")
    with path.open("rb") as file:
        data = tomllib.load(file)
    return _made(name, data)


def _made(name: str, data: dict[str, Any]) -> Book:
    table = data["ampacity"]
    if "table" in table:
        with (FOLDER / "tables" / f"{table['table']}.toml").open("rb") as file:
            table = tomllib.load(file) | table
    columns = [float(c) for c in table.get("insulation_c", ())]
    rows = {size: dict(zip(columns, map(float, amps), strict=True)) for size, amps in table.get("rows", {}).items()}
    for rule, entry in data.get("rules", {}).items():
        if "clause" in entry and "confirmed" not in entry:
            raise BookError(f"{name}: rules.{rule} has a clause and does not say whether it is confirmed")
        if entry.get("word", "notice") not in WORDS:
            raise BookError(f"{name}: rules.{rule}.word: {entry['word']!r} is not one of {', '.join(WORDS)}")
        for key, value in entry.items():
            if isinstance(value, dict) and key != "options" and not {"value", "source", "confirmed"} <= set(value):
                raise BookError(f"{name}: rules.{rule}.{key} needs value, source and confirmed")
    return Book(
        slug=data["slug"],
        title=data["title"],
        edition=str(data["edition"]),
        basis=data["basis"],
        binds_text=data["binds"]["text"],
        binds_when={k: tuple(v) for k, v in data["binds"].get("when", {}).items()},
        rules=data.get("rules", {}),
        ampacity=AmpacityTable(
            source=table["source"],
            confirmed=table["confirmed"],
            rows=rows,
            basis_c=float(table.get("basis_c", 30)),
            machinery=dict(zip(columns, map(float, table.get("machinery", ())), strict=False)),
            machinery_basis_c=float(table.get("machinery_basis_c", 50)),
            bundle=tuple((int(n), float(f)) for n, f in table.get("bundle", ())),
            bundle_from_v=float(table.get("bundle_from_v", 0)),
            bundle_source=table.get("bundle_source", ""),
            amps_per_mm2=float(table.get("amps_per_mm2", 0)),
        ),
        standard_ratings_a=tuple(map(float, data.get("standard_ratings", {}).get("amps", ()))),
        listed=data.get("listed", True),
    )
