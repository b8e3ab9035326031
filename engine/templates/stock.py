"""Facts of what templates fit: places, forms of devices, storage. Proposals of the trade: common practice, no source.

Nothing here is an article of a maker. A breaking capacity is what is asked of the device to be bought.
"""

from __future__ import annotations

from typing import Any, NamedTuple

from engine.equipment.base import Breaking
from engine.words import N_

__all__ = ["NOT_OFFERED", "PLACES", "PlaceFacts", "ac_breaker", "agm", "class_t", "dc_breaker", "lithium", "residual"]

NOT_OFFERED = ("24 AWG", "22 AWG", "20 AWG", "3 AWG")  # sold as a stock size nowhere near a boat


class PlaceFacts(NamedTuple):
    """A place a template names."""

    name: str
    kind: str
    temperature_c: float
    only_one: bool = False  # a boat mostly has one of its kind


PLACES = {
    "battery box": PlaceFacts(N_("battery box"), "battery", 30, True),
    "engine space": PlaceFacts(N_("engine space"), "diesel machinery", 50, True),
    "saloon": PlaceFacts(N_("saloon"), "accommodation", 30),
    "locker": PlaceFacts(N_("electrical locker"), "other", 30),
    "helm": PlaceFacts(N_("helm"), "other", 30),
    "deck": PlaceFacts(N_("deck"), "deck", 40, True),
    "bilge": PlaceFacts(N_("bilge"), "wet", 30),
}


def class_t(amps: float) -> dict[str, Any]:
    """A fuse that breaks what a large bank gives, in a covered holder."""
    return {
        "fuse_class": "class T",
        "rating_a": amps,
        "rated_dc_v": 125.0,
        "breaking": (Breaking(20000, 125),),
        "covered": True,
    }


def dc_breaker(amps: float, poles: tuple[str, ...]) -> dict[str, Any]:
    """A breaker for direct current, used as a switch."""
    return {
        "rating_a": amps,
        "poles": poles,
        "curve": "hydraulic-magnetic",
        "rated_dc_v": 80.0,
        "breaking": (Breaking(10000, 80),),
        "polarised": False,
        "trip_free": True,
        "manual_reset": True,
        "used_as_switch": True,
        "in_position": "closed",
    }


def ac_breaker(amps: float, *, is_metric: bool) -> dict[str, Any]:
    """A two-pole breaker: it opens line and neutral together."""
    return {
        "rating_a": amps,
        "poles": ("L1", "N"),
        "curve": "C" if is_metric else "hydraulic-magnetic",
        "rated_ac_v": 250.0,
        "breaking": (Breaking(6000, 250, "AC"),),
        "trip_free": True,
        "manual_reset": True,
        "used_as_switch": True,
        "in_position": "closed",
    }


def residual(amps: float, *, is_metric: bool, form: str) -> dict[str, Any]:
    """A two-pole main that opens by 30 mA too."""
    return ac_breaker(amps, is_metric=is_metric) | {
        "overcurrent": True,
        "residual_ma": 30.0,
        "residual_ms": 90.0,
        "residual_type": "A",
        "delayed": False,
        "supply_dependent": False,
        "form": form,
    }


def agm(dc_v: float, amp_hours: float) -> dict[str, Any]:
    """12 V AGM units of one age, as many in series as the system asks, and of no more than 110 Ah each."""
    series = round(dc_v / 12)
    strings = max(1, -(-int(amp_hours) // 110))
    unit = amp_hours / strings
    made: dict[str, Any] = {
        "chemistry": "AGM",
        "unit_v": 12.0,
        "unit_ah": round(unit, 1),
        "rated_hours_h": 20.0,
        "cells_per_unit": 6,
        "series": series,
        "parallel": strings,
        "links_equal": True,
        "short_circuit_a": round(unit * 22),
        "internal_resistance_ohm": round(0.6 / unit, 5),
        "cca_a": round(unit * 7),
        "charge_v": 14.4 * series,
        "lowest_charge_v": 14.1 * series,
        "float_v": 13.6 * series,
        "cut_off_v": 10.8 * series,
        "unit_charge_limit_a": round(unit),
        "unit_discharge_limit_a": round(unit * 5),
        "lowest_charge_c": -15.0,
        "highest_charge_c": 45.0,
        "bms": "none",
        "usable_percent": 50.0,
        "covered": True,
        "midpoint_used": False,
    }
    if strings > 2:
        made |= {"unit_protected": True, "unit_device_a": round(unit * 2)}
    return made


def lithium(dc_v: float, amp_hours: float, *, managed: bool = False) -> dict[str, Any]:
    """12.8 V LFP units; a management in each, or (`managed`) one drawn for the bank."""
    series = round(dc_v / 12)
    strings = max(1, -(-int(amp_hours) // 200))
    unit = amp_hours / strings
    made: dict[str, Any] = {
        "chemistry": "LFP",
        "unit_v": 12.8,
        "unit_ah": round(unit, 1),
        "rated_hours_h": 5.0,
        "cells_per_unit": 4,
        "series": series,
        "parallel": strings,
        "links_equal": True,
        "short_circuit_a": 3000.0,
        "internal_resistance_ohm": 0.004,
        "charge_v": 14.4 * series,
        "lowest_charge_v": 13.8 * series,
        "float_v": 13.5 * series,
        "cut_off_v": 12.0 * series,
        "unit_charge_limit_a": round(unit * 0.5),
        "unit_discharge_limit_a": round(unit),
        "lowest_charge_c": 2.0,
        "highest_charge_c": 45.0,
        "bms": "one for the bank" if managed else "in every unit",
        "alarm_before_shutdown": True,
        "bms_disconnects": True,
        "stops_sources_first": True,
        "buses": "one",
        "usable_percent": 80.0,
        "covered": True,
        "midpoint_used": False,
    }
    if not managed:
        made |= {"bms_charge_limit_a": round(unit * 0.5), "bms_discharge_limit_a": round(unit)}
    if strings > 2:
        made |= {"unit_protected": True, "unit_device_a": 300.0}
    return made
