"""Rules of what flows: how they speak, what they leave unjudged, what is no fault, what their advice mends."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from engine.books import load
from engine.builder import Builder
from engine.edits import SetFields, apply
from engine.files.drawing import load as opened
from engine.findings import Finding, NotJudged, Remark
from engine.installation import Installation
from engine.rules import rules
from engine.rules.conductors._loaded import charging, fed
from engine.rules.example_boats import set_condition
from engine.rules.example_parts import ac_cable, boat, cable
from engine.study import Study

SAMPLES = Path(__file__).parents[3] / "samples"

SPOKEN = {
    "overloaded": (
        "Run W2 (14 AWG) carries 60 A in At anchor; it is good for 35 A.",
        "14 AWG 105 °C, 35 A; + carries 60 A",
        ("run a conductor good for 60 A or more", "take loads off it, or use them one after the other"),
    ),
    "drop-too-high": (
        "E1 loses 21.16 % of its volts on the way in At anchor; 10 % is allowed.",
        "G1 to E1 and back: 2.54 V of 12 V = 21.16 %",
        ("run W2 in 12 AWG or larger: 2.5 V of the 2.54 V are lost in it", "bring the load nearer its source"),
    ),
    "dips-on-start": (
        "A1 falls to 8.14 V while M1 starts in Anchoring; it works down to 9 V.",
        "M1 takes 200 A from batteries at their lowest",
        ("feed it from a bank that starts nothing", "thicken or shorten the conductors they share"),
    ),
    "bus-overloaded": (
        "Bus X1 carries 100 A in a section in Under way; it is rated 60 A.",
        "sections of +: 100.0, 50.0 A",
        ("put the supply between the loads", "fit a bus rated 100 A or more"),
    ),
    "switch-overloaded": (
        "Q1 carries 300 A in Under way; its continuous rating is 200 A.",
        "300 A > 200 A",
        ("fit one rated 300 A or more", "take the heaviest load past it, with a switch of its own"),
    ),
    "rating-below-load": (
        "F1 (20 A) carries 25 A in At anchor: what runs for 3 h or more; it carries 16 A continuously.",
        "20 A × 0.8 = 16 A < 25 A",
        (
            "fit 31.3 A or more, where the conductor and what it feeds allow it",
            "share the load among several circuits",
        ),
    ),
}

STIFF: dict[str, Any] = {"unit_v": 12.0, "unit_ah": 200.0, "chemistry": "AGM", "internal_resistance_ohm": 0.0001}


def remarks(slug: str, made: Builder | Installation, book: str = "trade-na") -> list[Remark]:
    installation = made.installation if isinstance(made, Builder) else made
    outcome = Study(installation.snapshot(), load(book)).outcome(slug)
    assert outcome.fault is None
    return list(outcome.remarks)


def gap(slug: str, made: Builder | Installation) -> NotJudged:
    (remark,) = remarks(slug, made)
    assert isinstance(remark, NotJudged)
    return remark


def finding(slug: str, made: Builder | Installation) -> Finding:
    (remark,) = remarks(slug, made)
    assert isinstance(remark, Finding)
    return remark


def sample(name: str) -> Installation:
    return opened(SAMPLES / name / f"{name}.linewright").installation


def of_sample(name: str, slug: str, first: str) -> list[Remark]:
    return [remark for remark in remarks(slug, sample(name)) if remark.designations[0] == first]


@pytest.mark.parametrize("slug", SPOKEN)
def test_first_finding_in_words(slug: str) -> None:
    rule = rules()[slug]
    example = rule.bad[0]
    said = next(iter(rule.check(Study(example.build().snapshot(), load(example.book)))))
    assert isinstance(said, Finding)
    assert (said.message, said.arithmetic, said.fixes) == SPOKEN[slug]


# -- drop-too-high --------------------------------------------------------------------------------------------------
def _named(installation: Installation, designation: str) -> str:
    return next(item for item, run in installation.snapshot().runs.items() if run.designation == designation)


@pytest.mark.parametrize(
    ("made", "run", "size"),
    [
        (fed(10, "16 AWG", 360, drop_class="other"), "W2", "12 AWG"),
        (fed(10, "12 AWG", 120, drop_class="essential"), "W2", "10 AWG"),
        (charging("2 AWG", "18 AWG", 120), "W4", "14 AWG"),
    ],
)
def test_the_size_advised_mends_it_and_no_smaller_one_does(made: Installation, run: str, size: str) -> None:
    said = finding("drop-too-high", made)
    assert said.fixes[0].startswith(f"run {run} in {size} or larger")
    item, before = _named(made, run), made.snapshot().runs[_named(made, run)].size
    apply(made, SetFields("runs", item, (("size", size),)))
    assert remarks("drop-too-high", made) == []
    smaller = f"{int(size.split()[0]) + 2} AWG"
    apply(made, SetFields("runs", item, (("size", smaller),)))
    assert smaller == before or len(remarks("drop-too-high", made)) == 1


def test_behind_an_alternator_it_is_counted_from_the_battery() -> None:
    """40 A over 20 ft of 10 AWG, there and back: far above 3 % in the alternator's lead, little behind the battery."""
    flow = Study(charging("10 AWG", "12 AWG").snapshot(), load("trade-na")).flows[0]
    (light,) = flow.loads
    assert light.drop_pct is not None
    assert light.drop_pct > 10
    assert remarks("drop-too-high", charging("10 AWG", "12 AWG")) == []
    assert finding("drop-too-high", charging("10 AWG", "18 AWG", 120)).arithmetic.startswith("G1 to E1 and back: ")


