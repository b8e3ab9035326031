"""How a protective device opens at a current: its band, and the time it takes."""

from __future__ import annotations

from engine.books.curves import Band, band_of
from engine.circuit.faults.results import Clearing
from engine.equipment.base import Equipment

__all__ = ["Band", "band", "clearing"]


def band(record: Equipment) -> Band | None:
    """The time-current band of a device, `None` for what has none or where it is not known."""
    trip = record.trip()
    return None if trip is None else band_of(trip)


def clearing(record: Equipment, amps: float) -> Clearing:
    """When a device opens at `amps`; what is not known is `None` and `missing` names the fields."""
    trip = record.trip()
    if trip is None:
        return Clearing(amps=amps, fastest_s=None, slowest_s=None)
    made = band_of(trip)
    if made is None:
        missing = [] if trip.rating_a else [trip.rating_field]
        if not trip.form:
            missing.append(trip.form_field)
        return Clearing(amps=amps, fastest_s=None, slowest_s=None, missing=tuple(missing or ["time_points"]))
    fastest, slowest = made.fastest_s(amps), made.slowest_s(amps)
    missing = ["time_points"] if fastest is None or slowest is None else []
    return Clearing(
        amps=amps,
        fastest_s=fastest,
        slowest_s=slowest,
        source=made.source,
        confirmed=made.confirmed,
        missing=tuple(missing),
    )
