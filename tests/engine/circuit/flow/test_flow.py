"""Flows that can be worked out by hand; the arithmetic stands beside each check."""

from __future__ import annotations

from typing import Any

import pytest

# IEC 60228:2004 table 3, class 5, plain: largest resistance at 20 degC, ohm/km
MM2_10, MM2_50 = 1.91e-3, 0.386e-3


def _simple(yard: Any, **load: Any) -> Any:
    """12 V behind 10 mohm, 5 m of 10 mm2 to a load."""
    yard.add("battery_bank", "G1", unit_v=12.0, internal_resistance_ohm=0.010)
    yard.add("load", "E1", dc_v=12, **load)
    yard.cable("W1", "G1.pos", "E1.in", "10 mm2", 5)
    return yard.flow()


def test_a_constant_current(yard: Any) -> None:
    told = _simple(yard, current_a=10.0)
    # there and back 2 x 5 m x 1.91 mohm/m = 19.1 mohm; x 10 A = 0.191 V; of 12 V 1.59 %
    run = told.run("W1")
    assert run.amps == pytest.approx(10)
    assert run.drop_v == pytest.approx(0.191, rel=1e-9)
    assert run.own_drop_v == pytest.approx(0.191, rel=1e-9)
    assert run.drop_pct == pytest.approx(100 * 0.191 / 12, rel=1e-9)
    assert run.loss_w == pytest.approx(1.91, rel=1e-9)
    assert run.nominal_v == 12
    # the battery's own 10 mohm x 10 A = 0.1 V are no part of a drop counted from its terminals
    assert told.source("G1").volts == pytest.approx(11.9)
    assert told.load("E1").volts == pytest.approx(11.709)
    # 120 W from the EMF: 117.09 W arrive, 1.91 W in the run, 1 W in the battery
    assert told.flow.sources_w == pytest.approx(120)
    assert told.flow.loads_w == pytest.approx(117.09)
    assert told.flow.losses_w == pytest.approx(2.91)
    assert told.source("G1").share == 1
    assert told.flow.converged


def test_a_constant_resistance(yard: Any) -> None:
    told = _simple(yard, resistance_ohm=1.1709)
    # 12 V / (1.1709 + 0.0191 + 0.01) ohm = 10 A
    assert told.run("W1").amps == pytest.approx(10, rel=1e-9)


def test_a_constant_power(yard: Any) -> None:
    told = _simple(yard, power_w=117.09)
    # I = (12 - sqrt(144 - 4 x 0.0291 x 117.09)) / (2 x 0.0291) = 10 A
    assert told.run("W1").amps == pytest.approx(10, rel=1e-8)


def test_what_no_battery_can_give_is_collapse(yard: Any) -> None:
    told = _simple(yard, power_w=2000.0)
    # the most that 12 V behind 29.1 mohm give is 144 / (4 x 0.0291) = 1237 W
    assert told.load("E1").collapsed
    assert told.flow.converged
    assert told.load("E1").watts < 1237.2


def test_conductors_are_taken_at_the_temperature_of_their_place(yard_at: Any) -> None:
    warm = _simple(yard_at(70.0), current_a=10.0)
    # copper, 0.00393 per kelvin: 50 K more make 1.1965 of it (IEC 60228 annex, from its temperature coefficient)
    assert warm.run("W1").drop_v == pytest.approx(0.191 * 1.1965, rel=1e-6)


def test_parallel_conductors_share(yard: Any) -> None:
    yard.add("battery_bank", "G1", unit_v=12.0, internal_resistance_ohm=0.0)
    yard.add("load", "E1", dc_v=12, current_a=10.0)
    yard.cable("W1", "G1.pos", "E1.in", "10 mm2", 5, parallel=2)
    assert yard.flow().run("W1").drop_v == pytest.approx(0.191 / 2)


def test_two_batteries_share_by_their_resistance(yard: Any) -> None:
    yard.add("bus_bar", "WC1", rating_a=100)
    for name, ohm in (("G1", 0.01), ("G2", 0.03)):
        yard.add("battery_bank", name, unit_v=12.0, internal_resistance_ohm=ohm)
        yard.run(f"W{name}", f"{name}.pos", "WC1.bar", size="50 mm2", length_m=0)
    yard.add("load", "E1", dc_v=12, current_a=40.0)
    yard.run("W3", "WC1.bar", "E1.in", size="50 mm2", length_m=0)
    told = yard.flow()
    # 0.03 / 0.04 of 40 A and 0.01 / 0.04 of it
    assert told.source("G1").amps == pytest.approx(30, rel=1e-3)
    assert told.source("G2").amps == pytest.approx(10, rel=1e-3)
    assert told.source("G1").share == pytest.approx(0.75, rel=1e-3)


