"""Price lists as large, odd or broken as anybody may send: read or refused in bounds, what is told can be read."""

from __future__ import annotations

from pathlib import Path

import openpyxl
import pytest

from app.handover.parts.prices import PriceList, read_prices
from engine.files.errors import FileError

HEAD = b"part number,description,unit,price\n"


def prices(folder: Path, data: bytes, name: str = "prices.csv") -> PriceList:
    (folder / name).write_bytes(data)
    return read_prices(folder / name)


def short(found: PriceList) -> tuple[int, tuple[str, ...]]:
    assert all(len(each) < 1000 and each.isprintable() for each in found.told)
    assert len(found.told) < 500
    return len(found.rows), found.told


@pytest.mark.posix
def test_a_wholesalers_list_of_25_000_rows_is_read(tmp_path: Path) -> None:
    from held_back import held_back

    data = HEAD + b"".join(b"P%d,cable lug %d mm2,100 pc,%d.50\n" % (n, n % 240, n % 900 + 1) for n in range(25_000))
    held = held_back(lambda: short(prices(tmp_path, data)), seconds=10, mb=700)
    assert (held.value, held.fault) == ((25_000, ()), None)


TOO_MUCH = {
    "a million rows": (HEAD + b"".join(b"P%d,x,pc,1\n" % n for n in range(1_000_000)), "more rows than the 200000"),
    "a million rows of nothing": (b"\n" * 5_000_000 + HEAD, "more rows than the 200000"),
    "a heading of ten thousand columns": (b"part number,price" + b",x" * 10_000 + b"\n", "only 500 columns are read"),
    "a long heading": (b"part number,price" + b" " * 30_000 + b"x\nP1,1\n", "has no column 'price'"),
    "UTF-16 that does not say so": ("part number,price\nP1,1\n".encode("utf-16-le"), "holds a control character"),
    "nothing": (b"", "is empty"),
    "zeros": (bytes(1000), "holds a control character"),
}  # fmt: skip


@pytest.mark.posix
@pytest.mark.parametrize("what", TOO_MUCH)
def test_what_is_none_is_refused(tmp_path: Path, what: str) -> None:
    from held_back import held_back

    data, said = TOO_MUCH[what]

    def refused() -> str:
        with pytest.raises(FileError) as told:
            prices(tmp_path, data)
        return str(told.value)

    held = held_back(refused, seconds=3, mb=700)
    assert (held.fault, held.ended) == (None, "")
    assert said in held.value
    assert len(held.value) < 2_000


@pytest.mark.posix
def test_a_list_in_which_no_row_can_be_used_says_so_in_bounds(tmp_path: Path) -> None:
    from held_back import held_back

    data = HEAD + b"".join(b"P%d,x,pc,on request\n" % n for n in range(20_000))
    held = held_back(lambda: short(prices(tmp_path, data)), seconds=6, mb=500)
    assert held.fault is None
    assert held.value[0] == 0
    assert held.value[1][-1] == "and 19800 more"
    data = HEAD + b"".join(b"P1,x,pc,%d\n" % (n + 1) for n in range(20_000))
    held = held_back(lambda: short(prices(tmp_path, data)), seconds=6, mb=500)
    assert held.fault is None
    assert (
        "and 19970 more of the price list all have P1, with different prices: none of them is used" in held.value[1][0]
    )


def test_a_price_is_never_calculated_and_never_infinite(tmp_path: Path) -> None:
    rows = [b"A,x,pc,=1+1", b"B,x,pc,1e999", b"C,x,pc,inf", b"D,x,pc,nan", b"E,x,pc," + b"9" * 30_000, b"F,x,pc,-1",
            b"G,x,pc,12", "H,x,pc,\u0661\u0662".encode()]  # fmt: skip
    found = prices(tmp_path, HEAD + b"\n".join(rows) + b"\n")
    assert [row.part_number for row in found.rows] == ["G"]
    assert short(found)[0] == 1
    assert len(found.told) == 7


def test_cells_of_a_workbook_that_are_merged_or_never_calculated_are_told(tmp_path: Path) -> None:
    book = openpyxl.Workbook()
    sheet = book.active
    assert sheet is not None
    sheet.append(["Price list of a wholesaler"])
    sheet.merge_cells("A1:D1")
    for row in (["part number", "description", "unit", "price"], ["A", "lug", "pc", 1.5], ["B", "", "pc", "=1+1"],
                ["C", "shoe", "pc", 2], ["D", None, "pc", 3]):  # fmt: skip
        sheet.append(row)
    sheet.merge_cells("B5:B6")
    book.save(tmp_path / "prices.xlsx")
    found = read_prices(tmp_path / "prices.xlsx")
    assert [(row.part_number, row.price) for row in found.rows] == [("A", 1.5), ("C", 2)]
    assert any("line 4, column D: holds a formula without a result" in told for told in found.told)
    assert any("line 6, column B: merged with the cells above it" in told for told in found.told)
