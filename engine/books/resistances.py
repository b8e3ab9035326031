"""Resistance of conductors and contacts.

Metric conductors have the largest resistance that IEC 60228 allows a flexible conductor of class 5, tinned where so
recorded; a size the table does not have follows from its area, with what stranding and drawing add to the size next
above. AWG conductors have the area of a round wire of ASTM B258 and copper of 1/58 ohm mm2/m.
"""

from __future__ import annotations

import functools
import math
import tomllib
from typing import Any

from engine.books import FOLDER
from engine.books.batteries import Value
from engine.equipment.base import Contact, Equipment
from engine.units import area_mm2, number, plain_number, read_size
from engine.words import _

__all__ = [
    "at_reference",
    "contact_ohm",
    "diode_volts",
    "ohm_per_m",
    "reactance_ohm_per_m",
    "withstand_k",
    "withstand_s",
]

REFERENCE_C = 20.0
MU0_OVER_2PI = 2e-7  # H/m


@functools.cache
def _table(name: str) -> dict[str, Any]:
    with (FOLDER / "tables" / f"{name}.toml").open("rb") as file:
        return tomllib.load(file)


@functools.lru_cache(maxsize=4096)
def ohm_per_m(size: str, conductor: str = "", temperature_c: float = REFERENCE_C) -> float:
    """Resistance of a conductor, ohm/m; copper where no material is recorded. Raises `UnitError`."""
    at_20, per_kelvin = at_reference(size, conductor)
    warmer = 1 + per_kelvin * (temperature_c - REFERENCE_C)
    return at_20 * max(warmer, 0.1)


def at_reference(size: str, conductor: str = "") -> tuple[float, float]:
    """Resistance of a conductor at 20 degC, ohm/m, and by what share of it a kelvin adds. Raises `UnitError`."""
    area = area_mm2(size)
    metal = "copper" if conductor in ("", "copper", "tinned copper") else conductor
    facts = _table("conductors")[metal]
    at_20 = facts["ohm_mm2_per_m"] / area
    if metal == "copper" and read_size(size).endswith("mm2"):
        at_20 = _metric(area, "class 5 tinned" if conductor == "tinned copper" else "class 5 plain") / 1000
    return float(at_20), float(facts["per_kelvin"])


def _metric(area: float, column: str) -> float:
    """Ohm/km of IEC 60228; between its sizes by area, with what the next larger size has above solid copper."""
    table = _table("conductors")
    place = table["metric"]["columns"].index(column)
    rows: dict[str, list[float]] = table["metric"]["rows"]
    exact = rows.get(plain_number(area, 6))
    if exact is not None:
        return float(exact[place])
    near = min((name for name in rows if float(name) >= area), key=float, default="630")
    return float(rows[near][place] * float(near) / area)


@functools.lru_cache(maxsize=1024)
def reactance_ohm_per_m(size: str, frequency_hz: float) -> float:
    """Reactance of one of two equal conductors side by side, ohm/m. Raises `UnitError`."""
    radius = math.sqrt(area_mm2(size) / math.pi)
    apart = 2 * (radius + _table("conductors")["reactance"]["insulation_mm"])
    return 2 * math.pi * frequency_hz * MU0_OVER_2PI * (math.log(apart / radius) + 0.25)


def withstand_k(conductor: str = "", insulation: str = "") -> float:
    """k of `I2 t = k2 S2`, A s^0.5 / mm2 (IEC 60364): what a conductor in such insulation withstands in a fault."""
    table = _table("conductors")["withstand"]
    metal = "copper" if conductor in ("", "copper", "tinned copper") else "aluminium"
    words = insulation.casefold()
    column = "crosslinked" if any(w.casefold() in words for w in table["crosslinked_words"]) else "ordinary"
    return float(table[metal][column])


def withstand_s() -> float:
    """The longest time, s, that `I2 t = k2 S2` holds for."""
    return float(_table("conductors")["withstand"]["longest_s"])


def diode_volts() -> float:
    """What a diode takes when it conducts, V."""
    return float(_table("contacts")["diode"]["volts"])


def contact_ohm(record: Equipment, contact: Contact | None = None) -> Value:
    """Resistance of one current path of equipment: recorded, else by its kind and its rating.

    The rating is that of the protective device in `contact`, else what it may carry, else what may pass through it.
    Where that is not recorded its resistance counts as none, as in the trade's own formula for voltage drop.
    """
    recorded = record.contact_ohm()
    if recorded is not None:
        return Value(recorded, _("recorded"))
    volts_at = _table("contacts")["volts_at_rating"]
    if contact is None:
        contact = next((c for c in record.contacts() if c.protection is not None), None)
    device = None if contact is None else contact.protection
    kind: str = record.ROLE
    rating = record.through_a
    carries = record.carries()
    if device is not None:
        kind, rating = device.kind, device.rating_a
    elif carries is not None:
        rating = carries.continuous_a
    elif rating is None:
        rating = next((r for t in record.terminals() if (r := record.through_limit(t.name)) is not None), None)
    if kind not in volts_at:
        return Value(0.0, _("none"))
    if not rating or rating <= 0:
        return Value(0.0, _("taken as none: its rating is not recorded"), True, (_rating_field(record, contact),))
    volts = volts_at[kind]
    how = _("{volts} V at {amps} A").format(volts=number(volts), amps=number(rating, 6))
    return Value(volts / rating, how, True)


def _rating_field(record: Equipment, contact: Contact | None) -> str:
    """The field to fill where the rating of a current path is not recorded."""
    if contact is not None and contact.protection is not None:
        return contact.protection.missing
    lacks = record.missing_for_current()
    return next((f for f in ("continuous_a", "rating_a", *lacks) if hasattr(record, f)), "through_a")