def test_the_figure_is_that_of_the_tables() -> None:
    """IEC 60228:2004 table 3, class 5, tinned: 6 mm2 3.39 ohm/km, 10 mm2 1.95 ohm/km at 20 degC; copper 0.00393 /K.

    Capstan of the workboat: 70 A over 6.5 m of 6 mm2, hottest place 50 degC, there and back: 3.45 V.
    """
    ((said),) = of_sample("workboat", "drop-too-high", "M3")
    assert isinstance(said, Finding)
    alone = 2 * 6.5 * 3.39e-3 * (1 + 0.00393 * 30) * 70
    assert f"{alone:.2f} V of the " in said.fixes[0]
    assert said.designations == ("M3", "W21")


@pytest.mark.parametrize(
    ("load_facts", "run_facts", "word"),
    [
        ({"drop_class": "essential"}, {}, "warning"),
        ({"drop_class": "other", "service": "navigation lights"}, {}, None),
        ({}, {"drop_class": "essential"}, "warning"),
        ({"service": "bilge pump"}, {}, "warning"),
        ({"service": "lighting"}, {}, None),
        ({"service": "lighting", "essential": True}, {}, "warning"),
    ],
)
def test_which_class_a_load_is_of(load_facts: dict[str, Any], run_facts: dict[str, Any], word: str | None) -> None:
    """5 % lost: too much for what is essential, not for the rest."""
    said = remarks("drop-too-high", fed(10, "14 AWG", 120, cable_facts=run_facts, **load_facts))
    assert [r.word for r in said if isinstance(r, Finding)] == ([word] if word else [])
    assert len(said) == (1 if word else 0)


def test_between_the_limits_the_class_is_asked_for() -> None:
    assert gap("drop-too-high", fed(10, "14 AWG", 120)).missing == ("E1.drop_class",)


