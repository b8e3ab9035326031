"""Switching orders: every one replayed by hand, state by state; their length against looking at every state."""

from __future__ import annotations

import itertools
import random
from pathlib import Path

import pytest
from catalogue import CORPUS
from order_replay import Boat

from engine.books import load as book
from engine.builder import Builder
from engine.circuit.switching.orders import order
from engine.files.drawing import load
from engine.installation import Condition, Setting
from engine.study import Study

ROOT = Path(__file__).parents[4]
SAMPLES = ("launch", "workboat", "ketch")
AC = {"function": "ac", "size": "10 AWG", "length_m": 1.0}
DC = {"function": "dc pair", "size": "2 AWG", "length_m": 1.0}


def sample(name: str) -> Study:
    snapshot = load(str(ROOT / "samples" / name / f"{name}.linewright")).installation.snapshot()
    return Study(snapshot, book(snapshot.settings.book))


def study_of(b: Builder) -> Study:
    return Study(b.installation.snapshot(), book("trade-na"))


def condition(b: Builder, name: str, running: tuple[str, ...] = (), **positions: str) -> str:
    ids = {r.designation: i for i, r in b.installation.snapshot().equipment.items()}
    settings = tuple(Setting(equipment=ids[d], position=p) for d, p in positions.items())
    return b._new("conditions", Condition(name=name, settings=settings, running=tuple(ids[d] for d in running)))


def told(study: Study, made) -> list[str]:
    return [f"{study.name(s.item)} {s.after}" for s in made.steps]


def ids(study: Study, *names: str) -> tuple[str, ...]:
    at = {r.designation: i for i, r in study.snapshot.equipment.items()}
    return tuple(at[name] for name in names)


# -- samples --------------------------------------------------------------------------------------------------------
@pytest.mark.parametrize("name", SAMPLES)
def test_every_order_between_the_conditions_of_a_sample_stands_a_replay(name: str) -> None:
    study = sample(name)
    pairs = list(itertools.permutations(study.snapshot.conditions, 2))
    assert pairs
    for start, stop in pairs:
        made = order(study, start, stop)
        assert made.found, made.reason
        assert made.reason == ""
        assert not made.undecided
        Boat(study, start, stop).replay(made.steps)
        # every move is needed: nothing is moved that does not differ, nothing twice
        assert len({s.item for s in made.steps}) == len(made.steps)


def test_ketch_takes_the_output_off_and_the_inverter_out_before_its_direct_current() -> None:
    study = sample("ketch")
    at = {c.name: i for i, c in study.snapshot.conditions.items()}
    made = order(study, at["At anchor"], at["Inverter bypassed"])
    done = told(study, made)
    assert done.index("Q12 open") < done.index("T1 off") < done.index("Q3 open")
    assert done.index("Q11 open") < done.index("Q13 closed")
    assert done.index("G10 runs") < done.index("Q10 closed")
    # what must be seen before the switch that may not break load
    before = made.steps[done.index("Q3 open") - 1]
    assert any("INVERTER DC" in text and "nil" in text for text in before.see)
    assert any("volts" in text for text in made.steps[done.index("G10 runs")].see)


def test_engine_stands_before_its_battery_switch_opens_and_runs_only_after_it_is_closed() -> None:
    study = sample("ketch")
    at = {c.name: i for i, c in study.snapshot.conditions.items()}
    assert told(study, order(study, at["Under way"], at["At anchor"])) == ["M1 stands", "Q2 open"]
    assert told(study, order(study, at["At anchor"], at["Under way"])) == ["Q2 closed", "M1 runs"]


