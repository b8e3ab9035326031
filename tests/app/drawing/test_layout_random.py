"""Random feed trees and tangles: whatever is typed in, nothing stands on anything else and all of it is shown."""

from __future__ import annotations

from typing import Any

import hypothesis.strategies as st
from hypothesis import HealthCheck, given, settings

from app.drawing.faults import faults, scene_faults
from app.drawing.layout import lay_out
from app.drawing.sheets import pictures
from engine.builder import Builder
from engine.edits import SetFields, apply

# kind -> the terminal it is fed at, the terminal it feeds on from
TREE: dict[str, tuple[str, str | None]] = {
    "fuse": ("in", "out"),
    "circuit_breaker": ("in", "out"),
    "battery_switch": ("in", "out"),
    "bus_bar": ("bar", "bar"),
    "load": ("in", None),
    "motor": ("in", None),
    "alternator": ("pos", None),
    "battery_bank": ("pos", None),
    "solar_controller": ("dc", "pv"),
    "dc_dc_converter": ("in", "out"),
    "junction": ("at", "at"),
    "inverter_charger": ("dc", None),
    "earth_point": ("at", None),
}
LABELS = ("", "Lights", "Bilge pump, automatic")
PIECE = st.tuples(st.sampled_from(sorted(TREE)), st.integers(0, 40), st.sampled_from(LABELS), st.booleans())


def tree(pieces: list[tuple[str, int, str, bool]]) -> Builder:
    b = Builder(name="Turnstone")
    b.add("battery_bank", "G0", label="House bank", unit_v=12.8)
    ends = ["G0.pos"]
    for n, (kind, at, label, sized) in enumerate(pieces):
        name = f"X{n}"
        b.add(kind, name, label=label, status="new" if sized else "existing")
        fed, feeds = TREE[kind]
        known: dict[str, Any] = {"size": "6 AWG", "length_m": 1.25} if sized else {}
        b.run(f"W{n}", ends[at % len(ends)], f"{name}.{fed}", **known)
        if feeds:
            ends.extend([f"{name}.{feeds}"] * (4 if kind == "bus_bar" else 1))
    return b


def check_drawn(b: Builder, size: str) -> None:
    apply(b.installation, SetFields("settings", "settings", (("sheet_size", size),)))
    apply(b.installation, lay_out(b.installation.snapshot()))
    snapshot = b.installation.snapshot()
    assert scene_faults(snapshot) == []
    assert [fault for picture in pictures(snapshot) for fault in faults(picture)] == []


@settings(deadline=None, max_examples=40, derandomize=True, suppress_health_check=[HealthCheck.too_slow])
@given(st.lists(PIECE, max_size=24), st.sampled_from(["A3", "A4", "Letter"]))
def test_any_feed_tree_is_drawn_without_a_fault(pieces: list[tuple[str, int, str, bool]], size: str) -> None:
    check_drawn(tree(pieces), size)


@settings(deadline=None, max_examples=25, derandomize=True, suppress_health_check=[HealthCheck.too_slow])
@given(
    st.lists(PIECE, min_size=2, max_size=10),
    st.lists(
        st.tuples(st.integers(0, 60), st.integers(0, 60), st.sampled_from(["dc pair", "ac", "earth"])), max_size=8
    ),
)
def test_a_tangle_loses_nothing(pieces: list[tuple[str, int, str, bool]], more: list[tuple[int, int, str]]) -> None:
    """Runs between any two terminals, sensible or not: every run and every terminal is still shown once."""
    b = tree(pieces)
    snapshot = b.installation.snapshot()
    ends = [f"{e.designation}.{t.name}" for e in snapshot.equipment.values() for t in e.terminals()]
    for n, (a, c, function) in enumerate(more):
        b.run(f"V{n}", ends[a % len(ends)], ends[c % len(ends)], function=function)
    apply(b.installation, lay_out(b.installation.snapshot()))
    shown = [f for f in scene_faults(b.installation.snapshot()) if " shown " in f or "not drawn" in f]
    assert shown == []
    assert pictures(b.installation.snapshot())
