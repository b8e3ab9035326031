"""The bill of materials: what a yard office would order from it."""

from __future__ import annotations

import csv
import json
from pathlib import Path
from typing import Any

import openpyxl
import pypdf
import pytest

from app.handover.parts.bill import bill
from app.handover.parts.writing import write_parts
from app.paper.table import Table, as_rows
from engine.builder import Builder
from engine.edits import Put, apply
from engine.equipment import kinds
from engine.equipment.base import Breaking
from engine.installation import Settings, TitleBlock, Vessel
from engine.record import field_specs


def drawing(**settings: Any) -> Builder:
    made = Builder()
    block = TitleBlock(legal_owner="Saltmarsh Yard", title="Power refit", number="RAZ-E-1", creator="the yard")
    apply(made.installation, Put("title_block", "title_block", block))
    apply(made.installation, Put("vessel", "vessel", Vessel(name="Razorbill")))
    apply(made.installation, Put("settings", "settings", Settings(**{"currency": "USD", **settings})))
    made.add("bus_bar", "WC1")
    made.add("bus_bar", "WC2")
    return made


def tables(made: Builder) -> tuple[Table, Table]:
    equipment, cable = bill(made.installation.snapshot())
    return equipment, cable


def lines(table: Table) -> list[dict[str, Any]]:
    return as_rows(table)


def cables(made: Builder) -> list[dict[str, Any]]:
    return lines(tables(made)[1])


# -- equipment --------------------------------------------------------------------------------------------------------
def test_only_what_is_new_is_ordered_and_the_rest_is_counted() -> None:
    made = drawing()
    made.add("fuse", "F1", status="new", rating_a=200)
    made.add("fuse", "F2", status="to remove", rating_a=200)
    made.add("fuse", "F3", status="by others")
    made.add("fuse", "F4", status="spare")
    equipment, _cable = tables(made)
    assert [r["designations"] for r in lines(equipment)] == ["F1"]
    assert "Not ordered: 2 existing, 1 to remove, 1 by others, 1 spare." in equipment.notes


def test_a_loose_end_and_the_supply_ashore_are_not_bought() -> None:
    made = drawing()
    made.add("open_end", "X1", status="new")
    made.add("shore_supply", "G9", status="new")
    made.add("fuse", "F9", status="new", supplied_with_equipment=True)
    equipment, cable = tables(made)
    assert equipment.rows == ()
    assert equipment.notes[0] == "Nothing is new: nothing to order."
    assert "Nothing is new: nothing to order." in cable.notes


def test_alike_is_one_line_with_the_sum_and_designations_in_order() -> None:
    made = drawing()
    for name in ("F10", "F2", "F1"):
        made.add("fuse", name, status="new", rating_a=200, fuse_class="class T", price=45.5, conductor="+")
    made.add("fuse", "F3", status="new", rating_a=200, fuse_class="class T", price=45.5, conductor="-", quantity=2)
    made.add("fuse", "F4", status="new", rating_a=60, fuse_class="class T")
    first, second = lines(tables(made)[0])
    assert (first["quantity"], first["designations"]) == (1, "F4")
    assert (second["quantity"], second["designations"]) == (5, "F1, F2, F3, F10")
    assert second["what"] == "Fuse"
    assert "class T 200 A" in second["ratings"]
    assert (second["price_each"], second["price"]) == (45.5, 227.5)


def test_a_part_number_says_it_all() -> None:
    made = drawing()
    made.add("fuse", "F1", status="new", part_number="T-200", rating_a=200)
    made.add("fuse", "F2", status="new", part_number="T-200")
    (line,) = lines(tables(made)[0])
    assert line["quantity"] == 2
    assert line["part_number"] == "T-200"


def test_what_differs_is_never_put_together_and_the_difference_is_written() -> None:
    made = drawing()
    made.add("fuse", "F1", status="new", rating_a=200, breaking=(Breaking(amps=20000, volts=125),))
    made.add("fuse", "F2", status="new", rating_a=200, breaking=(Breaking(amps=20000, volts=58),))
    made.add("fuse", "F3", status="new", rating_a=200, breaking=(Breaking(amps=20000, volts=58),), rated_dc_v=58)
    ratings = [r["ratings"] for r in lines(tables(made)[0])]
    assert len(set(ratings)) == 3
    assert sum("20 kA at 125 V DC" in r for r in ratings) == 1
    assert sum("rated voltage, DC 58 V" in r for r in ratings) == 1


