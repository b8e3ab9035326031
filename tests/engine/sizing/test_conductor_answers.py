"""What conductor a run needs, with the arithmetic by hand."""

from __future__ import annotations

from typing import Any

import msgspec
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from engine.books import load
from engine.books.ampacity import ampacity
from engine.builder import Builder
from engine.circuit.faults.results import DeviceFault, FarEnd, Faults
from engine.equipment._facts import TimePoints
from engine.findings import Finding
from engine.installation.records import ConditionDuty
from engine.rules import rules
from engine.sizing import size, sizes
from engine.sizing.basis import offered, with_field
from engine.sizing.results import Answer, Reason
from engine.study import Study

NOTHING = Faults()


def boat(
    amps: float | None = 10.0,
    length_m: float | None = 5.0,
    run_size: str = "14 AWG",
    fuse_a: float | None = 15.0,
    book: str = "trade-na",
    load_facts: dict[str, Any] | None = None,
    **run: Any,
) -> tuple[Study, str]:
    """A bank of no resistance, a fuse on its post, a pair to one load in a saloon of 30 degC."""
    b = Builder(book=book)
    b.place("saloon", "accommodation", 30)
    b.add("battery_bank", "G1", unit_v=12.0, unit_ah=400.0, chemistry="AGM", internal_resistance_ohm=1e-6)
    b.add("fuse", "F1", rating_a=fuse_a)
    b.add("load", "E1", dc_v=12, current_a=amps, **({"drop_class": "essential"} | (load_facts or {})))
    known: dict[str, Any] = {"insulation_c": 105.0, "bundle": 2, "sheath": "sheathed", "places": ("saloon",)}
    b.run("W1", "G1.pos", "F1.in", size="1/0 AWG", length_m=0.1, **known)
    item = b.run("W2", "F1.out", "E1.in", size=run_size, length_m=length_m, **(known | run))
    return Study(b.installation.snapshot(), load(book)), item


def answer(study: Study, item: str) -> Answer:
    (found,) = size(study, item)
    return found


def reason(found: Answer, name: str) -> Reason:
    return next(r for r in found.reasons if r.name == name)


def no_faults(study: Study) -> Study:
    study.__dict__["faults"] = NOTHING
    return study


def test_drop_decides_by_hand() -> None:
    """10 A, 2 x 5 m, 3 % of 12 V = 0.36 V less the fuse's 0.1 V / 15 A x 10 A = 0.067 V and the 1/0 lead's 0.0007 V.

    10 AWG at 30 degC: 1/58/5.261 x 1.0393 = 3.406 mohm/m: 0.341 V is too much for 0.293 V; 8 AWG: 0.214 V.
    """
    study, item = boat()
    found = answer(study, item)
    assert found.needs == "8 AWG"
    assert found.decided_by == "voltage drop"
    assert found.suffices is False
    assert found.fields == (("size", "8 AWG"),)
    assert reason(found, "ampacity").needs == "18 AWG"
    assert "0.21 V in 8 AWG" in reason(found, "voltage drop").arithmetic


def test_ampacity_decides_by_hand() -> None:
    """100 A over half a metre: 105 degC table, 8 AWG 80 A, 6 AWG 120 A."""
    study, item = boat(100.0, 0.5, "6 AWG", 110.0, load_facts={"drop_class": "other"})
    found = answer(no_faults(study), item)
    assert (found.needs, found.decided_by, found.suffices) == ("6 AWG", "ampacity", True)
    assert found.fields == ()


def test_the_device_decides_by_hand() -> None:
    """A fuse of 100 A on a lamp of 2 A: 150 % of the ampacity reaches it: not 10 AWG, 1.5 x 60 A; 8 AWG, 1.5 x 80 A."""
    study, item = boat(2.0, 1.0, "14 AWG", 100.0, load_facts={"drop_class": "other"})
    found = answer(no_faults(study), item)
    assert (found.needs, found.decided_by) == ("8 AWG", "protective device")
    assert found.suffices is False


