"""The networks of the sample boats as ngspice solves them: DC and AC of every condition, volts and currents to 1e-9."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import ngspice
import numpy as np
import pytest

from engine.books import load as load_book
from engine.circuit.flow._settle import settle
from engine.circuit.flow.netlist import netlist
from engine.circuit.solve.network import LEAST_OHM, Network
from engine.files.drawing import load
from engine.study import Study

SAMPLES = Path(__file__).parents[4] / "samples"
BOOK = load_book("trade-na")
CONDITIONS = (
    ("launch", "Under way"),
    ("launch", "Unattended"),
    ("ketch", "At anchor"),
    ("ketch", "Under way"),
    ("ketch", "Alongside"),
    ("ketch", "Inverter bypassed"),
    ("ketch", "Unattended"),
    ("workboat", "Alongside"),
    ("workboat", "At work"),
    ("workboat", "Unattended"),
)


def _as_solved(net: Network) -> Network:
    """Ideal branches as our solver takes them: ngspice knows no resistance of 0. Limits of 0: no source at all."""
    there = [i for i, limit in enumerate(net.limit_a) if limit > 0]
    return replace(
        net,
        z=[z if abs(z) >= LEAST_OHM else LEAST_OHM for z in net.z],
        diode_z=[max(z, LEAST_OHM) for z in net.diode_z],
        source_z=[z if abs(z) >= LEAST_OHM else LEAST_OHM for z in (net.source_z[i] for i in there)],
        source_pos=[net.source_pos[i] for i in there],
        source_neg=[net.source_neg[i] for i in there],
        emf=[net.emf[i] for i in there],
        limit_a=[net.limit_a[i] for i in there],
        one_way=[net.one_way[i] for i in there],
    )


@pytest.mark.ngspice
@pytest.mark.parametrize(("name", "condition"), CONDITIONS)
def test_as_ngspice_solves_it(name: str, condition: str) -> None:
    study = Study(load(SAMPLES / name / f"{name}.linewright").installation.snapshot(), BOOK)
    (operation,) = (made for made in study.operations if made.name == condition)
    built = netlist(study.snapshot, study.circuit, operation, BOOK, regulated=True)
    done = settle(built)
    for system, found in done.solutions.items():
        net = built.nets[system]
        outside = ngspice.run(_as_solved(net), near=found.volts)
        fed = found.is_fed[found.island[np.array(net.load_pos, dtype=int)]] if net.load_pos else np.zeros(0, dtype=bool)
        joined = np.array(
            [found.island[p] == found.island[n] for p, n in zip(net.load_pos, net.load_neg, strict=True)], dtype=bool
        )
        told = fed & joined
        assert found.load_v[told] == pytest.approx(outside.load_v[told], rel=1e-9)
        assert found.load_a[told] == pytest.approx(outside.load_a[told], rel=1e-9, abs=1e-9)
        there = [i for i, limit in enumerate(net.limit_a) if limit > 0]
        most = max((abs(amps) for amps in outside.source_a), default=0.0)
        # a difference of nearly equal volts over a tenth of a milliohm: what is left of 1e-12 V
        assert found.source_a[there] == pytest.approx(outside.source_a, abs=1e-7 * max(1.0, most))
