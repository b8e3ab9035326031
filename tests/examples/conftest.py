"""What the example tests share: an empty boat with short words for its cables and devices."""

from __future__ import annotations

from typing import Any

import pytest

from engine.builder import Builder
from engine.rules import rules

INCH = 0.0254


class Boat(Builder):
    """A petrol boat; lengths in inches, cables tinned, of 105 degC, sheathed, two in a bundle."""

    def __init__(self, book: str) -> None:
        super().__init__(book=book, engine_fuel="petrol")
        self.place("saloon", "accommodation", 30)
        self.place("engine space", "petrol machinery", 50)

    def dc(self, name: str, start: str, end: str, size: str, inches: float, **facts: Any) -> None:
        known: dict[str, Any] = {
            "function": "dc positive",
            "insulation_c": 105.0,
            "sheath": "sheathed",
            "bundle": 2,
            "places": ("saloon",),
            "conductor": "tinned copper",
            "insulation": "UL 1426",
            "away_reason": "no room at the source",
        }
        self.run(name, start, end, size=size, length_m=inches * INCH, **(known | facts))

    def neg(self, name: str, start: str, end: str, size: str, inches: float) -> None:
        self.dc(name, start, end, size, inches, function="dc negative")

    def ac(self, name: str, start: str, end: str, size: str, inches: float, **facts: Any) -> None:
        self.dc(name, start, end, size, inches, **({"function": "ac"} | facts))

    def bank(self, name: str, v: float = 12.8, **facts: Any) -> None:
        self.add("battery_bank", name, **({"unit_v": v, "charge_v": v * 14.6 / 12.8, "chemistry": "AGM"} | facts))

    def fuse(self, name: str, amps: float) -> None:
        self.add("fuse", name, rating_a=amps, rated_dc_v=80)

    def cb(self, name: str, amps: float, **facts: Any) -> None:
        self.add("circuit_breaker", name, rating_a=amps, rated_dc_v=80, **facts)

    def acb(self, name: str, amps: float, poles: tuple[str, ...] = ("L1", "N"), **facts: Any) -> None:
        self.add("circuit_breaker", name, **({"rating_a": amps, "rated_ac_v": 277, "poles": poles} | facts))

    def swt(self, name: str, **facts: Any) -> None:
        self.add("battery_switch", name, **({"continuous_a": 500, "rated_dc_v": 48} | facts))

    def lamp(self, name: str, at: str, size: str = "14 AWG", amps: float = 15, lead: float = 3) -> None:
        self.fuse(f"F{name}", amps)
        self.add("load", name, dc_v=12, current_a=2.0)
        self.dc(f"W{name}a", at, f"F{name}.in", size, lead)
        self.dc(f"W{name}b", f"F{name}.out", f"{name}.in", size, 120)


# these boats are about wiring: places, markings and what else a diligent record holds are the corpus's
NOT_WIRING = (
    "alternator-cut-off",
    "breaker-one-way",
    "charge-not-stopped",
    "live-stud-bare",
    "missing-support",
    "no-battery-switch",
    "no-converter-disconnect",
    "no-label",
    "no-shutdown-alarm",
    "over-stud",
    "solar-over-input",
    "wrong-colour",
    "wrong-neutral-bond",
)


@pytest.fixture
def wiring_rules() -> tuple[str, ...]:
    """Rules that these boats record enough for."""
    return tuple(slug for slug, rule in rules().items() if rule.family != "safety" and slug not in NOT_WIRING)


@pytest.fixture
def empty_boat() -> type[Boat]:
    """Call it with the name of a book."""
    return Boat
