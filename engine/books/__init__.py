"""Rule books: every limit a rule reads, each with its source and whether that source was read (`confirmed`).

A book is a TOML file in this folder, or a yard's own (`load_file`): any TOML file with `base` and only what differs.
Rule logic never holds a number. A value from memory says so.

**Clauses.** A rule's section has the clause its findings cite; a value may have one of its own. With `good_practice`
such a clause is none of the book's law even on a vessel the book binds.
"""

from __future__ import annotations

import functools
import tomllib
from pathlib import Path
from typing import Any

import msgspec

from engine.books.errors import BookError
from engine.findings import Word
from engine.installation.records import Vessel
from engine.toml_text import InShort, TomlFault, read_toml
from engine.words import _

__all__ = [
    "ENDING",
    "AmpacityTable",
    "Book",
    "BookError",
    "Limit",
    "book_names",
    "files_beside",
    "load",
    "load_beside",
    "load_file",
]

FOLDER = Path(__file__).parent
ENDING = ".toml"  # what the name of a yard's own book ends in


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
    base: str = ""  # of a yard's own book: the book it stands on
    own: tuple[str, ...] = ()  # and the values it changes or adds, by key ("rules.far-from-source.bare")

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
        """Whether the book has a clause for a rule, or for one of its values."""
        entry = self.rules.get(rule, {})
        return bool(entry.get("clause")) or any(v.get("clause") for v in entry.values() if isinstance(v, dict))

    def is_practice(self, rule: str, clause: str) -> bool:
        """Whether a clause cited by `rule` is good practice even where the book binds."""
        entry = self.rules.get(rule, {})
        said = (entry, *(v for v in entry.values() if isinstance(v, dict)))
        return any(bool(one.get("good_practice")) and one.get("clause") == clause for one in said)

    def clause(self, rule: str, which: str = "") -> str:
        """The clause a finding of `rule` cites; `which` is a limit with a clause of its own."""
        entry = self.rules.get(rule, {})
        if which and isinstance(entry.get(which), dict) and "clause" in entry[which]:
            return str(entry[which]["clause"])
        return str(entry.get("clause", ""))

    def cited(self, rule: str, which: str) -> tuple[str, bool]:
        """The clause of one value, the rule's where it has none of its own, and whether it was read."""
        entry = self.rules.get(rule, {}).get(which)
        if isinstance(entry, dict) and "clause" in entry:
            return str(entry["clause"]), bool(entry.get("confirmed", False))
        return self.clause(rule), self.confirmed(rule)

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


def load(name: str) -> Book:
    """The book of this program called `name`, or a yard's own by the absolute path of its file. Raises `BookError`."""
    return load_file(name) if name.endswith(ENDING) and Path(name).is_absolute() else _ours(name)


def load_file(path: str | Path) -> Book:
    """A yard's own book, by its file. Raises `BookError`: one sentence, then every fault with its key."""
    from engine.books.overlay import overlaid  # most drawings need none

    where = Path(path).absolute()
    try:
        about = where.stat()
    except (OSError, ValueError):  # ValueError: no name a file can have
        return _made(overlaid(where, _data))  # tells why it cannot be read
    key = str(where), about.st_mtime_ns, about.st_size
    book = _read_before.get(key)
    if book is None:
        book = _made(overlaid(where, _data))
        _read_before.clear()  # one file at a time is enough
        _read_before[key] = book
    return book


_read_before: dict[tuple[str, int, int], Book] = {}


@functools.cache
def _ours(name: str) -> Book:
    return _made(_data(name))


def load_beside(name: str, folder: str | Path | None) -> Book:
    """The book a drawing names: one of this program's, or the file of a yard's own in the drawing's folder.

    `folder` is `None` while the drawing was never saved. Raises `BookError`.
    """
    if not name.endswith(ENDING):
        return load(name)
    if Path(name).name != name or "\\" in name:
        raise BookError(
            _("the drawing names the rule book {name!r}; expected a file beside it").format(name=InShort(name))
        )
    if folder is None:
        raise BookError(
            _("the rule book {name!r} is looked for beside the drawing, which is not saved yet").format(
                name=InShort(name)
            )
        )
    return load_file(Path(folder) / name)


def files_beside(folder: str | Path | None) -> tuple[str, ...]:
    """Names of the files in a folder that could be a yard's own book: TOML with a `base`. Raises nothing."""
    found = []
    for path in sorted(Path(folder).glob(f"*{ENDING}")) if folder is not None else ():
        try:
            data = read_toml(path)
        except (OSError, TomlFault):
            continue
        if isinstance(data.get("base"), str):
            found.append(path.name)
    return tuple(found)


def _data(name: str) -> dict[str, Any]:
    path = FOLDER / f"{name}{ENDING}"
    if name not in {file.stem for file in FOLDER.glob(f"*{ENDING}")}:  # the system need not be asked for any name
        if name.endswith(ENDING):
            raise BookError(
                _("the yard's own rule book {name!r} is looked for beside the drawing file").format(name=InShort(name))
            )
        have = ", ".join(book_names())
        raise BookError(_("there is no rule book {name!r}; there are: {books}").format(name=InShort(name), books=have))
    with path.open("rb") as file:
        data = tomllib.load(file)
    if "table" in data["ampacity"]:
        with (FOLDER / "tables" / f"{data['ampacity']['table']}{ENDING}").open("rb") as file:
            data["ampacity"] = tomllib.load(file) | data["ampacity"]
    return data


def _made(data: dict[str, Any]) -> Book:
    table = data["ampacity"]
    columns = [float(c) for c in table.get("insulation_c", ())]
    rows = {size: dict(zip(columns, map(float, amps), strict=True)) for size, amps in table.get("rows", {}).items()}
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
        base=data.get("base", ""),
        own=tuple(data.get("own", ())),
    )
