"""What consumers draw, and what is printed beside a symbol."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from engine.equipment.base import Breaking, Draw
from engine.equipment.consumption.load import Load
from engine.equipment.consumption.motor import Motor
from engine.equipment.consumption.socket_outlet import SocketOutlet
from engine.equipment.conversion.dc_dc_converter import DcDcConverter
from engine.equipment.generation.alternator import Alternator
from engine.equipment.protection.circuit_breaker import CircuitBreaker
from engine.equipment.protection.fuse import Fuse
from engine.equipment.protection.residual_current_device import ResidualCurrentDevice
from engine.equipment.switching.battery_switch import BatterySwitch


def draw(made: Load | Motor | SocketOutlet) -> Draw:
    (only,) = made.draws()
    return only


def test_what_is_recorded_first_decides_how_a_load_behaves() -> None:
    assert draw(Load(dc_v=24, power_w=60, current_a=2.5))[2:4] == ("power", 60)
    assert draw(Load(dc_v=24, current_a=2.5))[2:4] == ("current", 2.5)
    assert draw(Load(dc_v=24, resistance_ohm=9.6))[2:4] == ("resistance", 9.6)


@given(
    volts=st.floats(10, 500),
    watts=st.floats(1, 5000),
    phases=st.sampled_from(["L1", "L1 L2", "L1 L2 L3"]),
    power_factor=st.floats(0.3, 1),
)
def test_power_current_and_resistance_say_the_same(
    volts: float, watts: float, phases: str, power_factor: float
) -> None:
    """A value not recorded follows from another: back and forth it is the same consumer (by the definition of VA)."""
    common = {"ac_v": volts, "phases": phases, "power_factor": power_factor}
    amps = draw(Load(power_w=watts, behaves="constant current", **common)).value  # type: ignore[arg-type]
    assert amps is not None
    three = math.sqrt(3) if phases == "L1 L2 L3" else 1
    assert amps * volts * power_factor * three == pytest.approx(watts)
    again = draw(Load(current_a=amps, behaves="constant power", **common)).value  # type: ignore[arg-type]
    assert again == pytest.approx(watts)
    ohms = draw(Load(dc_v=volts, power_w=watts, behaves="constant resistance")).value
    assert ohms is not None
    assert volts * volts / ohms == pytest.approx(watts)


def test_nothing_recorded_is_not_nothing_drawn() -> None:
    assert draw(Load(dc_v=12)) == Draw("in", "dc", "power", None, ("+", "-"), 1.0, ("power_w",))
    assert draw(Motor(dc_v=12)).missing == ("running_a",)
    assert draw(SocketOutlet(dc_v=12)).missing == ("expected_w",)


def test_without_volts_it_draws_from_whatever_arrives() -> None:
    assert draw(Load(power_w=60)).conductors == ()
    assert Load(power_w=60).nominal_volts("in") is None


@pytest.mark.parametrize(
    ("phases", "neutral", "conductors", "to_neutral"),
    [
        ("L1", None, ("L1", "N"), 240.0),
        ("L1 L2", None, ("L1", "L2"), 120.0),  # the two legs of a split-phase supply
        ("L1 L2", True, ("L1", "L2", "N"), 120.0),
        ("L1 L2 L3", False, ("L1", "L2", "L3"), 240 / math.sqrt(3)),
    ],
)
def test_volts_of_the_plate_are_told_line_to_neutral(
    phases: str, neutral: bool | None, conductors: tuple[str, ...], to_neutral: float
) -> None:
    made = Load(ac_v=240, phases=phases, uses_neutral=neutral, power_w=1000, power_factor=1)  # type: ignore[arg-type]
    assert draw(made).conductors == conductors
    system = made.nominal_volts("in")
    assert system is not None
    assert system == ("ac", pytest.approx(to_neutral))


def test_a_power_factor_not_recorded_is_said_to_be_missing() -> None:
    assert draw(Load(ac_v=230, power_w=900)).missing == ("power_factor",)
    assert draw(Load(ac_v=230, power_w=900, power_factor=0.9)).missing == ()
    assert draw(Load(dc_v=24, power_w=900)).missing == ()


def test_pieces_of_one_symbol_draw_together() -> None:
    assert draw(Load(dc_v=12, power_w=10, quantity=6)).value == 60
    assert draw(Load(dc_v=12, resistance_ohm=12, quantity=4)).value == 3
    assert Load(dc_v=12, power_w=10, quantity=6).summary() == ("6 × 10 W",)
    assert Load(dc_v=12, power_w=10, quantity=6).article() == ("12 V 10 W",)


def test_a_motor_takes_its_shaft_power_over_its_efficiency() -> None:
    assert draw(Motor(dc_v=24, shaft_w=900, efficiency=0.75)).value == pytest.approx(1200)
    assert draw(Motor(dc_v=24, shaft_w=900)).value is None


def test_the_short_lines_beside_a_symbol() -> None:
    kiloamps = (Breaking(20_000, 125, "DC"),)
    assert Fuse(fuse_class="class T", rating_a=300, breaking=kiloamps).summary() == ("class T 300 A", "breaks 20 kA")
    assert BatterySwitch(continuous_a=350, cranking_a=1200).summary() == ("350 A", "cranking 1.2 kA")
    assert Alternator(rating_a=110, self_limiting=True).summary() == ("110 A", "self-limiting")
    assert DcDcConverter(in_v=24, out_v=12, output_a=15, isolated=True).summary() == ("24/12 V", "15 A isolated")
    assert CircuitBreaker(curve="C", rating_a=16, poles=("L1", "N")).summary() == ("C 16 A 2-pole",)
    residual = ResidualCurrentDevice(rating_a=40, residual_ma=30, residual_ms=100, residual_type="A")
    assert residual.summary() == ("40 A 2-pole", "30 mA 100 ms type A")
    assert Motor(dc_v=24, power_w=1200, stalled_a=260).summary() == ("1.2 kW", "stalled 260 A")


def test_a_breaking_capacity_for_the_other_kind_of_current_is_told_as_such() -> None:
    """A capacity for AC is none for DC; of several voltages the least is printed."""
    both = (Breaking(200_000, 300, "AC"), Breaking(10_000, 14, "DC"), Breaking(2_000, 58, "DC"))
    assert Fuse(rating_a=100, breaking=both).summary() == ("100 A", "breaks 2 kA")
    assert Fuse(rating_a=100, breaking=both, conductor="L1").summary() == ("100 A", "breaks 200 kA")
    assert Fuse(rating_a=100, breaking=both[:1]).summary() == ("100 A", "breaks 200 kA AC")