def _alternator(yard: Any, running: tuple[str, ...]) -> Any:
    """An alternator of 100 A, hot 60 A, on a battery with a load of 20 A."""
    yard.add("alternator", "G2", dc_v=12, rating_a=100, charge_v=14.4, self_limiting=True, hot_a=60)
    yard.add("battery_bank", "G1", unit_v=12.0, internal_resistance_ohm=0.010)
    yard.add("bus_bar", "WC1")
    yard.add("load", "E1", dc_v=12, current_a=20.0)
    yard.cable("W1", "G1.pos", "WC1.bar", "50 mm2", 1)
    yard.cable("W2", "G2.pos", "WC1.bar", "50 mm2", 4)
    yard.cable("W3", "WC1.bar", "E1.in", "10 mm2", 5)
    return yard.flow(yard.runs_with("Under way", running))


def test_an_alternator_gives_its_hot_output_and_charges(yard: Any) -> None:
    told = _alternator(yard, ("G2",))
    given = told.source("G2")
    assert given.amps == pytest.approx(60)
    assert given.is_limited
    # 60 A less the load's 20 A go into the battery: it is a load of 12 V x 40 A
    assert told.source("G1").amps == pytest.approx(-40)
    assert told.source("G1").watts == pytest.approx(-480)
    assert told.run("W3").source == told.run("W2").source  # the alternator feeds the load now
    # battery 12 V + 40 A x (10 mohm + 2 x 0.386 mohm), alternator 60 A x 2 x 4 m x 0.386 mohm/m above the bus
    bus = 12 + 40 * (0.010 + 2 * MM2_50)
    assert given.volts == pytest.approx(bus + 60 * 8 * MM2_50)
    assert told.load("E1").drop_v == pytest.approx(60 * 8 * MM2_50 + 20 * 10 * MM2_10)


def test_an_alternator_at_rest_gives_nothing(yard: Any) -> None:
    told = _alternator(yard, ("G1",))
    assert [source.designation for source in told.flow.sources] == ["G1"]
    assert told.source("G1").amps == pytest.approx(20)


def test_a_converter_takes_what_it_gives_over_its_efficiency(yard: Any) -> None:
    yard.add("battery_bank", "G1", unit_v=24.0, internal_resistance_ohm=0.0)
    yard.add("dc_dc_converter", "T1", in_v=24, out_v=12, output_a=20, efficiency=0.9, standby_w=2.0, isolated=True)
    yard.add("load", "E1", dc_v=12, power_w=108.0)
    yard.run("W1", "G1.pos", "T1.in", size="10 mm2", length_m=0)
    yard.run("W2", "T1.out", "E1.in", size="10 mm2", length_m=0)
    told = yard.flow()
    # 108 W / 0.9 = 120 W and 2 W for itself: 122 W from 24 V are 5.083 A
    assert told.source("G1").watts == pytest.approx(122, rel=1e-4)
    assert told.load("T1").amps == pytest.approx(122 / 24, rel=1e-4)
    assert told.source("T1").by_conversion
    assert told.flow.loads_w == pytest.approx(108, rel=1e-4)
    assert told.flow.losses_w == pytest.approx(14, rel=1e-2)


def test_a_converter_whose_input_is_dead_gives_nothing(yard: Any) -> None:
    yard.add("battery_bank", "G1", unit_v=24.0, internal_resistance_ohm=0.0)
    yard.add("battery_switch", "Q1", in_position="open")
    yard.add("dc_dc_converter", "T1", in_v=24, out_v=12, output_a=20, efficiency=0.9, standby_w=2.0, isolated=True)
    yard.add("load", "E1", dc_v=12, power_w=108.0)
    yard.run("W1", "G1.pos", "Q1.in", size="10 mm2", length_m=1)
    yard.run("W2", "Q1.out", "T1.in", size="10 mm2", length_m=1)
    yard.run("W3", "T1.out", "E1.in", size="10 mm2", length_m=1)
    condition = yard.runs_with("Laid up", hours={"E1": 24})
    told = yard.flow(condition)
    assert told.load("E1").amps == 0
    assert told.flow.sources_w == 0
    assert [sentence for _item, sentence in told.flow.not_solved] == ["nothing feeds E1 in this condition"]


