"""Price lists as suppliers write them: read with all their habits, refused row by row, never guessed."""

from __future__ import annotations

from decimal import Decimal
from pathlib import Path

import openpyxl
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from app.handover.parts.prices import PriceList, Unit, read_prices, unit_of
from engine.files.errors import FileError


def listed(folder: Path, text: str | bytes, name: str = "p.csv") -> PriceList:
    path = folder / name
    path.write_bytes(text.encode() if isinstance(text, str) else text)
    return read_prices(path)


def prices(found: PriceList) -> dict[str, Decimal]:
    return {row.part_number: row.price for row in found.rows}


@pytest.mark.parametrize("mark", ["", "\ufeff"])
@pytest.mark.parametrize("cut", [",", ";", "\t"])
def test_delimiters_and_a_byte_order_mark(tmp_path: Path, cut: str, mark: str) -> None:
    text = mark + "\r\n".join(cut.join(row) for row in (["Part number", "Price"], ["A-1", "45.50"]))
    assert prices(listed(tmp_path, text)) == {"A-1": Decimal("45.50")}


def test_decimal_comma_and_thousands(tmp_path: Path) -> None:
    text = "Part_No;Unit price\nA;45,5\nB;1.234,50\nC;1.200\nD;1 200,00\nE;7\nF;0,125\n"
    assert prices(listed(tmp_path, text)) == {
        "A": Decimal("45.5"),
        "B": Decimal("1234.50"),
        "C": Decimal(1200),  # the others write decimals with a comma
        "D": Decimal(1200),
        "E": Decimal(7),
        "F": Decimal("0.125"),
    }


def test_a_price_with_two_readings_is_refused_where_nothing_tells(tmp_path: Path) -> None:
    found = listed(tmp_path, 'part number,price\nA,"1,200"\nB,30\n')
    assert prices(found) == {"B": Decimal(30)}
    assert found.told == ("row 2 of the price list is not used: A: '1,200' may be 1200 or 1.2",)


@pytest.mark.parametrize(
    ("price", "why"),
    [
        ("-3", "its price is below zero (-3)"),
        ("0", "its price is zero"),
        ("", "it has no price"),
        ("ask", "'ask' is no price"),
        ("ask 5", "'ask 5' is no price"),
        ("1e5", "'1e5' is no price"),
        ("nan", "'nan' is no price"),
        ("=1+1", "'=1+1' is no price"),
        ("99999999999", "its price is beyond a thousand million (99999999999)"),
        ("EUR 5 USD", "'EUR 5 USD' is no price"),
        ("1.2.3", "'1.2.3' is no price"),
    ],
)
def test_odd_prices_are_refused_with_their_row(tmp_path: Path, price: str, why: str) -> None:
    found = listed(tmp_path, f"part number,price\nA,1.50\nB,{price}\n")
    assert prices(found) == {"A": Decimal("1.50")}
    assert found.told == (f"row 3 of the price list is not used: B: {why}",)


def test_a_currency_may_stand_in_the_price_but_not_against_its_column(tmp_path: Path) -> None:
    text = "part number,price,currency\nA,€ 5.50,\nB,5.50 USD,\nC,5.50 USD,EUR\nD,$5.50,cad\nE,$5.50,\nF,5.50,eur\n"
    found = listed(tmp_path, text)
    assert {row.part_number: row.currency for row in found.rows} == {
        "A": "EUR", "B": "USD", "D": "CAD", "E": "$", "F": "EUR"
    }  # fmt: skip
    assert found.told == ("row 4 of the price list is not used: C: its price is in USD, its currency is EUR",)


def test_unknown_columns_doubles_and_rows_without_a_number_are_told(tmp_path: Path) -> None:
    text = "part number,price,stock\nA,1.5,3\nA,1.5,\nB,1,\nb ,2,\n,9,\n"
    found = listed(tmp_path, text)
    assert found.told == (
        "column 'stock' of the price list is not used",
        "row 6 of the price list is not used: it has no part number",
        "rows 2, 3 of the price list all have A, with one price",
        "rows 4, 5 of the price list all have B, with different prices: none of them is used",
    )
    assert found.find("a", "").price == found.rows[0]
    assert found.find("B", "").price is None
    assert found.find("B", "").why == "the price list has several prices"


