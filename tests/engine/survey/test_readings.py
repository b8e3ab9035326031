"""Measured values against what was computed, recorded or asked for; the computed checked outside."""

from __future__ import annotations

import re
import subprocess
from pathlib import Path
from typing import Any

import msgspec
import pytest

from engine.books import load
from engine.builder import Builder
from engine.edits import Put, SetFields, apply
from engine.installation.surveying import Instrument, Reading
from engine.rules.safety._boats import alongside, circuit
from engine.rules.survey._measured import lit, take
from engine.study import Study
from engine.survey.readings import calibration, compared
from engine.survey.results import ReadingResult

# circular mil ohm a foot of copper and circular mils of 12 and 8 AWG: E-11's formula for voltage drop, secondary copy
K, MILS_12, MILS_8, FEET, INCHES = 10.75, 6530, 16510, 20, 6


def _of(b: Builder) -> tuple[ReadingResult, ...]:
    snapshot = b.installation.snapshot()
    return compared(Study(snapshot, load(snapshot.settings.book)))


def _condition(b: Builder) -> str:
    return next(iter(b.installation.ids("conditions")))


def _one(b: Builder, at: str, **values: Any) -> ReadingResult:
    take(b, at, **{"condition": next(iter(b.installation.ids("conditions")), ""), **values})
    return _of(b)[-1]


# -- voltage and current ----------------------------------------------------------------------------------------------
@pytest.mark.ngspice
def test_the_voltage_expected_is_that_of_ngspice(tmp_path: Path) -> None:
    """12 V behind 4 mΩ, 6 in of 8 AWG and 20 ft of 12 AWG there and back, a fuse of 20 A losing 0.1 V, 10 A."""
    found = _one(lit(), "E1", terminal="in", volts=11.2)
    first, second = K * 2 * (INCHES / 12) / MILS_8, K * 2 * FEET / MILS_12
    deck = tmp_path / "lamp.cir"
    deck.write_text(
        f"lamp\nV1 a 0 12\nR1 a b 0.004\nR2 b c {first}\nR3 c d 0.005\nR4 d e {second}\nI1 e 0 10\n"
        ".control\nop\nprint v(e)\n.endc\n.end\n"
    )
    said = subprocess.run(["ngspice", "-b", str(deck)], capture_output=True, text=True, check=False, timeout=60).stdout
    (volts,) = re.findall(r"v\(e\) = (\S+)", said)
    assert found.expected == pytest.approx(float(volts), abs=0.01)
    assert found.verdict == "within"


def test_what_the_way_loses_is_compared_where_the_battery_was_measured_too() -> None:
    b = lit()
    take(b, "G1", terminal="pos", volts=12.75, condition=_condition(b))
    found = _one(b, "E1", terminal="in", volts=11.4)
    drop = 10 * K * (2 * FEET / MILS_12 + 2 * (INCHES / 12) / MILS_8) + 10 * 0.005
    assert found.expected == pytest.approx(12.75 - drop, abs=0.01)
    assert found.verdict == "off"  # a whole band of charge would have hidden it
    assert found.deviation == pytest.approx(11.4 - (12.75 - drop), abs=0.01)
    assert _one(lit(), "E1", terminal="in", volts=11.4).verdict == "within"


def test_without_a_condition_and_with_an_unknown_cable_nothing_is_guessed() -> None:
    b = lit()
    take(b, "E1", terminal="in", volts=11.2)
    (found,) = _of(b)
    assert found.verdict == "not known"
    assert found.missing == (f"{found.reading}.condition",)
    blind = _one(lit(inches=None), "E1", terminal="in", volts=11.2)
    assert (blind.verdict, blind.missing) == ("not known", ("W2.length_m",))
    assert _one(lit(amps=None), "W2", current_a=5.0).verdict == "not known"


def test_a_run_that_carries_what_its_load_takes() -> None:
    assert _one(lit(), "W2", current_a=10.0).expected == pytest.approx(10.0)
    found = _one(lit(), "W2", current_a=20.0)
    assert found.verdict == "off"
    assert found.words == "Current at W2: 20 A measured, 10 A expected, 7.5 A to 12.5 A accepted."


