"""The quotation: what a customer is asked to sign. Sums worked by hand."""

from __future__ import annotations

import csv
import json
from decimal import Decimal
from pathlib import Path
from typing import Any

import openpyxl
import pypdf
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from app.cli import main
from app.handover.documents.quotation import make
from app.handover.job import Job, Options
from app.handover.parts.asked import a_date, a_locale, a_tax
from app.handover.parts.money import amount, as_date, locale_of, money, rounded
from app.handover.parts.offer import Offer, Sum, offer_of
from app.handover.parts.prices import Price, PriceList, read_prices
from app.handover.parts.quoting import _steps, gaps_of, tables_of
from app.handover.parts.wanted import PartsWanted, QuotationWanted, Tax
from app.paper.table import Table, as_rows
from engine.builder import Builder
from engine.edits import Put, apply
from engine.files.drawing import save
from engine.installation import Settings, TitleBlock, Vessel
from engine.picture import Text

PLAIN = PartsWanted(spare_percent=0, spare_least=0)


def boat(**fields: Any) -> Builder:
    made = Builder()
    apply(made.installation, Put("settings", "settings", Settings(**{"waste_percent": 0, **fields})))
    apply(made.installation, Put("vessel", "vessel", Vessel(name="Razorbill")))
    apply(made.installation, Put("title_block", "title_block", TitleBlock(legal_owner="Saltmarsh Yard", number="R-1")))
    made.add("bus_bar", "WC1")
    made.add("bus_bar", "WC2")
    return made


def listed(*rows: tuple[str, str, str, str], maker: str = "") -> PriceList:
    """Part number, unit, price, currency."""
    return PriceList("p.csv", [Price(n, p, maker, "", u, Decimal(v), c) for n, (p, u, v, c) in enumerate(rows, 2)])


def offered(made: Builder, **wanted: Any) -> Offer:
    return offer_of(made.installation.snapshot(), PLAIN, QuotationWanted(**wanted))


def tables(made: Builder, **wanted: Any) -> dict[str, Table]:
    snapshot, asked = made.installation.snapshot(), QuotationWanted(**wanted)
    return {t.name: t for t in tables_of(snapshot, offer_of(snapshot, PLAIN, asked), asked)}


def meter(made: Builder, name: str, part: str, **fields: Any) -> None:
    """A piece that needs nothing else."""
    made.add("meter", name, status="new", part_number=part, **fields)


# -- joining and sums -------------------------------------------------------------------------------------------------
def test_lines_sums_and_taxes_worked_by_hand() -> None:
    made = boat()
    for n in range(3):
        meter(made, f"P{n}", "M-1")
    meter(made, "P9", "M-2")
    made.run("W1", "WC1.bar", "WC2.bar", status="new", function="dc positive", size="16 mm2", length_m=7.3,
             part_number="C-16")  # fmt: skip
    prices = listed(("m-1", "pc", "33.335", "EUR"), ("M-2", "100 pc", "50", "EUR"), ("C-16", "100 m", "249.99", "EUR"))
    offer = offered(made, prices=prices, taxes=(Tax("VAT", Decimal(20)), Tax("", Decimal("1.5"))))
    # 3 x 33.335 = 100.005 -> 100.01; 1 x 50 / 100 = 0.50; 7.3 m x 249.99 / 100 = 18.24927 -> 18.25
    assert [each.sum for each in offer.priced] == [Decimal("100.01"), Decimal("0.50"), Decimal("18.25")]
    (total,) = offer.sums
    assert total.net == Decimal("118.76")
    # 20 % = 23.752 -> 23.75; 1.5 % = 1.7814 -> 1.78
    assert [due for _tax, due in total.taxes] == [Decimal("23.75"), Decimal("1.78")]
    assert total.total == Decimal("144.29")


def test_feet_meet_a_price_by_the_metre() -> None:
    made = boat(units="US")
    made.run("W1", "WC1.bar", "WC2.bar", status="new", function="dc positive", size="6 AWG", length_m=30.48,
             part_number="C-6")  # fmt: skip
    by_m, by_ft = (offered(made, prices=listed(("C-6", unit, "2", "USD"))).priced[0].sum for unit in ("m", "ft"))
    assert (by_m, by_ft) == (Decimal("60.96"), Decimal("200.00"))  # 100 ft are 30.48 m


