"""Pieces that many installations share: an engine with starter and alternator, shore power, inverters, sun."""

from __future__ import annotations

from typing import Any

from yard import Yard

__all__ = [
    "fit_alternator",
    "fit_array",
    "fit_controller",
    "fit_converter",
    "fit_engine",
    "fit_generator",
    "fit_ground",
    "fit_heater",
    "fit_inlet",
    "fit_inverter",
    "fit_isolated_shore",
    "fit_socket",
    "fit_starter",
]


def fit_engine(y: Yard, name: str = "M1", **facts: Any) -> None:
    """A diesel whose block is its return."""
    known: dict[str, Any] = {
        "purpose": "propulsion",
        "fuel": "diesel",
        "return_path": "block",
        "stop_control": "energised to run",
        "idle_rpm": 800,
        "cruise_rpm": 2600,
        "place": "engine space",
    }
    y.add("engine", name, **(known | facts))


def fit_starter(y: Yard, name: str, engine: str = "M1", **facts: Any) -> None:
    """A starter on an engine."""
    known: dict[str, Any] = {
        "service": "engine starter",
        "running_a": 150,
        "starting_a": 350,
        "stalled_a": 500,
        "starting_s": 0.3,
        "stalled_s": 30,
        "thermal_protection": False,
        "longest_run_s": 15,
        "isolated_return": False,
        "engine": y.ref(engine),
        "place": "engine space",
        "own_contactor": True,
        "minimum_v": 7.5,
    }
    y.motor(name, **(known | facts))


def fit_alternator(y: Yard, name: str, amps: float = 60, engine: str = "M1", **facts: Any) -> None:
    """An ordinary alternator that limits itself."""
    known: dict[str, Any] = {
        "dc_v": 12,
        "rating_a": amps,
        "hot_a": amps * 0.75,
        "charge_v": 14.4,
        "regulator": "internal",
        "self_limiting": True,
        "isolated_return": False,
        "engine": y.ref(engine),
        "place": "engine space",
        "obeys_stop": False,
        "survives_cut_off": False,
        "field_opens_first": False,
    }
    y.add("alternator", name, **(known | facts))


def fit_inlet(y: Yard, name: str = "X5", amps: float = 30, **facts: Any) -> None:
    """A 120 V inlet."""
    known: dict[str, Any] = {
        "place": "deck",
        "rating_a": amps,
        "ac_v": 120,
        "frequency_hz": 60,
        "supply_breaker_a": amps,
        "supply_fault_a": 3000,
        "polarised": True,
        "neutral_earthed": True,
        "connector": "three-pin, locking",
        "weatherproof": True,
        "labelled": True,
        "label": "shore inlet",
    }
    y.add("shore_inlet", name, **(known | facts))


def fit_isolated_shore(y: Yard, tag: str = "", inlet: str = "X5", size: str = "10 AWG") -> str:
    """Inlet, residual-current main within 3 m, galvanic isolator in the earth, panel bus, ground; the panel's name."""
    main, isolator, panel = f"Q5{tag}", f"R5{tag}", f"X6{tag}"
    fit_inlet(y, inlet)
    y.residual(main, 30, label="shore main")
    y.add(
        "galvanic_isolator",
        isolator,
        place="lazarette",
        rating_a=30,
        fail_safe=True,
        monitored=True,
        blocks_v=1.4,
        fault_a=3000,
        fault_s=0.1,
        label="galvanic isolator",
    )
    y.bus(panel, 50, "line", label="AC panel bus", enclosure=y.enclosure(f"AC panel {tag}".strip()))
    y.ac(f"W50{tag}", f"{inlet}.out", f"{main}.in", size, 1.2, "lazarette", earth=False, colour="black + white")
    y.ac(f"W51{tag}", f"{main}.out", f"{panel}.bar", size, 3.0, earth=False, colour="black + white")
    y.earth(f"W52{tag}", f"{inlet}.out", f"{isolator}.in", "8 AWG", 1.2, "lazarette")
    y.earth(f"W53{tag}", f"{isolator}.out", f"{panel}.bar", "8 AWG", 3.0)
    return panel


def fit_ground(y: Yard, panel: str = "X6") -> None:
    """The boat's ground: a plate in the sea, joined to the AC earth bus."""
    y.add("earth_point", "X9", form="ground plate", place="bilge", label="ground plate")
    y.earth("W99", f"{panel}.bar", "X9.at", "8 AWG", 2.0, {"saloon": 1.0, "bilge": 1.0})


def fit_heater(y: Yard, n: int = 7, panel: str = "X6", poles: Any = ("L1", "N"), watts: float = 1200) -> str:
    """A water heater on a breaker of its own."""
    y.ac_breaker(f"F{n}", 15, poles, label="water heater", enclosure=y.panel_of(panel), position=str(n))
    y.ac(f"W{n}1", f"{panel}.bar", f"F{n}.in", "14 AWG", 0.15, sheath="enclosed")
    y.ac_load(f"E{n}", watts, place="engine space", service="heating", label="water heater")
    y.ac(f"W{n}2", f"F{n}.out", f"E{n}.in", "12 AWG", 4.0, {"saloon": 2.0, "engine space": 2.0})
    return f"E{n}"


