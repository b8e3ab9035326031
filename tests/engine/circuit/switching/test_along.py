"""An order step by step, as it is shown: begins and ends where the conditions say, relays move with their input."""

from __future__ import annotations

from pathlib import Path

import pytest

from engine.books import load as book
from engine.circuit.flow.operating import positions_in
from engine.circuit.live_from import live_from
from engine.circuit.switching.along import along, when_dead
from engine.circuit.switching.isolating import isolate
from engine.circuit.switching.orders import order
from engine.circuit.switching.results import Order, Step
from engine.files.drawing import load
from engine.study import Study

ROOT = Path(__file__).parents[4]


@pytest.fixture(scope="module")
def ketch() -> Study:
    snapshot = load(str(ROOT / "samples/ketch/ketch.linewright")).installation.snapshot()
    return Study(snapshot, book(snapshot.settings.book))


def test_from_the_first_condition_to_the_last_one_thing_a_step(ketch: Study) -> None:
    snapshot = ketch.snapshot
    at = {record.name: item for item, record in snapshot.conditions.items()}
    made = order(ketch, at["Alongside"], at["Inverter bypassed"])
    states = along(snapshot, made)
    assert len(states) == len(made.steps) + 1
    assert states[0].positions == positions_in(snapshot, at["Alongside"])
    assert states[-1].positions == positions_in(snapshot, at["Inverter bypassed"])
    running = snapshot.conditions[at["Inverter bypassed"]].running
    assert set(states[-1].running or ()) == set(running)
    for before, after, step in zip(states, states[1:-1], made.steps, strict=False):
        moved = {item for item, position in after.positions.items() if before.positions[item] != position}
        assert moved == ({step.item} if step.item in after.positions else set()) | {item for item, _p in step.by_itself}


def test_the_relay_of_an_inverter_goes_to_pass_with_the_shore_switch(ketch: Study) -> None:
    snapshot = ketch.snapshot
    at = {record.name: item for item, record in snapshot.conditions.items()}
    ids = {record.designation: item for item, record in snapshot.equipment.items()}
    made = order(ketch, at["At anchor"], at["Alongside"])
    states = along(snapshot, made)
    closes = next(n for n, step in enumerate(made.steps, 1) if step.item == ids["Q10"])
    assert states[closes - 1].positions[ids["T1"]] == "invert"
    assert states[closes].positions[ids["T1"]] == "pass"


def test_what_has_stopped_is_told_as_stopped_not_as_unrecorded(ketch: Study) -> None:
    snapshot = ketch.snapshot
    ids = {record.designation: item for item, record in snapshot.equipment.items()}
    at = {record.name: item for item, record in snapshot.conditions.items()}
    steps = (Step("stop", ids["M1"], "runs", "stands"),)
    (_first, last) = along(snapshot, Order(at["Under way"], "", steps, found=True))
    assert last.running
    assert not {ids["M1"], ids["G3"], ids["G4"]} & set(last.running)


@pytest.mark.parametrize("name", ["launch", "workboat", "ketch"])
def test_what_is_made_dead_is_seen_to_be_dead_by_who_tells_what_is_live(name: str) -> None:
    snapshot = load(str(ROOT / "samples" / name / f"{name}.linewright")).installation.snapshot()
    study = Study(snapshot, book(snapshot.settings.book))
    every = list(snapshot.equipment)
    tried = 0
    for item in (*every[3::9], *list(snapshot.runs)[5::30]):
        made = isolate(study, item)
        if made.remains or made.undecided or any(act.kind == "draw" and act.position for act in made.steps):
            continue
        then = when_dead(snapshot, made)
        told = live_from(study.circuit, then.positions, then.running, then.gone, then.silent)
        assert item not in told.of, (snapshot.name(item), told.of[item])
        tried += bool(made.sources)
    assert tried
