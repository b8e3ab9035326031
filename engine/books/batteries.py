"""What stands behind a battery's terminals: its electromotive force, its resistance, its short-circuit current.

What is recorded comes first. Where nothing is, the method for its chemistry is used (`tables/batteries.toml`),
stated in `Value.how` and flagged `assumed`. Where not even that can be said, the value is `None` and `missing` names
the fields.
"""

from __future__ import annotations

import functools
import tomllib
from typing import NamedTuple

import msgspec

from engine.books import FOLDER
from engine.circuit.flow.results import Charge
from engine.equipment.behaviour import Store
from engine.units import number, show
from engine.words import _

__all__ = ["Chemistry", "Origin", "Value", "cells", "defaults", "emf_v", "resistance_ohm", "short_circuit_a"]


class Value(NamedTuple):
    """A figure, how it was had, whether by method alone, and the fields that would tell."""

    value: float | None
    how: str = ""
    assumed: bool = False
    missing: tuple[str, ...] = ()


class Origin(msgspec.Struct, frozen=True):
    """Where a figure is from, and whether it was confirmed against that text."""

    source: str
    confirmed: bool


class Chemistry(msgspec.Struct, frozen=True):
    """What a chemistry is taken as: volts of one cell, ohm x Ah of one cell in milliohm, parts of the capacity."""

    cell_full_v: float
    cell_nominal_v: float
    cell_lowest_v: float
    block: float  # cells that larger units come in
    charge_low_v: float  # that still charge a cell fully
    charge_high_v: float  # that do it no harm
    equalise_v: float  # at which it may be equalised now and then
    volts: float  # what makers call the nominal volts of a cell
    milliohm_ah: float
    usable: float
    peukert: float
    slope: float
    floor: float
    efficiency: float
    rate: float
    origin: dict[str, Origin] = {}  # of each figure, by its name


@functools.cache
def _tables() -> dict[str, Chemistry]:
    with (FOLDER / "tables" / "batteries.toml").open("rb") as file:
        data = tomllib.load(file)
    origins = msgspec.convert(data.pop("sources"), dict[str, Origin])
    return {
        name: Chemistry(
            **{field: float(value) for field, (value, _source) in entry.items()},
            origin={field: origins[source] for field, (_value, source) in entry.items()},
        )
        for name, entry in data.items()
    }


def defaults(chemistry: str) -> Chemistry | None:
    """What a chemistry is taken as, `None` where it is not known."""
    return _tables().get(chemistry)


def cells(store: Store) -> int | None:
    """Cells in series: recorded, else from the nominal volts."""
    kind = defaults(store.chemistry)
    if store.cells is not None:
        return store.cells
    if kind is None or not store.nominal_v:
        return None
    count = store.nominal_v / kind.volts
    # 25.6 V of lead are two blocks of 12.8 V, not thirteen cells
    return max(1, int(kind.block) * round(count / kind.block) if count > kind.block * 0.9 else round(count))


def emf_v(store: Store, charge: Charge) -> Value:
    """Open-circuit volts of the bank: rested and full, nominal, or empty (its cut-off volts where those are higher)."""
    if not store.nominal_v:
        return Value(None, missing=("unit_v",))
    if charge == "nominal":
        return Value(store.nominal_v, _("nominal"))
    kind, count = defaults(store.chemistry), cells(store)
    if kind is None or count is None:
        if charge == "lowest" and store.cut_off_v:
            return Value(store.cut_off_v, _("cut-off"))
        return Value(store.nominal_v, _("nominal: its chemistry is not recorded"), True, ("chemistry",))
    if charge == "full":
        each = kind.cell_full_v
    else:
        each = kind.cell_lowest_v
        if store.cut_off_v and store.cut_off_v > each * count:
            return Value(store.cut_off_v, _("cut-off"))
    how = _("{count} cells of {chemistry} × {volts}").format(
        count=count, chemistry=store.chemistry, volts=show(each, "V")
    )
    return Value(each * count, how, True)


def resistance_ohm(store: Store) -> Value:
    """Resistance of the bank: recorded; else what the maker's short-circuit current means; else by its chemistry."""
    if store.resistance_ohm is not None:
        return Value(store.resistance_ohm, _("recorded"))
    full = emf_v(store, "full")
    if store.short_circuit_a and full.value:
        how = f"{number(full.value, 4)} V / {number(store.short_circuit_a, 6)} A"
        return Value(full.value / store.short_circuit_a, how, full.assumed, full.missing)
    kind, count = defaults(store.chemistry), cells(store)
    lacking = tuple(
        field for field, have in (("chemistry", kind), ("unit_ah", store.capacity_ah), ("unit_v", count)) if not have
    )
    if kind is None or count is None or not store.capacity_ah:
        return Value(None, missing=("short_circuit_a", *lacking))
    how = _("{count} cells of {chemistry}: {count} × {each} mΩ·Ah / {capacity}").format(
        count=count,
        chemistry=store.chemistry,
        each=number(kind.milliohm_ah),
        capacity=show(store.capacity_ah, "Ah"),
    )
    return Value(count * kind.milliohm_ah / 1000 / store.capacity_ah, how, True)


def short_circuit_a(store: Store) -> Value:
    """Bolted short-circuit current at the bank's posts: the maker's figure, else full EMF over resistance."""
    if store.short_circuit_a is not None:
        return Value(store.short_circuit_a, _("maker's figure"))
    full, ohm = emf_v(store, "full"), resistance_ohm(store)
    if not full.value or not ohm.value:
        zero = ("internal_resistance_ohm",) if ohm.value == 0 else ()  # a source without resistance there is not
        return Value(None, missing=tuple(dict.fromkeys((*ohm.missing, *full.missing, *zero))))
    how = f"{number(full.value, 4)} V / ({ohm.how})"
    return Value(full.value / ohm.value, how, full.assumed or ohm.assumed)
