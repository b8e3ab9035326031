"""What a printed sheet says besides the drawing: notes and their numbers, what is left out, statuses, the basis."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import msgspec
import pytest

from app.drawing.faults import faults
from app.drawing.sheets import pictures
from engine.builder import Builder
from engine.check import CheckResult
from engine.findings import Finding, NotJudged
from engine.installation import Snapshot, Waiver
from engine.picture import Path as Stroke
from engine.picture import Picture, Text, missing_characters, text_box

LaidOut = Callable[..., Snapshot]
GOLDEN = Path(__file__).parent / "small_drawing.txt"


def texts(picture: Picture) -> list[str]:
    return [p.text for p in picture.primitives if isinstance(p, Text)]


def said(picture: Picture) -> str:
    """All of a sheet's type, line breaks gone."""
    return " ".join(texts(picture))


def by_name(snapshot: Snapshot, name: str) -> str:
    tables = (snapshot.equipment, snapshot.runs)
    return next(i for t in tables for i, r in t.items() if r.designation == name)


def finding(snapshot: Snapshot, *names: str, **more: object) -> Finding:
    fields: dict[str, object] = {
        "rule": "rating-above-ampacity",
        "word": "danger",
        "designations": names,
        "ids": tuple(by_name(snapshot, n) for n in names),
        "message": f"Run {names[0]} is 14 AWG, good for 3.5 A; {names[-1]} protects it. Heat follows.",
        "arithmetic": "14 AWG, 35 × 0.1 = 3.5 A",
        "fixes": ("fit 10 A", "run 10 AWG"),
        "clause": "33 CFR 183.455(b)",
        "confirmed": True,
        "law_here": False,
    }
    return Finding(**{**fields, **more})  # type: ignore[arg-type]  # the fields above


def result(findings: tuple[Finding, ...] = (), **more: object) -> CheckResult:
    fields: dict[str, object] = {
        "book": "us-33cfr183",
        "title": "33 CFR Part 183",
        "edition": "2015",
        "basis": "law",
        "binds": "boats with petrol engines",
        "law": False,
        "findings": findings,
        "no_clause": ("voltage-mismatch",),
    }
    return CheckResult(**{**fields, **more})  # type: ignore[arg-type]  # the fields above


def test_a_finding_is_numbered_where_it_is_and_told_in_the_margin(laid_out: LaidOut) -> None:
    snapshot = laid_out("small")
    (sheet,) = pictures(snapshot, result((finding(snapshot, "W6", "Q1"),)))
    numbers = [p for p in sheet.primitives if isinstance(p, Text) and p.text == "1" and p.ink == "red"]
    assert len(numbers) == 2, "once in the drawing, once in the margin"
    assert min(p.x for p in numbers) < 317.5 < max(p.x for p in numbers)
    whole = said(sheet)
    for part in (
        "DANGER rating-above-ampacity",
        "Run W6 is 14 AWG, good for 3.5 A; Q1 protects it.",
        "Heat follows.",
        "14 AWG, 35 × 0.1 = 3.5 A",
        "To put right: fit 10 A; run 10 AWG",
        "33 CFR 183.455(b); good practice, not law here",
    ):
        assert part in whole
    bold = {p.text for p in sheet.primitives if isinstance(p, Text) and p.bold}
    assert not any("Heat follows." in text for text in bold)
    assert faults(sheet) == []


def test_the_first_sheet_names_the_basis(laid_out: LaidOut) -> None:
    first = said(pictures(laid_out("small"), result())[0])
    assert "Judged by 33 CFR Part 183, edition 2015 (us-33cfr183)." in first
    assert "It binds boats with petrol engines. It is not law for this boat" in first
    assert "No clause in this book, good practice: voltage-mismatch." in first
    assert "Assumptions taken" not in first
    taken = said(pictures(laid_out("small"), result(assumptions=("G4: taken as X", "T1: taken as Y")))[0])
    assert "Assumptions taken: G4: taken as X; T1: taken as Y." in taken


