"""What a study of faults tells, in plain values. `None`: not known, and `missing` names the fields."""

from __future__ import annotations

import msgspec

__all__ = ["BusFault", "Clearing", "DeviceFault", "FarEnd", "Faults", "Part", "Series"]


class Part(msgspec.Struct, frozen=True):
    """What one source adds to a fault current."""

    equipment: str
    designation: str
    amps: float
    how: str  # method in words, with its arithmetic: "maker's figure, 2 × 4600 A"
    assumed: bool = False  # by the method for its kind, nothing recorded


class _At(msgspec.Struct, frozen=True, kw_only=True):
    equipment: str
    designation: str
    terminal: str
    conductor: str
    system: str  # "dc" or "ac"
    max_a: float | None
    min_a: float | None
    parts: tuple[Part, ...] = ()  # of the largest
    positions: tuple[tuple[str, str], ...] = ()  # (equipment id, position) of the state with the largest; () as drawn
    undecided: bool = False  # the search among states was stopped: `max_a` is an upper bound
    arithmetic: str = ""
    assumed: tuple[str, ...] = ()
    missing: tuple[str, ...] = ()  # for the largest
    bounded: tuple[str, ...] = ()  # fields not recorded that could make the largest smaller: it is an upper bound
    min_missing: tuple[str, ...] = ()  # for the smallest
    loop_ohm: float | None = None  # of the smallest
    loop_v: float | None = None  # that drive the smallest through it, between the two conductors of the fault
    loop_from: str = ""  # equipment id of the source that counts for the smallest
    loop_limit_a: float | None = None  # what that source limits itself to, where that is less than volts over ohms


class BusFault(_At, frozen=True, kw_only=True):
    """A fault between a live conductor and its return at a bus."""


class DeviceFault(_At, frozen=True, kw_only=True):
    """A fault just behind a protective device: `max_a` is the most that passes *through* it, from either side."""

    other_a: float | None = None  # through it, for a fault on its other side
    here_a: float | None = None  # prospective at its terminal, whatever the way
    there_a: float | None = None  # prospective at its other terminal
    volts: float | None = None  # it would have to break: of the highest EMF that feeds the fault, between its lines


class FarEnd(msgspec.Struct, frozen=True, kw_only=True):
    """The smallest fault current in what a device protects: at the far end of a run, hot, weakest source."""

    device: str  # equipment id
    run: str  # run id whose far end it is
    at: str  # equipment id there
    conductor: str
    system: str
    min_a: float | None  # through the device
    lasts: bool | None = None  # whether the sources keep it up for ever above the run's ampacity; None: not known
    cut_by: str = ""  # equipment id of another device on the way that suits the run and is promised to open
    positions: tuple[tuple[str, str], ...] = ()  # that make it so, where the switches must stand otherwise than drawn
    assumed: tuple[str, ...] = ()
    missing: tuple[str, ...] = ()


class Series(msgspec.Struct, frozen=True, kw_only=True):
    """Two devices one after the other, as sources see them."""

    up: str  # equipment id
    down: str
    sources: tuple[str, ...]  # that feed the one behind through the one before


class Clearing(msgspec.Struct, frozen=True, kw_only=True):
    """How a device opens at a current: from its time-current band."""

    amps: float
    fastest_s: float | None
    slowest_s: float | None  # inf: never
    source: str = ""  # of the band
    confirmed: bool = False
    missing: tuple[str, ...] = ()


class Faults(msgspec.Struct, frozen=True, kw_only=True):
    """Every fault there is to tell of."""

    devices: tuple[DeviceFault, ...] = ()
    buses: tuple[BusFault, ...] = ()
    far_ends: tuple[FarEnd, ...] = ()
    series: tuple[Series, ...] = ()
    assumed: tuple[str, ...] = ()
