"""Prospective currents of a sample drawing against ngspice, which holds limited sources to their limits by itself."""

from __future__ import annotations

import math
from dataclasses import replace
from pathlib import Path

import ngspice
import numpy as np
import pytest

from engine.books import load
from engine.circuit.faults._places import bus_places, device_places
from engine.circuit.faults._state import Found, State
from engine.circuit.faults.states import choices
from engine.circuit.solve.network import LEAST_OHM, Network
from engine.circuit.solve.solver import solve
from engine.files import drawing
from engine.study import Study

pytestmark = pytest.mark.ngspice

SAMPLES = Path(__file__).parents[4] / "samples"


def state_of(name: str, system: str, number: int = 0) -> tuple[State, dict[str, Found]]:
    """A sample in one of its states of switches, and the faults at its devices and buses."""
    snapshot = drawing.load(SAMPLES / name / f"{name}.linewright").installation.snapshot()
    study = Study(snapshot, load(snapshot.settings.book))
    found = choices(snapshot, study.circuit)
    positions = (found.of_system[system] or [()])[number]
    state = State(snapshot, study.circuit, study.book, study.volts, found.fixed, {system: positions})
    looked = state.look(system, device_places(study.circuit), bus_places(snapshot, study.circuit))
    return state, {
        f"{snapshot.name(place.equipment)}.{place.terminal}": fault for place, fault in looked.items() if fault.here > 0
    }


def as_limited(state: State, system: str) -> Network:
    """The network with its limited sources as such: their own volts, held back by their limit."""
    net = state.built.nets[system]
    emf, z, limit = [], [], []
    for number, one in enumerate(state.stands[system]):
        is_limited = math.isfinite(one.behind.limit_a)
        emf.append(one.behind.volts if is_limited else net.emf[number])
        z.append(1e-3 if is_limited else net.source_z[number])
        limit.append(one.behind.limit_a)
    return replace(net, emf=emf, source_z=z, limit_a=limit, one_way=[math.isfinite(a) for a in limit])


def faulted(net: Network, pair: tuple[int, int]) -> tuple[Network, int]:
    """The network with a microhm between two points. ngspice takes no resistance of nothing as a milliohm."""
    z = [ohm if abs(ohm) >= LEAST_OHM else LEAST_OHM for ohm in net.z]
    made = replace(net, a=net.a.copy(), b=net.b.copy(), z=z)
    return made, made.branch(*pair, LEAST_OHM)


@pytest.mark.parametrize("place", ["F1.out", "F4.out", "F7.in", "Q21.out", "F12.out", "WC5.bar"])
def test_the_ketch_on_direct_current(place: str) -> None:
    state, found = state_of("ketch", "dc")
    net, _branch = faulted(as_limited(state, "dc"), found[place].pair)
    outside = ngspice.run(net, near=np.round(solve(net).volts, 1))
    pos, neg = found[place].pair
    amps = (outside.volts[pos] - outside.volts[neg]) / LEAST_OHM
    assert found[place].here == pytest.approx(amps, rel=1e-3)


@pytest.mark.parametrize("place", ["Q10.out", "Q13.in", "WA1.bar", "Q41.out"])
def test_the_workboat_on_alternating_current(place: str) -> None:
    state, found = state_of("workboat", "ac")
    assert not any(math.isfinite(one.behind.limit_a) for one in state.stands["ac"] if one.missing)
    net, _branch = faulted(state.built.nets["ac"], found[place].pair)
    outside = ngspice.run(net)
    pos, neg = found[place].pair
    amps = abs(outside.volts[pos] - outside.volts[neg]) / LEAST_OHM
    assert found[place].here == pytest.approx(float(np.real(amps)), rel=1e-3)