def test_the_title_block_counts(laid_out: LaidOut) -> None:
    snapshot = laid_out("small")
    gap = NotJudged(
        rule="cannot-break-fault",
        would_be="warning",
        designations=("F1",),
        ids=(by_name(snapshot, "F1"),),
        missing=("F1.breaking",),
        why="its breaking capacity is not recorded",
    )
    waived = finding(snapshot, "W5", "F1", waived="w1", message="Run W5 is too thin. So.")
    waiver = Waiver(rule="rating-above-ampacity", reason="Cold locker", who="R. Wren", date="2026-01-02")
    (sheet,) = pictures(
        snapshot,
        result((finding(snapshot, "W6", "Q1"),), not_judged=(gap, gap), waived=(waived,), waivers={"w1": waiver}),
    )
    found = texts(sheet)
    for caption, count in (("Open", "1"), ("Waived", "1"), ("Not judged", "2")):
        assert found[found.index(caption) + 1] == count
    whole = said(sheet)
    assert (
        "cannot-break-fault (would be WARNING) at F1: its breaking capacity is not recorded; missing F1.breaking."
        in whole
    )
    assert "Run W5 is too thin." in whole
    assert "Cold locker, by R. Wren, 2026-01-02, accepted" in whole


def test_without_a_check_the_sheet_says_so(laid_out: LaidOut) -> None:
    assert "not checked" in texts(pictures(laid_out("small"))[0])


def test_notes_that_do_not_fit_go_to_pages_after_the_sheets(laid_out: LaidOut) -> None:
    snapshot = laid_out("direct")
    sheets = len(snapshot.sheets)
    many = tuple(finding(snapshot, "W1", "F1", detail=str(n)) for n in range(40))
    made = pictures(snapshot, result(many))
    assert len(made) > sheets
    assert "More notes: sheet" in said(made[0])
    later = made[sheets]
    assert "Notes to sheet 1, continued" in said(later)
    assert "Notes, continued" in texts(later)
    numbers = {
        int(p.text)
        for picture in made
        for p in picture.primitives
        if isinstance(p, Text) and p.ink == "red" and p.text.isdigit()
    }
    assert numbers == set(range(1, 41))
    assert f"{len(made)} / {len(made)}" in texts(made[-1])
    assert [f for picture in made for f in faults(picture)] == []


def test_a_finding_stands_on_the_sheet_of_what_it_speaks_of_first(laid_out: LaidOut) -> None:
    snapshot = laid_out("direct")
    made = pictures(snapshot, result((finding(snapshot, "E3", "F1"),)))
    home = next(n for n, picture in enumerate(made) if "E3" in texts(picture))
    assert [n for n, picture in enumerate(made) if "DANGER rating-above-ampacity" in said(picture)] == [home]
    assert home > 0


def test_a_finding_about_what_is_drawn_nowhere_is_not_lost(laid_out: LaidOut) -> None:
    snapshot = laid_out("small")
    lone = finding(snapshot, "W6", "Q1", ids=("gone",), message="Nothing of it is drawn.")
    assert "Nothing of it is drawn." in said(pictures(snapshot, result((lone,)))[0])


def test_what_is_placed_nowhere_is_listed(laid_out: LaidOut) -> None:
    snapshot = laid_out("small")
    gone = by_name(snapshot, "E1")
    placements = {i: p for i, p in snapshot.placements.items() if p.equipment != gone}
    snapshot = Snapshot(tables=snapshot.tables | {"placements": placements}, lone=snapshot.lone)
    (sheet,) = pictures(snapshot)
    assert "On no sheet: E1." in said(sheet)
    assert "E1, not drawn" in texts(sheet), "the run to it ends in an arrow"


def test_sheets_without_placements_list_everything(laid_out: LaidOut) -> None:
    snapshot = laid_out("small")
    snapshot = Snapshot(tables=snapshot.tables | {"placements": {}, "routes": {}}, lone=snapshot.lone)
    whole = said(pictures(snapshot)[0])
    for name in ("G1", "WC1", "E1", "W1", "W7"):
        assert name in whole.split("On no sheet: ")[1]


def test_without_routes_every_run_is_still_shown(laid_out: LaidOut) -> None:
    snapshot = laid_out("direct")
    bare = Snapshot(tables=snapshot.tables | {"routes": {}}, lone=snapshot.lone)
    drawn = {p.owner for picture in pictures(bare) for p in picture.primitives if isinstance(p, Stroke)}
    assert set(bare.runs) <= drawn


def test_a_file_without_sheets_is_laid_out_for_the_print(builders: dict[str, Callable[[], Builder]]) -> None:
    snapshot = builders["small"]().installation.snapshot()
    assert len(pictures(snapshot)) == 1
    assert not snapshot.sheets