def test_what_has_no_price_is_told_and_in_no_sum() -> None:
    made = boat(currency="EUR")
    meter(made, "P1", "M-1", price=10.0)
    meter(made, "P2", "")
    made.run("W1", "WC1.bar", "WC2.bar", status="new", function="dc positive", size="16 mm2", length_m=2, colour="red",
             part_number="C-16")  # fmt: skip
    made.run("W2", "WC1.bar", "WC2.bar", status="new", function="dc positive", size="16 mm2", price=3.0)
    offer = offered(made, prices=listed(("C-16", "drum", "80", "EUR")))
    assert [each.line.part_number for each in offer.priced] == ["M-1"]
    why = {each.line.what.split(",")[0]: each.why for each in offer.unpriced if each.line.section != "labels"}
    assert why["Meter"] == "no part number"
    reasons = [each.why for each in offer.unpriced if each.line.section == "cable"]
    assert sorted(reasons) == ["length not known", "the price is per drum, the quantity in m"]
    found = tables(made)
    assert any("lines have no price and are in no sum" in note for note in found["lines"].notes)
    assert [r["what"] for r in as_rows(found["sums"])] == ["Total of the lines with a price, no tax stated"]


def test_the_list_goes_before_the_drawing() -> None:
    made = boat(currency="EUR")
    meter(made, "P1", "M-1", price=10.0)
    meter(made, "P2", "M-2", price=20.0)
    offer = offered(made, prices=listed(("M-1", "", "11", "EUR")))
    assert {each.line.part_number: (each.price, each.source) for each in offer.priced} == {
        "M-1": (Decimal(11), "p.csv row 2"),
        "M-2": (Decimal("20.0"), "drawing"),
    }


def test_currencies_are_summed_apart_and_nothing_is_converted() -> None:
    made = boat(currency="usd")
    meter(made, "P1", "M-1")
    meter(made, "P2", "M-2", price=7.0)
    meter(made, "P3", "M-3")
    offer = offered(made, prices=listed(("M-1", "", "11", "EUR"), ("M-3", "", "5", "$")))
    assert {each.currency: each.total for each in offer.sums} == {"EUR": Decimal("11.00"), "USD": Decimal("12.00")}
    assert "Prices are in several currencies, summed apart; nothing is converted: EUR, USD." in gaps_of(
        offer, QuotationWanted()
    )


def test_a_currency_nobody_states_is_told() -> None:
    made = boat()
    meter(made, "P1", "M-1")
    assert "No currency is stated, by the price list or by the drawing." in gaps_of(
        offered(made, prices=listed(("M-1", "", "11", ""))), QuotationWanted()
    )
    (line,) = offered(made, prices=listed(("M-1", "", "11", "")), currency="CHF").priced
    assert line.currency == "CHF"


@pytest.mark.parametrize(
    ("currency", "value", "shown"),
    # minor units of ISO 4217 as the CLDR carries them: yen none, dinar of Bahrain three
    [("JPY", "2.5", "3"), ("EUR", "2.345", "2.35"), ("BHD", "2.3455", "2.346"), ("EUR", "-2.345", "-2.35")],
)
def test_rounding_to_the_minor_unit_halves_up(currency: str, value: str, shown: str) -> None:
    assert str(rounded(Decimal(value), currency)) == shown


@settings(max_examples=40)
@given(st.lists(st.tuples(st.integers(1, 50), st.decimals("0.01", "9999", places=3)), min_size=1, max_size=8))
def test_the_sum_is_that_of_the_lines(lines: list[tuple[int, Decimal]]) -> None:
    made = boat()
    for n, (quantity, _price) in enumerate(lines):
        meter(made, f"P{n}", f"M-{n}", quantity=quantity)
    rows = [(f"M-{n}", "pc", str(price), "EUR") for n, (_quantity, price) in enumerate(lines)]
    offer = offered(made, prices=listed(*rows), taxes=(Tax("", Decimal("19.6")),))
    assert len(offer.priced) == len(lines)
    (total,) = offer.sums
    assert total.net == sum(each.sum for each in offer.priced)
    assert total.total == total.net + sum(due for _tax, due in total.taxes)
    assert abs(total.net - sum(q * p for q, p in lines)) <= Decimal("0.005") * len(lines)


