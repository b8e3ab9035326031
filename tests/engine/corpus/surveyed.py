"""Boats that were surveyed: what was measured is what their drawings let expect."""

from __future__ import annotations

from typing import Any

import msgspec
from alongside import wet_sockets
from direct_current import panel_with_taps

from engine.edits import Put, apply
from engine.installation.model import Installation
from engine.installation.surveying import Instrument, Reading, Survey

__all__ = ["measured_alongside", "measured_under_way"]


def _taken(made: Installation, *readings: tuple[str, dict[str, Any]]) -> Installation:
    """With readings of one survey, at designations, in the one condition there is."""
    survey, meter = made.new_id("surveys"), made.new_id("instruments")
    apply(made, Put("surveys", survey, Survey(date="2026-05-02", surveyor="R. Tern")))
    apply(made, Put("instruments", meter, Instrument(name="meter 3", serial="T 41", calibrated_until="2027-05-31")))
    named = {r.designation: i for table in ("equipment", "runs") for i, r in made.items(table) if r.designation}
    common = {"survey": survey, "instrument": meter, "condition": next(iter(made.ids("conditions"))), "who": "R. Tern"}
    for at, values in readings:
        record = Reading(at=named[at], date="2026-05-02", **(common | values))
        apply(made, Put("readings", made.new_id("readings"), record))
    return made


def measured_under_way() -> Installation:
    """Volts, amperes, a torque, a temperature and the insulation of a panel under way, all as the drawing has them."""
    made = panel_with_taps()
    item, run = next((i, r) for i, r in made.items("runs") if r.designation == "W1")
    end = msgspec.structs.replace(run.to_end, torque_nm=16.0)
    apply(made, Put("runs", item, msgspec.structs.replace(run, to_end=end)))
    return _taken(
        made,
        ("G1", {"terminal": "pos", "volts": 12.6}),
        ("E4", {"terminal": "in", "volts": 12.4}),
        ("W42", {"current_a": 2.1}),
        ("W1", {"terminal": "F1.in", "torque_nm": 15.5}),
        ("W5", {"temperature_c": 38.0, "ambient_c": 22.0, "current_a": 20.0}),
        ("W6", {"insulation_ohm": 2e6, "test_v": 250.0, "between": "+ and PE"}),
    )


def measured_alongside() -> Installation:
    """The main trips at its residual current and at five times that, the insulation is sound: tested at 500 V."""
    made = wet_sockets()
    pieces = (r for _i, r in made.items("equipment") if r.residual() is not None and r.ROLE == "protection")
    main = next(pieces).designation
    run = next(r.designation for _i, r in made.items("runs") if r.function == "ac")
    return _taken(
        made,
        (main, {"trip_s": 0.028, "test_a": 0.15}),
        (main, {"trip_s": 0.06, "test_a": 0.03}),
        (run, {"insulation_ohm": 12e6, "test_v": 500.0, "between": "L1 and PE"}),
    )