def test_another_paper_is_laid_out_anew(laid_out: LaidOut) -> None:
    snapshot = laid_out("small")
    (sheet,) = pictures(snapshot, size="Tabloid")
    assert (sheet.width, sheet.height) == (431.8, 279.4)
    with pytest.raises(KeyError):
        pictures(snapshot, size="A9")


def test_statuses_differ_in_their_lines_and_the_sheet_says_how() -> None:
    widths = {}
    for status in ("existing", "new", "to remove", "by others", "spare"):
        b = Builder()
        b.add("fuse", "F1", status=status)
        b.add("load", "E1", status=status)
        b.run("W1", "F1.out", "E1.in", status=status)
        (sheet,) = pictures(b.installation.snapshot())
        item = by_name(b.installation.snapshot(), "W1")
        line = next(p for p in sheet.primitives if isinstance(p, Stroke) and p.owner == item)
        widths[status] = (line.width, line.dash, line.ink)
        assert ("Lines:" in said(sheet)) == (status != "existing")
    assert widths == {
        "existing": (0.35, "solid", "black"),
        "new": (0.7, "solid", "black"),
        "to remove": (0.35, "dashed", "black"),
        "by others": (0.35, "dotted", "grey"),
        "spare": (0.35, "chain", "black"),
    }


def test_what_stands_beside_a_symbol_and_a_run() -> None:
    b = Builder()
    b.add("battery_switch", "Q1", label="Main switch", old_marking="BATT 1", status="to remove", in_position="open")
    b.add("load", "E1", quantity=3)
    b.run("W1", "Q1.out", "E1.in", size="10 AWG", parallel=2, length_m=3.5, old_marking="7", status="to remove")
    b.run("W2", "Q1.out", "E1.in", function="ac")
    (sheet,) = pictures(b.installation.snapshot())
    found = texts(sheet)
    for text in ("Q1", "Main switch", "open", "to remove", "formerly BATT 1", "3 pieces", "W1", "formerly 7", "L N PE"):
        assert text in found
    assert "2 × 10 AWG 3.5 m" in found
    assert {p.height for p in sheet.primitives if isinstance(p, Text)} == {1.8, 2.5, 3.5}
    assert all(p.height >= 2.5 for p in sheet.primitives if isinstance(p, Text) and p.owner)


def test_lengths_are_written_in_the_drawing_s_own_units(laid_out: LaidOut) -> None:
    assert "14 AWG 13 ft 1.5 in" in said(pictures(laid_out("small", units="US"))[0])


def test_text_the_font_lacks_is_kept_and_reported_by_the_paper(builders: dict[str, Callable[[], Builder]]) -> None:
    b = builders["small"]()
    b.set("E1", label="灯 navigation")
    (sheet,) = pictures(b.installation.snapshot())
    assert "灯 navigation" in texts(sheet)
    assert missing_characters("".join(texts(sheet))) == "灯"
    assert faults(sheet) == []


def test_everything_of_the_drawing_stays_inside_the_frame(laid_out: LaidOut) -> None:
    for picture in pictures(laid_out("alternating")):
        for p in picture.primitives:
            if isinstance(p, Text) and p.owner:
                box = text_box(p)
                assert box.left > 20
                assert box.top > 10
                assert box.right < 320
                assert box.bottom < 240


def test_ieee_symbols_stand_where_the_others_do(laid_out: LaidOut) -> None:
    snapshot = laid_out("small")
    other = msgspec.structs.replace(snapshot.settings, symbols="IEEE 315")
    ieee = Snapshot(tables=snapshot.tables, lone=snapshot.lone | {"settings": other})
    assert texts(pictures(ieee)[0]) == texts(pictures(snapshot)[0])
    assert pictures(ieee)[0].dump() != pictures(snapshot)[0].dump()


def test_the_small_drawing_is_as_it_was(laid_out: LaidOut) -> None:
    """The display list of what is drawn, the frame left out. A wanted change: write `shown` to the file and look."""
    (sheet,) = pictures(laid_out("small"))
    shown = sheet._replace(primitives=tuple(p for p in sheet.primitives if p.owner)).dump()
    assert shown == GOLDEN.read_text(encoding="utf-8")
