"""Figures over a sheet: what they say, that they meet nothing that stands on it, and that none goes missing unsaid."""

from __future__ import annotations

import itertools
from pathlib import Path

import pytest

from app.drawing.figures import REST, FigureWords, fault_words, flow_words, owner_of
from app.drawing.screen import Screen
from app.judgement import BusFigure, FaultFigure, FaultFigures, FlowFigures, RunFigure, SourceFigure
from app.worker_figures import flow_figures
from engine.books import load as load_book
from engine.check import CheckResult
from engine.files.drawing import load
from engine.installation import Snapshot
from engine.picture import Box, Text, path_box, text_box
from engine.study import Study

LAUNCH = Path(__file__).parents[3] / "samples" / "launch" / "launch.linewright"


def flow(**parts: object) -> FlowFigures:
    return FlowFigures(condition="c1", converged=True, sources_w=0, loads_w=0, losses_w=0, **parts)  # type: ignore[arg-type]


@pytest.fixture(scope="module")
def launch() -> Snapshot:
    return load(LAUNCH).installation.snapshot()


@pytest.fixture(scope="module")
def study(launch: Snapshot) -> Study:
    return Study(launch, load_book(launch.settings.book))


@pytest.fixture(scope="module")
def screen(launch: Snapshot) -> Screen:
    """The launch's sheet; no findings, so that this does not depend on the rules."""
    made = Screen()
    made.set(launch)
    return made


# -- words ------------------------------------------------------------------------------------------------------------
@pytest.mark.parametrize(
    ("run", "lines"),
    [
        (RunFigure(12.34, 0.4, 1.83), ("12.3 A", "1.8 %")),
        (RunFigure(12.34, 0.4, 1.83, at_least=True), ("≥ 12.3 A", "≥ 1.8 %")),
        (RunFigure(0.0, 0.4, 1.83), ("0 A",)),  # what is lost before it is told where something flows
        (RunFigure(0.0000004, 0.0, 0.0), ("0 A", "0 %")),
        (RunFigure(0.012, 0.0001, 0.02), ("12 mA", "under 0.1 %")),
        (RunFigure(5.0), ("5 A",)),  # the drop is not known
        (RunFigure(1_000_000.0, 1.0, 2.0), ("1 MA", "2 %")),
    ],
)
def test_a_run_tells_amperes_and_drop_with_their_units(run: RunFigure, lines: tuple[str, ...]) -> None:
    assert flow_words(flow(runs={"r1": run}))["r1"].lines == lines


def test_what_is_not_known_is_not_there() -> None:
    assert flow_words(flow(runs={"r1": RunFigure(None)})) == {}
    assert fault_words(FaultFigures(devices={"e1": FaultFigure(None, None)})) == {}


def test_sources_give_or_take_and_buses_name_their_most_loaded_section() -> None:
    made = flow_words(
        flow(
            sources={"e1": SourceFigure(134.0, 25.2, 3400.0), "e2": SourceFigure(-24.9, 12.12, -300.0, None, True)},
            buses={
                "e3": BusFigure(146.0, (146.0, -20.04, 0.0), order_known=True, is_over=True),
                "e4": BusFigure(9.0, (9.0, 4.0), at_least=True),
                "e5": BusFigure(9.0, (9.0,)),
            },
        )
    )
    assert made["e1"].lines == ("gives 134 A", "25.2 V")
    assert made["e2"].lines == ("takes ≥ 24.9 A", "12.1 V")
    whole = ("most loaded section 146 A", "from stud to stud 146, 20, 0 A")
    assert made["e3"] == FigureWords(whole, bold=True, short=whole[:1])
    assert made["e4"].lines == ("most loaded section ≥ 9 A", "studs in the worst order")
    assert made["e5"].lines == ("most loaded section 9 A",)


def test_faults_tell_the_largest_and_the_smallest_and_where() -> None:
    faults = FaultFigures(
        devices={"e1": FaultFigure(8206.6, 612.0, far="r9"), "e2": FaultFigure(900.0, 80.0, True)},
        buses={"e3": FaultFigure(None, 55.5)},
    )
    made = fault_words(faults, lambda item: item.upper())
    assert made["e1"].lines == ("fault max 8.21 kA", "min 612 A at the end of R9")
    assert made["e1"].short == ("fault max 8.21 kA", "min 612 A")
    assert made["e2"].lines == ("fault max ≤ 900 A", "min 80 A")  # the search was stopped: a bound
    assert made["e3"].lines == ("fault min 55.5 A",)