def test_a_load_is_told_once_in_the_condition_that_is_worst() -> None:
    b = boat()
    b.add("battery_bank", "G1", **STIFF)
    b.add("fuse", "F1", rating_a=30)
    b.add("bus_bar", "X1", rating_a=100, purpose="pair")
    b.add("load", "E1", dc_v=12, current_a=2, drop_class="essential")
    b.add("load", "E2", dc_v=12, current_a=15, drop_class="other")
    cable(b, "W1", "G1.pos", "F1.in", "2 AWG", 6, function="dc pair")
    cable(b, "W2", "F1.out", "X1.bar", "10 AWG", 120, function="dc pair")
    cable(b, "W3", "X1.bar", "E1.in", "16 AWG", 60, function="dc pair")
    cable(b, "W4", "X1.bar", "E2.in", "10 AWG", 12, function="dc pair")
    set_condition(b, "At anchor", {"E1": 5.0})
    assert remarks("drop-too-high", b) == []
    set_condition(b, "Fishing", {"E1": 5.0, "E2": 5.0})
    set_condition(b, "Drifting", {"E1": 5.0, "E2": 0.0})
    said = finding("drop-too-high", b)
    assert said.designations == ("E1", "W2")
    assert said.condition == "Fishing"


def test_what_is_made_for_another_voltage_is_judged_on_its_system() -> None:
    """The 12 V radio on the workboat's 24 V loses 2.7 % of 24 V; that it does not suit is another rule's."""
    assert of_sample("workboat", "drop-too-high", "A22") == []
    assert len(of_sample("workboat", "voltage-mismatch", "A22")) == 1


def test_an_unknown_size_is_asked_for() -> None:
    assert gap("drop-too-high", fed(10, "", 120, drop_class="other")).missing == ("W2.size",)


def test_a_load_of_unknown_size_is_judged_by_what_its_fuse_lets_through() -> None:
    """30 A over 10 ft of 14 AWG: some 16 % at the most; over 2 ft of 4 AWG nothing to speak of."""
    assert gap("drop-too-high", fed(None, "14 AWG", 120, drop_class="other")).missing == ("E1.power_w",)
    assert remarks("drop-too-high", fed(None, "4 AWG", 24, drop_class="other")) == []


def test_a_source_of_unknown_volts_is_asked_for_not_called_missing() -> None:
    assert gap("drop-too-high", fed(2, "14 AWG", bank={"unit_v": None})).missing == ("G1.unit_v",)


@pytest.mark.parametrize(
    ("bank", "facts", "message"),
    [
        ({"unit_v": 0.0}, {}, "G1 has 0 V, so nothing flows from it."),
        ({"internal_resistance_ohm": -1.0}, {}, "G1 has a negative resistance; it is taken as none."),
        ({}, {"amps": -3.0}, "E1 takes -3 A, which nothing can; it is left out."),
    ],
)
def test_what_no_boat_can_have_is_told_once(bank: dict[str, Any], facts: dict[str, Any], message: str) -> None:
    made = fed(facts.get("amps", 2), "14 AWG", bank=bank, drop_class="other")
    said = [r for r in remarks("drop-too-high", made) if isinstance(r, Finding)]
    assert [r.message for r in said] == [message]


def test_volts_that_collapse_are_told() -> None:
    made = fed(None, "14 AWG", 120, power_w=1e6, drop_class="other")
    assert "its volts collapse" in finding("drop-too-high", made).message


def test_without_hours_a_load_that_would_collapse_by_itself_is_told() -> None:
    """1.5 kW at 12 V is 125 A: over 30 ft of 14 AWG, there and back, more than all of 12 V."""
    made = fed(None, "14 AWG", 360, power_w=1500, drop_class="other", hours=None, fuse_a=200)
    assert "its volts collapse" in finding("drop-too-high", made).message


