"""A price list: a CSV (or the first sheet of a workbook) with part number, unit and price, read as suppliers write it.

Comma, semicolon or tab; decimal point or comma; with or without a byte order mark; columns in any order. A row that
cannot be used is left out and told with its number; nothing is guessed.
"""

from __future__ import annotations

import re
from collections import Counter, defaultdict
from collections.abc import Iterable, Sequence
from decimal import Decimal
from pathlib import Path
from typing import NamedTuple

from app.handover.parts.money import currency_code, is_currency
from engine.files.errors import FileError, quoted
from engine.files.lists import ListFile, csv_rows
from engine.words import _

__all__ = ["Found", "Price", "PriceList", "Unit", "read_prices", "unit_of"]

_FOOT_M = Decimal("0.3048")  # exact
_HIGHEST = Decimal(10) ** 9
_COLUMNS = {
    "part number": "part_number", "part no": "part_number", "part": "part_number", "article": "part_number",
    "article number": "part_number", "code": "part_number", "number": "part_number",
    "part number or code": "part_number",
    "description": "description", "text": "description", "name": "description", "what": "description",
    "unit": "unit", "per": "unit", "price unit": "unit",
    "price": "price", "unit price": "price", "price each": "price", "net price": "price",
    "currency": "currency",
    "maker": "maker", "manufacturer": "maker", "make": "maker",
}  # fmt: skip
_PIECES = frozenset({"", "pc", "pcs", "piece", "pieces", "each", "ea", "no", "nos", "st", "stk", "unit", "units"})
_LENGTHS = {
    "m": Decimal(1), "metre": Decimal(1), "metres": Decimal(1), "meter": Decimal(1), "meters": Decimal(1),
    "km": Decimal(1000), "ft": _FOOT_M, "foot": _FOOT_M, "feet": _FOOT_M,
}  # fmt: skip
# what our own tables have beside: a list of lines without a price can be filled in and read back
_OURS = frozenset({"line", "section", "quantity", "why it has no price", "sum", "price from"})
_CURRENCY = re.compile(r"[\s,(]+([A-Z]{3}|[€£])\)?\s*$")
_ENDING = 60  # characters of a heading in which a currency may stand
_MOST_TOLD = 200  # sentences on rows that are not used
_MOST_TITLES = 30  # of columns, told
_MOST_ABOVE = 20  # rows a supplier may write above the heading
_UNIT = re.compile(r"(?:per |/ ?)?(\d{1,6})? ?([a-z]*)\.?")
_PRICE = re.compile(r"([A-Za-z]{3}|[€£$])? ?(-?)(\d[\d.,' ]*) ?([A-Za-z]{3}|[€£$])?", re.ASCII)


class Unit(NamedTuple):
    """What a price is for: so many pieces, or so many metres. `None`: nothing that can be counted."""

    pieces: Decimal | None = None
    metres: Decimal | None = None


class Price(NamedTuple):
    """A row of the list. `currency`: "" where none is told, "$" where it is some dollar."""

    row: int
    part_number: str
    maker: str
    description: str
    unit: str  # as written
    price: Decimal
    currency: str


class Found(NamedTuple):
    """What the list says of a part: the row, or why there is none."""

    price: Price | None
    why: str = ""


class PriceList:
    """Rows by part number; `told` are sentences on what was not used and why."""

    def __init__(self, name: str, rows: Sequence[Price], told: Iterable[str] = ()) -> None:
        self.name = name
        self.rows = tuple(rows)
        self.told = tuple(told)
        self._by_number: dict[str, list[Price]] = defaultdict(list)
        for row in rows:
            self._by_number[same(row.part_number)].append(row)
        self.clashes = frozenset(key for key, alike in _by_key(rows).items() if len({_terms(row) for row in alike}) > 1)

    def find(self, part_number: str, maker: str) -> Found:
        """The price of a part. Capitals and spaces do not matter; of the maker where both name one."""
        if not part_number:
            return Found(None, _("no part number"))
        rows = self._by_number.get(same(part_number), [])
        if maker:
            own = [row for row in rows if same(row.maker) == same(maker)]
            rows = own or [row for row in rows if not row.maker]
        if not rows:
            return Found(None, _("not in the price list"))
        makers = {same(row.maker) for row in rows}
        if len(makers) > 1:
            return Found(None, _("the price list has it of several makers"))
        if (same(part_number), next(iter(makers))) in self.clashes:
            return Found(None, _("the price list has several prices"))
        return Found(rows[0])


def same(text: str) -> str:
    """What two ways of writing a part number or maker have in common."""
    return "".join(text.split()).casefold()