def test_a_part_is_found_whatever_capitals_and_spaces_and_of_its_maker(tmp_path: Path) -> None:
    text = "maker,part number,price\nTern Co,AB-1,1\nGull Co,AB-1,2\n,AB-2,3\nTern Co,AB-2,4\n"
    found = listed(tmp_path, text)

    def price(number: str, maker: str) -> Decimal | None:
        row = found.find(number, maker).price
        return None if row is None else row.price

    assert price("ab - 1", "TERN  co") == 1
    assert price("AB-1", "Gull Co") == 2
    assert price("AB-2", "Tern Co") == 4
    assert price("AB-2", "Gull Co") == 3  # the row that names no maker
    assert found.find("AB-1", "").why == "the price list has it of several makers"
    assert found.find("AB-1", "Skua Co").why == "not in the price list"
    assert found.find("", "Tern Co").why == "no part number"


@pytest.mark.parametrize(
    ("text", "unit"),
    [
        ("", Unit(pieces=Decimal(1))),
        ("Pc.", Unit(pieces=Decimal(1))),
        ("100 pcs", Unit(pieces=Decimal(100))),
        ("per 100 m", Unit(metres=Decimal(100))),
        ("/m", Unit(metres=Decimal(1))),
        ("ft", Unit(metres=Decimal("0.3048"))),
        ("km", Unit(metres=Decimal(1000))),
        ("drum", Unit()),
        ("0 m", Unit()),
        ("m²", Unit()),
    ],
)
def test_units(text: str, unit: Unit) -> None:
    assert unit_of(text) == unit


@pytest.mark.parametrize(
    ("text", "why"),
    [
        ("", "the price list is empty"),
        ("description,price\nx,1\n", "the price list has no column 'part number'; it has: 'description', 'price'"),
        ("part number\nA\n", "the price list has no column 'price'"),
    ],
)
def test_a_file_that_is_no_price_list_is_refused_in_one_sentence(tmp_path: Path, text: str, why: str) -> None:
    with pytest.raises(FileError, match=r"p\.csv") as refused:
        listed(tmp_path, text)
    assert why in str(refused.value)


def test_a_workbook_will_do(tmp_path: Path) -> None:
    book = openpyxl.Workbook()
    sheet = book.active
    assert sheet is not None
    sheet.append(["Part number", "Price"])
    sheet.append(["A-1", 12.5])
    book.save(tmp_path / "p.xlsx")
    assert prices(read_prices(tmp_path / "p.xlsx")) == {"A-1": Decimal("12.5")}


@settings(max_examples=40)
@given(st.lists(st.text(alphabet="aA1-.,;€$ '\"\n\x00é", max_size=12), max_size=12))
def test_no_text_makes_it_fall_over(tmp_path_factory: pytest.TempPathFactory, cells: list[str]) -> None:
    folder = tmp_path_factory.mktemp("p")
    found = listed(folder, "part number;price;unit\n" + ";".join(cells))
    for row in found.rows:
        assert row.price > 0


@settings(max_examples=40)
@given(st.decimals("0.01", "999999.99", places=2))
def test_whatever_way_a_price_is_written_it_is_the_same(
    tmp_path_factory: pytest.TempPathFactory, price: Decimal
) -> None:
    english, german = f"{price:,.2f}", f"{price:,.2f}".translate(str.maketrans(",.", ".,"))
    folder = tmp_path_factory.mktemp("p")
    for name, written in (("e", english), ("g", german)):
        found = listed(folder, f'part number;price\nA;"{written}"\n', f"{name}.csv")
        assert prices(found) == {"A": price}


def test_rows_above_the_heading_and_a_unit_in_it_do_not_matter(tmp_path: Path) -> None:
    text = 'Gull Supplies\nPrices of spring,,\nArticle,Text,"Price, EUR"\nA-1,a thing,2.50\n'
    (row,) = listed(tmp_path, text).rows
    assert (row.part_number, row.price, row.currency) == ("A-1", Decimal("2.50"), "EUR")
    (row,) = listed(tmp_path, "code;unit price (GBP)\nA-1;2,5\n").rows
    assert (row.price, row.currency) == (Decimal("2.5"), "GBP")


def test_a_decimal_comma_that_is_taken_for_a_separator_is_refused(tmp_path: Path) -> None:
    found = listed(tmp_path, "part number,price\nA,12,50\nB,12.50,\n")
    assert prices(found) == {"B": Decimal("12.50")}
    assert found.told == (
        "row 2 of the price list is not used: it has more cells than the heading: is a decimal comma without "
        "quotation marks?",
    )
