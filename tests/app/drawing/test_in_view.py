"""Before, during and after the work, one status alone: what is drawn, what is told, what stays of the whole drawing."""

from __future__ import annotations

import pytest

from app.cli import main
from app.drawing.layout import lay_out
from app.drawing.screen import Screen
from app.drawing.sheets import pictures
from app.drawing.strokes import legend, run_strokes, symbol_strokes
from app.drawing.whole.in_view import STATUSES, VIEWS, in_view, seen, told_of
from app.paper.mono import in_mono
from engine.builder import Builder
from engine.check import check
from engine.edits import apply
from engine.files.drawing import save
from engine.installation import Snapshot
from engine.installation.model import Installation
from engine.picture import Box, Path, Picture, Text, rectangle


def boat() -> Builder:
    """A bank and a bus that stay; F1 goes and F2 comes; E1 by others, E2 spare."""
    b = Builder(name="Whimbrel")
    b.add("battery_bank", "G1", unit_v=12.8, unit_ah=100)
    b.add("bus_bar", "WC1")
    b.add("fuse", "F1", rating_a=100, status="to remove")
    b.add("fuse", "F2", rating_a=150, status="new")
    b.add("load", "E1", label="Radio", status="by others")
    b.add("load", "E2", label="Heater", status="spare")
    b.run("W1", "G1.pos", "F1.in", status="to remove")
    b.run("W2", "F1.out", "WC1.bar", status="to remove")
    b.run("W3", "G1.pos", "F2.in", status="new")
    b.run("W4", "F2.out", "WC1.bar")  # stays, and ends at what comes: there is no such run before the work
    b.run("W5", "WC1.bar", "E1.in", status="by others")
    b.run("W6", "WC1.bar", "E2.in", status="spare")
    return b


def laid() -> Installation:
    made = boat().installation
    apply(made, lay_out(made.snapshot()))
    return made


def names(snapshot: Snapshot) -> set[str]:
    return {snapshot.name(item) for item in (*snapshot.equipment, *snapshot.runs)}


def test_before_and_after_the_work() -> None:
    whole = laid().snapshot()
    assert names(in_view(whole, "before")) == {"G1", "WC1", "F1", "E1", "W1", "W2", "W5"}
    assert names(in_view(whole, "after")) == {"G1", "WC1", "F2", "E1", "E2", "W3", "W4", "W5", "W6"}
    assert in_view(whole, "during") is whole
    assert in_view(whole, "all") is whole


def test_one_status_alone_is_shown_with_what_its_runs_end_at() -> None:
    whole = laid().snapshot()
    assert names(in_view(whole, "new")) == {"G1", "F2", "W3"}
    assert names(in_view(whole, "spare")) == {"WC1", "E2", "W6"}
    for status in STATUSES:
        shown = in_view(whole, status)
        assert {run.status for run in shown.runs.values()} == {status}


def test_a_run_that_would_end_at_nothing_is_left_out_and_named() -> None:
    whole = laid().snapshot()
    assert [whole.name(item) for item in seen(whole, "before").loose] == ["W4"]
    told = told_of("before", whole)
    assert "W4" in told[1]
    assert told[-1] == "Findings and counts are those of the whole drawing."
    assert told_of("all", whole) == ()


@pytest.mark.parametrize("view", VIEWS)
def test_no_record_of_a_view_names_what_it_leaves_out(view: str) -> None:
    shown = in_view(laid().snapshot(), view)
    for run in shown.runs.values():
        assert run.from_end.equipment in shown.equipment
        assert run.to_end.equipment in shown.equipment
    assert all(p.equipment in shown.equipment for p in shown.placements.values())
    assert all(r.run in shown.runs for r in shown.routes.values())


def test_notes_keep_number_and_sheet_in_every_view() -> None:
    b = boat()
    b.add("fuse", "F9", status="new", rating_a=5)  # joined to nothing: found
    made = b.installation
    apply(made, lay_out(made.snapshot()))
    whole = made.snapshot()
    result = check(whole)
    screen = Screen()
    told = []
    for view in VIEWS:
        screen.set(whole, view=view)
        told.append(screen.note(result))
    assert result.findings
    assert all(each == told[0] for each in told)


def test_the_sheet_says_which_view_it_is_and_still_counts_the_whole() -> None:
    whole = laid().snapshot()
    result = check(whole)
    plain, before = pictures(whole, result)[0], pictures(whole, result, view="before")[0]

    def texts(picture: Picture) -> list[str]:
        return [p.text for p in picture.primitives if isinstance(p, Text)]

    assert any(text.startswith("Before the work") for text in texts(before)), "in the title block"
    assert any("is new or spare is left out" in text for text in texts(before))
    assert not any("Before the work" in text for text in texts(plain))
    assert "F2" in texts(plain)
    assert "F2" not in texts(before)
    assert str(len(result.findings)) in texts(before)


def test_an_interlock_of_what_is_not_shown_is_no_interlock_of_one_device() -> None:
    b = boat()
    b.add("battery_switch", "Q1")
    b.add("battery_switch", "Q2", status="new")
    b.interlock("Q1", "Q2")
    shown = in_view(b.installation.snapshot(), "before")
    assert not shown.interlocks


def test_the_five_are_told_apart_without_colour() -> None:
    """By width, dash and crosses alone, symbols by their frames too: black and white paper is enough."""

    def signs(strokes: list[object]) -> tuple[object, ...]:
        mono = in_mono(Picture(50.0, 50.0, tuple(strokes), ""))  # type: ignore[arg-type]
        return tuple(sorted((p.width, p.dash, len(p.segments)) for p in mono.primitives if isinstance(p, Path)))

    runs = {signs(list(run_strokes(((0, 0), (40, 0)), status, "", "r1"))) for status in STATUSES}
    assert len(runs) == len(STATUSES)
    fuse = [rectangle(0, 0, 2.5, 5.0, 0.35)]
    symbols = {signs(list(symbol_strokes(fuse, (0, 0), Box(0, 0, 2.5, 5), status, "e1"))) for status in STATUSES}
    assert len(symbols) == len(STATUSES)
    told = legend(set(STATUSES))
    for word in STATUSES:
        assert word in told


def test_print_takes_a_view(tmp_path: object, capsys: pytest.CaptureFixture[str]) -> None:
    made = laid()
    path = f"{tmp_path}/boat.linewright"
    save(made, path)
    assert main(["print", path, "-o", f"{tmp_path}/after.svg", "--view", "after"]) == 0
    capsys.readouterr()
    assert main(["print", path, "-o", f"{tmp_path}/x.pdf", "--view", "later"]) == 2
    assert "expected one of all, before, during, after" in capsys.readouterr().err