# -- formats ----------------------------------------------------------------------------------------------------------
@pytest.mark.parametrize(
    ("locale", "shown", "date"),
    # Unicode CLDR
    [
        ("de_DE", "1.234.567,50\u00a0EUR", "31. Januar 2027"),
        ("en_US", "EUR\u00a01,234,567.50", "January 31, 2027"),
        ("fr-FR", "1\u00a0234\u00a0567,50\u00a0EUR", "31 janvier 2027"),
        ("en_IN", "EUR\u00a012,34,567.50", "31 January 2027"),
    ],
)
def test_money_and_dates_as_the_place_writes_them(locale: str, shown: str, date: str) -> None:
    place = locale_of(locale)
    assert money(Decimal("1234567.5"), "EUR", place) == shown
    assert as_date("2027-01-31", place) == date


def test_a_price_keeps_its_places() -> None:
    assert amount(Decimal("0.0345"), locale_of("de"), 4) == "0,0345"


@pytest.mark.parametrize("text", ["2027-02-30", "31.1.2027", "tomorrow", "2027-1-1", ""])
def test_no_date_but_a_date(text: str) -> None:
    with pytest.raises(Exception, match="expected a date such as 2027-01-31"):
        a_date(text)


def test_taxes_and_locales_as_typed() -> None:
    assert a_tax("20") == Tax("", Decimal(20))
    assert a_tax("VAT = 7,7 %") == Tax("VAT", Decimal("7.7"))
    assert a_tax("Sales tax 8.25%") == Tax("Sales tax", Decimal("8.25"))
    for text in ("-5", "VAT", "101", "", "1e2"):
        with pytest.raises(Exception, match="expected a tax of 0 to 100 %"):
            a_tax(text)
    with pytest.raises(Exception, match="there is no locale 'xx_YY'"):
        a_locale("xx_YY")


# -- pages and files --------------------------------------------------------------------------------------------------
def words(made: Builder, **wanted: Any) -> str:
    job = Job.of(made.installation.snapshot(), options=Options(parts=PLAIN, quotation=QuotationWanted(**wanted)))
    return "\n".join(
        p.text for picture in make(job).pictures for p in picture.primitives if isinstance(p, Text)
    )  # fmt: skip


def test_the_page_says_what_is_stated_and_what_is_not() -> None:
    made = boat(currency="EUR")
    meter(made, "P1", "M-1", price=1234.5)
    said = words(made, locale="de_DE", customer="Tern Ltd", terms=("Payment within 30 days.",), taxes=(a_tax("20"),))
    for part in (
        "Tern Ltd", "Saltmarsh Yard", "Razorbill", "1.234,50", "1.481,40\u00a0EUR", "Tax 20 %", "not stated",
        "Payment within 30 days.", "For the supplier", "Accepted by the customer", "Signature",
        "No price list was given: prices are those the drawing records.",
    ):  # fmt: skip
        assert part in said
    said = words(made, valid_until="2027-01-31", date="2027-02-01")
    assert "January 31, 2027" in said
    assert "It is valid until 2027-01-31, which is before its date, 2027-02-01." in said


def test_an_empty_drawing_says_that_there_is_no_sum() -> None:
    assert "Nothing in the drawing is new: there is nothing to quote." in words(Builder())
    made = boat()
    meter(made, "P1", "")
    said = words(made)
    assert "No line has a price: there is no sum." in said
    assert "Accepted by the customer" not in said


@pytest.fixture
def drawing(tmp_path: Path) -> Path:
    made = boat(currency="EUR")
    meter(made, "P1", "M-1", maker="=cmd|' /C calc'!A0", label="<b>&", rated_dc_v=48)
    meter(made, "P2", "@SUM(1)", price=2.0)
    save(made.installation, tmp_path / "d.linewright")
    (tmp_path / "p.csv").write_text("part number;price;odd\nM-1;10,50;x\nM-2;-1;\n")
    return tmp_path / "d.linewright"


