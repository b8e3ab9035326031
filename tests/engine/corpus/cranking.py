"""Engines, starters, alternators: cranking circuits and what hangs from them."""

from __future__ import annotations

from kit import fit_alternator, fit_engine, fit_starter
from yard import Yard

from engine.installation.model import Installation

__all__ = ["alternator_on_stud", "cranking", "fused_alternator", "isolated_return", "outboard", "twin_engines"]


def cranking() -> Installation:
    """A starter straight from its battery through the switch: a cranking circuit has no fuse. Negative to the block."""
    y = Yard()
    y.agm("G1", unit_ah=100)
    y.switch("Q1", 300)
    fit_engine(y)
    fit_starter(y, "M2")
    y.pos("W1", "G1.pos", "Q1.in", "2/0 AWG", 0.4, "battery box", exempt="cranking")
    y.pos("W2", "Q1.out", "M2.in", "2/0 AWG", 1.6, {"battery box": 0.4, "engine space": 1.2}, exempt="cranking")
    y.neg("W3", "G1.neg", "M1.block", "2/0 AWG", 1.8, {"battery box": 0.4, "engine space": 1.4}, exempt="cranking")
    return y.done()


def twin_engines() -> Installation:
    """Two engines, each with its battery, switch, starter and alternator; a parallel switch between, kept open."""
    y = Yard()
    for side, (engine, starter, bank, switch, alternator) in enumerate(
        (("M1", "M3", "G1", "Q1", "G3"), ("M2", "M4", "G2", "Q2", "G4"))
    ):
        y.agm(bank, unit_ah=130, label=f"start battery {side + 1}")
        y.switch(switch, 300, label=f"start battery {side + 1}")
        fit_engine(y, engine, label=f"engine {side + 1}")
        fit_starter(y, starter, engine, label=f"starter {side + 1}")
        fit_alternator(y, alternator, 60, engine, label=f"alternator {side + 1}")
        both = {"battery box": 0.4, "engine space": 1.2}
        y.pos(f"W{side}1", f"{bank}.pos", f"{switch}.in", "2/0 AWG", 0.4, "battery box", exempt="cranking")
        y.pos(f"W{side}2", f"{switch}.out", f"{starter}.in", "2/0 AWG", 1.6, both, exempt="cranking")
        y.neg(f"W{side}3", f"{bank}.neg", f"{engine}.block", "2/0 AWG", 1.6, both, exempt="cranking")
        y.fuse(f"F{side + 1}", 80, label=f"alternator {side + 1}")
        y.pos(f"W{side}4", f"{bank}.pos", f"F{side + 1}.in", "4 AWG", 0.15, "battery box")
        y.pos(f"W{side}5", f"F{side + 1}.out", f"{alternator}.pos", "4 AWG", 1.5, both)
    y.switch("Q3", 300, label="parallel start", in_position="open")
    y.pos("W7", "Q1.out", "Q3.in", "2/0 AWG", 0.4, "battery box", exempt="cranking")
    y.pos("W8", "Q3.out", "Q2.out", "2/0 AWG", 0.4, "battery box", exempt="cranking")
    y.neg("W9", "M1.block", "M2.block", "2/0 AWG", 1.5, "engine space", exempt="cranking")
    return y.done()


def fused_alternator() -> Installation:
    """An ordinary alternator to the bank: self-limited at its end, a fuse at the battery's."""
    y = Yard()
    y.agm("G1", 2, 100)
    fit_engine(y)
    fit_alternator(y, "G2", 90)
    y.fuse("F1", 125, label="alternator")
    y.pos("W1", "G1.pos", "F1.in", "2 AWG", 0.15, "battery box")
    y.pos("W2", "F1.out", "G2.pos", "2 AWG", 2.4, {"battery box": 0.4, "engine space": 2.0})
    y.neg("W3", "G1.neg", "M1.block", "2 AWG", 2.4, {"battery box": 0.4, "engine space": 2.0})
    return y.done()


