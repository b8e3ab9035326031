"""The command line on files: lists in and out, paper, the demo."""

from __future__ import annotations

import json
from pathlib import Path

import openpyxl
import pytest

from app.commands import import_lists
from engine.files.drawing import load
from engine.files.lists import LISTS

EQUIPMENT = """designation,kind,label,unit_v,rating_a,rated_dc_v,dc_v
G1,battery_bank,House bank,12.8 V,,,
F1,fuse,Main fuse,,10 A,32 V,
E1,load,Cabin light,,,,12 V
"""
RUNS = """designation,from,to,size,length
W1,G1.pos,F1.in,14 AWG,0.1 m
W2,F1.out,E1.in,14 AWG,2 m
"""


# -- lists ----------------------------------------------------------------------------------------------------------
def test_import_check_and_export_round_trip(run) -> None:
    Path("equipment.csv").write_text(EQUIPMENT)
    Path("runs.csv").write_text(RUNS)
    code, out, err = run("import", "equipment.csv", "runs.csv", "-o", "boat.linewright")
    assert (code, err) == (0, "the function of these runs is not given; they are taken as dc pair: W1, W2\n")
    assert "boat.linewright written; equipment: 3, runs: 2" in out
    assert load("boat.linewright").installation.ids("placements")
    assert run("export-list", "boat.linewright", "-o", "lists")[0] == 0
    code, _out, err = run("import", "lists/equipment.csv", "lists/runs.csv", "-o", "again.linewright")
    assert code == 0, err
    assert Path("again.linewright").read_bytes() == Path("boat.linewright").read_bytes()


def test_import_from_a_workbook_of_two_sheets(run) -> None:
    book = openpyxl.Workbook()
    book.active.title = "Equipment"
    for name, text in (("Equipment", EQUIPMENT), ("runs", RUNS)):
        sheet = book[name] if name in book.sheetnames else book.create_sheet(name)
        for line in text.splitlines():
            # numbers as a spreadsheet keeps them
            sheet.append([float(c) if c.replace(".", "", 1).isdecimal() else c for c in line.split(",")])
    book.create_sheet("Shopping").append(["milk"])
    book.save("boat.xlsx")
    code, _out, err = run("import", "boat.xlsx", "-o", "boat.linewright")
    assert code == 0, err
    assert "boat.xlsx [Shopping] is none of equipment, runs, " in err
    snapshot = load("boat.linewright").installation.snapshot()
    assert sorted(e.designation for e in snapshot.equipment.values()) == ["E1", "F1", "G1"]
    assert len(snapshot.runs) == 2


def test_bad_rows_are_all_told_and_good_ones_kept_on_request(run) -> None:
    Path("equipment.csv").write_text(EQUIPMENT + "F2,fuze,,,10 A,,\nF3,fuse,,,ten,,\n")
    Path("runs.csv").write_text(RUNS)
    code, out, err = run("import", "equipment.csv", "runs.csv", "-o", "boat.linewright")
    assert (code, out) == (2, "")
    assert "equipment.csv line 5" in err
    assert "equipment.csv line 6" in err
    assert "2 faults in the lists; nothing is written" in err
    assert not Path("boat.linewright").exists()
    code, out, err = run("import", "equipment.csv", "runs.csv", "-o", "boat.linewright", "--keep-good")
    assert code == 1
    assert "equipment: 3" in out
    # what was refused may be a main fuse: the drawing is never judged clean
    code, out, _err = run("check", "boat.linewright")
    assert code == 1
    assert "These rows were refused" in " ".join(out.split())
    assert "equipment.csv line 5" in out


def test_nothing_is_written_over_unasked(run, drawing) -> None:
    source = drawing()
    kept = source.read_bytes()
    Path("lists").mkdir()
    Path("lists/runs.csv").write_text("mine\n")
    code, _out, err = run("export-list", str(source), "-o", "lists")
    assert code == 2
    assert "lists holds runs.csv already; --replace writes over them" in err
    assert Path("lists/runs.csv").read_text() == "mine\n"
    assert run("export-list", str(source), "-o", "lists", "--replace")[0] == 0
    code, _out, err = run("export-list", str(source), "-o", "lists/runs.csv")
    assert (code, "lists/runs.csv is a file, expected a folder" in err) == (2, True)
    twin = Path("boat.pdf")
    twin.write_bytes(kept)
    code, _out, err = run("print", "boat.pdf", "-o", "boat.pdf")
    assert (code, "is the drawing itself" in err) == (2, True)
    assert twin.read_bytes() == kept


def test_a_closed_output_is_no_fault(run, drawing, monkeypatch: pytest.MonkeyPatch) -> None:
    source = drawing()
    monkeypatch.setattr("sys.stdout", None)
    from app.cli import main

    assert main(["check", str(source)]) in (0, 1)