def test_two_converters_do_not_keep_each_other_alive(yard: Any) -> None:
    for name in ("T1", "T2"):
        yard.add("dc_dc_converter", name, in_v=12, out_v=12, output_a=20, efficiency=0.9, isolated=True)
    yard.add("load", "E1", dc_v=12, power_w=50.0)
    yard.run("W1", "T1.out", "T2.in", size="10 mm2", length_m=1)
    yard.run("W2", "T2.out", "T1.in", size="10 mm2", length_m=1)
    yard.run("W3", "T2.out", "E1.in", size="10 mm2", length_m=1)
    told = yard.flow()
    assert told.flow.sources_w == 0
    assert told.load("E1").collapsed


def test_an_inverter_on_its_way_from_battery_to_socket(yard: Any) -> None:
    yard.add("battery_bank", "G1", unit_v=24.0, internal_resistance_ohm=0.0)
    yard.add("inverter", "T1", dc_v=24, ac_v=230, power_w=2000, output_limit_a=10, efficiency=0.92, standby_w=10)
    yard.add("load", "E1", ac_v=230, power_w=920.0, power_factor=0.8)
    yard.run("W1", "G1.pos", "T1.dc", size="50 mm2", length_m=0)
    yard.run("W2", "T1.ac_out", "E1.in", size="2.5 mm2", length_m=0, function="ac")
    told = yard.flow()
    # 920 W / 0.8 / 230 V = 5 A; at the battery 920 / 0.92 + 10 = 1010 W
    assert told.load("E1").amps == pytest.approx(5, rel=1e-4)
    assert told.source("G1").watts == pytest.approx(1010, rel=1e-3)
    assert told.flow.loads_w == pytest.approx(920, rel=1e-4)


def test_an_overloaded_inverter_gives_its_limit_and_its_load_collapses(yard: Any) -> None:
    yard.add("battery_bank", "G1", unit_v=24.0, internal_resistance_ohm=0.001)
    yard.add("inverter", "T1", dc_v=24, ac_v=230, output_limit_a=4, efficiency=0.92)
    yard.add("load", "E1", ac_v=230, power_w=2300.0, power_factor=1.0)
    yard.run("W1", "G1.pos", "T1.dc", size="50 mm2", length_m=1)
    yard.run("W2", "T1.ac_out", "E1.in", size="2.5 mm2", length_m=5, function="ac")
    told = yard.flow()
    assert told.source("T1").amps <= 4 * (1 + 1e-6)
    assert told.load("E1").collapsed
    assert told.flow.converged


def test_solar_power_reaches_the_battery_through_a_tracking_controller(yard: Any) -> None:
    yard.add("battery_bank", "G1", unit_v=12.0, internal_resistance_ohm=0.0)
    yard.add("solar_array", "G2", module_w=200, module_power_v=40.0, module_power_a=5.0, module_short_a=5.5)
    yard.add("solar_controller", "T1", method="tracking", dc_v=12, charge_a=30, charge_v=14.4, efficiency=0.96)
    yard.set("T1", self_limiting=True, common="negative")
    yard.run("W1", "G2.pos", "T1.pv", size="4 mm2", length_m=0)
    yard.run("W2", "T1.dc", "G1.pos", size="10 mm2", length_m=0)
    told = yard.flow(yard.runs_with("At anchor", ("G2",)))
    # 40 V x 5 A x 0.96 = 192 W at 12 V are 16 A
    assert told.source("G1").amps == pytest.approx(-16, rel=1e-3)
    assert told.source("G2").watts == pytest.approx(200, rel=1e-4)
    night = yard.flow(yard.runs_with("Night", ("G1",)))
    assert night.source("G1").amps == pytest.approx(0, abs=1e-6)


def test_a_negative_not_drawn_returns_through_a_conductor_equal_to_the_feed(yard: Any) -> None:
    yard.add("battery_bank", "G1", unit_v=12.0, internal_resistance_ohm=0.0)
    yard.add("bus_bar", "WC1")
    yard.add("fuse", "F1", rating_a=20)
    yard.add("load", "E1", dc_v=12, current_a=10.0)
    yard.cable("W1", "G1.pos", "WC1.bar", "50 mm2", 1)
    yard.cable("W2", "WC1.bar", "F1.in", "10 mm2", 1, function="dc positive")
    yard.cable("W3", "F1.out", "E1.in", "10 mm2", 4, function="dc positive")
    told = yard.flow()
    # feed 5 m and return 5 m of 10 mm2 to the bus, 2 m of 50 mm2 there and back, the fuse's 0.1 V at its rating x 10/20
    fuse = told.load("E1").drop_v - 10 * (10 * MM2_10 + 2 * MM2_50)
    assert 0 <= fuse < 0.2
    assert told.amps("F1") == pytest.approx(10)
    assert any("E1: negative not drawn" in said for said in told.flow.assumed)


