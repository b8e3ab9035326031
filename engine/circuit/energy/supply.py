"""What a draw takes, what an AC source gives, and the figures a budget takes where the record is silent."""

from __future__ import annotations

import functools
import tomllib
from typing import Any

from engine.books import FOLDER
from engine.books.batteries import defaults
from engine.equipment.base import Draw, Equipment, Source
from engine.equipment.behaviour import Store
from engine.installation.model import Snapshot

__all__ = [
    "charge_limit_a",
    "continuous_va",
    "discharge_limit_a",
    "figure",
    "left_share",
    "one_out_a",
    "rating_field",
    "used_share",
    "watts_of",
]


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


def rating_field(source: Source, usual: str) -> str:
    """The field that would tell what a source gives; `usual` where the source does not say."""
    return next((field for field in source.missing if field != "self_limiting"), usual)


def left_share(store: Store) -> float:
    """What ageing left of a bank's capacity, as a share; all of it where nothing is recorded."""
    return 1.0 if store.remaining is None else store.remaining


def used_share(store: Store) -> float | None:
    """The part of its capacity that is used: recorded, else as is usual for its chemistry."""
    if store.usable is not None:
        return store.usable
    kind = defaults(store.chemistry)
    return None if kind is None else kind.usable


def charge_limit_a(snapshot: Snapshot, bank: str, store: Store) -> float | None:
    """The largest charging current recorded for a bank: the least of its units', its BMS's, its management's."""
    return _least(snapshot, bank, store.charge_limit_a, "charge_limit_a")


def discharge_limit_a(snapshot: Snapshot, bank: str, store: Store) -> float | None:
    """The largest continuous discharge recorded for a bank: the least of its units', its BMS's, its management's."""
    return _least(snapshot, bank, store.discharge_limit_a, "discharge_limit_a")


def one_out_a(limit: float | None, of_units: float | None, store: Store) -> float | None:
    """What is left of a bank's limit with one of several parallel units out, `of_units` being what all units allow.

    A bank with one BMS for all its units drops out as a whole: then nothing is left out.
    """
    if limit is None or of_units is None or store.strings < 2 or store.bms == "one for the bank":
        return limit
    return min(limit, of_units * (store.strings - 1) / store.strings)


def _least(snapshot: Snapshot, bank: str, own: float | None, name: str) -> float | None:
    limits = [own]
    for record in snapshot.equipment.values():
        governs = record.governs()
        if governs is not None and bank in governs.banks:
            limits.append(getattr(governs, name))
    return min((limit for limit in limits if limit is not None), default=None)
