"""The yard of the corpus: parts that a careful installer records in full, so that every rule can judge.

A `Yard` is a `Builder` whose words bring all their facts along: insulation, sheath, bundle, places with their lengths,
colours, supports, markings. Lengths are metres, sizes AWG or mm2. Every piece of equipment is invented.
"""

from __future__ import annotations

from typing import Any

import msgspec
from stock import AC_COLOURS, FUSES, METRIC_COLOURS, PLACES

from engine.builder import Builder
from engine.edits.edit import Put, apply
from engine.equipment.base import Breaking
from engine.installation import ConditionDuty, Enclosure, Passage, Settings
from engine.installation.model import Installation

__all__ = ["Yard"]


class Yard(Builder):
    """Grows one installation of parts with all their facts."""

    def __init__(self, book: str = "trade-na", **vessel: Any) -> None:
        known: dict[str, Any] = {
            "name": "Sanderling",
            "hull": "glass fibre",
            "engine_fuel": "diesel",
            "length_m": 10.5,
            "use": "pleasure",
            "flag": "US",
            "build_year": 2019,
            "coldest_c": -5,
        }
        super().__init__(book, **(known | vessel))
        self._ac_colours = METRIC_COLOURS if book == "metric" else AC_COLOURS
        self._put("settings", "settings", Settings(book=book, declares_81346=True))
        self._studs: dict[str, int] = {}
        self._enclosures: dict[str, str] = {}
        for name, (kind, celsius) in PLACES.items():
            if vessel.get("engine_fuel") == "petrol" and kind == "diesel machinery":
                kind = "petrol machinery"
            self.place(name, kind, celsius)

    def add(self, kind: str, designation: str, *, place: str = "saloon", **fields: Any) -> str:
        """A piece of equipment that stands somewhere, with its label and what is marked on it."""
        label = fields.setdefault("label", kind.replace("_", " "))
        fields.setdefault("marking", label.upper())
        return super().add(kind, designation, place=place, **fields)

    def ref(self, designation: str) -> str:
        """The id another record refers to."""
        return self._ids[designation]

    @staticmethod
    def breaking(amps: float, volts: float, kind: Any = "DC") -> tuple[Breaking, ...]:
        """What a device can break."""
        return (Breaking(amps, volts, kind),)

    def panel_of(self, designation: str) -> str:
        """The id of the enclosure that a bus stands in."""
        return str(self.installation.get("equipment", self.ref(designation)).enclosure)

    def enclosure(self, name: str, place: str = "saloon", **facts: Any) -> str:
        """The id of a panel or box; `several_sources_sign` where several sources keep it live."""
        if name not in self._enclosures:
            record = Enclosure(name=name, place=self.place(place), **({"several_sources_sign": False} | facts))
            self._enclosures[name] = self._new("enclosures", record)
        return self._enclosures[name]

    # -- conductors -------------------------------------------------------------------------------------------------
    def _laid(self, name: str, start: str, end: str, size: str, metres: float, where: Any, **facts: Any) -> str:
        parts = where if isinstance(where, dict) else {where: metres}
        known: dict[str, Any] = {
            "label": f"{start.split('.')[0]} to {end.split('.')[0]}",
            "conductor": "tinned copper",
            "insulation_c": 105.0,
            "insulation": "UL 1426, XLPE",
            "sheath": "sheathed",
            "supported": True,
            "chafe_protected": True,
            "separated": True,
        }
        passages = tuple(
            Passage(place=self.place(place), length_m=length, unsheathed_m=0.0) for place, length in parts.items()
        )
        item = self.run(name, start, end, size=size, length_m=metres, places=passages, **(known | facts))
        record = self.installation.get("runs", item)
        ends = {side: self._marked(getattr(record, side), name) for side in ("from_end", "to_end")}
        apply(self.installation, Put("runs", item, msgspec.structs.replace(record, **ends)))
        return item

    def _marked(self, end: Any, name: str) -> Any:
        """The end with its marker, and at a bus the next free stud."""
        number = end.stud_number
        if self.installation.get("equipment", end.equipment).KIND == "bus_bar":
            number = self._studs[end.equipment] = self._studs.get(end.equipment, 0) + 1
        return msgspec.structs.replace(end, marker=name, stud_number=number)

    def pos(self, name: str, start: str, end: str, size: str, metres: float, where: Any = "saloon", **f: Any) -> None:
        """A positive conductor by itself, red."""
        known: dict[str, Any] = {"function": "dc positive", "bundle": 1, "colour": "red"}
        self._laid(name, start, end, size, metres, where, **(known | f))

    def neg(self, name: str, start: str, end: str, size: str, metres: float, where: Any = "saloon", **f: Any) -> None:
        """A negative conductor by itself, yellow."""
        known: dict[str, Any] = {"function": "dc negative", "bundle": 1, "colour": "yellow"}
        self._laid(name, start, end, size, metres, where, **(known | f))

    def pair(self, name: str, start: str, end: str, size: str, metres: float, where: Any = "saloon", **f: Any) -> None:
        """Positive and negative in one sheath, red and yellow."""
        known: dict[str, Any] = {"function": "dc pair", "bundle": 2, "colour": "red + yellow"}
        self._laid(name, start, end, size, metres, where, **(known | f))

    def ac(self, name: str, start: str, end: str, size: str, metres: float, where: Any = "saloon", **f: Any) -> None:
        """An AC cable with neutral and earth."""
        phases = f.get("phases", "L1")
        cores = 1 + len(phases.split())
        known: dict[str, Any] = {"function": "ac", "bundle": cores, "colour": self._ac_colours[phases]}
        self._laid(name, start, end, size, metres, where, **(known | f))

    def earth(self, name: str, start: str, end: str, size: str, metres: float, where: Any = "saloon", **f: Any) -> None:
        """A protective or grounding conductor, green."""
        self._laid(name, start, end, size, metres, where, **({"function": "earth", "colour": "green"} | f))

    def bonding(self, name: str, start: str, end: str, size: str, metres: float, where: Any = "bilge") -> None:
        """A bonding conductor, green."""
        self._laid(name, start, end, size, metres, where, function="bonding", colour="green")

    def signal(self, name: str, start: str, end: str, metres: float, where: Any = "saloon", **f: Any) -> None:
        """A control or sense lead."""
        self._laid(name, start, end, "16 AWG", metres, where, **({"function": "signal", "colour": "brown"} | f))

    # -- protection -------------------------------------------------------------------------------------------------
    def fuse(self, name: str, amps: float, form: str = "terminal-stud", place: str = "battery box", **f: Any) -> None:
        """A fuse of a form, with the volts and breaking capacities usual for it."""
        volts, breaking = FUSES[form]
        known: dict[str, Any] = {"fuse_class": form, "rated_dc_v": volts, "breaking": breaking, "covered": True}
        self.add("fuse", name, rating_a=amps, place=place, **(known | f))

    def dc_breaker(self, name: str, amps: float, place: str = "saloon", **f: Any) -> None:
        """A single-pole breaker for direct current."""
        known: dict[str, Any] = {
            "poles": ("+",),
            "curve": "hydraulic-magnetic",
            "rated_dc_v": 80,
            "breaking": (Breaking(5000, 80),),
            "polarised": False,
            "trip_free": True,
            "manual_reset": True,
            "used_as_switch": True,
            "in_position": "closed",
        }
        self.add("circuit_breaker", name, rating_a=amps, place=place, **(known | f))

    def ac_breaker(self, name: str, amps: float, poles: Any = ("L1", "N"), place: str = "saloon", **f: Any) -> None:
        """A breaker for alternating current that opens the neutral too unless told otherwise."""
        known: dict[str, Any] = {
            "poles": poles,
            "curve": "hydraulic-magnetic",
            "rated_ac_v": 250,
            "breaking": (Breaking(5000, 250, "AC"),),
            "trip_free": True,
            "manual_reset": True,
            "used_as_switch": True,
            "in_position": "closed",
        }
        self.add("circuit_breaker", name, rating_a=amps, place=place, **(known | f))

    def residual(self, name: str, amps: float, poles: Any = ("L1", "N"), **f: Any) -> None:
        """A main breaker that opens by 30 mA within 100 ms."""
        known: dict[str, Any] = {
            "place": "lazarette",
            "overcurrent": True,
            "residual_ma": 30,
            "residual_ms": 90,
            "residual_type": "A",
            "delayed": False,
            "supply_dependent": False,
            "form": "at the inlet",
            "curve": "hydraulic-magnetic",
            "rated_ac_v": 250,
            "breaking": (Breaking(5000, 250, "AC"),),
            "trip_free": True,
            "manual_reset": True,
            "used_as_switch": True,
            "in_position": "closed",
        }
        self.add("residual_current_device", name, rating_a=amps, poles=poles, **(known | f))

    # -- sources, switches, buses -----------------------------------------------------------------------------------
    def agm(self, name: str, units: int = 1, unit_ah: float = 100, place: str = "battery box", **f: Any) -> None:
        """12 V AGM units of one age in parallel."""
        known: dict[str, Any] = {
            "chemistry": "AGM",
            "unit_v": 12,
            "unit_ah": unit_ah,
            "rated_hours_h": 20,
            "cells_per_unit": 6,
            "parallel": units,
            "links_equal": True,
            "year": 2024,
            "short_circuit_a": unit_ah * 22,
            "internal_resistance_ohm": round(0.6 / unit_ah, 5),
            "cca_a": unit_ah * 7,
            "charge_v": 14.6,
            "lowest_charge_v": 14.1,
            "float_v": 13.6,
            "cut_off_v": 10.8,
            "unit_charge_limit_a": unit_ah,  # thin plates
            "unit_discharge_limit_a": unit_ah * 5,
            "lowest_charge_c": -15,
            "highest_charge_c": 45,
            "bms": "none",
            "usable_percent": 50,
            "covered": True,
            "midpoint_used": False,
        }
        if units > 2:
            known |= {"unit_protected": True, "unit_device_a": unit_ah * 2}
        self.add("battery_bank", name, place=place, **(known | f))

    def flooded(self, name: str, units: int = 1, unit_ah: float = 110, place: str = "battery box", **f: Any) -> None:
        """12 V flooded units in a ventilated box."""
        known: dict[str, Any] = {
            "chemistry": "flooded",
            "unit_v": 12,
            "unit_ah": unit_ah,
            "rated_hours_h": 20,
            "cells_per_unit": 6,
            "parallel": units,
            "links_equal": True,
            "year": 2024,
            "short_circuit_a": unit_ah * 16,
            "internal_resistance_ohm": round(0.83 / unit_ah, 5),
            "cca_a": unit_ah * 6,
            "charge_v": 14.8,
            "lowest_charge_v": 14.2,
            "float_v": 13.4,
            "cut_off_v": 10.8,
            "unit_charge_limit_a": unit_ah * 0.5,
            "unit_discharge_limit_a": unit_ah * 3,
            "bms": "none",
            "usable_percent": 50,
            "covered": True,
            "midpoint_used": False,
            "ventilation_m3_h": 40,
            "gassing_a": 5,
        }
        self.add("battery_bank", name, place=place, **(known | f))

    def lithium(self, name: str, units: int = 2, unit_ah: float = 200, place: str = "battery box", **f: Any) -> None:
        """12.8 V LFP units, each with a BMS that warns, stops the sources and only then opens."""
        known: dict[str, Any] = {
            "chemistry": "LFP",
            "unit_v": 12.8,
            "unit_ah": unit_ah,
            "rated_hours_h": 5,
            "cells_per_unit": 4,
            "parallel": units,
            "links_equal": True,
            "year": 2024,
            "short_circuit_a": 4500,
            "internal_resistance_ohm": 0.003,
            "charge_v": 14.4,
            "lowest_charge_v": 13.8,
            "float_v": 13.5,
            "cut_off_v": 12.0,
            "unit_charge_limit_a": unit_ah * 0.5,
            "unit_discharge_limit_a": unit_ah,
            "lowest_charge_c": 2,
            "highest_charge_c": 45,
            "bms": "in every unit",
            "bms_charge_limit_a": unit_ah * 0.5,
            "bms_discharge_limit_a": unit_ah,
            "alarm_before_shutdown": True,
            "bms_disconnects": True,
            "stops_sources_first": True,
            "buses": "one",
            "usable_percent": 80,
            "covered": True,
            "midpoint_used": False,
        }
        if units > 2:
            known |= {"unit_protected": True, "unit_device_a": 300}
        self.add("battery_bank", name, place=place, **(known | f))

    def switch(self, name: str, amps: float = 300, place: str = "battery box", **f: Any) -> None:
        """A battery switch, reached in an emergency."""
        known: dict[str, Any] = {
            "poles": ("+",),
            "continuous_a": amps,
            "five_minute_a": amps * 1.5,
            "cranking_a": amps * 3,
            "rated_dc_v": 48,
            "breaks_load": True,
            "emergency_access": True,
            "covered": True,
            "in_position": "closed",
        }
        self.add("battery_switch", name, place=place, **(known | f))

    def bus(self, name: str, amps: float = 250, purpose: str = "pair", place: str = "saloon", **f: Any) -> None:
        """A covered bus bar."""
        known: dict[str, Any] = {
            "rating_a": amps,
            "purpose": purpose,
            "studs": 12,
            "stud_size": "M8",
            "terminals_per_stud": 4,
            "rated_dc_v": 48,
            "rated_ac_v": 250,
            "covered": True,
        }
        self.add("bus_bar", name, place=place, **(known | f))

    # -- consumers --------------------------------------------------------------------------------------------------
    def load(self, name: str, service: str, watts: float, volts: float = 12, place: str = "saloon", **f: Any) -> None:
        """A DC consumer."""
        known: dict[str, Any] = {
            "service": service,
            "dc_v": volts,
            "power_w": watts,
            "minimum_v": volts * 0.75,
            "highest_v": volts * 1.35,
            "essential": service in ("navigation lights", "bilge pump", "communication", "navigation electronics"),
            "label": service,
        }
        self.add("load", name, place=place, **(known | f))

    def motor(
        self, name: str, service: str, running_a: float, place: str = "bilge", volts: float = 12, **f: Any
    ) -> None:
        """A DC motor that protects itself."""
        known: dict[str, Any] = {
            "service": service,
            "dc_v": volts,
            "running_a": running_a,
            "starting_a": running_a * 2.5,
            "starting_s": 0.3,
            "stalled_a": running_a * 3,
            "stalled_s": 10,
            "thermal_protection": True,
            "minimum_v": volts * 0.7,
            "highest_v": volts * 1.35,
            "essential": service == "bilge pump",
            "isolated_return": True,
            "label": service,
        }
        self.add("motor", name, place=place, **(known | f))

    def ac_load(self, name: str, watts: float, volts: float = 120, place: str = "saloon", **f: Any) -> None:
        """An AC consumer in an earthed case."""
        known: dict[str, Any] = {
            "ac_v": volts,
            "power_w": watts,
            "power_factor": 1.0,
            "frequency_hz": 60 if volts in (120, 240) else 50,
            "exposed_metal": True,
            "service": "other",
            "essential": False,
            "leakage": "AC",
            "inrush_a": watts / volts,
        }
        self.add("load", name, place=place, **(known | f))

    # -- conditions -------------------------------------------------------------------------------------------------
    def state(self, name: str, hours: dict[str, float], running: tuple[str, ...] = (), **facts: Any) -> None:
        """A condition with the hours of its loads and the sources that run; `positions` moves switches."""
        item = self.condition(name, **facts.pop("positions", {}))
        duties = tuple(ConditionDuty(equipment=self._ids[d], hours_a_day=h) for d, h in hours.items())
        record = msgspec.structs.replace(
            self.installation.get("conditions", item),
            duties=duties,
            running=tuple(self._ids[d] for d in running),
            **facts,
        )
        apply(self.installation, Put("conditions", item, record))

    def done(self) -> Installation:
        """What was built."""
        return self.installation