def test_two_ends_are_told_apart() -> None:
    b = lit()
    far = _one(b, "W2", terminal="E1.in", volts=11.2)
    near = _one(b, "W2", terminal="F1.out", volts=11.9)
    assert near.expected is not None
    assert far.expected is not None
    assert near.expected - far.expected == pytest.approx(10 * K * 2 * FEET / MILS_12, rel=0.01)
    assert _one(b, "W2", volts=11.9).missing[0].endswith(".terminal")


def test_a_three_phase_voltage_between_lines_is_root_three_times_that_to_neutral() -> None:
    b = Builder(book="metric")
    b.add("generator", "G1", ac_v=230, frequency_hz=50, phases="L1 L2 L3", power_va=9000)
    b.add("load", "E1", ac_v=230, power_w=1, power_factor=1.0, phases="L1 L2 L3")
    b.run("W1", "G1.out", "E1.in", function="ac", phases="L1 L2 L3", size="10 mm2", length_m=0.01)
    condition = b.condition("Running")
    item = next(i for i, r in b.installation.items("equipment") if r.designation == "G1")
    apply(b.installation, SetFields("conditions", condition, (("running", (item,)),)))
    lines = _one(b, "E1", terminal="in", between="L1 and L2", volts=400)
    neutral = _one(b, "E1", terminal="in", between="L1 and N", volts=230)
    assert neutral.expected is not None, neutral.words
    assert lines.expected is not None, lines.words
    assert lines.expected / neutral.expected == pytest.approx(3**0.5, rel=1e-6)
    earth = _one(b, "E1", terminal="in", between="L1 and PE", volts=230)
    assert (earth.verdict, earth.why) == ("not known", "the voltage against earth is not worked out")


# -- insulation: IEC 60364-6 table 6.1, from memory, not confirmed ----------------------------------------------------
@pytest.mark.parametrize(
    ("ohm", "test_v", "verdict"),
    [
        (1e6, 500, "within"),
        (0.999e6, 500, "off"),
        (5e6, 250, "not known"),
        (0.3e6, None, "off"),
        (5e6, None, "not known"),
    ],
)
def test_a_low_voltage_circuit_needs_a_megohm_at_500_v(ohm: float, test_v: float | None, verdict: str) -> None:
    b = alongside()
    circuit(b, "load", "E1")
    assert _one(b, "W1", insulation_ohm=ohm, test_v=test_v).verdict == verdict


@pytest.mark.parametrize(
    ("ohm", "test_v", "verdict"), [(0.5e6, 250, "within"), (0.49e6, 250, "off"), (5e6, 100, "not known")]
)
def test_an_extra_low_voltage_circuit_needs_half_a_megohm_at_250_v(ohm: float, test_v: float, verdict: str) -> None:
    assert _one(lit(), "W2", insulation_ohm=ohm, test_v=test_v).verdict == verdict


# -- trip times: IEC 61008-1 table 1, from memory, not confirmed ------------------------------------------------------
@pytest.mark.parametrize(
    ("amps", "seconds", "verdict"),
    [
        (0.03, 0.3, "within"),
        (0.03, 0.301, "off"),
        (0.06, 0.15, "within"),
        (0.06, 0.16, "off"),
        (0.15, 0.04, "within"),
        (0.15, 0.041, "off"),
        (0.015, 0.2, "not known"),
    ],
)
def test_residual_current_of_the_general_type(amps: float, seconds: float, verdict: str) -> None:
    b = alongside(ma=30, ms=None)
    b.set("Q1", delayed=False)
    assert _one(b, "Q1", trip_s=seconds, test_a=amps).verdict == verdict


