"""Devices, buses, switches, inverters and banks, with the arithmetic by hand."""

from __future__ import annotations

from typing import Any

import pytest

from engine.books import load
from engine.builder import Builder
from engine.circuit.energy.results import BankEnergy, Energy
from engine.sizing import size
from engine.sizing.results import Answer
from engine.study import Study

RUN: dict[str, Any] = {"insulation_c": 105.0, "bundle": 2, "sheath": "sheathed", "places": ("saloon",)}


def start() -> Builder:
    b = Builder()
    b.place("saloon", "accommodation", 30)
    b.add("battery_bank", "G1", unit_v=12.0, unit_ah=400.0, chemistry="AGM", internal_resistance_ohm=1e-6)
    return b


def study_of(b: Builder) -> Study:
    return Study(b.installation.snapshot(), load("trade-na"))


def answer(study: Study, item: str, what: str) -> Answer:
    return next(a for a in size(study, item) if a.what == what)


def test_a_fuse_for_its_load_and_its_conductor() -> None:
    """20 A / 80 % = 25 A; 14 AWG of 35 A may have 52.5 A."""
    b = start()
    fuse = b.add("fuse", "F1")
    b.add("load", "E1", dc_v=12, current_a=20.0, drop_class="other")
    b.run("W1", "G1.pos", "F1.in", size="4 AWG", length_m=0.1, **RUN)
    b.run("W2", "F1.out", "E1.in", size="14 AWG", length_m=2.0, **RUN)
    found = answer(study_of(b), fuse, "protective device")
    assert found.needs == "25 A"
    assert found.fields == (("rating_a", 25.0),)
    assert found.suffices is None
    b.set("F1", rating_a=60.0)
    assert answer(study_of(b), fuse, "protective device").suffices is False
    b.set("F1", rating_a=50.0)
    kept = answer(study_of(b), fuse, "protective device")
    assert kept.suffices is True
    assert kept.fields == ()


def test_what_a_maker_allows_counts() -> None:
    b = start()
    fuse = b.add("fuse", "F1", rating_a=30.0)
    b.add("load", "E1", dc_v=12, current_a=5.0, largest_device_a=10.0)
    b.run("W1", "G1.pos", "F1.in", size="4 AWG", length_m=0.1, **RUN)
    b.run("W2", "F1.out", "E1.in", size="14 AWG", length_m=2.0, **RUN)
    found = answer(study_of(b), fuse, "protective device")
    assert (found.needs, found.suffices) == ("10 A", False)


def test_a_fuse_stays_closed_while_its_motor_starts() -> None:
    """A motor of 10 A that takes 60 A for 2 s: what carries 10 A at 80 % would open; a larger one does not."""
    b = start()
    fuse = b.add("fuse", "F1", fuse_class="class T")
    b.add("motor", "M1", dc_v=12, running_a=10.0, starting_a=60.0, starting_s=2.0)
    b.run("W1", "G1.pos", "F1.in", size="4 AWG", length_m=0.1, **RUN)
    b.run("W2", "F1.out", "M1.in", size="6 AWG", length_m=2.0, **RUN)
    found = answer(study_of(b), fuse, "protective device")
    assert found.device_a is not None
    assert found.device_a > 15
    from engine.circuit.faults.curves import clearing
    from engine.equipment import kinds

    fastest = clearing(kinds()["fuse"](rating_a=found.device_a, fuse_class="class T"), 60.0).fastest_s
    assert fastest is None or fastest >= 2.0


def test_an_inverter_at_its_lowest_volts() -> None:
    """2000 W / (0.9 x 10.5 V) = 211.6 A: 1/0 AWG carries 285 A, 2 AWG 210 A; 1 AWG 245 A."""
    b = start()
    fuse = b.add("fuse", "F1", rating_a=300.0)
    inverter = b.add(
        "inverter", "T1", dc_v=12, ac_v=120, power_w=2000.0, efficiency=0.9, minimum_v=10.5, standby_w=10.0
    )
    b.run("W1", "G1.pos", "F1.in", size="4/0 AWG", length_m=0.1, **RUN)
    feed = b.run("W2", "F1.out", "T1.dc", size="2 AWG", length_m=1.0, **RUN)
    b.add("load", "E1", ac_v=120, power_w=100.0, power_factor=1.0)
    b.run("W3", "T1.ac_out", "E1.in", function="ac", size="14 AWG", length_m=2.0, **RUN)
    study = study_of(b)
    found = answer(study, inverter, "inverter feed")
    assert found.reasons[0].arithmetic.endswith("= 211.6 A")
    (conductor,) = size(study, feed)
    ampacity = next(r for r in conductor.reasons if r.name == "ampacity")
    assert ampacity.needs == "1 AWG"
    assert "211.6 A" in ampacity.arithmetic
    device = answer(study, fuse, "protective device")
    assert device.device_a is not None
    assert device.device_a >= 211.6
    b.set("T1", efficiency=None)
    assert answer(study_of(b), inverter, "inverter feed").missing == ("T1.efficiency",)