def alternator_on_stud() -> Installation:
    """The alternator's lead goes the short way to the starter stud, and the starter's cable brings it to the battery.

    The lead is fed by the battery through an exempt cranking cable, so it has its own fuse at the stud.
    """
    y = Yard()
    y.agm("G1", unit_ah=100)
    y.switch("Q1", 300, field_contact=True)
    fit_engine(y)
    fit_starter(y, "M2")
    fit_alternator(y, "G2", 60)
    y.fuse("F1", 80, "terminal-stud", "engine space", label="alternator")
    y.pos("W1", "G1.pos", "Q1.in", "2/0 AWG", 0.4, "battery box", exempt="cranking")
    y.pos("W2", "Q1.out", "M2.in", "2/0 AWG", 1.6, {"battery box": 0.4, "engine space": 1.2}, exempt="cranking")
    y.neg("W3", "G1.neg", "M1.block", "2/0 AWG", 1.8, {"battery box": 0.4, "engine space": 1.4}, exempt="cranking")
    y.pos("W4", "M2.in", "F1.in", "4 AWG", 0.1, "engine space")
    y.pos("W5", "F1.out", "G2.pos", "4 AWG", 0.5, "engine space")
    return y.done()


def outboard() -> Installation:
    """A launch with an outboard and one battery: the maker's cable to the engine, one fuse for the lights."""
    y = Yard(engine_fuel="petrol outboard", length_m=5.2, name="Dunlin")
    y.agm("G1", unit_ah=75)
    y.switch("Q1", 200, ignition_protected=True)
    fit_engine(y, fuel="petrol", place="deck")
    fit_starter(y, "M2", running_a=80, starting_a=180, stalled_a=260, place="deck", ignition_protected=True)
    fit_alternator(y, "G2", 16, place="deck", ignition_protected=True, survives_cut_off=True)
    way = {"battery box": 0.4, "lazarette": 1.6}
    y.pos("W1", "G1.pos", "Q1.in", "2 AWG", 0.3, "battery box", exempt="cranking")
    y.pos("W2", "Q1.out", "M2.in", "2 AWG", 2.0, way, exempt="cranking")
    y.neg("W3", "G1.neg", "M1.block", "2 AWG", 2.2, {"battery box": 0.4, "lazarette": 1.8}, exempt="cranking")
    y.fuse("F1", 30, "terminal-stud", "deck", label="alternator", ignition_protected=True)
    y.pos("W4", "M2.in", "F1.in", "10 AWG", 0.1, "deck")
    y.pos("W5", "F1.out", "G2.pos", "10 AWG", 0.3, "deck")
    y.fuse("F2", 15, "terminal-stud", label="lights")
    y.pos("W6", "Q1.out", "F2.in", "12 AWG", 0.15, "battery box")
    y.load("E1", "navigation lights", 12, place="bow")
    y.pos("W7", "F2.out", "E1.in", "12 AWG", 4.0, {"battery box": 0.4, "bow": 3.6})
    y.neg("W8", "G1.neg", "E1.neg", "12 AWG", 4.2, {"battery box": 0.6, "bow": 3.6})
    y.state("Under way", {"E1": 4, "M2": 0.1}, running=("G2",))
    return y.done()


def isolated_return() -> Installation:
    """A steel workboat: starter and alternator with insulated returns, no current in block or hull, one earth point."""
    y = Yard(hull="steel", use="workboat", length_m=14.0, name="Guillemot")
    y.agm("G1", 2, 100)
    y.switch("Q1", 300, poles=("+", "-"), field_contact=True)
    fit_engine(y, return_path="isolated")
    fit_starter(y, "M2", isolated_return=True)
    fit_alternator(y, "G2", 60, isolated_return=True)
    y.fuse("F1", 80, "terminal-stud", "engine space", label="alternator")
    y.pair("W1", "G1.pos", "Q1.in", "2/0 AWG", 0.4, "battery box", exempt="cranking", bundle=1)
    both = {"battery box": 0.4, "engine space": 1.2}
    y.pair("W2", "Q1.out", "M2.in", "2/0 AWG", 1.6, both, exempt="cranking", bundle=1)
    y.pos("W4", "M2.in", "F1.in", "4 AWG", 0.1, "engine space")
    y.pos("W5", "F1.out", "G2.pos", "4 AWG", 0.5, "engine space")
    y.neg("W6", "M2.in", "G2.neg", "4 AWG", 0.6, "engine space")
    y.bus("X1", 150, "negative", "battery box")
    y.neg("W7", "G1.neg", "X1.bar", "2/0 AWG", 0.4, "battery box")
    y.add("earth_point", "X9", form="hull", place="engine space")
    y.earth("W8", "X1.bar", "X9.at", "4 AWG", 0.8, "engine space")
    return y.done()
