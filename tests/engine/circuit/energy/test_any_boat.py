"""Whatever is missing, zero or huge in the record: energy is told, never raised, and keeps within its own bounds."""

from __future__ import annotations

import math
import random
from pathlib import Path

import msgspec
from hypothesis import given, settings
from hypothesis import strategies as st

from engine.books import load
from engine.circuit.energy.results import BankEnergy
from engine.files.drawing import load as open_drawing
from engine.installation.model import Snapshot
from engine.study import Study

SAMPLES = Path(__file__).parents[4] / "samples"
SLUGS = ("bank-too-small", "recharge-too-slow", "charge-too-high")


def spoilt(name: str, seed: int) -> Snapshot:
    """A sample with some figures gone, zero or huge, and some equipment taken out."""
    some = random.Random(seed)
    boat = open_drawing(SAMPLES / name / f"{name}.linewright").installation
    snapshot = boat.snapshot()
    for item, record in snapshot.equipment.items():
        changed = {}
        for field in record.__struct_fields__:
            if isinstance(getattr(record, field), float) and some.random() < 0.15:
                changed[field] = some.choice((None, 0.0, 1e6, 1e-9))
        if changed:
            boat._put("equipment", item, msgspec.structs.replace(record, **changed))
    for item, record in snapshot.conditions.items():
        sun = some.choice((None, 0.0, 4.0, 24.0))
        running = record.running if some.random() < 0.7 else ()
        made = msgspec.structs.replace(
            record, peak_sun_h=sun, running=running, required_hours=24.0, required_recharge_h=10.0
        )
        boat._put("conditions", item, made)
    return boat.snapshot()


def in_bounds(bank: BankEnergy) -> None:
    assert bank.load_wh is not None
    assert bank.load_wh >= 0
    for figure in (bank.usable_ah, bank.autonomy_h, bank.charge_a, bank.recharge_h, bank.source_wh):
        assert figure is None or figure >= 0
        assert figure is None or not math.isnan(figure)
    if bank.charge_a and bank.charging:
        assert bank.charge_a <= sum(c.given_a or 0.0 for c in bank.charging) * (1 + 1e-9)
    for point in bank.day:
        assert 0 <= point.soc <= 1
    for (before, low), (after, high) in zip(bank.recharge_curve, bank.recharge_curve[1:], strict=False):
        assert before <= after
        assert low <= high
    if bank.autonomy_h is None:
        assert bank.missing


@settings(max_examples=15)
@given(st.sampled_from(("ketch", "launch", "workboat")), st.integers(0, 10**6))
def test_a_spoilt_record_is_told(name: str, seed: int) -> None:
    study = Study(spoilt(name, seed), load("trade-na"))
    for energy in study.energies:
        for load_ in energy.loads:
            assert load_.bank_wh is None or load_.bank_wh >= 0
            # of what nothing feeds (a bank of 0 V) no watts are told either
            assert load_.bank_wh is not None or load_.missing or load_.watts is None
        for bank in energy.banks:
            in_bounds(bank)
    for slug in SLUGS:
        assert study.outcome(slug).fault is None