def test_sections_of_a_bus_in_stud_order(yard: Any) -> None:
    from engine.edits.edit import SetFields, apply
    from engine.installation import End

    yard.add("battery_bank", "G1", unit_v=12.0, internal_resistance_ohm=0.0)
    bus = yard.add("bus_bar", "WC1", rating_a=100)
    runs = [(yard.run("W0", "WC1.bar", "G1.pos", size="50 mm2", length_m=1), 2)]
    for stud, amps in ((1, 10.0), (3, 20.0), (4, 30.0)):
        yard.add("load", f"E{stud}", dc_v=12, current_a=amps)
        runs.append((yard.run(f"W{stud}", "WC1.bar", f"E{stud}.in", size="10 mm2", length_m=1), stud))
    (plus,) = (b for b in yard.flow().flow.buses if b.conductor == "+")
    # order unknown: the battery at one end, all loads after it: 60, 50 or less, ... the first section carries all
    assert not plus.order_known
    assert max(plus.sections_a) == pytest.approx(60)
    for run, stud in runs:
        end = End(equipment=bus, terminal="bar", stud_number=stud)
        apply(yard.installation, SetFields("runs", run, (("from_end", end),)))
    (plus,) = (b for b in yard.flow().flow.buses if b.conductor == "+")
    # 10 A to stud 1; 60 A come in at stud 2: 50 A on to studs 3 and 4, 30 A to stud 4
    assert plus.order_known
    assert plus.sections_a == pytest.approx((10, 50, 30))


def test_an_unknown_size_leaves_the_currents_and_takes_the_volts(yard: Any) -> None:
    yard.add("battery_bank", "G1", unit_v=12.0, internal_resistance_ohm=0.0)
    yard.add("bus_bar", "WC1")
    yard.add("load", "E1", dc_v=12, current_a=10.0)
    yard.run("W1", "G1.pos", "WC1.bar", length_m=1)
    yard.cable("W2", "WC1.bar", "E1.in", "10 mm2", 5)
    told = yard.flow()
    assert told.run("W1").amps == pytest.approx(10)
    assert told.run("W1").drop_v is None
    assert told.run("W1").missing == ("W1.size",)
    assert told.run("W2").own_drop_v == pytest.approx(0.191)
    assert told.run("W2").drop_v is None
    assert told.load("E1").drop_v is None
    assert told.load("E1").missing == ("W1.size",)


def test_a_load_of_unknown_size_makes_what_feeds_it_a_least_value(yard: Any) -> None:
    yard.add("battery_bank", "G1", unit_v=24.0, internal_resistance_ohm=0.001)
    yard.add("inverter", "T1", dc_v=24, ac_v=230, output_limit_a=10, efficiency=0.92, standby_w=5)
    yard.add("bus_bar", "WC1")
    yard.add("load", "E1", ac_v=230, power_factor=1.0)
    yard.add("load", "E2", dc_v=24, current_a=5)
    yard.cable("W1", "G1.pos", "WC1.bar", "50 mm2", 1)
    yard.cable("W2", "WC1.bar", "T1.dc", "50 mm2", 1)
    yard.cable("W3", "T1.ac_out", "E1.in", "2.5 mm2", 5, function="ac")
    yard.cable("W4", "WC1.bar", "E2.in", "10 mm2", 5)
    told = yard.flow()
    for name in ("W1", "W2", "W3"):
        assert told.run(name).at_least
        assert "E1.power_w" in told.run(name).missing
    assert not told.run("W4").at_least
    assert told.load("E1").amps is None
    assert told.source("G1").at_least


def test_a_diode_lets_charge_through_and_nothing_back(yard: Any) -> None:
    yard.add("alternator", "G9", dc_v=12, rating_a=60, charge_v=14.4, self_limiting=True)
    yard.add("diode_isolator", "R1", dc_v=12, rating_a=100, drop_v=0.7)
    yard.run("W1", "G9.pos", "R1.in", size="50 mm2", length_m=1)
    for number, volts in ((1, 12.0), (2, 12.6)):
        yard.add("battery_bank", f"G{number}", unit_v=volts, internal_resistance_ohm=0.01)
        yard.run(f"W{number + 1}", f"R1.out{number}", f"G{number}.pos", size="50 mm2", length_m=1)
    charging = yard.flow(yard.runs_with("Under way", ("G9",)))
    assert charging.source("G1").amps < -30
    assert charging.source("G1").amps + charging.source("G2").amps == pytest.approx(-60)
    resting = yard.flow(yard.runs_with("At anchor", ("G1",)))
    assert resting.source("G1").amps == pytest.approx(0, abs=1e-6)