def unit_of(text: str) -> Unit:
    """What a price is for: `pc`, `each`, `100 pc`, `m`, `ft`, `100 m`, `per km`."""
    found = _UNIT.fullmatch(" ".join(text.casefold().split()))
    if found is None:
        return Unit()
    count = Decimal(found[1] or 1)
    if not count:
        return Unit()
    if found[2] in _PIECES:
        return Unit(pieces=count)
    return Unit(metres=count * _LENGTHS[found[2]]) if found[2] in _LENGTHS else Unit()


# -- reading ----------------------------------------------------------------------------------------------------------
def read_prices(path: Path | str) -> PriceList:
    """The list in a file. Raises `FileError` where it cannot be read or has no part numbers or no prices."""
    file = _file(path)
    if not file.rows:
        raise FileError(str(path), "; ".join(str(fault) for fault in file.faults) or _("the price list is empty"))
    above = next((n for n, (_line, cells) in enumerate(file.rows[:_MOST_ABOVE]) if _is_heading(cells)), 0)
    _line, heading = file.rows[above]
    columns: dict[str, int] = {}
    told = [*file.notices, *(str(fault) for fault in file.faults)]
    for n, cell in enumerate(heading):
        name = _COLUMNS.get(_title(cell), "")
        if _title(cell) in _OURS:
            continue
        if not name and cell.strip():
            told.append(_("column {name!r} of the price list is not used").format(name=quoted(cell.strip())))
        elif name in columns:
            told.append(
                _("column {name!r} of the price list says again what another does; it is not used").format(
                    name=quoted(cell.strip())
                )
            )
        elif name:
            columns[name] = n
    for name, title in (("part_number", "part number"), ("price", "price")):
        if name not in columns:
            raise FileError(
                str(path),
                _("the price list has no column {title!r}; it has: {found}").format(
                    title=title, found=", ".join(repr(quoted(cell.strip())) for cell in heading[:_MOST_TITLES])
                ),
            )
    reader = _Rows(columns, len(heading), file.rows[above + 1 :], _currency_of(heading[columns["price"]]))
    rows = reader.read()
    told += reader.told
    if reader.untold:
        told.append(_("and {n} more").format(n=reader.untold))
    return PriceList(Path(path).name, rows, (*told, *_doubled(rows)))


def _title(cell: str) -> str:
    """A heading without what people write differently: capitals, dots, the currency behind it."""
    bare = cell[:-_ENDING] + _CURRENCY.sub("", cell[-_ENDING:]) if _currency_of(cell) else cell
    return re.sub(r"[\s_.]+", " ", bare).strip().casefold()


def _currency_of(cell: str) -> str:
    """The currency a heading names: `Price, EUR`, `Price (EUR)`; "" for none."""
    found = _CURRENCY.search(cell[-_ENDING:])
    code = currency_code(found[1]) if found else ""
    return code if is_currency(code) else ""


def _is_heading(cells: Sequence[str]) -> bool:
    return {"part_number", "price"} <= {_COLUMNS.get(_title(cell), "") for cell in cells}


def _file(path: Path | str) -> ListFile:
    if Path(path).suffix.lower() in (".xlsx", ".xlsm"):
        from app.workbook import workbook_lists

        sheets = workbook_lists(path)
        return sheets[0] if sheets else ListFile(str(path), ())
    return csv_rows(path)