def test_without_hours_loads_that_collapse_together_are_not_judged_in_one_remark() -> None:
    b = boat()
    b.add("battery_bank", "G1", **(STIFF | {"internal_resistance_ohm": 0.05}))
    b.add("fuse", "F1", rating_a=200)
    b.add("bus_bar", "X1", rating_a=400, purpose="pair")
    cable(b, "W1", "G1.pos", "F1.in", "2 AWG", 6, function="dc pair")
    cable(b, "W2", "F1.out", "X1.bar", "2 AWG", 24, function="dc pair")
    for n in range(1, 9):
        b.add("load", f"E{n}", dc_v=12, power_w=150, drop_class="other")
        cable(b, f"W1{n}", "X1.bar", f"E{n}.in", "6 AWG", 24, function="dc pair")
    left = gap("drop-too-high", b)
    assert sorted(left.designations) == [f"E{n}" for n in range(1, 9)]
    assert left.missing == ("conditions.duties",)


def test_a_load_drawn_switched_off_with_no_hours_is_not_judged() -> None:
    b = boat()
    b.add("battery_bank", "G1", **STIFF)
    b.add("fuse", "F1", rating_a=30)
    b.add("battery_switch", "Q1", in_position="open")
    b.add("load", "E1", dc_v=12, current_a=2, drop_class="other")
    cable(b, "W1", "G1.pos", "F1.in", "2 AWG", 6, function="dc pair")
    cable(b, "W2", "F1.out", "Q1.in", "12 AWG", 24, function="dc pair")
    cable(b, "W3", "Q1.out", "E1.in", "12 AWG", 60, function="dc pair")
    assert gap("drop-too-high", b).missing == ("conditions.duties",)


# -- overloaded -----------------------------------------------------------------------------------------------------
def test_parallel_conductors_share() -> None:
    assert remarks("overloaded", fed(60, "14 AWG", fuse_a=100, cable_facts={"parallel": 2})) == []


def test_a_common_negative_has_no_device_of_its_own() -> None:
    """Three circuits of 30 A, each fused, return through one 8 AWG of 80 A."""
    b = boat()
    b.add("battery_bank", "G1", **STIFF)
    b.add("bus_bar", "X1", rating_a=200, purpose="negative")
    cable(b, "W9", "G1.neg", "X1.bar", "8 AWG", 24, function="dc negative")
    for n in (1, 2, 3):
        b.add("fuse", f"F{n}", rating_a=30)
        b.add("load", f"E{n}", dc_v=12, current_a=30)
        cable(b, f"W1{n}", "G1.pos", f"F{n}.in", "6 AWG", 6)
        cable(b, f"W2{n}", f"F{n}.out", f"E{n}.in", "8 AWG", 24)
        cable(b, f"W3{n}", f"E{n}.neg", "X1.bar", "8 AWG", 24, function="dc negative")
    set_condition(b, "Under way", {f"E{n}": 5.0 for n in (1, 2, 3)})
    said = finding("overloaded", b)
    assert (said.word, said.designations) == ("danger", ("W9",))


@pytest.mark.parametrize("book", ["trade-na", "us-33cfr183"])
def test_the_capstan_of_the_workboat(book: str) -> None:
    """33 CFR 183.425 Table 5 with note 1, 2015 edition: 10 AWG 105 degC 60 A × 0.85 = 51 A."""
    ((said),) = [r for r in remarks("overloaded", sample("workboat"), book) if r.designations == ("W21",)]
    assert isinstance(said, Finding)
    assert {f.name: f.value for f in said.figures}["ampacity"] == pytest.approx(60 * 0.85)
    assert {f.name: f.value for f in said.figures}["current"] == pytest.approx(70)


# -- buses ----------------------------------------------------------------------------------------------------------
def _two_phase_bus(rating_a: float) -> Builder:
    """A bus of two lines of 50 A each: no bar carries more than 50 A."""
    b = boat()
    b.add("shore_supply", "G1", ac_v=120, phases="L1 L2", breaker_a=50, frequency_hz=60, fault_a=5000)
    b.add("bus_bar", "X1", rating_a=rating_a)
    ac_cable(b, "W1", "G1.out", "X1.bar", "6 AWG", 100, phases="L1 L2")
    for n, line in ((1, "L1"), (2, "L2")):
        b.add("load", f"E{n}", ac_v=120, current_a=20, phases=line, power_factor=1.0)
        ac_cable(b, f"W2{n}", "X1.bar", f"E{n}.in", "10 AWG", 60, phases=line)
    return b


