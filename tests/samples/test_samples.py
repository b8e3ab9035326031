"""The sample boats: made from their lists, the same through every door, and judged exactly as expected.

`expected.toml` beside each drawing lists what is found, waived and not judged. It was worked out by hand when the boats
were drawn, before the rules could be run on them.
"""

from __future__ import annotations

import datetime
import importlib.util
import re
import tomllib
from collections.abc import Iterable
from pathlib import Path
from typing import Any

import pytest

from engine.check import CheckResult, check
from engine.equipment.base import STATUSES
from engine.files.drawing import dump, load, save
from engine.files.lists import csv_bytes, csv_text_rows, read_lists, write_lists
from engine.installation import Installation

HERE = Path(__file__).parent
SAMPLES = HERE.parents[1] / "samples"
NAMES = ("launch", "ketch", "workboat")
TODAY = datetime.date(2026, 11, 25)  # the day review dates are compared with
MAIN_JOB = {
    "no-protection", "far-from-source", "far-end-unprotected", "rating-above-ampacity", "equipment-over-protected",
    "bypass-unprotected", "sources-meet", "rated-below-voltage", "voltage-mismatch", "unconnected",
    "duplicate-designation", "needless-waiver",
}  # fmt: skip


def _maker() -> Any:
    spec = importlib.util.spec_from_file_location("make_samples", HERE / "make_samples.py")
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


def path_of(name: str) -> Path:
    return SAMPLES / name / f"{name}.linewright"


@pytest.fixture(params=NAMES)
def name(request: pytest.FixtureRequest) -> str:
    return str(request.param)


@pytest.fixture
def drawing(name: str) -> Installation:
    opened = load(path_of(name))
    assert opened.notices == ()
    assert not opened.read_only
    return opened.installation


def judged(name: str) -> CheckResult:
    return check(load(path_of(name)).installation.snapshot(), today=TODAY)


def without_program(data: bytes) -> bytes:
    """The file but for the version of the program that wrote it."""
    return re.sub(rb'"program": "[^"]*"', b'"program": ""', data, count=1)


# -- the same through every door ------------------------------------------------------------------------------------
def test_drawing_is_what_its_lists_make(name: str) -> None:
    made = dump(_maker().make(name))
    assert without_program(made) == without_program(path_of(name).read_bytes()), (
        f"the lists, the layout or the format changed: run tests/samples/make_samples.py {name}"
    )


def test_saving_what_was_opened_gives_the_same_bytes(name: str, drawing: Installation, tmp_path: Path) -> None:
    save(drawing, tmp_path / "again.linewright")
    again = (tmp_path / "again.linewright").read_bytes()
    assert without_program(again) == without_program(path_of(name).read_bytes())


def test_exported_lists_read_back_as_the_same_boat(drawing: Installation) -> None:
    lists = write_lists(drawing.snapshot())
    files = {n.removesuffix(".csv"): csv_text_rows(csv_bytes(rows), n) for n, rows in lists.items()}
    read = read_lists(**files)
    assert read.faults == ()
    before, after = drawing.snapshot(), read.installation().snapshot()
    for table in ("places", "enclosures", "equipment", "runs", "conditions", "interlocks"):
        assert after.tables[table] == before.tables[table], table
    assert after.lone == before.lone


def test_every_list_of_a_sample_is_read(name: str) -> None:
    lists = {path.stem for path in (SAMPLES / name).glob("*.csv")}
    assert {"equipment", "runs", "states", "places", "vessel"} <= lists <= set(_maker().LISTS)


# -- judged exactly as expected -------------------------------------------------------------------------------------
def told(remarks: Iterable[Any]) -> list[dict[str, Any]]:
    return [{"rule": r.rule, "word": r.word, "designations": list(r.designations)} for r in remarks]


def test_check_finds_exactly_what_is_expected(name: str) -> None:
    expected = tomllib.loads((SAMPLES / name / "expected.toml").read_text(encoding="utf-8"))
    result = judged(name)
    assert result.stopped == ()
    assert told(result.findings) == expected.get("finding", [])
    assert told(result.waived) == expected.get("waived", [])
    gaps = [{"rule": g.rule, "word": g.would_be, "missing": list(g.missing)} for g in result.not_judged]
    assert gaps == expected.get("not_judged", [])
    assert {"book": result.book, "law": result.law} == expected["judged_by"]


def test_findings_and_their_order_are_the_same_again() -> None:
    assert judged("workboat") == judged("workboat")