def test_import_does_not_write_over_a_drawing_unasked(run, drawing) -> None:
    Path("equipment.csv").write_text(EQUIPMENT)
    kept = drawing().read_bytes()
    code, _out, err = run("import", "equipment.csv", "-o", "boat.linewright")
    assert code == 2
    assert "--replace writes over it" in err
    assert Path("boat.linewright").read_bytes() == kept
    assert run("import", "equipment.csv", "-o", "boat.linewright", "--replace")[0] == 0
    assert Path("boat.linewright").read_bytes() != kept


def test_what_list_a_file_is_is_told_by_name_or_heading(run) -> None:
    Path("gear.csv").write_text(EQUIPMENT)
    Path("cables.csv").write_text(RUNS)
    assert run("import", "cables.csv", "gear.csv", "-o", "boat.linewright")[0] == 0
    Path("two.csv").write_text(EQUIPMENT)
    code, _out, err = run("import", "gear.csv", "two.csv", "-o", "other.linewright")
    assert code == 2
    assert "gear.csv and two.csv both list equipment" in err
    code, _out, err = run("import", "cables.csv", "-o", "other.linewright")
    assert code == 2
    assert "no list of equipment among cables.csv" in err
    Path("bad.xlsx").write_bytes(b"PK\x03\x04 not a workbook")
    code, _out, err = run("import", "bad.xlsx", "-o", "other.linewright")
    assert code == 2
    assert err.startswith("linewright: bad.xlsx: ")
    assert import_lists.LISTS == LISTS


# -- paper ----------------------------------------------------------------------------------------------------------
def test_print_and_parts(run, drawing) -> None:
    path = drawing()
    code, out, err = run("print", path, "-o", "boat.pdf")
    assert (code, err) == (0, "")
    assert "boat.pdf written: " in out
    assert Path("boat.pdf").read_bytes().startswith(b"%PDF")
    for ending in ("csv", "xlsx", "pdf"):
        assert run("parts", path, "-o", f"parts.{ending}")[0] == 0
        assert Path(f"parts.{ending}").stat().st_size > 0
    kept = path.read_bytes()
    assert run("print", path, "-o", "again.pdf")[0] == 0
    assert Path("again.pdf").read_bytes() == Path("boat.pdf").read_bytes()
    assert path.read_bytes() == kept  # printing lays out what has no sheets and leaves the file alone


@pytest.mark.parametrize(
    ("arguments", "told"),
    [
        (("print", "boat.linewright", "-o", "boat.doc"), "boat.doc: the ending is .doc, expected .pdf"),
        (("print", "boat.linewright", "-o", "no/where.pdf"), "there is no folder no"),
        (
            ("print", "boat.linewright", "-o", "x.pdf", "--size", "B5"),
            "expected one of A4, A3, A2, A1, Letter, Tabloid, ANSI C, ANSI D",
        ),
        (("parts", "boat.linewright", "-o", "parts"), "the ending is missing, expected .xlsx or .csv or .pdf"),
        (("import", "e.csv", "-o", "boat.json"), "the ending is .json, expected .linewright"),
        (("export-list", "boat.linewright", "-o", "boat.linewright/lists"), "boat.linewright"),
    ],
)
def test_output_that_cannot_be_is_told_in_one_line(run, arguments: tuple[str, ...], told: str, drawing) -> None:
    drawing()
    code, _out, err = run(*arguments)
    assert code == 2
    assert told in err
    assert err.count("\n") == 1


def test_demo(run) -> None:
    code, out, err = run("demo", "--no-window")
    assert (code, err) == (0, "")
    folder = Path("linewright-demo")
    names = {p.name for p in folder.iterdir()}
    assert names == {
        "ketch.linewright", "ketch.pdf", "ketch-parts.csv", "ketch-parts.xlsx", "ketch-findings.json",
        "ketch-findings.sarif",
    }  # fmt: skip
    for name in names:
        assert f"{folder / name}: " in out
    assert "not judged" in out
    assert max(map(len, out.splitlines())) <= 120
    findings = json.loads((folder / "ketch-findings.json").read_text())
    assert findings["file"] == "linewright-demo/ketch.linewright"
    first = {name: (folder / name).read_bytes() for name in names}
    assert run("demo")[0] == 0
    assert {name: (folder / name).read_bytes() for name in names} == first


def test_the_demo_writes_over_nobody_s_work(run, own_folder) -> None:
    assert run("demo", "--no-window")[0] == 0
    theirs = own_folder / "linewright-demo" / "ketch.linewright"
    changed = theirs.read_bytes().replace(b"House bank", b"Our own bank")
    theirs.write_bytes(changed)
    printed = (own_folder / "linewright-demo" / "ketch.pdf").read_bytes()
    code, out, _err = run("demo", "--no-window")
    assert code == 0
    assert "ketch-2.linewright" in out
    assert theirs.read_bytes() == changed
    assert (own_folder / "linewright-demo" / "ketch.pdf").read_bytes() == printed
    assert (own_folder / "linewright-demo" / "ketch-2.pdf").is_file()
    run("demo", "--no-window")
    assert not (own_folder / "linewright-demo" / "ketch-3.linewright").exists()