def test_a_bank_is_bought_in_units() -> None:
    made = drawing()
    made.add(
        "battery_bank", "G1", status="new", chemistry="LFP", unit_v=12.8, unit_ah=280, series=2, parallel=3, price=1900
    )
    made.add("solar_array", "G2", status="new", module_w=400, series=2, strings=2)
    bank, array = lines(tables(made)[0])
    assert bank["quantity"] == 6
    assert "12.8 V 280 Ah" in bank["ratings"]
    assert "not known" not in bank["ratings"]
    assert bank["price"] == 11400
    assert array["quantity"] == 4
    assert "400 W" in array["ratings"]


def test_totals_say_what_they_leave_out() -> None:
    made = drawing()
    made.add("fuse", "F1", status="new", rating_a=10, price=1.1)
    made.add("fuse", "F2", status="new", rating_a=20, price=2.2)
    assert "Total 3.30 USD; every line has a price." in tables(made)[0].notes
    made.add("fuse", "F3", status="new", rating_a=30)
    equipment = tables(made)[0]
    assert "Total 3.30 USD; 1 line has no price and is not in it." in equipment.notes
    assert lines(equipment)[2]["price"] is None


# -- cable ------------------------------------------------------------------------------------------------------------
def run(made: Builder, name: str, **fields: Any) -> None:
    made.run(name, "WC1.bar", "WC2.bar", **{"status": "new", **fields})


def test_lengths_of_the_same_cable_add_up_with_the_waste() -> None:
    made = drawing(waste_percent=15)
    run(made, "W10", function="dc positive", size="2/0 AWG", colour="red", length_m=2.0, price=12.0)
    run(made, "W2", function="dc positive", size="2/0 AWG", colour="red", length_m=1.03, price=12.0)
    run(made, "W3", function="dc positive", size="2/0 AWG", colour="black", length_m=1.0, price=12.0)
    run(made, "W4", function="dc positive", size="2/0 AWG", colour="red", length_m=9.0, status="existing")
    black, red = cables(made)
    assert (red["cable"], red["colour"], red["function"], red["runs"]) == ("2/0 AWG", "red", "DC positive", "W2, W10")
    assert red["length"] == 3.1  # 3.03 m, rounded up to a tenth
    assert red["order"] == 3.5  # 3.03 m x 1.15 = 3.4845 m
    assert red["price"] == 42.0
    assert black["order"] == 1.2
    assert "Waste 15 %." in tables(made)[1].notes[0]


def test_a_pair_takes_two_cores() -> None:
    made = drawing(waste_percent=0)
    run(made, "W1", size="2/0 AWG", colour="red/yellow", length_m=1.5)
    run(made, "W2", size="16 mm2", length_m=1.5)
    run(made, "W3", size="16 mm2", length_m=2, sheath="sheathed")
    found = {(r["cable"], r["colour"], r["function"]): r["length"] for r in cables(made)}
    assert found == {
        ("2/0 AWG", "red", "DC positive"): 1.5,
        ("2/0 AWG", "yellow", "DC negative"): 1.5,
        ("16 mm²", "", "DC positive"): 1.5,
        ("16 mm²", "", "DC negative"): 1.5,
        ("2 × 16 mm²", "", "DC pair"): 2.0,
    }


def test_a_colour_and_its_letters_are_one_cable_but_no_shade_is() -> None:
    # letters of IEC 60757
    made = drawing(waste_percent=0)
    for n, colour in enumerate(("RD", "Red", "red", "dark red")):
        run(made, f"W{n}", function="dc positive", size="6 AWG", colour=colour, length_m=1)
    run(made, "W8", function="ac", size="6 AWG", colour="BK+WH+GN", length_m=1)
    run(made, "W9", function="ac", size="6 AWG", colour="black + white + green", length_m=1)
    assert {(r["colour"], r["length"]) for r in cables(made)} == {
        ("red", 3.0), ("dark red", 1.0), ("black + white + green", 2.0)
    }  # fmt: skip


