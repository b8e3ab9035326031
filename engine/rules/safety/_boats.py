"""Boats of the safety rules' examples: shore power through a residual-current device to a panel, earthed."""

from __future__ import annotations

from typing import Any

from engine.builder import Builder
from engine.rules.example_parts import ac_cable, boat

__all__ = ["alongside", "circuit"]


def alongside(
    book: str = "trade-na",
    ma: float | None = 30,
    ms: float | None = 90,
    metres: float = 1.0,
    vessel: dict[str, Any] | None = None,
    ground: bool = True,
    **inlet: Any,
) -> Builder:
    """A 120 V inlet, a main that opens by residual current, a panel whose earth meets an earth point."""
    b = boat(book, **(vessel or {}))
    known: dict[str, Any] = {"ac_v": 120, "rating_a": 30, "supply_breaker_a": 30, "frequency_hz": 60}
    b.add("shore_inlet", "X1", **(known | {"polarised": True, "labelled": True} | inlet))
    b.add(
        "residual_current_device",
        "Q1",
        rating_a=30,
        overcurrent=True,
        poles=("L1", "N"),
        residual_ma=ma,
        residual_ms=ms,
        residual_type="A",
    )
    b.add("bus_bar", "X2", rating_a=50)
    if ground:
        b.add("earth_point", "X9", form="ground plate")
    ac_cable(b, "W1", "X1.out", "Q1.in", "10 AWG", metres / 0.0254)
    ac_cable(b, "W2", "Q1.out", "X2.bar", "10 AWG", 20)
    if ground:
        b.run("W9", "X2.bar", "X9.at", function="earth", size="8 AWG", length_m=1.0)
    return b


def circuit(b: Builder, kind: str, name: str, start: str = "X2.bar", poles: Any = ("L1", "N"), **facts: Any) -> None:
    """A breaker and what it feeds."""
    earth = facts.pop("earth", True)
    known: dict[str, Any] = {"ac_v": 120}
    if kind == "load":
        known |= {"power_w": 600, "power_factor": 1.0, "exposed_metal": True, "frequency_hz": 60}
    b.add("circuit_breaker", f"F{name}", rating_a=15, poles=poles)
    b.add(kind, name, **(known | facts))
    ac_cable(b, f"W{name}1", start, f"F{name}.in", "14 AWG", 5, earth=earth)
    ac_cable(b, f"W{name}2", f"F{name}.out", f"{name}.in", "14 AWG", 120, earth=earth)
