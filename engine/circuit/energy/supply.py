"""What a draw takes, what an AC source gives, and the figures a budget takes where the record is silent."""

from __future__ import annotations

import functools
import tomllib
from typing import Any

from engine.books import FOLDER
from engine.equipment.base import Draw, Equipment

__all__ = ["continuous_va", "figure", "watts_of"]


@functools.cache
def _figures() -> dict[str, Any]:
    with (FOLDER / "tables" / "energy.toml").open("rb") as file:
        return tomllib.load(file)


def figure(name: str) -> float:
    """A figure of `tables/energy.toml`."""
    return float(_figures()[name]["value"])


def continuous_va(record: Equipment, joined: frozenset[str]) -> float | None:
    """What an AC source gives continuously: its plate, else its current at its volts on each line; `None` not known."""
    machine = record.machine()
    if machine is not None and machine.rated_va is not None:
        return machine.rated_va
    stated = record.output_va()
    if stated is not None:
        return stated
    lines = [s for s in record.sources(joined) if s.system == "ac"]
    amps = machine.rated_a if machine is not None else next((s.limit_a for s in lines), None)
    volts = next((s.nominal_v for s in lines), None)
    names = {s.conductor for s in lines}
    return None if amps is None or volts is None else amps * volts * max(1, len(names))


def watts_of(record: Equipment, draw: Draw, volts: float | None) -> float | None:
    """Watts of a draw at its nominal volts; of a resistance V2/R, of a current V x I x power factor on every line."""
    value = draw.value
    if value is None or draw.kind == "power":
        return value
    lines = max(1, len([c for c in draw.conductors if c not in ("-", "N", "+")]))
    if volts is None:
        return None
    if draw.kind == "current":
        return volts * value * draw.power_factor * lines
    return volts * volts / value * lines if value > 0 else None
