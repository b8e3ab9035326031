"""What is let in by the command line and made to do harm: told in a line, nothing written, what is there untouched."""

from __future__ import annotations

import io
import zipfile
from pathlib import Path

import pytest

HEAD = "designation,kind,rating\n"


def _laughs() -> bytes:
    import xlsxwriter

    out, made = io.BytesIO(), io.BytesIO()
    with xlsxwriter.Workbook(out) as book:
        book.add_worksheet("equipment").write_row(0, 0, ["designation", "kind"])
    with zipfile.ZipFile(out) as old, zipfile.ZipFile(made, "w") as new:
        for name in old.namelist():
            bomb = b"?><!DOCTYPE worksheet [<!ENTITY a 'x'>]>" if "sheet1" in name else b"?>"
            new.writestr(name, old.read(name).replace(b"?>", bomb, 1))
    return made.getvalue()


LISTS = {
    "equipment.csv of a million rows": (
        HEAD.encode() + b"F1,fuse,1\n" * 1_000_000, "there are more rows than the 200000 that are read"
    ),
    "a list nobody can name": (b"\n" * 3_000_000, "there are more rows than the 200000 that are read"),
    "no text": (b"\x81\x8d" * 900, "is text in no encoding that is read"),
    "no workbook": (b"PK\x03\x04" + bytes(900), "it is no XLSX workbook"),
    "a workbook with entities": (_laughs(), "it defines entities, or leads to another file"),
}  # fmt: skip


@pytest.mark.parametrize("what", LISTS)
def test_a_list_made_to_do_harm_is_refused_and_what_is_there_stays(run, what: str) -> None:
    data, told = LISTS[what]
    name = "equipment.csv" if "equipment" in what else f"list{'.xlsx' if 'workbook' in what else '.csv'}"
    Path(name).write_bytes(data)
    Path("boat.linewright").write_bytes(b"a drawing of somebody's")
    code, out, err = run("import", name, "-o", "boat.linewright", "--replace")
    assert (code, out) == (2, "")
    assert told in err
    assert "Traceback" not in err
    assert all(len(line) < 500 for line in err.splitlines())
    assert Path("boat.linewright").read_bytes() == b"a drawing of somebody's"
    assert {path.name for path in Path().iterdir() if path.is_file()} == {"boat.linewright", name}


def test_a_book_and_prices_made_to_do_harm_are_refused_by_every_command(run, drawing) -> None:
    drawing()
    Path("yard.toml").write_text('base = "trade-na"\n' + "a." * 100_000 + "a = 1\n")
    for command in (["check", "boat.linewright"], ["faults", "boat.linewright"]):
        code, _out, err = run(*command, "--book", "yard.toml")
        assert code == 2
        assert "a line has more than 300 dots" in err
    Path("prices.csv").write_bytes(b"\n" * 3_000_000)
    code, _out, err = run("quotation", "boat.linewright", "--prices", "prices.csv", "-o", "offer.csv")
    assert code == 2
    assert "there are more rows than the 200000 that are read" in err
    assert not Path("offer.csv").exists()