def test_the_device_that_suits_is_the_least_that_carries_the_load() -> None:
    """10 A / 80 % = 12.5 A: 15 A; 8 AWG may have 120 A."""
    study, item = boat(10.0, 5.0, "8 AWG", 15.0)
    found = answer(study, item)
    assert found.device_a == 15
    assert "120 A or less" in found.device_why


def test_the_smallest_size_decides() -> None:
    for sheath, wanted in (("sheathed", "18 AWG"), ("bare", "16 AWG"), ("", "16 AWG")):
        study, item = boat(0.5, 0.5, "18 AWG", 3.0, sheath=sheath, load_facts={"drop_class": "other"})
        found = answer(no_faults(study), item)
        assert found.needs == wanted
        assert "AWG" in reason(found, "smallest size").arithmetic


def test_a_fault_decides_by_hand() -> None:
    """2500 A for 0.1 s and k = 115: 6.87 mm2 (IEC 60364, secondary copy recomputed): 8 AWG, 8.37 mm2."""
    study, item = boat(2.0, 1.0, "14 AWG", 15.0, load_facts={"drop_class": "other"})
    device = next(i for i, r in study.snapshot.equipment.items() if r.designation == "F1")
    points = (
        {"multiple": 2.0, "fastest_s": 1.0, "slowest_s": 100.0},
        {"multiple": 2500 / 15, "fastest_s": 0.05, "slowest_s": 0.1},
    )
    study = _with(study, "F1", time_points=msgspec.convert(points, TimePoints))
    study.__dict__["faults"] = Faults(
        devices=(
            DeviceFault(
                equipment=device,
                designation="F1",
                terminal="out",
                conductor="+",
                system="dc",
                max_a=5000.0,
                min_a=2500.0,
            ),
        ),
        far_ends=(FarEnd(device=device, run=item, at="", conductor="+", system="dc", min_a=2500.0),),
    )
    found = answer(study, item)
    assert (found.needs, found.decided_by) == ("8 AWG", "fault withstand")
    assert "6.87 mm²" in reason(found, "fault withstand").arithmetic


def test_metric_boats_get_metric_sizes() -> None:
    study, item = boat(run_size="2.5 mm2")
    assert answer(study, item).needs.endswith("mm2")
    study, item = boat(run_size="")
    # the rest of the drawing is in AWG
    assert answer(study, item).needs.endswith("AWG")


def test_without_a_size_one_is_proposed_and_nothing_is_judged() -> None:
    study, item = boat(run_size="")
    found = answer(study, item)
    assert found.suffices is None
    assert found.needs == "8 AWG"
    assert found.assumed


def test_a_missing_length_stops_only_the_drop() -> None:
    study, item = boat(length_m=None)
    found = answer(study, item)
    assert reason(found, "voltage drop").missing == ("W2.length_m",)
    assert reason(found, "voltage drop").needs == ""
    assert found.needs != ""
    assert found.suffices is None
    assert "W2.length_m" in found.missing


def test_an_unknown_class_is_sized_for_the_looser_one_and_says_so() -> None:
    """10 %: 1.2 V less 0.067 V: over 10 m there and back at 30 degC 16 AWG loses 1.37 V, 14 AWG 0.86 V."""
    study, item = boat(load_facts={"drop_class": ""})
    found = answer(study, item)
    assert found.needs == "14 AWG"
    assert found.suffices is None
    assert "E1.drop_class" in found.missing
    assert "8 AWG" in reason(found, "voltage drop").arithmetic
    big, item = boat(load_facts={"drop_class": ""}, run_size="6 AWG")
    assert answer(no_faults(big), item).suffices is True


def test_an_unknown_load_is_not_guessed() -> None:
    study, item = boat(amps=None)
    found = answer(study, item)
    assert "E1.current_a" in " ".join(found.missing) or "E1.power_w" in " ".join(found.missing)
    assert found.suffices is None
    assert found.device_a is None


def test_an_unknown_fuse_is_named() -> None:
    study, item = boat(fuse_a=None)
    found = answer(study, item)
    assert any(gap.startswith("F1.") for gap in found.missing)
    assert found.suffices is not True