def test_the_command_writes_every_form_and_tells_what_was_not_used(
    drawing: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    folder = drawing.parent
    for ending in ("pdf", "xlsx", "csv", "json"):
        arguments = ["quotation", str(drawing), "--prices", str(folder / "p.csv"), "--tax", "20"]
        arguments += ["--valid-until", "2027-01-31", "--locale", "de_DE", "-o", str(folder / f"q.{ending}")]
        assert main(arguments) == 0
        told = capsys.readouterr().err
        assert "Row 3 of the price list is not used: M-2: its price is below zero (-1)." in told
        assert "Column 'odd' of the price list is not used." in told
    text = "\n".join(page.extract_text() for page in pypdf.PdfReader(folder / "q.pdf").pages)
    assert "31. Januar 2027" in text
    assert "15,00" in text.replace("\u00a0", " ")  # 12.50 and 20 %
    book = openpyxl.load_workbook(folder / "q.xlsx")
    assert book.sheetnames == ["Quotation", "Sums", "Without a price, in no sum", "Particulars"]
    assert [row[2].value for row in book["Sums"].iter_rows(min_row=2, max_row=4)] == [12.5, 2.5, 15.0]
    assert not [c for sheet in book for row in sheet for c in row if c.data_type == "f"]
    rows = list(csv.reader((folder / "q-lines.csv").read_text("utf-8-sig").splitlines()))
    assert {row[5] for row in rows[1:]} == {"'=cmd|' /C calc'!A0", ""}
    assert {row[6] for row in rows[1:]} == {"M-1", "'@SUM(1)"}
    found = json.loads((folder / "q.json").read_text())["tables"]
    assert [(r["part_number"], r["sum"]) for r in found[0]["rows"]] == [("@SUM(1)", 2.0), ("M-1", 10.5)]


def test_what_has_no_price_can_be_filled_in_and_read_back(tmp_path: Path) -> None:
    made = boat(currency="EUR")
    made.run("W1", "WC1.bar", "WC2.bar", status="new", function="dc positive", size="16 mm2", length_m=2, colour="red",
             conductor="tinned copper")  # fmt: skip
    save(made.installation, tmp_path / "d.linewright")
    assert main(["quotation", str(tmp_path / "d.linewright"), "-o", str(tmp_path / "q.csv")]) == 0
    with (tmp_path / "q-without_price.csv").open(encoding="utf-8-sig", newline="") as file:
        rows = list(csv.DictReader(file))
    assert {row["Part number or code"] for row in rows} == {"CABLE-16MM2-RED-TINNEDCOPPER", "LABEL-RUN", ""}
    with (tmp_path / "filled.csv").open("w", encoding="utf-8", newline="") as file:
        writer = csv.DictWriter(file, rows[0].keys())
        writer.writeheader()
        writer.writerows(row | {"Price": "1.25"} for row in rows if row["Part number or code"])
    prices = read_prices(tmp_path / "filled.csv")
    assert prices.told == ()
    offer = offered(made, prices=prices)
    assert [(each.line.key(), each.sum) for each in offer.priced] == [
        ("CABLE-16MM2-RED-TINNEDCOPPER", Decimal("2.50")),
        ("LABEL-RUN", Decimal("2.50")),
    ]


def test_same_input_same_bytes(drawing: Path) -> None:
    written = []
    for name in ("a.pdf", "b.pdf", "a.xlsx", "b.xlsx"):
        assert main(["quotation", str(drawing), "-o", str(drawing.parent / name)]) == 0
        written.append((drawing.parent / name).read_bytes())
    assert written[0] == written[1]
    assert written[2] == written[3]


@pytest.mark.parametrize(
    ("more", "said"),
    [
        (["--prices", "nowhere.csv"], "nowhere.csv"),
        (["--valid-until", "soon"], "expected a date such as 2027-01-31, found 'soon'"),
        (["--tax", "lots"], "expected a tax of 0 to 100 %"),
        (["--locale", "zz"], "there is no locale 'zz'"),
        (["--currency", "Money"], "expected a currency code such as EUR or USD, found 'Money'"),
    ],
)
def test_what_cannot_be_used_is_refused_in_a_sentence(
    drawing: Path, more: list[str], said: str, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["quotation", str(drawing), "-o", str(drawing.parent / "q.pdf"), *more]) == 2
    told = capsys.readouterr().err
    assert said in told
    assert "Traceback" not in told


def test_a_tax_with_a_fraction_is_written_as_the_place_does() -> None:
    each = Sum("EUR", Decimal("100.00"), ((Tax("City", Decimal("2.5")), Decimal("2.50")),), Decimal("102.50"))
    offer = Offer((), (), (each,), "EUR")
    assert _steps(each, offer, locale_of("de_DE"))[1][0] == "City 2,5 %"
    assert _steps(each, offer)[1][0] == "City 2.5 %"
