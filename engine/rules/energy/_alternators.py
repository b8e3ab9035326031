"""Boats of the rules about alternators: a fused bank, an alternator that does not survive the loss of its battery."""

from __future__ import annotations

from typing import Any

from engine.builder import Builder

__all__ = ["alternator", "lithium"]


def alternator(**facts: Any) -> Builder:
    """Bank `G1` behind fuse `F1`, alternator `G2` joined to nothing yet."""
    b = Builder()
    known: dict[str, Any] = {"dc_v": 12, "survives_cut_off": False, "field_opens_first": False, "obeys_stop": False}
    b.add("battery_bank", "G1", unit_v=12, chemistry="AGM")
    b.add("alternator", "G2", **(known | facts))
    b.add("fuse", "F1", rating_a=150)
    b.run("W1", "G1.pos", "F1.in", size="2 AWG", length_m=0.1)
    return b


def lithium(**facts: Any) -> Builder:
    """Bank `G1` whose built-in management can disconnect it, behind fuse `F1`."""
    b = Builder()
    known: dict[str, Any] = {"bms": "one for the bank", "bms_disconnects": True, "stops_sources_first": False}
    b.add("battery_bank", "G1", unit_v=12.8, chemistry="LFP", **(known | facts))
    b.add("fuse", "F1", rating_a=200)
    b.run("W1", "G1.pos", "F1.in", size="2 AWG", length_m=0.1)
    return b