def test_an_earth_lead_has_no_size_to_choose() -> None:
    b = Builder()
    b.add("bus_bar", "X1")
    b.add("bus_bar", "X2")
    item = b.run("W9", "X1.bar", "X2.bar", function="bonding")
    study = Study(b.installation.snapshot(), load("trade-na"))
    assert size(study, item) == ()
    assert size(study, "no such id") == ()


def test_a_poor_feeder_does_not_make_a_lamps_lead_thick() -> None:
    """The feeder loses 0.9 V of 0.36 V: the lead to the lamp is asked for its part by length, not for a bus bar."""
    b = Builder()
    b.place("saloon", "accommodation", 30)
    b.add("battery_bank", "G1", unit_v=12.0, unit_ah=400.0, chemistry="AGM", internal_resistance_ohm=1e-6)
    b.add("bus_bar", "X1", rating_a=100)
    b.add("load", "E1", dc_v=12, current_a=1.0, drop_class="essential")
    b.add("load", "E2", dc_v=12, current_a=20.0, drop_class="other")
    known: dict[str, Any] = {"insulation_c": 105.0, "bundle": 2, "sheath": "sheathed", "places": ("saloon",)}
    feeder = b.run("W1", "G1.pos", "X1.bar", size="12 AWG", length_m=4.0, **known)
    lead = b.run("W2", "X1.bar", "E1.in", size="16 AWG", length_m=3.0, **known)
    b.run("W3", "X1.bar", "E2.in", size="10 AWG", length_m=0.5, **known)
    study = Study(b.installation.snapshot(), load("trade-na"))
    thin = answer(study, lead)
    assert (thin.needs, thin.suffices) == ("18 AWG", True)
    assert "is this run's part" in reason(thin, "voltage drop").arithmetic
    thick = answer(study, feeder)
    assert thick.suffices is False
    # its answer put in: nothing loses too much any more
    again = Study(with_field(study.snapshot, "runs", feeder, size=thick.needs), study.book)
    assert not [r for r in rules()["drop-too-high"].check(again) if study.name(r.ids[0]) == "E1"]


# -- what holds for every circuit -------------------------------------------------------------------------------------
JUDGED = ("overloaded", "drop-too-high", "rating-above-ampacity", "slow-to-clear")


def _complaints(study: Study, item: str, gaps: bool = False) -> list[str]:
    """What the rules say that a run is sized by; with `gaps`, also that a size is below any the tables know."""
    load_id = next(i for i, r in study.snapshot.equipment.items() if r.designation == "E1")
    found = []
    for slug in JUDGED:
        for remark in rules()[slug].check(study):
            if (gaps or isinstance(remark, Finding)) and {item, load_id} & set(remark.ids):
                found.append(slug)
    return found


@settings(max_examples=15)
@given(
    amps=st.floats(0.5, 120),
    length_m=st.floats(0.3, 25),
    kind=st.sampled_from(["essential", "other"]),
    series=st.sampled_from(["14 AWG", "2.5 mm2"]),
    constant_power=st.booleans(),
)
def test_the_answer_passes_the_rules_and_the_next_smaller_fails(
    amps: float, length_m: float, kind: str, series: str, constant_power: bool
) -> None:
    fuse = next(r for r in (1, 3, 6, 10, 15, 20, 25, 30, 40, 50, 60, 80, 100, 125, 150, 200) if r >= amps * 1.25)
    study, item = boat(amps, length_m, series, float(fuse), load_facts={"drop_class": kind})
    study = _with(study, "F1", fuse_class="class T")
    if constant_power:
        study = _with(study, "E1", current_a=None, power_w=amps * 12)
    found = answer(study, item)
    sizes_of = offered(series.split()[-1])
    if not found.needs:
        return  # more than the largest
    fitted = Study(with_field(study.snapshot, "runs", item, size=found.needs), study.book)
    assert _complaints(fitted, item) == []
    assert answer(fitted, item).suffices is not False
    if found.decided_by in ("ampacity", "protective device", "voltage drop"):
        smaller = sizes_of[sizes_of.index(found.needs) - 1]
        thin = Study(with_field(study.snapshot, "runs", item, size=smaller), study.book)
        assert _complaints(thin, item, gaps=True) or _is_too_much_when_empty(thin, item)