# -- inverter to bypass ---------------------------------------------------------------------------------------------
def bypass(*, interlock: bool = True) -> tuple[Study, str, str]:
    """An inverter/charger between two breakers, a breaker past it, one load."""
    b = Builder()
    b.add("battery_bank", "G1", unit_v=12.8, unit_ah=200)
    b.add("battery_switch", "Q3", continuous_a=300, breaks_load=False)
    b.add("inverter_charger", "T1", dc_v=12, ac_v=230, power_w=2000, through_a=50, bonds_neutral=True, standby_w=10)
    b.add("shore_supply", "G9", ac_v=230, breaker_a=16, neutral_earthed=True)
    for name in ("QII", "QIO", "QBP"):
        b.add("circuit_breaker", name, rating_a=20, used_as_switch=True, poles=("L1", "N"))
    b.add("bus_bar", "X1")
    b.add("bus_bar", "X2")
    b.add("load", "E1", ac_v=230, power_w=500, essential=True)
    b.run("W1", "G1.pos", "Q3.in", **DC)
    b.run("W2", "Q3.out", "T1.dc", **DC)
    b.run("W10", "G1.neg", "T1.neg", function="dc negative")
    for n, (start, end) in enumerate(
        (
            ("G9.out", "X1.bar"),
            ("X1.bar", "QII.in"),
            ("QII.out", "T1.ac_in"),
            ("T1.ac_out", "QIO.in"),
            ("QIO.out", "X2.bar"),
            ("X1.bar", "QBP.in"),
            ("QBP.out", "X2.bar"),
            ("X2.bar", "E1.in"),
        )
    ):
        b.run(f"W{n + 20}", start, end, **AC)
    if interlock:
        b.interlock("QIO", "QBP", name="slide, output")
        b.interlock("QII", "QBP", name="slide, input")
    start = condition(b, "Inverter", ("G9",), QII="closed", QIO="closed", QBP="open", Q3="closed")
    stop = condition(b, "Bypass", ("G9",), QII="open", QIO="open", QBP="closed", Q3="closed")
    return study_of(b), start, stop


@pytest.mark.parametrize("interlock", [True, False])
def test_inverter_to_bypass_opens_both_sides_then_closes_the_bypass(interlock: bool) -> None:
    study, start, stop = bypass(interlock=interlock)
    made = order(study, start, stop)
    assert told(study, made) == ["QIO open", "QII open", "QBP closed"]
    assert made.dark == ids(study, "E1")
    Boat(study, start, stop).replay(made.steps)


@pytest.mark.parametrize(("interlock", "why"), [(True, "interlock slide, output"), (False, "T1 (inverter/charger)")])
def test_inverter_to_bypass_cannot_keep_the_load_fed(interlock: bool, why: str) -> None:
    study, start, stop = bypass(interlock=interlock)
    made = order(study, start, stop, keep=ids(study, "E1"))
    assert not made.found
    assert not made.undecided
    assert made.steps == ()
    assert why in made.reason
    assert "E1 (load) would be without supply" in made.reason
    assert Boat(study, start, stop, ids(study, "E1")).shortest() is None


def test_load_that_a_condition_does_not_feed_cannot_be_kept_fed() -> None:
    study, start, stop = isolator(breaks=True)
    made = order(study, start, stop, keep=ids(study, "E10"))
    assert not made.found
    assert made.reason == "In Ashore E10 (load) would be without supply: it cannot be kept fed."


def test_search_that_is_stopped_says_so_and_goes_on_when_given_more() -> None:
    study, start, stop = bypass()
    keep = ids(study, "E1")
    stopped = order(study, start, stop, keep=keep, budget=3)
    assert not stopped.found
    assert stopped.undecided
    assert "no proof" in stopped.reason
    assert not order(study, start, stop, keep=keep).undecided


def test_condition_that_is_not_safe_by_itself_is_told_as_such() -> None:
    study, start, _stop = bypass(interlock=False)
    made = order(study, start, "")  # as drawn everything is closed
    assert not made.found
    assert not made.undecided
    assert made.reason.startswith("As drawn is not safe in itself: ")
    assert "could meet" in made.reason


# -- loads off first ------------------------------------------------------------------------------------------------
def isolator(*, breaks: bool | None, branches: int = 1) -> tuple[Study, str, str]:
    """A bank, a switch, breakers with a lamp each; only the switch differs between the conditions."""
    b = Builder()
    b.add("battery_bank", "G1", unit_v=12, unit_ah=100)
    b.add("battery_switch", "Q1", continuous_a=100, breaks_load=breaks)
    b.add("bus_bar", "X1")
    b.run("W1", "G1.pos", "Q1.in", **DC)
    b.run("W2", "Q1.out", "X1.bar", **DC)
    for n in range(branches):
        b.add("circuit_breaker", f"Q1{n}", rating_a=10)
        b.add("load", f"E1{n}", dc_v=12, power_w=60)
        b.run(f"W3{n}", "X1.bar", f"Q1{n}.in", **DC)
        b.run(f"W4{n}", f"Q1{n}.out", f"E1{n}.in", **DC)
    start = condition(b, "Aboard", Q1="closed")
    stop = condition(b, "Ashore", Q1="open")
    return study_of(b), start, stop


