"""What a flow tells, in plain values: ids of equipment and runs, storage units, nothing rounded.

A figure that rests on something not recorded is `None`, and `missing` names the fields ("W12.size"). One that is only
a least value, because something that draws is not known, is marked `at_least`.
"""

from __future__ import annotations

from typing import Literal, TypeAlias

import msgspec

__all__ = [
    "BusFlow",
    "Charge",
    "DeviceFlow",
    "Flow",
    "LoadFlow",
    "NodeVolts",
    "RunFlow",
    "SourceFlow",
    "Start",
    "StartedLoad",
]

Charge: TypeAlias = Literal["full", "nominal", "lowest"]  # of the batteries


class NodeVolts(msgspec.Struct, frozen=True):
    """Volts of a live conductor at a terminal against its own return (- or N; L1 where there is no neutral)."""

    equipment: str
    terminal: str
    conductor: str
    at: str  # "F1.out +", by designation
    volts: float
    angle_deg: float = 0.0


class RunFlow(msgspec.Struct, frozen=True, kw_only=True):
    """A run. `amps` is the largest of its conductors; drops are from the source to its farther end, there and back."""

    run: str
    designation: str
    amps: float | None
    conductors: tuple[tuple[str, float], ...] = ()  # (conductor, amperes)
    own_drop_v: float | None = None  # along this run alone, there and back
    drop_v: float | None = None
    drop_pct: float | None = None  # of the nominal volts of its system
    loss_w: float | None = None
    nominal_v: float | None = None
    source: str = ""  # equipment id the drop is counted from
    at_least: bool = False
    missing: tuple[str, ...] = ()


class DeviceFlow(msgspec.Struct, frozen=True, kw_only=True):
    """What flows through equipment that passes current: the largest of its poles (of its channels, together)."""

    equipment: str
    designation: str
    amps: float
    at_least: bool = False
    missing: tuple[str, ...] = ()
    paths: tuple[tuple[str, str, str, float], ...] = ()  # (terminal, terminal, conductor, amperes from first to second)


class LoadFlow(msgspec.Struct, frozen=True, kw_only=True):
    """What arrives at a consumer or at a converter's input."""

    equipment: str
    designation: str
    terminal: str
    volts: float | None
    amps: float | None
    watts: float | None
    drop_v: float | None = None
    drop_pct: float | None = None
    nominal_v: float | None = None
    source: str = ""  # equipment id the drop is counted from
    collapsed: bool = False  # its volts are below what it works at, or nothing feeds it
    at_least: bool = False
    missing: tuple[str, ...] = ()


class SourceFlow(msgspec.Struct, frozen=True, kw_only=True):
    """What a source gives; negative where a battery is being charged. A converter's output is a source too."""

    equipment: str
    designation: str
    terminal: str
    conductor: str
    volts: float
    amps: float
    watts: float  # at its electromotive force: what it loses inside is among the losses
    is_limited: bool = False
    share: float | None = None  # of all that the sources of its system give
    by_conversion: bool = False  # its power was taken from elsewhere and counts there
    at_least: bool = False
    missing: tuple[str, ...] = ()


class BusFlow(msgspec.Struct, frozen=True, kw_only=True):
    """Currents in the sections of a bus between neighbouring studs, one conductor, in stud order."""

    equipment: str
    designation: str
    conductor: str
    studs: tuple[tuple[str, str], ...]  # (stud number or "", run id) in the order taken
    sections_a: tuple[float, ...]  # one fewer than studs
    order_known: bool  # stud numbers are recorded for all: else the order is the worst one
    at_least: bool = False
    missing: tuple[str, ...] = ()


class Flow(msgspec.Struct, frozen=True, kw_only=True):
    """Everything that flows in one operating condition.

    `sources_w` = `loads_w` + `losses_w`. Batteries being charged are loads; what a battery or generator loses inside,
    and what a converter loses, are losses.
    """

    condition: str  # id; "" as drawn
    name: str
    charge: Charge
    converged: bool
    sources_w: float
    loads_w: float
    losses_w: float
    nodes: tuple[NodeVolts, ...] = ()
    runs: tuple[RunFlow, ...] = ()
    devices: tuple[DeviceFlow, ...] = ()
    loads: tuple[LoadFlow, ...] = ()
    sources: tuple[SourceFlow, ...] = ()
    buses: tuple[BusFlow, ...] = ()
    not_solved: tuple[tuple[str, str], ...] = ()  # (equipment or run id, sentence): contradictions, nothing that feeds
    contradictions: tuple[tuple[str, str], ...] = ()  # those of them that no boat can have: 0 V, negative resistance
    lacking: tuple[tuple[str, tuple[str, ...]], ...] = ()  # (equipment left out, fields that would tell what it gives)
    assumed: tuple[str, ...] = ()  # sentences


class StartedLoad(msgspec.Struct, frozen=True, kw_only=True):
    """An essential load while something starts."""

    equipment: str
    designation: str
    volts: float | None
    minimum_v: float | None
    missing: tuple[str, ...] = ()


class Start(msgspec.Struct, frozen=True, kw_only=True):
    """What happens while a motor or an engine starts."""

    condition: str
    motor: str  # equipment id
    designation: str
    amps: float | None
    loads: tuple[StartedLoad, ...] = ()
    own_volts: float | None = None  # at the motor
    missing: tuple[str, ...] = ()
    assumed: tuple[str, ...] = ()
    runs: tuple[tuple[str, float], ...] = ()  # (run id, amperes) while it starts
    devices: tuple[tuple[str, float], ...] = ()  # (equipment id, amperes) while it starts
