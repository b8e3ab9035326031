"""Short words for the rules' examples: 105 degC cable in the saloon, lengths in inches, a 12 V bank."""

from __future__ import annotations

from typing import Any

from engine.builder import Builder

INCH = 0.0254


def boat(book: str = "trade-na", **vessel: Any) -> Builder:
    """An empty boat with a saloon."""
    b = Builder(book=book, **vessel)
    b.place("saloon", "accommodation")
    return b


def cable(b: Builder, name: str, start: str, end: str, size: str, inches: float | None, **facts: Any) -> None:
    """A conductor by itself, 105 degC, bare unless `sheath` says otherwise."""
    known: dict[str, Any] = {
        "function": "dc positive",
        "insulation_c": 105.0,
        "bundle": 1,
        "sheath": "bare",
        "places": ("saloon",),
    }
    length_m = None if inches is None else inches * INCH
    b.run(name, start, end, size=size, length_m=length_m, **(known | facts))


def ac_cable(b: Builder, name: str, start: str, end: str, size: str, inches: float | None, **facts: Any) -> None:
    """A two-conductor AC cable, sheathed."""
    known: dict[str, Any] = {"function": "ac", "bundle": 2, "sheath": "sheathed"}
    cable(b, name, start, end, size, inches, **(known | facts))


def lamp(b: Builder, name: str, start: str, size: str = "14 AWG", amps: float = 15, away_reason: str = "") -> None:
    """A lamp 10 ft away behind a fuse 3 in from `start`."""
    b.add("fuse", f"F{name}", rating_a=amps)
    b.add("load", name, dc_v=12, current_a=2.0)
    cable(b, f"W{name}1", start, f"F{name}.in", size, 3, away_reason=away_reason)
    cable(b, f"W{name}2", f"F{name}.out", f"{name}.in", size, 120)
