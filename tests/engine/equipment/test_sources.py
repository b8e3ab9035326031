"""What sources of energy say of themselves: volts, limits, what would settle what is not known."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from engine.equipment.base import Equipment, Source
from engine.equipment.conversion.autotransformer import Autotransformer
from engine.equipment.conversion.charger import Charger
from engine.equipment.conversion.combined_inverter import CombinedInverter
from engine.equipment.conversion.dc_dc_converter import DcDcConverter
from engine.equipment.conversion.inverter_charger import InverterCharger
from engine.equipment.conversion.isolation_transformer import IsolationTransformer
from engine.equipment.conversion.solar_controller import SolarController
from engine.equipment.generation.alternator import Alternator
from engine.equipment.generation.generator import Generator
from engine.equipment.generation.solar_array import SolarArray
from engine.equipment.shore.shore_inlet import ShoreInlet
from engine.equipment.shore.shore_supply import ShoreSupply
from engine.equipment.storage.battery_balancer import BatteryBalancer
from engine.equipment.storage.battery_bank import BatteryBank
from engine.record import field_specs


def only(made: Equipment, *joined: str) -> Source:
    (source,) = made.sources(frozenset(joined))
    return source


def test_a_bank_adds_strings_and_not_series_units() -> None:
    """Six 6 V batteries of 2400 A each, two in series, three strings: 12 V and 7200 A (trade table, secondary copy)."""
    bank = BatteryBank(chemistry="flooded", unit_v=6, unit_ah=220, series=2, parallel=3, short_circuit_a=2400)
    assert bank.nominal_volts("pos") == ("dc", 12)
    assert bank.capacity_ah() == 660
    assert bank.summary() == ("flooded 12 V 660 Ah", "7.92 kWh", "fault 7.2 kA")
    assert bank.pieces() == 6
    assert bank.article() == ("flooded 6 V 220 Ah",)


def test_a_battery_never_limits_itself() -> None:
    source = only(BatteryBank(unit_v=12.8, charge_v=14.2, bms_discharge_limit_a=100))
    assert source.battery
    assert source.limited is False
    assert (source.nominal_v, source.highest_v) == (12.8, 14.2)


@pytest.mark.parametrize("limiting", [True, False, None])
def test_an_alternator_is_limited_only_where_that_is_recorded(limiting: bool | None) -> None:
    source = only(Alternator(dc_v=24, rating_a=110, self_limiting=limiting))
    assert source.limited is limiting
    assert source.limit_a == 110
    assert source.rotating
    assert source.missing == (("self_limiting",) if limiting is None else ())


def test_a_charger_gives_all_it_has_at_each_output_in_use() -> None:
    made = Charger(dc_v=12, charge_a=40, self_limiting=True)
    assert [s.terminal for s in made.sources(frozenset())] == ["dc"]
    assert [(s.terminal, s.limit_a) for s in made.sources(frozenset({"ac", "dc", "dc3"}))] == [("dc", 40), ("dc3", 40)]
    less = Charger(charge_a=40, output_a=25, self_limiting=True)
    assert {s.limit_a for s in less.sources(frozenset({"dc", "dc2"}))} == {25}
    assert only(Charger(self_limiting=True), "dc2").missing == ("charge_a",)


def test_an_alternator_with_its_rectifier_apart_gives_three_phases_of_one_machine() -> None:
    machine = Alternator(rating_a=200, output="three-phase AC", self_limiting=True)
    sources = machine.sources(frozenset())
    assert [s.conductor for s in sources] == ["L1", "L2", "L3"]
    assert {(s.line, s.system, s.nominal_v) for s in sources} == {("stator", "ac", None)}
    assert machine.nominal_volts("pos") is None


@pytest.mark.parametrize(
    ("power_va", "ac_v", "phases", "amps"),
    [
        (10_000, 240, "L1", 41.7),  # 10 kVA, 240 V, one phase (published example, secondary copy)
        (10_000, 230, "L1", 43.48),  # the current that 46 CFR 111.52-3 multiplies in its default fault level
        (12_000, 120, "L1 L2", 50.0),  # both legs of a split-phase machine, by the definition of VA
        (16_000, 230, "L1 L2 L3", 23.19),  # 16 kVA / (3 x 230 V), by the definition of VA
    ],
)
def test_a_generator_knows_its_rated_current(power_va: float, ac_v: float, phases: str, amps: float) -> None:
    made = Generator(power_va=power_va, ac_v=ac_v, phases=phases)  # type: ignore[arg-type]
    assert made.rated_current_a() == pytest.approx(amps, rel=2e-3)
    assert len(made.sources(frozenset())) == len(phases.split())
    assert Generator(power_va=power_va, ac_v=ac_v, rating_a=7).rated_current_a() == 7


def test_a_generator_asks_for_what_would_settle_its_limit() -> None:
    assert only(Generator()).missing == ("self_limiting", "rating_a")
    assert only(Generator(self_limiting=False)).missing == ()
    assert only(Generator(self_limiting=True, power_va=6000, ac_v=230)).missing == ()


def test_a_generator_has_a_breaker_inside_where_one_is_recorded_and_its_help_says_so() -> None:
    """Left empty it means none, as at every source with a device inside; ashore there is always one."""
    assert only(Generator(self_limiting=False)).protection is None
    inside = only(Generator(self_limiting=False, breaker_a=30)).protection
    assert inside is not None
    assert (inside.rating_a, inside.missing) == (30, "breaker_a")
    (spec,) = [s for s in field_specs(Generator) if s.name == "breaker_a"]
    assert "empty where there is none" in spec.fact.help


@given(strings=st.integers(1, 20), short_a=st.floats(0.1, 20))
def test_an_array_is_limited_to_the_short_circuit_current_of_its_strings(strings: int, short_a: float) -> None:
    source = only(SolarArray(strings=strings, module_short_a=short_a))
    assert source.limited is True
    assert source.limit_a == pytest.approx(strings * short_a)
    assert source.adapts


def test_an_array_rises_to_what_is_recorded_for_the_cold_and_to_nothing_guessed() -> None:
    assert only(SolarArray(series=3, module_open_v=40)).highest_v is None
    assert only(SolarArray(series=3, open_cold_v=138)).highest_v == 138


def test_the_shore_stands_behind_its_breaker() -> None:
    source = only(ShoreSupply(ac_v=230, breaker_a=16))
    assert source.limited is False
    assert source.protection is not None
    assert (source.protection.rating_a, source.protection.kind) == (16, "breaker")
    unknown = only(ShoreSupply(ac_v=230))
    assert unknown.protection is not None
    assert unknown.protection.rating_a is None
    assert unknown.missing == ("breaker_a",)


def test_an_inlet_is_the_shore_only_where_no_shore_is_drawn() -> None:
    inlet = ShoreInlet(ac_v=120, rating_a=30, supply_breaker_a=30)
    assert only(inlet, "out").line == "shore"
    assert inlet.sources(frozenset({"shore", "out"})) == ()


def test_the_bridge_and_the_charger_of_an_inverter_charger_exclude_each_other() -> None:
    made = InverterCharger(ac_v=230, output_limit_a=15, charge_a=70, self_limiting=True)
    bridge, charger = made.sources(frozenset())
    assert (bridge.terminal, bridge.limit_a, bridge.positions) == ("ac_out", 15, frozenset({"invert"}))
    assert (charger.terminal, charger.limit_a, charger.positions) == ("dc", 70, frozenset({"pass"}))


def test_a_bridge_that_supports_its_input_adds_to_what_is_passed() -> None:
    made = InverterCharger(ac_v=230, output_limit_a=15, supports_input=True)
    passing = [s for s in made.sources(frozenset()) if s.terminal == "ac_out" and "pass" in (s.positions or ())]
    assert [s.in_step for s in passing] == [True]
    assert not any(s.in_step for s in InverterCharger(ac_v=230).sources(frozenset()))


def test_legs_of_a_combined_inverter_are_sources_of_their_own() -> None:
    made = CombinedInverter(ac_v=120, leg_limit_a=20)
    bridges = [s for s in made.sources(frozenset()) if s.system == "ac"]
    assert {(s.terminal, s.conductor, s.line) for s in bridges} == {("leg1", "L1", "leg1"), ("leg2", "L2", "leg2")}


def test_a_converter_that_works_both_ways_is_a_source_on_both_sides() -> None:
    made = DcDcConverter(in_v=24, out_v=12, power_w=240, bidirectional=True, reverse_a=8, self_limiting=True)
    assert {(s.terminal, s.limit_a) for s in made.sources(frozenset())} == {("out", 20), ("in", 8)}
    assert {(c.source, c.target) for c in made.conversions()} == {("in", "out"), ("out", "in")}
    assert len(DcDcConverter(bidirectional=False).sources(frozenset())) == 1
    assert [s.supposed for s in DcDcConverter().sources(frozenset())] == ["", "bidirectional"]


def test_a_secondary_carries_what_feeds_its_primary_times_the_ratio() -> None:
    """240 V in, 120/240 V out: 50 A at the primary is 12 kVA, and one leg alone can carry it all: 100 A."""
    made = IsolationTransformer(primary_v=240, primary_phases="L1 L2", secondary_v=120, secondary_phases="L1 L2")
    (conversion,) = made.conversions()
    assert conversion.ratio == 2
    sources = made.sources(frozenset())
    assert {s.conductor for s in sources} == {"L1", "L2"}
    assert {(s.limited, s.limit_a) for s in sources} == {(None, None)}
    assert IsolationTransformer().conversions()[0].ratio is None
    assert IsolationTransformer().sources(frozenset())[0].missing == ("primary_v", "secondary_v")


def test_the_rated_primary_current_follows_from_the_plate() -> None:
    made = IsolationTransformer(power_va=3680, primary_v=230)
    assert made.through_limit("primary") == 16
    assert made.through_limit("secondary") is None
    assert IsolationTransformer().missing_for_current() == ("power_va", "primary_v")


def test_an_autotransformer_that_balances_is_no_source() -> None:
    assert Autotransformer(purpose="balance").sources(frozenset()) == ()
    assert Autotransformer(purpose="step", in_v=120, out_v=240).conversions()[0].ratio == 0.5


def test_a_balancer_feeds_the_midpoint_up_to_its_current_unless_it_only_burns() -> None:
    source = only(BatteryBalancer(dc_v=24, balance_a=10))
    assert (source.terminal, source.nominal_v, source.limited, source.limit_a) == ("mid", 12, True, 10)
    assert BatteryBalancer(method="passive").sources(frozenset()) == ()


def test_battery_current_reaches_an_array_only_where_nothing_keeps_it_out() -> None:
    def joined(made: SolarController) -> set[str]:
        return {c for contact in made.contacts() if contact.b == "dc" for c in contact.poles or ()}

    assert joined(SolarController(common="negative", blocks_reverse=True)) == {"-"}
    assert joined(SolarController(common="negative", blocks_reverse=False)) == {"+", "-"}
    assert joined(SolarController(method="tracking")) == set()
    maybe = [c for c in SolarController(method="series").contacts() if c.b == "dc"]
    assert [(c.poles, c.supposed) for c in maybe] == [(("+",), "blocks_reverse")]