def test_the_lines_of_a_bus_do_not_add_up() -> None:
    assert remarks("bus-overloaded", _two_phase_bus(50)) == []
    assert finding("bus-overloaded", _two_phase_bus(49)).word == "warning"


def test_two_runs_from_one_fuse_bring_what_it_lets_through() -> None:
    b = boat()
    b.add("battery_bank", "G1", **STIFF)
    b.add("fuse", "F1", rating_a=100)
    b.add("bus_bar", "X1", rating_a=100)
    b.add("load", "E1", dc_v=12, current_a=20)
    cable(b, "W1", "G1.pos", "F1.in", "2/0 AWG", 6)
    cable(b, "W2", "F1.out", "X1.bar", "2 AWG", 40)
    cable(b, "W3", "F1.out", "X1.bar", "2 AWG", 40)
    cable(b, "W4", "X1.bar", "E1.in", "2 AWG", 40)
    assert remarks("bus-overloaded", b) == []


def test_a_bus_of_unknown_rating_is_asked_for() -> None:
    b = _two_phase_bus(50)
    b.set("X1", rating_a=None)
    assert gap("bus-overloaded", b).missing == ("X1.rating_a",)


# -- switches -------------------------------------------------------------------------------------------------------
def _two_ways(cabin_a: float | None, **switch: Any) -> Builder:
    """A windlass on the main switch's bank, past the switch of the cabin."""
    b = boat()
    b.add("battery_bank", "G1", **STIFF)
    b.add("fuse", "F1", rating_a=300)
    b.add("bus_bar", "X1", rating_a=400)
    known: dict[str, Any] = {"continuous_a": 100, "five_minute_a": 200, "cranking_a": 400, "in_position": "closed"}
    b.add("battery_switch", "Q1", **(known | switch))
    b.add("motor", "M1", dc_v=12, running_a=80.0, starting_a=150.0, service="windlass")
    b.add("load", "E1", dc_v=12, current_a=cabin_a)
    cable(b, "W1", "G1.pos", "F1.in", "4/0 AWG", 6, function="dc pair")
    cable(b, "W2", "F1.out", "X1.bar", "4/0 AWG", 12, function="dc pair")
    cable(b, "W3", "X1.bar", "M1.in", "4/0 AWG", 60, function="dc pair")
    cable(b, "W4", "X1.bar", "Q1.in", "4/0 AWG", 12, function="dc pair")
    cable(b, "W5", "Q1.out", "E1.in", "4/0 AWG", 12, function="dc pair")
    set_condition(b, "Anchoring", {"M1": 0.1, "E1": 5.0})
    return b


def test_a_windlass_that_passes_a_switch_by_makes_no_load_brief() -> None:
    """130 A of the cabin for hours are above 100 A, whatever the windlass takes elsewhere."""
    said = finding("switch-overloaded", _two_ways(130))
    assert "130 A in Anchoring; its continuous rating is 100 A" in said.message


def test_a_switch_that_a_load_of_unknown_size_is_behind_is_not_judged() -> None:
    assert gap("switch-overloaded", _two_ways(None)).missing == ("E1.power_w",)


def test_a_switch_that_the_devices_cannot_overload_needs_no_more() -> None:
    assert remarks("switch-overloaded", _two_ways(None, continuous_a=300)) == []


def test_a_switch_of_unknown_rating_is_asked_for() -> None:
    assert gap("switch-overloaded", _two_ways(50, continuous_a=None)).missing == ("Q1.continuous_a",)