def _is_too_much_when_empty(study: Study, item: str) -> bool:
    """Whether constant power, drawn at the bank's lowest volts, is more than the run may carry."""
    flow = study.flow("", "lowest")
    carried = next(run.amps for run in flow.runs if run.run == item)
    may = ampacity(study.book, study.snapshot.runs[item], study.snapshot, 12.0)
    return carried is not None and carried > may.low_a


def _with(study: Study, designation: str, **fields: Any) -> Study:
    item = next(i for i, r in study.snapshot.equipment.items() if r.designation == designation)
    return Study(with_field(study.snapshot, "equipment", item, **fields), study.book)


@settings(max_examples=12)
@given(amps=st.floats(0.5, 100), more=st.floats(1.0, 3.0), length_m=st.floats(0.3, 20), longer=st.floats(1.0, 3.0))
def test_more_load_or_more_length_never_asks_for_less(amps: float, more: float, length_m: float, longer: float) -> None:
    order = offered("AWG")

    def needed(load_a: float, metres: float) -> int:
        study, item = boat(load_a, metres, "14 AWG", 400.0)
        found = answer(no_faults(study), item)
        return order.index(found.needs) if found.needs else len(order)

    base = needed(amps, length_m)
    assert needed(amps * more, length_m) >= base
    assert needed(amps, length_m * longer) >= base


@pytest.mark.parametrize(
    "facts",
    [
        {"amps": 0.0},
        {"amps": 1e6},
        {"length_m": 0.0},
        {"length_m": 1e6},
        {"run_size": "4/0 AWG", "length_m": 1e-6},
        {"fuse_a": 0.001},
        {"conductor": "aluminium"},
        {"insulation_c": 20.0},
        {"parallel": 3},
        {"book": "k1"},
        {"book": "us-33cfr183"},
        {"load_facts": {"dc_v": 0.0}},
    ],
)
def test_nothing_drawn_stops_it(facts: dict[str, Any]) -> None:
    load_facts = facts.pop("load_facts", {})
    if "dc_v" in load_facts:
        study, item = boat(**facts)
        study = _with(study, "E1", **load_facts)
    else:
        study, item = boat(**facts)
    assert len(size(study, item)) == 1
    assert sizes(study)


def test_conditions_decide_by_the_one_with_most() -> None:
    b = Builder()
    b.place("saloon", "accommodation", 30)
    b.add("battery_bank", "G1", unit_v=12.0, unit_ah=400.0, chemistry="AGM", internal_resistance_ohm=1e-6)
    b.add("bus_bar", "X1")
    first = b.add("load", "E1", dc_v=12, current_a=5.0, drop_class="other")
    second = b.add("load", "E2", dc_v=12, current_a=60.0, drop_class="other")
    known: dict[str, Any] = {"insulation_c": 105.0, "bundle": 2, "sheath": "sheathed", "places": ("saloon",)}
    feeder = b.run("W1", "G1.pos", "X1.bar", size="14 AWG", length_m=0.3, **known)
    b.run("W2", "X1.bar", "E1.in", size="14 AWG", length_m=1.0, **known)
    b.run("W3", "X1.bar", "E2.in", size="4 AWG", length_m=1.0, **known)
    night, sail = b.condition("At anchor"), b.condition("Under way")
    snapshot = b.installation.snapshot()
    snapshot = with_field(snapshot, "conditions", night, duties=(ConditionDuty(equipment=first, hours_a_day=8.0),))
    snapshot = with_field(snapshot, "conditions", sail, duties=(ConditionDuty(equipment=second, hours_a_day=1.0),))
    found = answer(Study(snapshot, load("trade-na")), feeder)
    assert found.condition == "Under way"
    assert reason(found, "ampacity").needs == "10 AWG"  # 60 A


def test_sizes_leaves_out_what_is_to_be_removed() -> None:
    study, item = boat()
    gone = Study(with_field(study.snapshot, "runs", item, status="to remove"), study.book)
    assert item not in {a.item for a in sizes(gone)}
    assert item in {a.item for a in sizes(study)}