def test_ac_cable_by_its_cores() -> None:
    made = drawing(waste_percent=0)
    run(made, "W1", function="ac", size="10 AWG", length_m=4)
    run(made, "W2", function="ac", size="10 AWG", length_m=4, earth=False)
    run(made, "W3", function="ac", size="6 AWG", length_m=4, phases="L1 L2", earth_size="8 AWG")
    run(made, "W4", function="ac", size="10 AWG", length_m=4, sheath="bare")
    found = sorted((r["cable"], r["function"], r["length"]) for r in cables(made))
    assert found == [
        ("10 AWG", "AC", 8.0),
        ("10 AWG", "protective earth", 4.0),
        ("2 × 10 AWG", "AC", 4.0),
        ("3 × 10 AWG", "AC", 4.0),
        ("3 × 6 AWG + 8 AWG", "AC", 4.0),
    ]


def test_parallel_conductors_multiply() -> None:
    made = drawing(waste_percent=0)
    run(made, "W1", function="dc negative", size="4/0 AWG", length_m=1.2, parallel=3)
    assert [r["length"] for r in cables(made)] == [3.6]


def test_an_unknown_length_is_listed_and_not_guessed() -> None:
    made = drawing(waste_percent=0)
    run(made, "W1", function="dc positive", size="6 AWG", length_m=2)
    run(made, "W2", function="dc positive", size="6 AWG", price=4.0)
    run(made, "W3", function="dc positive", size="6 AWG")
    run(made, "W4", length_m=1)
    found = cables(made)
    assert {(r["runs"], r["length"], r["order"], r["price"]) for r in found if r["cable"] == "6 AWG"} == {
        ("W1", 2.0, 2.0, None),
        ("W2", None, None, None),
        ("W3", None, None, None),
    }
    assert {r["cable"] for r in found if r["runs"] == "W4"} == {"size not known"}
    assert "2 runs have no known length and are in no sum." in tables(made)[1].notes


def test_feet_where_the_drawing_asks_for_them() -> None:
    made = drawing(waste_percent=10, units="US")
    run(made, "W1", function="dc positive", size="6 AWG", length_m=3.048, price=10.0)
    table = tables(made)[1]
    (line,) = lines(table)
    # the international foot is 0.3048 m exactly
    assert (line["length"], line["order"]) == (10.0, 11.0)
    assert line["price"] == pytest.approx(33.53)  # 11 ft = 3.3528 m at 10 a metre
    assert {c.unit for c in table.columns if c.name in ("length", "order")} == {"ft"}


# -- files ------------------------------------------------------------------------------------------------------------
@pytest.fixture
def made() -> Builder:
    built = drawing()
    built.add("inverter_charger", "T1", label="=cmd|' /C calc'!A0 <b>&", status="new", power_w=3000, maker="Tern & Co")
    for n in range(60):
        built.add("fuse", f"F{n}", label=f"circuit {n}", status="new", rating_a=n + 1)
        run(built, f"W{n}", function="dc positive", size="6 AWG", length_m=n, colour=f"colour {n}")
    return built


def test_written_as_pdf(made: Builder, tmp_path: Path) -> None:
    assert write_parts(made.installation.snapshot(), tmp_path / "x.pdf") == ""
    reader = pypdf.PdfReader(tmp_path / "x.pdf")
    text = "\n".join(page.extract_text() for page in reader.pages)
    for said in (
        "Bill of materials",
        "Razorbill",
        "RAZ-E-1",
        "Tern & Co",
        "F59 circuit 59",
        "colour 59",
        "not checked",
    ):
        assert said in text
    assert f"{len(reader.pages)} / {len(reader.pages)}" in text
    assert "Isolate and prove dead before work." in text.replace("\n", " ")
    # ISO 216:2007: A4 is 210 x 297 mm
    assert float(reader.pages[0].mediabox.width) == pytest.approx(297 / 25.4 * 72, abs=0.01)
    assert str(reader.outline[0].title) == "Equipment to order"