# -- devices --------------------------------------------------------------------------------------------------------
def _lit(amps: float, **facts: Any) -> Builder:
    b = boat()
    b.add("battery_bank", "G1", **STIFF)
    b.add("circuit_breaker", "Q1", rating_a=10)
    b.add("load", "E1", dc_v=12, service="lighting", **({"current_a": amps} | facts))
    cable(b, "W1", "G1.pos", "Q1.in", "2 AWG", 6, function="dc pair")
    cable(b, "W2", "Q1.out", "E1.in", "14 AWG", 60, function="dc pair")
    set_condition(b, "At anchor", {"E1": 0.5})
    return b


@pytest.mark.parametrize(
    ("amps", "facts", "found"),
    [
        (8.0, {}, []),
        (8.1, {}, [("Q1", "E1")]),
        (None, {"power_w": 96.0}, []),
        (None, {"power_w": 97.0}, [("Q1", "E1")]),
        (None, {"resistance_ohm": 1.51, "behaves": "constant resistance"}, []),
        (None, {"resistance_ohm": 1.49, "behaves": "constant resistance"}, [("Q1", "E1")]),
    ],
)
def test_lights_connected_to_a_circuit(amps: float | None, facts: dict[str, Any], found: list[tuple[str, ...]]) -> None:
    """46 CFR 111.75-5(b), 2015 edition: 80 percent of the rating of the overcurrent device, however short they burn."""
    b = _lit(amps, **facts)  # type: ignore[arg-type]
    assert [remark.designations for remark in remarks("rating-below-load", b)] == found


def test_a_device_of_unknown_rating_is_asked_for() -> None:
    assert gap("rating-below-load", fed(5, "14 AWG", fuse_a=None)).missing == ("F1.rating_a",)  # type: ignore[arg-type]


def test_hours_are_asked_for_where_they_decide() -> None:
    assert gap("rating-below-load", fed(28, "10 AWG", hours=None)).missing == ("conditions.duties",)
    assert remarks("rating-below-load", fed(20, "10 AWG", hours=None)) == []
    assert finding("rating-below-load", fed(31, "10 AWG", hours=None)).designations == ("F1", "E1")


def test_a_windlass_may_exceed_its_device_for_minutes() -> None:
    b = boat()
    b.add("battery_bank", "G1", **STIFF)
    b.add("fuse", "F1", rating_a=60, fuse_class="blade ISO 8820-3")
    b.add("motor", "M1", dc_v=12, running_a=70.0, service="windlass")
    cable(b, "W1", "G1.pos", "F1.in", "2 AWG", 6, function="dc pair")
    cable(b, "W2", "F1.out", "M1.in", "2 AWG", 60, function="dc pair")
    set_condition(b, "Anchoring", {"M1": 0.1})
    assert remarks("rating-below-load", b) == []
    b.set("M1", service="other")
    assert finding("rating-below-load", b).designations == ("F1", "M1")


def test_what_is_to_go_is_told_to_go() -> None:
    (said,) = of_sample("ketch", "rating-below-load", "F19")
    assert isinstance(said, Finding)
    assert said.fixes[0] == "take F19 out, as recorded"


# -- starting -------------------------------------------------------------------------------------------------------
def test_a_motor_of_unknown_start_is_no_matter_where_nothing_is_essential() -> None:
    b = boat()
    b.add("battery_bank", "G1", **STIFF)
    b.add("fuse", "F1", rating_a=100)
    b.add("motor", "M1", dc_v=12, running_a=50.0)
    cable(b, "W1", "G1.pos", "F1.in", "2 AWG", 6, function="dc pair")
    cable(b, "W2", "F1.out", "M1.in", "2 AWG", 60, function="dc pair")
    assert remarks("dips-on-start", b) == []
    b.add("load", "A1", dc_v=12, power_w=20, essential=True, minimum_v=9.0)
    cable(b, "W3", "F1.out", "A1.in", "14 AWG", 60, function="dc pair")
    assert gap("dips-on-start", b).missing == ("M1.starting_a",)