def test_a_switch_continuously_and_while_cranking() -> None:
    b = start()
    engine = b.add("engine", "M9")
    switch = b.add("battery_switch", "Q1", continuous_a=100.0)
    b.add("motor", "M1", dc_v=12, service="engine starter", starting_a=400.0, engine=engine)
    b.add("load", "E1", dc_v=12, current_a=120.0)
    b.run("W1", "G1.pos", "Q1.in", size="2/0 AWG", length_m=1.0, exempt="cranking", **RUN)
    b.run("W2", "Q1.out", "M1.in", size="2/0 AWG", length_m=1.0, exempt="cranking", **RUN)
    b.run("W3", "Q1.out", "E1.in", size="2/0 AWG", length_m=1.0, **RUN)
    found = answer(study_of(b), switch, "switch")
    assert found.suffices is False  # 120 A through 100 A
    names = [r.name for r in found.reasons]
    assert names == ["continuous current", "current while starting"]
    assert "120 A" in found.needs
    assert dict(found.fields)["continuous_a"] == 120.0
    assert dict(found.fields)["cranking_a"] >= 400
    b.set("Q1", continuous_a=200.0, cranking_a=900.0)
    good = answer(study_of(b), switch, "switch")
    assert good.suffices is True
    assert good.fields == ()


def test_a_bus_for_its_sections_and_its_devices() -> None:
    """60 A through it; the main fuse would let 80 A through."""
    b = start()
    b.add("fuse", "F1", rating_a=80.0)
    bus = b.add("bus_bar", "X1", rating_a=60.0)
    b.run("W1", "G1.pos", "F1.in", size="4/0 AWG", length_m=0.1, **RUN)
    b.run("W2", "F1.out", "X1.bar", size="4/0 AWG", length_m=1.0, **RUN)
    for n in (1, 2):
        b.add("load", f"E{n}", dc_v=12, current_a=30.0)
        b.run(f"W1{n}", "X1.bar", f"E{n}.in", size="4 AWG", length_m=1.0, **RUN)
    found = answer(study_of(b), bus, "bus")
    assert found.decided_by == "let through"
    assert (found.needs, found.suffices) == ("80 A", False)
    assert next(r for r in found.reasons if r.name == "section current").needs == "60 A"


@pytest.mark.parametrize(("capacity", "enough"), [(400.0, True), (200.0, False)])
def test_a_bank_for_the_hours_it_must_last(capacity: float, enough: bool, monkeypatch: pytest.MonkeyPatch) -> None:
    """1440 Wh a day on 12 V: 5 A; 24 h = 120 Ah; half of the capacity is used: 240 Ah.

    W46: 248.6 Ah a day at 50 % for one day: about 500 Ah (497).
    """
    b = start()
    b.set("G1", unit_ah=capacity)
    study = study_of(b)
    bank = next(iter(study.snapshot.equipment))

    def told(_self: Study, _condition: str = "", wh: float = 1440.0) -> Energy:
        return Energy(
            condition="",
            name="At anchor",
            banks=(
                BankEnergy(
                    bank=bank,
                    designation="G1",
                    nominal_v=12.0,
                    capacity_ah=capacity,
                    usable_ah=capacity / 2,
                    load_wh=wh,
                    load_ah=wh / 12,
                    source_wh=0.0,
                    mean_a=wh / 12 / 24,
                    autonomy_h=capacity / 2 / (wh / 12 / 24),
                    required_h=24.0,
                ),
            ),
        )

    monkeypatch.setattr(Study, "energy", told)
    found = answer(study, bank, "bank")
    assert found.needs == "240 Ah"
    assert found.suffices is enough
    assert found.fields == (() if enough else (("unit_ah", 240.0),))
    monkeypatch.setattr(Study, "energy", lambda self, condition="": told(self, condition, 248.6 * 12))
    assert answer(study, bank, "bank").needs == "498 Ah"  # 497.2


def test_a_bank_with_nothing_required_says_what_is_missing() -> None:
    b = start()
    study = study_of(b)
    found = answer(study, next(iter(study.snapshot.equipment)), "bank")
    assert found.needs == ""
    assert found.suffices is None
    assert found.missing


def test_figures_that_are_not_recorded_are_not_guessed() -> None:
    b = start()
    switch = b.add("battery_switch", "Q1")
    b.add("load", "E1", dc_v=12)
    b.run("W1", "G1.pos", "Q1.in", size="4 AWG", length_m=1.0, **RUN)
    b.run("W2", "Q1.out", "E1.in", size="4 AWG", length_m=1.0, **RUN)
    found = answer(study_of(b), switch, "switch")
    assert found.suffices is None
    assert found.missing