class _Rows:
    """The rows below the heading."""

    def __init__(
        self, columns: dict[str, int], wide: int, rows: Sequence[tuple[int, tuple[str, ...]]], currency: str = ""
    ) -> None:
        self.columns = columns
        self.currency = currency  # of rows that name none
        self.wide = wide  # cells of the heading
        self.rows = rows
        self.told: list[str] = []
        self.untold = 0
        self.decimal = _decimal_mark(self._cell(cells, "price") for _line, cells in rows)

    def _cell(self, cells: Sequence[str], name: str) -> str:
        n = self.columns.get(name, -1)
        return " ".join(cells[n].split()) if 0 <= n < len(cells) else ""

    def read(self) -> list[Price]:
        """The rows that can be used."""
        made = []
        for line, cells in self.rows:
            number, written = self._cell(cells, "part_number"), self._cell(cells, "price")
            if any(cell.strip() for cell in cells[self.wide :]):
                self._refuse(line, _("it has more cells than the heading: is a decimal comma without quotation marks?"))
                continue
            if not number:
                self._refuse(line, _("it has no part number"))
                continue
            value, currency, why = self._price(written)
            named = currency_code(self._cell(cells, "currency"))
            if currency == "$" and named:
                currency = named
            if not why and named and currency and named != currency:
                why = _("its price is in {one}, its currency is {other}").format(one=currency, other=named)
            if why or value is None:
                self._refuse(line, _("{part}: {why}").format(part=number, why=why))
                continue
            made.append(
                Price(
                    line, number, self._cell(cells, "maker"), self._cell(cells, "description"),
                    self._cell(cells, "unit"), value, named or currency or self.currency,
                )
            )  # fmt: skip
        return made

    def _refuse(self, line: int, why: str) -> None:
        if len(self.told) >= _MOST_TOLD:
            self.untold += 1
            return
        self.told.append(_("row {line} of the price list is not used: {why}").format(line=line, why=quoted(why)))

    def _price(self, text: str) -> tuple[Decimal | None, str, str]:
        """Value, currency, and why it cannot be used."""
        if not text:
            return None, "", _("it has no price")
        found = _PRICE.fullmatch(text.replace("\u2019", "'").replace("\u2212", "-"))
        if found is None or (found[1] and found[4]):
            return None, "", _("{text!r} is no price").format(text=text)
        currency = currency_code(found[1] or found[4] or "")
        digits, unclear = _plain(found[3], self.decimal)
        if unclear:
            return None, "", unclear
        if digits is None or (currency not in ("", "$") and not is_currency(currency)):
            return None, "", _("{text!r} is no price").format(text=text)
        if found[2]:
            return None, "", _("its price is below zero ({text})").format(text=text)
        if digits == 0:
            return None, "", _("its price is zero")
        if digits > _HIGHEST:
            return None, "", _("its price is beyond a thousand million ({text})").format(text=text)
        return digits, currency, ""


def _readings(text: str) -> dict[str, Decimal]:
    """What a number may mean: the mark before its decimals -> its value; without decimals, either mark."""
    readings: dict[str, Decimal] = {}
    for mark, other in (".,", ",."):
        thousands = rf"[1-9]\d{{0,2}}(?:[' ]\d{{3}})+|[1-9]\d{{0,2}}(?:{re.escape(other)}\d{{3}})+"
        if re.fullmatch(rf"(?:\d+|{thousands})(?:{re.escape(mark)}\d+)?", text):
            readings[mark] = Decimal(re.sub(rf"[' {re.escape(other)}]", "", text).replace(mark, "."))
    return readings


def _decimal_mark(cells: Iterable[str]) -> str:
    """The mark before decimals, where prices that leave no doubt agree on one; else ""."""
    marks: set[str] = set()
    for cell in cells:
        found = _PRICE.fullmatch(cell.replace("\u2019", "'"))
        readings = _readings(found[3].strip()) if found else {}
        if len(readings) == 1:
            marks |= readings.keys()
    return marks.pop() if len(marks) == 1 else ""


def _plain(text: str, mark: str) -> tuple[Decimal | None, str]:
    """The value, and why it cannot be told."""
    readings = _readings(text.strip())
    values = set(readings.values())
    if len(values) > 1:
        if mark not in readings:
            one, other = (f"{value.normalize():f}" for value in sorted(values, reverse=True))
            return None, _("{text!r} may be {one} or {other}").format(text=text.strip(), one=one, other=other)
        return readings[mark], ""
    return (values.pop() if values else None), ""


# -- doubles ----------------------------------------------------------------------------------------------------------
def _by_key(rows: Sequence[Price]) -> dict[tuple[str, str], list[Price]]:
    found: dict[tuple[str, str], list[Price]] = defaultdict(list)
    for row in rows:
        found[same(row.part_number), same(row.maker)].append(row)
    return found


def _terms(row: Price) -> tuple[object, ...]:
    return row.price, unit_of(row.unit), row.currency


def _doubled(rows: Sequence[Price]) -> list[str]:
    """What is in the list more than once."""
    told: list[str] = []
    several = [alike for alike in _by_key(rows).values() if len(alike) > 1]
    for number, alike in enumerate(several):
        if number == _MOST_TOLD:
            told.append(_("and {n} more").format(n=len(several) - number))
            break
        lines = ", ".join(str(row.row) for row in alike[:_MOST_TITLES])
        if len(alike) > _MOST_TITLES:
            lines = _("{names} and {n} more").format(names=lines, n=len(alike) - _MOST_TITLES)
        one = len(Counter(_terms(row) for row in alike)) == 1
        says = _("with one price") if one else _("with different prices: none of them is used")
        told.append(
            _("rows {lines} of the price list all have {part}, {says}").format(
                lines=lines, part=quoted(alike[0].part_number), says=says
            )
        )
    return told
