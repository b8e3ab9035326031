"""To buy, to remove, kept: between two issues, and by status alone."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import openpyxl
import pytest

from app.cli import main
from app.handover.parts.changes import change_tables
from app.paper.table import as_rows
from engine.builder import Builder
from engine.edits import Put, SetFields, apply
from engine.files.drawing import save
from engine.installation import Snapshot, TitleBlock


def issue() -> Builder:
    """A drawing as last issued."""
    made = Builder()
    apply(made.installation, Put("title_block", "title_block", TitleBlock(revision="B")))
    made.add("bus_bar", "WC1")
    made.add("bus_bar", "WC2")
    made.add("fuse", "F1", rating_a=100)
    made.add("fuse", "F2", status="new", rating_a=50)
    made.add("fuse", "F3", status="new", rating_a=30)
    made.add("fuse", "F4", rating_a=20)
    made.add("fuse", "F5", status="new", rating_a=15)
    made.run("W1", "WC1.bar", "WC2.bar", status="new", size="16 mm2", length_m=2.0)
    return made


def item(made: Builder, designation: str) -> tuple[str, str]:
    (found,) = made.installation.find(designation)
    return found


def put(made: Builder, name: str, **fields: Any) -> None:
    apply(made.installation, SetFields(*item(made, name), tuple(fields.items())))


def told(now: Snapshot, before: Snapshot | None) -> dict[str, dict[str, str]]:
    return {t.name: {r["designation"]: r["why"] for r in as_rows(t)} for t in change_tables(now, before)}


def test_every_thing_of_both_issues_stands_in_one_table_with_the_reason() -> None:
    made = issue()
    before = made.installation.snapshot()
    put(made, "F1", status="to remove")
    put(made, "F2", rating_a=60)
    put(made, "F5", status="existing")
    apply(made.installation, Put(*item(made, "F3"), None))
    apply(made.installation, Put(*item(made, "F4"), None))
    put(made, "W1", length_m=3.0)
    made.add("fuse", "F9", status="new", rating_a=5)
    assert told(made.installation.snapshot(), before) == {
        "to_buy": {
            "F2": "instead of Fuse, 50 A",
            "F9": "new, not in the last issue",
            "W1": "instead of 2 × 16 mm², 2 m",
        },
        "to_remove": {
            "F1": "to be removed",
            "F3": "was new, is drawn no longer: not to be bought, out again where it is fitted",
            "F4": "was existing, is drawn no longer",
        },
        "kept": {"F5": "was new, is aboard now", "WC1, WC2": "aboard"},
    }


def test_nothing_is_bought_twice() -> None:
    made = issue()
    snapshot = made.installation.snapshot()
    found = told(snapshot, snapshot)
    assert found["to_buy"] == {}
    assert found["to_remove"] == {}
    assert found["kept"]["F2"] == "new in the last issue already"
    tables = change_tables(snapshot, snapshot)
    assert tables[0].title == "To buy since issue B"
    assert tables[0].notes == (
        "Nothing is to be bought that the last issue did not order.",
        "Both issues are revision B: this one needs an index of its own.",
    )


def test_another_rating_under_the_same_part_number_is_bought_and_a_figure_found_out_is_not() -> None:
    made = Builder()
    made.add("fuse", "F4", status="new", part_number="ABC-24", rating_a=200)
    made.add("fuse", "F5", status="new", part_number="ABC-25", rating_a=15)
    before = made.installation.snapshot()
    put(made, "F4", rating_a=150.0)
    put(made, "F5", rated_dc_v=58.0)
    found = told(made.installation.snapshot(), before)
    assert found["to_buy"] == {"F4": "instead of Fuse, 200 A, ABC-24"}
    assert found["kept"] == {"F5": "new in the last issue already"}


def test_a_price_alone_buys_nothing_but_more_pieces_do() -> None:
    made = issue()
    before = made.installation.snapshot()
    put(made, "F2", price=12.0)
    put(made, "F3", quantity=4)
    found = told(made.installation.snapshot(), before)
    assert found["to_buy"] == {"F3": "4 instead of 1"}


def test_another_designation_is_the_same_thing() -> None:
    made = issue()
    before = made.installation.snapshot()
    put(made, "F2", designation="F22")
    assert told(made.installation.snapshot(), before)["kept"]["F22"] == "new in the last issue already"


def test_without_an_issue_before_only_what_is_removed_is_told() -> None:
    made = issue()
    put(made, "F4", status="to remove")
    assert told(made.installation.snapshot(), None) == {"to_remove": {"F4": "to be removed"}}


def test_the_command_takes_the_issue_before(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    made = issue()
    save(made.installation, tmp_path / "old.linewright")
    made.add("fuse", "F9", status="new", rating_a=5, label="=1+1")
    save(made.installation, tmp_path / "new.linewright")
    new, old, out = (str(tmp_path / name) for name in ("new.linewright", "old.linewright", "x.xlsx"))
    assert main(["parts", new, "--since", old, "--drums", "5;50", "-o", out]) == 0
    book = openpyxl.load_workbook(out)
    sheet = book["To buy since issue B"]
    assert [cell.value for cell in sheet[2]][:2] == ["F9", "=1+1"]
    assert not [c for sheet in book for row in sheet for c in row if c.data_type == "f"]
    capsys.readouterr()
    assert main(["parts", new, "--drums", "5;long", "-o", out]) == 2
    assert "'long'" in capsys.readouterr().err
