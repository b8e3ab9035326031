"""What a user is told where batteries are parted from what charges and uses them, or joined to each other."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from engine.books import load
from engine.builder import Builder
from engine.check import check
from engine.files.drawing import load as opened
from engine.findings import Finding, NotJudged
from engine.rules import rules
from engine.rules.distribution import (
    banks_joined,
    no_battery_switch,
    no_converter_disconnect,
    no_shutdown_alarm,
)
from engine.rules.energy import alternator_cut_off, charge_not_stopped
from engine.rules.protection import breaker_one_way
from engine.study import Study

SAMPLES = Path(__file__).parents[3] / "samples"
LOST: dict[str, Any] = {"survives_cut_off": False, "field_opens_first": False, "obeys_stop": False}


def _told(rule: Any, b: Builder, book: str = "trade-na") -> list[Any]:
    return list(rule.check(Study(b.installation.snapshot(), load(book))))


def _wire(b: Builder, name: str, start: str, end: str, function: str = "dc positive") -> None:
    b.run(name, start, end, function=function, size="2 AWG", length_m=1)


def _ref(b: Builder, name: str) -> str:
    return next(i for i, r in b.installation.snapshot().equipment.items() if r.designation == name)


def _in_line(switch: str = "battery_switch", bank: dict[str, Any] | None = None, **facts: Any) -> Builder:
    """Bank G1, switch Q1, alternator G2 in a row."""
    b = Builder()
    b.add("battery_bank", "G1", **({"unit_v": 12, "chemistry": "AGM", "bms": "none"} | (bank or {})))
    b.add("fuse", "F1", rating_a=150)
    b.add(switch, "Q1", **facts)
    b.add("alternator", "G2", dc_v=12, **LOST)
    _wire(b, "W1", "G1.pos", "F1.in")
    _wire(b, "W2", "F1.out", "Q1.in")
    _wire(b, "W3", "Q1.out", "G2.pos")
    return b


# -- an alternator and its battery ------------------------------------------------------------------------------------
def test_a_breaker_opens_and_a_fuse_does_not() -> None:
    (finding,) = _told(alternator_cut_off, _in_line("circuit_breaker", rating_a=100))
    assert finding.message == "G2 (alternator) is left without a battery while it runs when Q1 opens."
    assert finding.condition == "Q1 open"
    assert _told(alternator_cut_off, _in_line("fuse", rating_a=100)) == []


def test_what_is_not_recorded_is_named() -> None:
    b = _in_line()
    b.set("G2", survives_cut_off=None)
    (gap,) = _told(alternator_cut_off, b)
    assert isinstance(gap, NotJudged)
    assert gap.missing == ("Q1.field_contact", "G2.survives_cut_off")
    b.set("Q1", field_contact=False)
    (gap,) = _told(alternator_cut_off, b)
    assert gap.missing == ("G2.survives_cut_off",)
    b.set("G2", survives_cut_off=True)
    assert _told(alternator_cut_off, b) == []


def test_a_switch_in_the_negative_cuts_off_as_well() -> None:
    b = Builder()
    b.add("battery_bank", "G1", unit_v=12, chemistry="AGM")
    b.add("alternator", "G2", dc_v=12, isolated_return=True, **LOST)
    b.add("battery_switch", "Q1", poles=("-",), field_contact=False)
    _wire(b, "W1", "G1.pos", "G2.pos")
    _wire(b, "W2", "G1.neg", "Q1.in", "dc negative")
    _wire(b, "W3", "Q1.out", "G2.neg", "dc negative")
    (finding,) = _told(alternator_cut_off, b)
    assert finding.designations == ("G2", "Q1")


def test_a_second_battery_counts_only_while_it_is_joined() -> None:
    b = _in_line(field_contact=False)
    b.add("battery_bank", "G3", unit_v=12, chemistry="AGM", bms="none")
    b.add("battery_switch", "Q2", field_contact=False)
    _wire(b, "W4", "G3.pos", "Q2.in")
    _wire(b, "W5", "Q2.out", "G2.pos")
    (finding,) = _told(alternator_cut_off, b)
    assert finding.condition == "Q1 open, Q2 open"
    b.interlock("Q1:open", "Q2:open", name="never both open")
    assert _told(alternator_cut_off, b) == []


def test_a_rectifier_drawn_apart_is_told_by_its_own_field_and_that_of_its_machine() -> None:
    b = Builder()
    b.add("battery_bank", "G1", unit_v=12, chemistry="AGM")
    b.add("battery_switch", "Q1", field_contact=False)
    b.add("rectifier", "T1", dc_v=12)
    b.add("alternator", "G2", output="three-phase AC", **LOST)
    _wire(b, "W1", "G1.pos", "Q1.in")
    _wire(b, "W2", "Q1.out", "T1.pos")
    b.run("W3", "G2.pos", "T1.ac", function="ac", phases="L1 L2 L3", neutral=False, earth=False, size="4 AWG")
    (gap,) = _told(alternator_cut_off, b)
    assert gap.missing == ("T1.clamps_surge",)
    b.set("T1", clamps_surge=False)
    (finding,) = _told(alternator_cut_off, b)
    assert finding.designations == ("T1", "Q1")
    b.set("G2", field_opens_first=True)
    assert _told(alternator_cut_off, b) == []


def _by_management(stops: bool, obeys: bool) -> Builder:
    b = _in_line("contactor", {"chemistry": "LFP", "unit_v": 12.8, "bms_disconnects": None}, field_contact=False)
    b.set("G2", obeys_stop=obeys)
    listed = (_ref(b, "G2"),) if stops else ()
    b.add("battery_management", "A1", batteries=(_ref(b, "G1"),), opens=(_ref(b, "Q1"),), stops=listed)
    b.set("A1", stops_sources_first=False, link="wired contact")
    return b


def test_a_contactor_of_the_management_is_told_once() -> None:
    """The contactor is drawn: alternator-cut-off speaks, charge-not-stopped is silent."""
    (finding,) = _told(alternator_cut_off, _by_management(stops=False, obeys=True))
    assert finding.condition == "Q1 open by itself"
    assert _told(charge_not_stopped, _by_management(stops=False, obeys=True)) == []
    assert len(_told(alternator_cut_off, _by_management(stops=True, obeys=False))) == 1
    assert _told(alternator_cut_off, _by_management(stops=True, obeys=True)) == []


def test_what_is_built_into_the_bank_is_told_by_the_other_rule() -> None:
    b = Builder()
    b.add("battery_bank", "G1", unit_v=12.8, chemistry="LFP", bms="one for the bank", bms_disconnects=True)
    b.set("G1", stops_sources_first=False)
    b.add("alternator", "G2", dc_v=12, **LOST)
    _wire(b, "W1", "G1.pos", "G2.pos")
    (finding,) = _told(charge_not_stopped, b)
    assert (finding.word, finding.designations) == ("danger", ("G1", "G2"))
    assert _told(alternator_cut_off, b) == []
    b.set("G1", stops_sources_first=None)
    b.set("G2", obeys_stop=True)
    (gap,) = _told(charge_not_stopped, b)
    assert gap.missing == ("G1.stops_sources_first",)


def test_a_second_bank_spares_the_alternator_only_where_no_management_opens_it() -> None:
    b = Builder()
    b.add("battery_bank", "G1", unit_v=12.8, chemistry="LFP", bms="one for the bank", bms_disconnects=True)
    b.set("G1", stops_sources_first=False)
    b.add("battery_bank", "G3", unit_v=12.8, chemistry="LFP")
    b.add("alternator", "G2", dc_v=12, **LOST)
    b.add("battery_switch", "Q1")
    _wire(b, "W1", "G1.pos", "G2.pos")
    _wire(b, "W2", "G3.pos", "Q1.in")
    _wire(b, "W3", "Q1.out", "G2.pos")
    told = {remark.ids: remark for remark in _told(charge_not_stopped, b)}
    ids = _ref(b, "G1"), _ref(b, "G2")
    assert isinstance(told[ids], Finding)  # Q1 may stand open
    assert told[ids].condition == "Q1 open"
    b.set("G3", bms="none", chemistry="AGM")
    (finding,) = _told(charge_not_stopped, b)
    assert finding.positions == ((_ref(b, "Q1"), "open"),)


@pytest.mark.parametrize(
    ("kind", "terminal", "needs", "word"),
    [
        ("solar_controller", "dc", True, "warning"),
        ("solar_controller", "dc", None, "not judged"),
        ("solar_controller", "dc", False, ""),
        ("wind_hydro", "pos", True, "warning"),
        ("charger", "dc", None, "notice"),
        ("charger", "dc", False, ""),
    ],
)
def test_how_much_it_matters_depends_on_the_source(kind: str, terminal: str, needs: bool | None, word: str) -> None:
    b = Builder()
    b.add("battery_bank", "G1", unit_v=12.8, chemistry="LFP", bms="one for the bank", bms_disconnects=True)
    b.set("G1", stops_sources_first=False)
    b.add(kind, "T1", dc_v=12, obeys_stop=False, needs_battery=needs)
    _wire(b, "W1", "G1.pos", f"T1.{terminal}")
    told = _told(charge_not_stopped, b)
    assert [getattr(remark, "word", "not judged") for remark in told] == ([word] if word else [])


# -- banks joined -----------------------------------------------------------------------------------------------------
def test_a_relay_of_which_it_is_not_known_whether_it_limits_is_asked_about() -> None:
    b = Builder()
    b.add("battery_bank", "G1", unit_v=12, chemistry="AGM")
    b.add("battery_bank", "G2", unit_v=12.8, chemistry="LFP")
    b.add("charging_relay", "K1", dc_v=12)
    _wire(b, "W1", "G1.pos", "K1.a")
    _wire(b, "W2", "K1.b", "G2.pos")
    (gap,) = _told(banks_joined, b)
    assert gap.missing == ("K1.limits_current",)
    b.set("K1", limits_current=False)
    (finding,) = _told(banks_joined, b)
    assert finding.condition == "K1 closed by itself"
    assert "G1 (AGM) and G2 (LFP) are joined by K1" in finding.message
    b.set("G2", chemistry="")
    (gap,) = _told(banks_joined, b)
    assert gap.missing == ("G2.chemistry",)


def test_a_diode_joins_nothing_backwards() -> None:
    b = Builder()
    b.add("battery_bank", "G1", unit_v=12, chemistry="AGM")
    b.add("battery_bank", "G2", unit_v=12.8, chemistry="LFP")
    b.add("diode_isolator", "R1", dc_v=12)
    b.add("alternator", "G3", dc_v=12)
    _wire(b, "W1", "G3.pos", "R1.in")
    _wire(b, "W2", "R1.out1", "G1.pos")
    _wire(b, "W3", "R1.out2", "G2.pos")
    assert _told(banks_joined, b) == []


# -- switches ---------------------------------------------------------------------------------------------------------
def _unswitched(amps: float | None, service: str = "lighting") -> Builder:
    b = Builder()
    b.add("battery_bank", "G1", unit_v=12, chemistry="AGM", cca_a=amps)
    b.add("load", "E1", dc_v=12, power_w=20, service=service)
    _wire(b, "W1", "G1.pos", "E1.in")
    return b


def test_above_800_cold_cranking_amperes_a_bank_has_a_switch() -> None:
    """E-11 11.6.1.2.1, secondary copy."""
    assert _told(no_battery_switch, _unswitched(800)) == []
    (finding,) = _told(no_battery_switch, _unswitched(801))
    assert finding.message == "No battery switch cuts G1 (battery bank) off from E1 (load)."
    assert finding.arithmetic == "801 A > 800 A"
    (gap,) = _told(no_battery_switch, _unswitched(None))
    assert gap.missing == ("G1.cca_a",)


@pytest.mark.parametrize("service", ["memory supply", "bilge pump", "alarm", "gas detector", "bilge blower"])
def test_what_may_stay_on(service: str) -> None:
    """E-11 11.6.1.2.1, secondary copy: memories, bilge pumps, alarms, CO detectors, blowers."""
    assert _told(no_battery_switch, _unswitched(900, service)) == []


@pytest.mark.parametrize("book", ["us-46cfr", "metric"])
def test_every_battery_has_an_emergency_switch(book: str) -> None:
    """46 CFR 183.380(i), 2015 edition: an emergency switch in the ungrounded battery main, of whatever size."""
    (finding,) = _told(no_battery_switch, _unswitched(300), book)
    assert finding.designations == ("G1",)


def test_a_load_of_unknown_service_is_asked_about() -> None:
    (gap,) = _told(no_battery_switch, _unswitched(900, ""))
    assert gap.missing == ("E1.service",)


def test_what_hangs_on_a_converter_counts_and_not_the_converter() -> None:
    b = _unswitched(900, "bilge pump")
    b.add("dc_dc_converter", "T1", in_v=12, out_v=24, charges_battery=False)
    b.add("load", "E2", dc_v=24, power_w=20, service="alarm")
    _wire(b, "W2", "G1.pos", "T1.in")
    _wire(b, "W3", "T1.out", "E2.in")
    assert _told(no_battery_switch, b) == []
    b.set("E2", service="fan")
    (finding,) = _told(no_battery_switch, b)
    assert "E2" in finding.message


def test_a_breaker_that_is_no_isolator_is_no_disconnect() -> None:
    b = Builder()
    b.add("battery_bank", "G1", unit_v=12, chemistry="AGM")
    b.add("circuit_breaker", "Q1", rating_a=200, isolates=False)
    b.add("inverter", "T1", dc_v=12, ac_v=120, power_w=2000)
    _wire(b, "W1", "G1.pos", "Q1.in")
    _wire(b, "W2", "Q1.out", "T1.dc")
    (finding,) = _told(no_converter_disconnect, b)
    assert finding.arithmetic == "2 kVA > 1 kVA"
    b.set("Q1", isolates=True)
    assert _told(no_converter_disconnect, b) == []
    b.set("Q1", isolates=False)
    b.set("T1", power_w=None)
    (gap,) = _told(no_converter_disconnect, b)
    assert gap.missing == ("T1.power_w",)


def test_a_switch_of_unknown_reach_is_asked_about() -> None:
    b = Builder()
    b.add("battery_bank", "G1", unit_v=12, chemistry="AGM")
    b.add("battery_switch", "Q1")
    b.add("inverter", "T1", dc_v=12, ac_v=120, power_w=2000)
    _wire(b, "W1", "G1.pos", "Q1.in")
    _wire(b, "W2", "Q1.out", "T1.dc")
    (gap,) = _told(no_converter_disconnect, b)
    assert gap.missing == ("Q1.emergency_access",)


# -- breakers that break one way --------------------------------------------------------------------------------------
def test_breakers_of_which_nothing_is_recorded_are_told_in_one_gap() -> None:
    b = _unswitched(300)
    for n in (2, 3):
        b.add("circuit_breaker", f"Q{n}", rating_a=10, poles=("+",))
        b.add("load", f"E{n}", dc_v=12, power_w=20, service="lighting")
        _wire(b, f"W{n}", "G1.pos", f"Q{n}.in")
        _wire(b, f"W{n}1", f"Q{n}.out", f"E{n}.in")
    (gap,) = _told(breaker_one_way, b)
    assert gap.missing == ("Q2.polarised", "Q3.polarised")
    b.set("Q2", polarised=True)
    b.set("Q3", polarised=False)
    (gap,) = _told(breaker_one_way, b)
    assert gap.missing == ("Q2.line_terminal",)


def test_a_breaker_for_alternating_current_is_none() -> None:
    b = Builder()
    b.add("shore_inlet", "X1", ac_v=120)
    b.add("circuit_breaker", "Q1", rating_a=30, poles=("L1", "N"))
    b.add("load", "E1", ac_v=120)
    b.run("W1", "X1.out", "Q1.in", function="ac", size="10 AWG", length_m=1)
    b.run("W2", "Q1.out", "E1.in", function="ac", size="10 AWG", length_m=1)
    assert _told(breaker_one_way, b) == []


# -- alarm ------------------------------------------------------------------------------------------------------------
def test_from_600_watt_hours_on_an_alarm_is_asked_for() -> None:
    """E-13, secondary copy: from 600 Wh, 50 Ah at 12 V, an alarm ahead of the shutdown."""
    b = Builder()
    b.add("battery_bank", "G1", unit_v=12, unit_ah=50, chemistry="LFP", bms="one for the bank", bms_disconnects=True)
    b.set("G1", alarm_before_shutdown=False)
    (finding,) = _told(no_shutdown_alarm, b)
    assert finding.arithmetic == "600 Wh, not less than 600 Wh"
    b.set("G1", unit_ah=49)
    assert _told(no_shutdown_alarm, b) == []
    b.set("G1", unit_ah=None, alarm_before_shutdown=None)
    (gap,) = _told(no_shutdown_alarm, b)
    assert gap.missing == ("G1.unit_ah", "G1.alarm_before_shutdown")


def test_what_navigation_hangs_on_must_be_known_as_essential_or_not() -> None:
    """E-13, secondary copy: critical electronics have another source."""
    b = Builder()
    b.add("battery_bank", "G1", unit_v=12, unit_ah=100, chemistry="LFP", bms="one for the bank", bms_disconnects=True)
    b.set("G1", alarm_before_shutdown=True)
    b.add("load", "E1", dc_v=12, power_w=20, service="navigation electronics")
    _wire(b, "W1", "G1.pos", "E1.in")
    (gap,) = _told(no_shutdown_alarm, b)
    assert gap.missing == ("E1.essential",)
    b.set("E1", essential=True)  # then no-alternative speaks
    assert _told(no_shutdown_alarm, b) == []


# -- the samples ------------------------------------------------------------------------------------------------------
SLUGS = (
    "alternator-cut-off",
    "banks-joined",
    "breaker-one-way",
    "charge-not-stopped",
    "no-battery-switch",
    "no-converter-disconnect",
    "no-shutdown-alarm",
)


def _sample(name: str) -> dict[str, list[str]]:
    snapshot = opened(SAMPLES / name / f"{name}.linewright").installation.snapshot()
    result = check(snapshot, only=SLUGS)
    assert result.stopped == ()
    return {slug: [f.message for f in result.findings if f.rule == slug] for slug in SLUGS}


def test_what_the_samples_say() -> None:
    nothing: dict[str, list[str]] = {slug: [] for slug in SLUGS}
    assert _sample("launch") == nothing
    assert _sample("ketch") == nothing | {
        "alternator-cut-off": ["G3 (Alternator, house bank) is left without a battery while it runs when Q1 opens."]
    }
    assert _sample("workboat") == nothing | {
        "no-battery-switch": ["E5 (Searchlight) stays on G2 (Service bank) with every battery switch open."],
        "no-converter-disconnect": [
            "Q2 cuts off M3, M4, T1 and more together with T2 (Inverter), which has no disconnect of its own."
        ],
    }


def test_every_one_of_them_says_what_it_looks_at() -> None:
    assert all(rules()[slug].looks_at for slug in SLUGS)