def test_switch_that_breaks_load_is_opened_at_once() -> None:
    study, start, stop = isolator(breaks=True)
    assert told(study, order(study, start, stop)) == ["Q1 open"]


@pytest.mark.parametrize("breaks", [False, None])
@pytest.mark.parametrize("branches", [1, 3])
def test_switch_not_recorded_as_breaking_load_is_opened_after_its_loads_which_are_put_back(
    breaks: bool | None, branches: int
) -> None:
    study, start, stop = isolator(breaks=breaks, branches=branches)
    made = order(study, start, stop)
    done = told(study, made)
    assert len(done) == 2 * branches + 1
    assert done[branches] == "Q1 open"
    assert set(done[:branches]) == {f"Q1{n} open" for n in range(branches)}
    assert set(done[branches + 1 :]) == {f"Q1{n} closed" for n in range(branches)}
    assert all("for the change" in s.why for s in made.steps[:branches])
    Boat(study, start, stop).replay(made.steps)


def test_switch_that_breaks_no_load_and_has_none_that_could_be_taken_off_is_told_with_the_field() -> None:
    b = Builder()
    b.add("battery_bank", "G1", unit_v=12, unit_ah=100)
    b.add("battery_switch", "Q1", continuous_a=100)
    b.add("load", "E1", dc_v=12, power_w=60)
    b.run("W1", "G1.pos", "Q1.in", **DC)
    b.run("W2", "Q1.out", "E1.in", **DC)
    start, stop = condition(b, "Aboard", Q1="closed"), condition(b, "Ashore", Q1="open")
    made = order(study_of(b), start, stop)
    assert not made.found
    assert not made.undecided
    assert "Q1 is not recorded as breaking load" in made.reason
    assert "Q1.breaks_load" in made.missing


# -- changeovers and selectors --------------------------------------------------------------------------------------
def two_shores(**changeover: object) -> tuple[Study, str, str]:
    b = Builder()
    for name in ("G1", "G2"):
        b.add("generator", name, ac_v=230, rating_a=20, bonds_neutral=True)
    b.add("changeover", "S1", breaks_load=True, poles=("L1", "N"), **changeover)
    b.add("load", "E1", ac_v=230, power_w=500)
    b.run("W1", "G1.out", "S1.one", **AC)
    b.run("W2", "G2.out", "S1.two", **AC)
    b.run("W3", "S1.common", "E1.in", **AC)
    start = condition(b, "First", ("G1", "G2"), S1="1")
    stop = condition(b, "Second", ("G1", "G2"), S1="2")
    return study_of(b), start, stop


def test_changeover_with_off_passes_off() -> None:
    study, start, stop = two_shores(has_off=True, makes_before_breaks=False)
    made = order(study, start, stop)
    assert told(study, made) == ["S1 0", "S1 2"]
    Boat(study, start, stop).replay(made.steps)


def test_changeover_without_off_that_makes_first_joins_two_sources_and_has_no_order() -> None:
    study, start, stop = two_shores(has_off=False, makes_before_breaks=True)
    made = order(study, start, stop)
    assert not made.found
    assert not made.undecided
    assert "passes from 1 to 2" in made.reason
    assert "could meet" in made.reason
    assert told(study, order(*two_shores(has_off=False, makes_before_breaks=False))) == ["S1 2"]


def test_changeover_of_which_it_is_not_recorded_names_the_field() -> None:
    study, start, stop = two_shores(has_off=False)
    made = order(study, start, stop)
    assert not made.found
    assert "S1.makes_before_breaks" in made.missing


def two_banks(**selector: object) -> tuple[Study, str, str]:
    b = Builder()
    b.add("battery_bank", "G1", unit_v=12, unit_ah=100)
    b.add("battery_bank", "G2", unit_v=12, unit_ah=100)
    b.add("selector", "S1", breaks_load=True, **selector)
    b.add("engine", "M1")
    b.add("alternator", "G3", dc_v=12, rating_a=60, engine="e4")
    b.add("load", "E1", dc_v=12, power_w=60)
    b.add("bus_bar", "X1")
    b.run("W1", "G1.pos", "S1.one", **DC)
    b.run("W2", "G2.pos", "S1.two", **DC)
    b.run("W3", "S1.common", "X1.bar", **DC)
    b.run("W4", "G3.pos", "X1.bar", **DC)
    b.run("W5", "X1.bar", "E1.in", **DC)
    start, stop = condition(b, "One", ("G3",), S1="1"), condition(b, "Two", ("G3",), S1="2")
    return study_of(b), start, stop


