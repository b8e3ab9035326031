"""The sample boats in every condition: solved, balanced, sorted, the same whatever the order they were drawn in."""

from __future__ import annotations

from pathlib import Path

import pytest

from engine.books import load as load_book
from engine.circuit.flow.results import Charge
from engine.files.drawing import load
from engine.installation.model import Snapshot
from engine.study import Study

SAMPLES = Path(__file__).parents[4] / "samples"
NAMES = ("launch", "ketch", "workboat")
BOOK = load_book("trade-na")


def _snapshot(name: str) -> Snapshot:
    return load(SAMPLES / name / f"{name}.linewright").installation.snapshot()


@pytest.mark.parametrize("name", NAMES)
@pytest.mark.parametrize("charge", ["full", "nominal", "lowest"])
def test_every_condition_converges_and_balances(name: str, charge: Charge) -> None:
    study = Study(_snapshot(name), BOOK)
    for operation in study.operations:
        flow = study.flow(operation.condition, charge)
        assert flow.converged
        assert abs(flow.sources_w - flow.loads_w - flow.losses_w) <= 1e-6 * flow.sources_w
        assert [run.designation for run in flow.runs] == sorted(run.designation for run in flow.runs)
        assert [node.at for node in flow.nodes] == sorted(node.at for node in flow.nodes)
        assert all(run.drop_v is None or run.drop_v > -1 for run in flow.runs)
        assert all(load.amps is not None or load.missing for load in flow.loads)


@pytest.mark.parametrize("name", NAMES)
def test_the_order_of_drawing_does_not_matter(name: str) -> None:
    one = _snapshot(name)
    tables = {table: dict(reversed(records.items())) for table, records in one.tables.items()}
    other = Snapshot(tables=tables, lone=one.lone)
    flows, again = ({f.condition: f for f in Study(snapshot, BOOK).flows} for snapshot in (one, other))
    assert set(flows) == set(again)
    for condition, flow in flows.items():
        turned = again[condition]
        assert flow.sources_w == pytest.approx(turned.sources_w, rel=1e-8)
        assert [r.run for r in flow.runs] == [r.run for r in turned.runs]
        for run, same in zip(flow.runs, turned.runs, strict=True):
            assert run.amps == pytest.approx(same.amps, rel=1e-7, abs=1e-6)
            assert sorted(run.missing) == sorted(same.missing)
            assert run.source == same.source
        assert [(d.equipment, round(d.amps, 5)) for d in flow.devices] == [
            (d.equipment, round(d.amps, 5)) for d in turned.devices
        ]


def test_two_studies_tell_the_same_to_the_last_figure() -> None:
    one, other = (Study(_snapshot("workboat"), BOOK) for _time in range(2))
    assert one.flows == other.flows
    assert one.starts == other.starts


def test_the_ketch_at_anchor() -> None:
    study = Study(_snapshot("ketch"), BOOK)
    name = study.snapshot.name
    (flow,) = (f for f in study.flows if f.name == "At anchor")
    sources = {s.designation: s for s in flow.sources}
    # the sun gives its modules' volts and amperes at their power; its controller gives 0.97 of what arrives
    sun = next(e for e in study.snapshot.equipment.values() if e.designation == "G5")
    best_w = sun.module_power_v * sun.series * sun.module_power_a * sun.strings
    assert sources["G5"].watts == pytest.approx(best_w, rel=1e-4)
    inputs = {(load.designation, load.terminal): load for load in flow.loads}
    assert sources["T4"].watts == pytest.approx(0.97 * inputs["T4", "pv"].watts, rel=1e-4)
    assert sources["G1"].watts > 0
    drops = {run.designation: run for run in flow.runs}
    assert name(drops["W123"].source) == "G1"
    assert drops["W122"].drop_v is None
    assert drops["W122"].missing == ("W122.size",)


def test_starting_the_engine_closes_its_battery_switch() -> None:
    study = Study(_snapshot("launch"), BOOK)
    (unattended,) = (op for op in study.operations if op.name == "Unattended")
    cranking = [s for s in study.starts if s.condition == unattended.condition and s.designation == "M2"]
    assert len(cranking) == 1
    ids = {e.designation: i for i, e in study.snapshot.equipment.items()}
    use = study.snapshot.equipment[ids["M2"]].use()
    assert use is not None
    assert unattended.positions[ids["Q1"]] == "open"
    assert cranking[0].amps == (use.starting_a or use.stalled_a)
    assert dict(cranking[0].devices)[ids["Q1"]] == pytest.approx(cranking[0].amps, rel=1e-6)