# -- places -----------------------------------------------------------------------------------------------------------
def frames(of: dict[str, tuple[object, ...]]) -> dict[str, Box]:
    closed = {}
    for owner, primitives in of.items():
        (frame,) = [p for p in primitives if not isinstance(p, Text) and p.segments[-1][0] == "Z"]  # type: ignore[attr-defined]
        closed[owner] = path_box(frame)  # type: ignore[arg-type]
    return closed


def test_every_figure_stands_free_and_none_is_missing(launch: Snapshot, study: Study, screen: Screen) -> None:
    (condition,) = [item for item, record in launch.conditions.items() if record.name == "Under way"]
    words = flow_words(flow_figures(study.flow(condition)))
    (sheet,) = screen.sheets
    placed = screen.figures(sheet, words)
    assert placed.unplaced == ()
    boxes = frames(placed.of)
    for (one, a), (other, b) in itertools.combinations(boxes.items(), 2):
        assert not a.meets(b), (one, other)
    for owner, primitives in screen.picture(sheet, 0).of.items():
        for text in primitives:
            if isinstance(text, Text):
                assert not any(text_box(text).meets(box) for box in boxes.values()), (owner, text.text)
    shown = {p.equipment for p in screen.scene.on(sheet)} | {p.run for p in screen.scene.parts_on(sheet)}
    listed = " ".join(p.text for p in placed.of.get(REST, ()) if isinstance(p, Text))
    for item in words.keys() & shown:
        assert owner_of(item) in placed.of or f"{launch.name(item)}:" in listed, launch.name(item)
    for owner, box in boxes.items():  # the type stands inside its frame, and is as high as the sheet's rules allow
        for text in placed.of[owner]:
            if isinstance(text, Text):
                assert text.height in (2.5, 1.8)
                inside = text_box(text)
                assert box.left <= inside.left
                assert inside.right <= box.right
                assert box.top - 0.01 <= inside.top
                assert inside.bottom <= box.bottom + 0.01


def test_the_layer_is_the_same_every_time_and_no_part_of_the_picture(
    study: Study, screen: Screen, launch: Snapshot
) -> None:
    words = flow_words(flow_figures(study.flow("")))
    (sheet,) = screen.sheets
    before = screen.picture(sheet, 0)
    assert screen.figures(sheet, words) == screen.figures(sheet, dict(reversed(words.items())))
    assert screen.picture(sheet, 0) == before
    assert not any(owner.startswith("figure:") for owner in before.of)


def test_a_figure_is_framed_and_blue_and_bold_where_it_is_too_much(screen: Screen, launch: Snapshot) -> None:
    run = next(item for item, record in launch.runs.items() if record.designation == "W6")
    (sheet,) = screen.sheets
    of = screen.figures(sheet, {run: FigureWords(("17.1 A", "3.5 %"), bold=True)}).of[owner_of(run)]
    texts = [p for p in of if isinstance(p, Text)]
    assert all(text.bold and text.ink == "blue" for text in texts)
    assert {p.fill for p in of if not isinstance(p, Text)} == {"white"}


def test_what_has_no_room_anywhere_is_named(screen: Screen, launch: Snapshot) -> None:
    run = next(item for item, record in launch.runs.items() if record.designation == "W6")
    (sheet,) = screen.sheets
    placed = screen.figures(sheet, {run: FigureWords(("wide " * 200,))})
    assert placed.unplaced == (run,)
    assert placed.of == {}


def test_findings_are_kept_off_too(screen: Screen, launch: Snapshot, study: Study) -> None:
    """A flag that a check put on the sheet is never covered."""
    from engine.check import check

    result: CheckResult = check(launch, study=study)
    flagged = Screen()
    flagged.set(launch)
    flagged.note(result)
    (sheet,) = flagged.sheets
    boxes = frames(flagged.figures(sheet, flow_words(flow_figures(study.flow("")))).of)
    for owner, primitives in flagged.picture(sheet, 0).of.items():
        if owner.startswith("flag:"):
            for text in primitives:
                if isinstance(text, Text):
                    assert not any(text_box(text).meets(box) for box in boxes.values())