def test_selector_under_a_running_alternator_goes_through_both() -> None:
    study, start, stop = two_banks(makes_before_breaks=True)
    made = order(study, start, stop)
    assert told(study, made) == ["S1 both", "S1 2"]
    Boat(study, start, stop).replay(made.steps)


def test_selector_that_breaks_first_wants_the_engine_stopped() -> None:
    study, start, stop = two_banks(makes_before_breaks=False)
    made = order(study, start, stop)
    done = told(study, made)
    assert done[0] == "M1 stands"
    assert done[-1] == "M1 runs"
    assert len(done) == 4
    Boat(study, start, stop).replay(made.steps)


# -- random boats ---------------------------------------------------------------------------------------------------
def random_boat(seed: int) -> tuple[Study, str, str, tuple[str, ...]]:
    """AC buses with sources between breakers and changeovers, a bank behind a switch; two conditions, maybe safe."""
    pick = random.Random(seed)
    b = Builder()
    serial = itertools.count()

    def join(start: str, end: str, facts: dict[str, object] = AC) -> None:
        b.run(f"W{next(serial)}", start, end, **facts)

    buses = [f"X{n}" for n in range(pick.randint(1, 2))]
    switches: list[tuple[str, tuple[str, ...]]] = []
    for name in buses:
        b.add("bus_bar", name)

    def breaker(start: str, end: str) -> None:
        name = f"Q{len(switches)}"
        if pick.random() < 0.75:
            b.add("circuit_breaker", name, rating_a=20, used_as_switch=True, poles=("L1", "N"))
        else:
            b.add("battery_switch", name, continuous_a=50, poles=("L1", "N"), breaks_load=pick.choice((None, False)))
        switches.append((name, ("open", "closed")))
        join(start, f"{name}.in")
        join(f"{name}.out", end)

    sources = []
    for n in range(pick.randint(1, 3)):
        kind = pick.choice(("shore_supply", "generator", "inverter_charger"))
        name = f"G{n}"
        if kind == "shore_supply":
            b.add(kind, name, ac_v=230, breaker_a=16, neutral_earthed=True)
        elif kind == "generator":
            b.add(kind, name, ac_v=230, rating_a=20, bonds_neutral=True)
        else:
            b.add(kind, name, dc_v=12, ac_v=230, power_w=2000, through_a=50, bonds_neutral=True, standby_w=10)
            b.add("battery_bank", f"B{n}", unit_v=12, unit_ah=200)
            b.add("battery_switch", f"S{n}", continuous_a=300, breaks_load=pick.choice((True, False)))
            switches.append((f"S{n}", ("open", "closed")))
            join(f"B{n}.pos", f"S{n}.in", DC)
            join(f"S{n}.out", f"{name}.dc", DC)
            if pick.random() < 0.5:
                breaker(f"{pick.choice(buses)}.bar", f"{name}.ac_in")
            breaker(f"{name}.ac_out", f"{pick.choice(buses)}.bar")
            continue
        sources.append(name)
        breaker(f"{name}.out", f"{pick.choice(buses)}.bar")
    if len(buses) == 2:
        breaker("X0.bar", "X1.bar")
    if pick.random() < 0.6 and sources:
        has_off = pick.random() < 0.5
        makes = pick.choice((True, False, None))
        b.add("changeover", "S9", poles=("L1", "N"), has_off=has_off, makes_before_breaks=makes, breaks_load=True)
        join(f"{pick.choice(buses)}.bar", "S9.one")
        join(f"{pick.choice(sources)}.out", "S9.two")
        join("S9.common", "E1.in") if b.add("load", "E1", ac_v=230, power_w=500) else None
        switches.append(("S9", ("0", "1", "2") if has_off else ("1", "2")))
    b.add("load", "E0", ac_v=230, power_w=500)
    if pick.random() < 0.5:
        breaker("X0.bar", "E0.in")
    else:
        join("X0.bar", "E0.in")
    plain = [name for name, positions in switches if positions == ("open", "closed") and name[0] == "Q"]
    if len(plain) > 1 and pick.random() < 0.6:
        b.interlock(*pick.sample(plain, min(len(plain), pick.randint(2, 3))), at_most=1)
    ends = []
    for n in range(12):
        positions = {name: pick.choice(every) for name, every in switches}
        running = tuple(name for name in sources if pick.random() < 0.6)
        ends.append(condition(b, f"C{n}", running, **positions))
    study = study_of(b)
    keep = ids(study, "E0") if pick.random() < 0.3 else ()
    # mostly two conditions that are safe; now and then two that may not be
    safe = [end for end in ends if (boat := Boat(study, end, end, keep)).safe(boat.first) == ""]
    start, stop = safe[:2] if len(safe) > 1 and pick.random() < 0.9 else ends[:2]
    return study, start, stop, keep


