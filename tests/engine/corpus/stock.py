"""Places, fuses and colours of the yard."""

from __future__ import annotations

from typing import Any

from engine.equipment.base import Breaking

__all__ = ["AC_COLOURS", "FUSES", "METRIC_COLOURS", "PLACES"]

# name -> kind of place, highest temperature
PLACES: dict[str, tuple[Any, float]] = {
    "battery box": ("battery", 30),
    "engine space": ("diesel machinery", 50),
    "petrol engine space": ("petrol machinery", 50),
    "saloon": ("accommodation", 30),
    "helm": ("other", 30),
    "galley": ("galley", 30),
    "head": ("wet", 30),
    "deck": ("deck", 30),
    "bow": ("other", 30),
    "bilge": ("wet", 30),
    "lazarette": ("other", 30),
}

# form of fuse -> rated DC volts, breaking capacities
FUSES: dict[str, tuple[float, tuple[Breaking, ...]]] = {
    "class T": (160, (Breaking(20000, 125),)),
    "terminal-stud": (58, (Breaking(10000, 14.8), Breaking(5000, 32), Breaking(2000, 58))),
    "bolt-in ISO 8820-5": (58, (Breaking(2500, 58),)),
    "strip": (80, (Breaking(6000, 32), Breaking(2700, 80))),
    "blade ISO 8820-3": (58, (Breaking(1000, 58),)),
    "NH": (440, (Breaking(25000, 440),)),
}

AC_COLOURS = {
    "L1": "black + white + green",
    "L1 L2": "black + red + white + green",
    "L2": "red + white + green",
    "L1 L2 L3": "",
}
METRIC_COLOURS = {"L1": "brown + blue + green/yellow", "L1 L2 L3": ""}