def test_the_first_positions_decide(yard: Any) -> None:
    yard.add("battery_bank", "G1", unit_v=12.0, internal_resistance_ohm=0.0)
    yard.add("battery_switch", "Q1")
    yard.add("load", "E1", dc_v=12, current_a=10.0)
    yard.cable("W1", "G1.pos", "Q1.in", "10 mm2", 1)
    yard.cable("W2", "Q1.out", "E1.in", "10 mm2", 1)
    shut, open_ = yard.runs_with("On", Q1="closed"), yard.runs_with("Off", Q1="open")
    assert yard.flow(shut).amps("Q1") == pytest.approx(10)
    assert yard.flow(open_).amps("Q1") == 0
    assert yard.flow(open_).run("W2").drop_v is None


def test_a_block_that_returns_through_its_bonding_conductor(yard: Any) -> None:
    yard.add("battery_bank", "G1", unit_v=12.0, internal_resistance_ohm=0.0)
    yard.add("engine", "M9", return_path="block")
    yard.add("earth_point", "X9")
    yard.add("motor", "M1", dc_v=12, running_a=10.0)
    yard.cable("W1", "G1.pos", "M1.in", "10 mm2", 5, function="dc positive")
    yard.cable("W2", "M1.neg", "M9.block", "10 mm2", 0, function="dc negative")
    yard.cable("W3", "M9.block", "X9.at", "10 mm2", 2, function="bonding")
    yard.cable("W4", "X9.at", "G1.neg", "10 mm2", 3, function="dc negative")
    told = yard.flow()
    # 5 m out, 2 m of bonding conductor and 3 m of negative back
    assert told.load("M1").drop_v == pytest.approx(10 * 10 * MM2_10, rel=1e-3)
    assert any(said.startswith("W3: part of the negative") for said in told.flow.assumed)
    yard.cable("W5", "M9.block", "X9.at", "10 mm2", 1, function="dc negative")
    told = yard.flow()  # now its negative is drawn, and the bonding carries nothing
    assert told.load("M1").drop_v == pytest.approx(10 * 9 * MM2_10, rel=1e-3)
    assert not any("bonding" in said for said in told.flow.assumed)


def test_an_alternator_with_its_rectifier_apart(yard: Any) -> None:
    yard.add("alternator", "G2", output="three-phase AC", rating_a=80, hot_a=55)
    yard.add("rectifier", "T1", dc_v=24, rating_a=100, charge_v=28.4)
    yard.add("battery_bank", "G1", unit_v=24.0, internal_resistance_ohm=0.01)
    yard.cable("W1", "G2.pos", "T1.ac", "16 mm2", 1, function="ac", phases="L1 L2 L3", neutral=False)
    yard.cable("W2", "T1.pos", "G1.pos", "16 mm2", 1)
    told = yard.flow(yard.runs_with("Under way", ("G2",)))
    assert told.source("T1").amps == pytest.approx(55)
    assert told.source("G1").amps == pytest.approx(-55)
    assert yard.flow(yard.runs_with("At anchor", ("G1",))).source("G1").amps == pytest.approx(0, abs=1e-6)


def test_a_converter_that_waits_for_charge_heeds_its_own_side_only(yard: Any) -> None:
    for number, volts in ((1, 24.0), (2, 12.0)):
        yard.add("battery_bank", f"G{number}", unit_v=volts, internal_resistance_ohm=0.01)
        yard.add("alternator", f"G{number}0", dc_v=volts, rating_a=50, charge_v=volts * 1.2)
        yard.cable(f"W{number}", f"G{number}.pos", f"G{number}0.pos", "16 mm2", 1)
    yard.add("dc_dc_converter", "T1", in_v=24, out_v=12, output_a=20, efficiency=0.9, isolated=False)
    yard.set("T1", charge_v=14.4, charges_battery=True, runs_when="input is charging")
    yard.cable("W3", "G1.pos", "T1.in", "16 mm2", 1)
    yard.cable("W4", "T1.out", "G2.pos", "16 mm2", 1)
    assert yard.flow(yard.runs_with("Both", ("G10", "G20"))).source("T1").amps == pytest.approx(20)
    assert yard.flow(yard.runs_with("Small one", ("G20",))).source("T1").amps == 0
    assert yard.flow(yard.runs_with("Large one", ("G10",))).source("T1").amps == pytest.approx(20)