def fit_socket(y: Yard, n: int, place: str, panel: str = "X6", **facts: Any) -> str:
    """A socket on a breaker of its own."""
    y.ac_breaker(f"F{n}", 15, label=f"socket {place}", enclosure=y.panel_of(panel), position=str(n))
    y.ac(f"W{n}1", f"{panel}.bar", f"F{n}.in", "14 AWG", 0.15, sheath="enclosed")
    known: dict[str, Any] = {
        "rating_a": 15,
        "ac_v": 120,
        "earth_contact": True,
        "polarised": True,
        "expected_w": 600,
        "power_factor": 1.0,
        "weatherproof": place in ("deck", "head"),
        "form": "three-pin",
    }
    y.add("socket_outlet", f"X{n}0", place=place, label=f"socket {place}", **(known | facts))
    y.ac(f"W{n}2", f"F{n}.out", f"X{n}0.in", "14 AWG", 4.0, {"saloon": 2.0, place: 2.0} if place != "saloon" else place)
    return f"X{n}0"


def fit_generator(y: Yard, name: str = "G7", **facts: Any) -> None:
    """A small generator that bonds its neutral."""
    known: dict[str, Any] = {
        "place": "engine space",
        "power_va": 3600,
        "rating_a": 30,
        "ac_v": 120,
        "frequency_hz": 60,
        "power_factor": 1.0,
        "self_limiting": False,
        "subtransient_pu": 0.12,
        "transient_pu": 0.2,
        "synchronous_pu": 1.8,
        "short_circuit_a": 90,
        "breaker_a": 30,
        "breaker_poles": 1,
        "bonds_neutral": True,
        "fuel": "diesel",
        "starting": "by hand",
        "manual_panel": True,
        "exposed_metal": True,
        "label": "generator",
    }
    y.add("generator", name, **(known | facts))


def fit_inverter(y: Yard, kind: str, name: str, **facts: Any) -> None:
    """A 2 kW inverter, or inverter/charger, that bonds its neutral while it inverts."""
    known: dict[str, Any] = {
        "place": "lazarette",
        "dc_v": 12,
        "minimum_v": 10.5,
        "highest_v": 16,
        "ac_v": 120,
        "frequency_hz": 60,
        "power_w": 2000,
        "peak_w": 4000,
        "output_limit_a": 20,
        "efficiency": 0.9,
        "standby_w": 10,
        "bonds_neutral": True,
        "needs_pre_charge": False,
        "exposed_metal": True,
        "largest_device_a": 300,
        "label": kind.replace("_", " "),
    }
    y.add(kind, name, **(known | facts))


def fit_array(y: Yard, name: str, **facts: Any) -> None:
    """Modules of 180 W."""
    known: dict[str, Any] = {
        "place": "deck",
        "module_w": 180,
        "module_open_v": 24.0,
        "module_short_a": 9.6,
        "module_power_v": 20.0,
        "module_power_a": 9.0,
        "open_v_percent_per_c": -0.28,
        "series_fuse_a": 15,
        "blocking_diodes": False,
        "label": "solar array",
    }
    y.add("solar_array", name, **(known | facts))


def fit_controller(y: Yard, name: str, amps: float, **facts: Any) -> None:
    """A tracking controller."""
    known: dict[str, Any] = {
        "method": "tracking",
        "dc_v": 12,
        "charge_a": amps,
        "self_limiting": True,
        "highest_input_v": 100,
        "largest_input_a": 30,
        "charge_v": 14.4,
        "float_v": 13.6,
        "profile": "three-stage",
        "temperature_sensed": True,
        "obeys_stop": False,
        "needs_battery": False,
        "common": "negative",
        "blocks_reverse": True,
        "efficiency": 0.97,
        "standby_w": 0.3,
        "label": "solar controller",
    }
    y.add("solar_controller", name, **(known | facts))


def fit_converter(y: Yard, name: str, amps: float, **facts: Any) -> None:
    """A DC-DC converter that limits itself."""
    known: dict[str, Any] = {
        "in_v": 12,
        "out_v": 12,
        "output_a": amps,
        "power_w": amps * 14,
        "input_a": round(amps * 1.25),
        "self_limiting": True,
        "isolated": True,
        "bidirectional": False,
        "minimum_v": 10,
        "highest_v": 16,
        "efficiency": 0.9,
        "standby_w": 0.2,
        "needs_battery": False,
        "runs_when": "always",
        "label": "converter",
    }
    y.add("dc_dc_converter", name, **(known | facts))