def test_written_on_letter_paper_where_the_drawing_is(tmp_path: Path) -> None:
    write_parts(drawing(sheet_size="Tabloid").installation.snapshot(), tmp_path / "x.pdf")
    assert float(pypdf.PdfReader(tmp_path / "x.pdf").pages[0].mediabox.width) == pytest.approx(11 * 72, abs=0.01)


def test_written_as_workbook_csv_and_json(made: Builder, tmp_path: Path) -> None:
    snapshot = made.installation.snapshot()
    for ending in ("xlsx", "CSV", "json"):
        write_parts(snapshot, tmp_path / f"x.{ending}")
    book = openpyxl.load_workbook(tmp_path / "x.xlsx")
    assert book.sheetnames == [
        "Equipment to order",
        "Cable to order",
        "Cable cut from drums",
        "Lugs to order",
        "Heat-shrink to order",
        "Fuse holders to order",
        "Fuse links and spares to order",
        "Labels to order",
        "To remove",
    ]
    assert not [c for sheet in book for row in sheet for c in row if c.data_type == "f"]
    rows = list(csv.reader((tmp_path / "x.CSV").read_text("utf-8-sig").splitlines()))
    assert rows[0] == ["Equipment to order"]
    assert ["Cable to order"] in rows
    names = [t["name"] for t in json.loads((tmp_path / "x.json").read_text())["tables"]]
    assert names == [
        "equipment", "cable", "drums", "lugs", "heat_shrink", "holders", "links", "labels", "to_remove"
    ]  # fmt: skip


def test_another_ending_is_refused_in_words(made: Builder, tmp_path: Path) -> None:
    with pytest.raises(ValueError, match=r"expected a name that ends in \.pdf, \.xlsx, \.csv or \.json, found '\.doc'"):
        write_parts(made.installation.snapshot(), tmp_path / "x.doc")


def test_same_bill_whatever_the_order_of_making() -> None:
    bills = []
    for names in (("F1", "F2", "F3"), ("F3", "F1", "F2")):
        built = drawing()
        for name in names:
            built.add("fuse", name, status="new", rating_a=10 * int(name[1]))
            run(built, f"W{name}", function="dc positive", size="6 AWG", length_m=0.1 * int(name[1]))
        bills.append(bill(built.installation.snapshot()))
    assert bills[0] == bills[1]


def filled(cls: type[Any]) -> dict[str, Any]:
    """A value for every plain fact of a kind."""
    made: dict[str, Any] = {}
    for spec in field_specs(cls):
        if spec.fact.refers or spec.name in ("status", "designation", "quantity", "part_number", "in_position"):
            continue
        if spec.shape in ("number", "whole"):
            low = 1 if spec.fact.low is None else spec.fact.low
            made[spec.name] = low if spec.fact.high is None else min(low + 1, spec.fact.high)
        elif spec.shape == "choice":
            made[spec.name] = spec.choices[-1]
        elif spec.shape == "yesno":
            made[spec.name] = True
        elif spec.shape == "word" and spec.fact.unit != "size":
            made[spec.name] = "word"
    return made


@pytest.mark.parametrize("kind", kinds())
def test_every_kind_can_be_ordered(kind: str) -> None:
    built = drawing()
    built.add(kind, "X1", status="new")
    built.add(kind, "X2", status="new", **filled(kinds()[kind]))
    equipment, _cable = tables(built)
    if kinds()[kind](status="new").pieces():
        assert "X1" in " ".join(r["designations"] for r in lines(equipment))
    for line in lines(equipment):
        assert "None" not in line["ratings"]
        assert "not known" not in line["ratings"] or len(equipment.rows) > 1


def test_every_kind_can_be_written(tmp_path: Path) -> None:
    built = drawing()
    for n, (kind, cls) in enumerate(kinds().items()):
        built.add(kind, f"X{n}", status="new")
        built.add(kind, f"Y{n}", status="new", **filled(cls))
    write_parts(built.installation.snapshot(), tmp_path / "x.pdf")
    text = "\n".join(page.extract_text() for page in pypdf.PdfReader(tmp_path / "x.pdf").pages)
    assert "None" not in text
    bought = [n for n, cls in enumerate(kinds().values()) if cls(status="new").pieces()]
    assert all(f"X{n}" in text for n in bought)