@pytest.mark.parametrize(
    ("name", "rule", "first", "figures"),
    [
        # 33 CFR 183.425 Table 5, note 1, 2015 edition: 6 AWG 105 degC 120 A, x 0.85 in the engine space; 150 % of it
        # below 50 V (183.455(c)(1))
        ("ketch", "rating-above-ampacity", "W18", {"feed": 200, "ampacity": 120 * 0.85, "allowed": 120 * 0.85 * 1.5}),
        # a sum of feeds is compared with the ampacity itself; F1 300 A, G3 110 A, T4 30 A; 8 AWG 80 A
        ("ketch", "rating-above-ampacity", "W29", {"feed": 300 + 110 + 30, "allowed": 80}),
        ("ketch", "rated-below-voltage", "Q8", {"rated voltage": 63, "voltage": 100.5}),
        # 33 CFR 183.455(b)(1): 7 in
        ("ketch", "far-from-source", "W45", {"distance": 0.3, "allowed": 7 * 0.0254}),
        # 33 CFR 183.460(a): 72 in
        ("workboat", "far-from-source", "W10", {"distance": 2.4, "allowed": 72 * 0.0254}),
        ("workboat", "rating-above-ampacity", "W21", {"feed": 100, "allowed": 60 * 0.85 * 1.5}),
        ("workboat", "bypass-unprotected", "W24", {"feed": 250 + 40, "allowed": 80 * 0.85}),
        ("workboat", "far-end-unprotected", "W8", {"feed": None, "ampacity": 210 * 0.85}),
    ],
)
def test_figures_are_those_worked_out_by_hand(
    name: str, rule: str, first: str, figures: dict[str, float | None]
) -> None:
    result = judged(name)
    found = [f for f in (*result.findings, *result.waived) if f.rule == rule and f.designations[0] == first]
    assert len(found) == 1
    said = {figure.name: figure.value for figure in found[0].figures}
    for figure, value in figures.items():
        assert said[figure] == (None if value is None else pytest.approx(value)), figure


def test_launch_is_clean_under_the_law_that_binds_her() -> None:
    """One battery feeds all she has: that is noticed, and no law asks for another."""
    result = judged("launch")
    assert result.law is True
    assert [(f.rule, f.word, f.law_here) for f in result.findings] == [("no-alternative", "notice", False)]
    assert (result.waived, result.not_judged) == ((), ())


def test_every_rule_of_the_main_job_fires_on_the_workboat() -> None:
    assert {f.rule for f in judged("workboat").findings} >= MAIN_JOB


# -- what later work and every page of the program need to find in them ---------------------------------------------
def test_ketch_has_the_conditions_people_ask_for() -> None:
    snapshot = load(path_of("ketch")).installation.snapshot()
    conditions = sorted(snapshot.conditions.values(), key=lambda c: c.order)
    assert [c.name for c in conditions] == ["At anchor", "Under way", "Alongside", "Inverter bypassed", "Unattended"]
    assert all(c.settings and c.running and c.duties for c in conditions)
    positions = {snapshot.name(s.equipment): s.position for s in conditions[3].settings}
    assert (positions["Q11"], positions["Q12"], positions["Q13"], positions["T1"]) == ("open", "open", "closed", "off")


def test_ketch_is_a_boat_in_the_middle_of_her_refit() -> None:
    snapshot = load(path_of("ketch")).installation.snapshot()
    assert 85 <= len(snapshot.equipment) <= 105
    things = [*snapshot.equipment.values(), *snapshot.runs.values()]
    assert {t.status for t in things} == set(STATUSES)
    assert sum(1 for t in things if t.old_marking) >= 5
    assert {origin for t in things for _field, origin in t.origins} == {"measured", "nameplate", "typed", "assumed"}
    kinds = {record.KIND for record in snapshot.equipment.values()}
    assert kinds >= {
        "battery_bank", "battery_management", "battery_switch", "inverter_charger", "alternator",
        "alternator_regulator", "solar_array", "solar_controller", "dc_dc_converter", "shore_inlet",
        "residual_current_device", "galvanic_isolator", "switching_module", "bus_bar", "shunt", "contactor",
        "float_switch", "earth_point", "bonding_point", "engine", "motor", "load", "socket_outlet", "charger",
        "open_end", "polarity_indicator",
    }  # fmt: skip
    spare = [way for box in snapshot.enclosures.values() for way in box.legend if way.spare]
    assert len(spare) >= 4
    assert snapshot.title_block.revision == max(r.index for r in snapshot.revisions.values())


def test_bypass_slides_leave_one_way_to_the_panel() -> None:
    snapshot = load(path_of("ketch")).installation.snapshot()
    held = {frozenset(snapshot.name(h.equipment) for h in lock.held) for lock in snapshot.interlocks.values()}
    assert held == {frozenset({"Q12", "Q13"}), frozenset({"Q11", "Q13"})}


def test_nothing_in_the_samples_is_anybodys_product(name: str, drawing: Installation) -> None:
    snapshot = drawing.snapshot()
    things = [*snapshot.equipment.values(), *snapshot.runs.values()]
    assert {t.maker for t in things} <= {"", "Invented Works"}
    assert all(t.part_number == "" or t.part_number.startswith("INV-") for t in things)


def test_places_of_a_run_add_up_to_its_length(drawing: Installation) -> None:
    snapshot = drawing.snapshot()
    for run in snapshot.runs.values():
        passed = [passage.length_m for passage in run.places]
        assert sum(length for length in passed if length is not None) == pytest.approx(run.length_m), run.designation


def test_every_enclosure_has_a_legend_for_what_stands_in_it(drawing: Installation) -> None:
    snapshot = drawing.snapshot()
    for record in snapshot.equipment.values():
        if record.enclosure and record.position:
            ways = {way.position: way for way in snapshot.enclosures[record.enclosure].legend}
            assert not ways[record.position].spare, record.designation
