"""Power balances and nothing raises: on generated boats, on drawings without sense, on small random circuits."""

from __future__ import annotations

import importlib.util
import math
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from engine.books import load as load_book
from engine.builder import Builder
from engine.circuit.expand import expand
from engine.circuit.flow.flow import flow
from engine.circuit.flow.operating import operations
from engine.circuit.flow.results import Flow
from engine.circuit.flow.starting import starts
from engine.installation.model import Snapshot

TESTS = Path(__file__).parents[3]
BOOK = load_book("trade-na")


def _module(path: Path) -> Any:
    spec = importlib.util.spec_from_file_location(path.stem, path)
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


def _flows(snapshot: Snapshot) -> list[Flow]:
    circuit = expand(snapshot)
    return [flow(snapshot, circuit, operation, BOOK) for operation in operations(snapshot)]


def _is_sound(found: Flow) -> None:
    assert all(map(math.isfinite, (found.sources_w, found.loads_w, found.losses_w)))
    if found.converged:
        whole = max(1.0, abs(found.sources_w), abs(found.losses_w))
        assert abs(found.sources_w - found.loads_w - found.losses_w) <= 1e-6 * whole
    for run in found.runs:
        assert run.amps is None or math.isfinite(run.amps)
        assert run.drop_v is None or math.isfinite(run.drop_v)


@pytest.mark.parametrize(("pieces", "seed"), [(40, 1), (150, 2), (400, 3)])
def test_generated_boats_balance(pieces: int, seed: int) -> None:
    boats = _module(TESTS / "bench" / "boats.py")
    for found in _flows(boats.boat(pieces, seed).snapshot()):
        assert found.converged
        assert found.sources_w > 0
        _is_sound(found)


def test_drawings_without_sense_raise_nothing() -> None:
    drawn = _module(TESTS / "engine" / "rules" / "test_any_drawing.py")
    for seed in range(40):
        snapshot = drawn.senseless(seed).installation.snapshot()
        for found in _flows(snapshot):
            _is_sound(found)
        starts(snapshot, expand(snapshot), operations(snapshot), BOOK)


LENGTHS = st.sampled_from([0.0, 0.1, 2.0, 8.0, 40.0])
SIZES = st.sampled_from(["1.5 mm2", "16 mm2", "95 mm2", "12 AWG", "4/0 AWG"])


@settings(max_examples=30, deadline=None, derandomize=True)
@given(data=st.data())
def test_small_random_boats_balance(data: st.DataObject) -> None:
    """Batteries, a charging source, a converter and loads of every kind on a chain of buses."""
    b = Builder()
    count = data.draw(st.integers(1, 4), "buses")
    number = 0

    def wire(start: str, end: str) -> None:
        nonlocal number
        number += 1
        b.run(f"W{number}", start, end, size=data.draw(SIZES), length_m=data.draw(LENGTHS))

    for bus in range(count):
        b.add("bus_bar", f"X{bus}")
        if bus:
            wire(f"X{data.draw(st.integers(0, bus - 1))}.bar", f"X{bus}.bar")
    for bank in range(data.draw(st.integers(0, 2), "banks")):
        volts = data.draw(st.sampled_from([12.0, 12.8, 24.0]))
        ohm = data.draw(st.sampled_from([None, 0.0, 0.002, 0.1]))
        b.add("battery_bank", f"G{bank}", unit_v=volts, internal_resistance_ohm=ohm, chemistry="AGM", unit_ah=100)
        wire(f"G{bank}.pos", f"X{data.draw(st.integers(0, count - 1))}.bar")
    if data.draw(st.booleans(), "charging"):
        amps = data.draw(st.sampled_from([0.0, 30.0, 200.0]))
        b.add("dc_dc_converter", "T1", in_v=24, out_v=12, output_a=amps, charge_v=14.4, efficiency=0.9, isolated=False)
        b.add("battery_bank", "G9", unit_v=24.0, internal_resistance_ohm=0.005)
        wire("G9.pos", "T1.in")
        wire("T1.out", f"X{data.draw(st.integers(0, count - 1))}.bar")
    for load in range(data.draw(st.integers(0, 5), "loads")):
        field, values = data.draw(
            st.sampled_from(
                [
                    ("power_w", [0.0, 40.0, 2500.0, 1e6]),
                    ("current_a", [0.0, 3.0, 400.0, 1e6]),
                    ("resistance_ohm", [1e-9, 0.4, 50.0]),
                ]
            )
        )
        b.add("load", f"E{load}", dc_v=12, **{field: data.draw(st.sampled_from(values))})
        wire(f"X{data.draw(st.integers(0, count - 1))}.bar", f"E{load}.in")
    for found in _flows(b.installation.snapshot()):
        assert found.converged
        _is_sound(found)