def test_whether_it_opens_with_a_delay_decides_and_is_asked_for() -> None:
    b = alongside(ma=30, ms=None)
    found = _one(b, "Q1", trip_s=0.4, test_a=0.03)
    assert (found.verdict, found.missing) == ("not known", ("Q1.delayed",))
    b.set("Q1", delayed=True)
    assert _of(b)[0].verdict == "within"
    assert _one(b, "Q1", trip_s=0.6, test_a=0.03).verdict == "off"


def test_a_plate_that_asks_for_less_comes_first() -> None:
    b = alongside(ma=30, ms=100)
    assert _one(b, "Q1", trip_s=0.12, test_a=0.03).high == pytest.approx(0.1)


@pytest.mark.parametrize(("seconds", "verdict"), [(0.1, "off"), (1.0, "within"), (5.0, "within"), (5.5, "off")])
def test_a_blade_fuse_at_twice_its_rating_opens_between_150_ms_and_5_s(seconds: float, verdict: str) -> None:
    # ISO 8820-3, from memory, not confirmed
    assert _one(lit(), "F1", trip_s=seconds, test_a=40.0).verdict == verdict


# -- torque, temperature, instrument ----------------------------------------------------------------------------------
def test_a_torque_that_is_not_recorded_is_asked_for() -> None:
    found = _one(lit(), "W1", terminal="F1.in", torque_nm=8.0)
    assert (found.verdict, found.missing) == ("not known", ("W1.torque_nm",))


def test_the_rise_is_reckoned_to_full_load() -> None:
    # 25 K at half the rating of 20 A: four times that at full load, by the square of the current
    found = _one(lit(), "F1", terminal="in", temperature_c=50.0, ambient_c=25.0, current_a=10.0)
    assert found.verdict == "off"
    assert found.arithmetic.endswith("= 125 °C")
    assert found.words == "Temperature at F1 in: 50 °C measured, 125 °C at full load, at most 105 °C accepted."
    assert _one(lit(), "F1", terminal="in", temperature_c=50.0).verdict == "within"
    assert _one(lit(), "F1", terminal="in", temperature_c=44.9, ambient_c=25.0, current_a=10.0).verdict == "within"


def test_an_older_reading_is_kept_and_judged_no_more() -> None:
    b = lit()
    take(b, "E1", terminal="in", volts=9.0, date="2026-05-01", condition=_condition(b))
    take(b, "E1", terminal="in", volts=11.2, date="2026-05-03", condition=_condition(b))
    assert [(r.verdict, r.newest) for r in _of(b)] == [("off", False), ("within", True)]


def test_an_instrument_out_of_date_or_not_named() -> None:
    b = lit()
    made = b.installation
    meter = made.new_id("instruments")
    apply(made, Put("instruments", meter, Instrument(name="meter 3", calibrated_until="2026-05-01")))
    reading = Reading(at="x", instrument=meter, date="2026-05-02")
    assert calibration(made.snapshot(), "m1", reading).in_date is False
    before = msgspec.structs.replace(reading, date="2026-05-01")
    assert calibration(made.snapshot(), "m1", before).in_date is True
    nothing = calibration(made.snapshot(), "m1", Reading(at="x"))
    assert (nothing.in_date, nothing.missing) == (None, ("m1.instrument",))


def test_what_is_gone_from_the_drawing_is_told() -> None:
    b = lit()
    made = b.installation
    apply(made, Put("readings", made.new_id("readings"), Reading(at="F99 spare way", volts=12.0)))
    (found,) = _of(b)
    assert found.words == "Voltage at F99 spare way: 12 V measured; what it was measured at is not on the drawing."


def test_without_readings_nothing_is_worked_out() -> None:
    snapshot = lit().installation.snapshot()
    study = Study(snapshot, load("trade-na"))
    assert compared(study) == ()
    assert "circuit" not in vars(study)
    assert not study._flows


def test_a_terminal_that_is_not_there_is_told_and_not_taken_for_one_that_is_dead() -> None:
    found = _one(lit(), "G1", terminal="+", volts=12.6)
    assert found.verdict == "not known"
    assert found.why == "G1 has no terminal '+': it has pos, neg"