def compare(seed: int) -> str:
    study, start, stop, keep = random_boat(seed)
    made = order(study, start, stop, keep)
    boat = Boat(study, start, stop, keep)
    if made.undecided:
        made = order(study, start, stop, keep, 1_000_000)
    assert not made.undecided, seed
    if made.found:
        boat.replay(made.steps)
    if len(boat.moved) <= 10:
        assert boat.shortest() == (len(made.steps) if made.found else None), (seed, made.reason)
    return "found" if made.found else "unsafe" if "in itself" in made.reason or "kept fed" in made.reason else "none"


def test_orders_on_random_boats_are_as_short_as_any() -> None:
    kinds = [compare(seed) for seed in range(4)]
    assert "found" in kinds


@pytest.mark.long
@pytest.mark.parametrize("seed", range(4, 400))
def test_orders_on_many_random_boats_are_as_short_as_any(seed: int) -> None:
    compare(seed)


@pytest.mark.long
@pytest.mark.parametrize("correct", CORPUS, ids=[one.name for one in CORPUS])
def test_correct_boat_is_safe_in_its_conditions_and_its_orders_stand_a_replay(correct) -> None:
    study = Study(correct.build().snapshot(), book("trade-na"))
    ends = ["", *study.snapshot.conditions]
    for start, stop in itertools.product(ends, ends):
        made = order(study, start, stop)
        assert "in itself" not in made.reason
        if made.found:
            Boat(study, start, stop).replay(made.steps)


def test_alternator_straight_on_its_battery_is_never_cut_off() -> None:
    b = Builder()
    b.add("battery_bank", "G1", unit_v=12, unit_ah=100)
    b.add("alternator", "G2", dc_v=12, survives_cut_off=False)
    b.add("battery_switch", "Q1", continuous_a=100, breaks_load=True)
    b.add("load", "E1", dc_v=12, power_w=60)
    b.run("W1", "G1.pos", "G2.pos", **DC)
    b.run("W2", "G1.pos", "Q1.in", **DC)
    b.run("W3", "Q1.out", "E1.in", **DC)
    start, stop = condition(b, "A", ("G2",), Q1="closed"), condition(b, "B", ("G2",), Q1="open")
    study = study_of(b)
    assert told(study, order(study, start, stop)) == ["Q1 open"]


@pytest.mark.parametrize(
    ("facts", "found"), [({"survives_cut_off": True}, True), ({"survives_cut_off": False}, False), ({}, False)]
)
def test_alternator_behind_a_switch_forbids_to_open_it_unless_it_survives(facts: dict, found: bool) -> None:
    b = Builder()
    b.add("battery_bank", "G1", unit_v=12, unit_ah=100)
    b.add("alternator", "G2", dc_v=12, **facts)
    b.add("battery_switch", "Q1", continuous_a=100, breaks_load=True)
    b.run("W1", "G1.pos", "Q1.in", **DC)
    b.run("W2", "Q1.out", "G2.pos", **DC)
    start, stop = condition(b, "A", ("G2",), Q1="closed"), condition(b, "B", ("G2",), Q1="open")
    made = order(study_of(b), start, stop)
    assert made.found is found
    if not found:
        assert "G2 (alternator) would lose its battery while it runs" in made.reason
    if not facts:
        assert "G2.survives_cut_off" in made.missing
