"""Panels, buses, pumps, lights: what a bank feeds."""

from __future__ import annotations

from yard import Yard

from engine.equipment.base import Breaking
from engine.equipment.switching.switching_module import Channel
from engine.installation.model import Installation

__all__ = [
    "bilge_pump",
    "far_end_charger",
    "found_on_survey",
    "fuse_in_the_return",
    "navigation_lights",
    "old_labels",
    "panel_with_taps",
    "parallel_feeder",
    "remote_panel",
    "shunt_and_meters",
    "spare_ways",
    "thruster",
    "windlass",
]


def _house(y: Yard, units: int = 2, main_a: float = 200, size: str = "2/0 AWG") -> None:
    """An AGM bank, class T main fuse, switch, a bus X1 in the saloon."""
    y.agm("G1", units, 100, label="house bank")
    y.fuse("F1", main_a, "class T", label="house main")
    y.switch("Q1", 300, label="house")
    y.bus("X1", 300, label="main bus, positive and negative")
    y.pos("W1", "G1.pos", "F1.in", size, 0.15, "battery box")
    y.pos("W2", "F1.out", "Q1.in", size, 0.3, "battery box")
    y.pos("W3", "Q1.out", "X1.bar", size, 1.2, {"battery box": 0.3, "saloon": 0.9})
    y.neg("W4", "G1.neg", "X1.bar", size, 1.4, {"battery box": 0.4, "saloon": 1.0})


def _branch(
    y: Yard, n: int, panel: str, service: str, amps: float, watts: float, size: str, metres: float, where: str
) -> None:
    """A breaker on a panel bus and its load."""
    y.dc_breaker(f"F{n}", amps, label=service, enclosure=y.enclosure("DC panel"), position=str(n))
    y.pair(f"W{n}1", f"{panel}.bar", f"F{n}.in", size or "12 AWG", 0.15, "saloon", sheath="enclosed")
    y.load(f"E{n}", service, watts, place=where)
    y.pair(f"W{n}2", f"F{n}.out", f"E{n}.in", size, metres, {"saloon": 1.0, where: metres - 1.0})


def bilge_pump() -> Installation:
    """The bilge pump hangs before the battery switch on a fuse of its own at the battery, with a float switch."""
    y = Yard()
    _house(y)
    y.fuse("F2", 10, "class T", label="bilge pump")
    y.add(
        "float_switch",
        "B1",
        label="bilge float",
        place="bilge",
        poles=("+",),
        continuous_a=10,
        rated_dc_v=32,
        breaks_load=True,
        closes_when="40 mm of water",
        manual_override=True,
        alarm=True,
    )
    y.motor("M1", "bilge pump", 5.0)
    y.pair("W5", "G1.pos", "F2.in", "12 AWG", 0.15, "battery box")
    y.pair("W6", "F2.out", "B1.in", "12 AWG", 2.5, {"battery box": 0.5, "bilge": 2.0})
    y.pair("W7", "B1.out", "M1.in", "12 AWG", 0.5, "bilge")
    _branch(y, 4, "X1", "lighting", 15, 60, "12 AWG", 5.0, "saloon")
    y.state("Unattended", {"M1": 1}, positions={"Q1": "open", "B1": "closed"})
    y.state("At anchor", {"M1": 1, "E4": 5}, positions={"B1": "closed"}, required_hours=12)
    return y.done()


def panel_with_taps() -> Installation:
    """A main feeder to a panel, reduced taps to its breakers within 0.15 m, a sub-panel behind a breaker of its own."""
    y = Yard()
    _house(y, main_a=175, size="1/0 AWG")
    y.dc_breaker("F2", 80, label="panel feeder")
    y.bus("X3", 150, label="panel bus", enclosure=y.enclosure("DC panel"))
    y.pair("W5", "X1.bar", "F2.in", "4 AWG", 0.15, "saloon", sheath="enclosed")
    y.pair("W6", "F2.out", "X3.bar", "4 AWG", 1.5)
    _branch(y, 4, "X3", "navigation lights", 10, 25, "10 AWG", 7.0, "bow")
    _branch(y, 5, "X3", "communication", 15, 60, "10 AWG", 3.0, "helm")
    _branch(y, 6, "X3", "lighting", 15, 60, "12 AWG", 5.0, "saloon")
    y.dc_breaker("F7", 30, label="aft sub-panel", enclosure=y.enclosure("DC panel"), position="7")
    y.pair("W71", "X3.bar", "F7.in", "10 AWG", 0.15, "saloon", sheath="enclosed")
    y.bus("X4", 50, label="aft panel bus", place="lazarette", enclosure=y.enclosure("aft panel", "lazarette"))
    y.pair("W72", "F7.out", "X4.bar", "8 AWG", 4.0, {"saloon": 1.0, "lazarette": 3.0})
    for n, service, watts in ((8, "pump", 40), (9, "lighting", 24)):
        y.dc_breaker(f"F{n}", 10, "lazarette", label=service, enclosure=y.enclosure("aft panel"), position=str(n))
        y.pair(f"W{n}1", "X4.bar", f"F{n}.in", "14 AWG", 0.15, "lazarette", sheath="enclosed")
        y.load(f"E{n}", service, watts, place="lazarette")
        y.pair(f"W{n}2", f"F{n}.out", f"E{n}.in", "14 AWG", 3.0, "lazarette")
    y.state("Under way", {"E4": 8, "E5": 24, "E6": 3, "E8": 0.5, "E9": 2}, required_hours=8)
    return y.done()


def navigation_lights() -> Installation:
    """Masthead, side and stern lights on one breaker, spliced out in sealed junctions; under 3 % to the last."""
    y = Yard()
    _house(y)
    y.dc_breaker("F2", 10, label="navigation lights")
    y.pair("W5", "X1.bar", "F2.in", "10 AWG", 0.15, "saloon", sheath="enclosed")
    y.add("junction", "X3", form="connector", rating_a=25, sealed=True, place="bow")
    y.pair("W6", "F2.out", "X3.at", "10 AWG", 4.0, {"saloon": 2.0, "bow": 2.0}, colour="dark grey + yellow")
    for n, (where, watts) in enumerate((("bow", 10), ("deck", 12), ("lazarette", 5)), 1):
        y.load(f"E{n}", "navigation lights", watts, place=where)
        y.pair(f"W6{n}", "X3.at", f"E{n}.in", "14 AWG", 3.0, where, colour="dark grey + yellow")
    y.state("Under way", {"E1": 10, "E2": 10, "E3": 10}, required_hours=10)
    return y.done()


def spare_ways() -> Installation:
    """A panel with two spare breakers and a spare cable laid to the bow for later: marked spare, with an end cap."""
    y = Yard()
    _house(y)
    _branch(y, 4, "X1", "lighting", 15, 60, "12 AWG", 5.0, "saloon")
    for n in (5, 6):
        y.dc_breaker(f"F{n}", 15, label="spare", status="spare", in_position="open")
        y.pair(f"W{n}1", "X1.bar", f"F{n}.in", "12 AWG", 0.15, "saloon", sheath="enclosed")
    y.add("open_end", "X9", label="spare cable", insulated=True, leads_to="bow", place="bow", status="spare")
    y.pair("W62", "F6.out", "X9.at", "12 AWG", 6.0, {"saloon": 2.0, "bow": 4.0}, status="spare")
    y.state("At anchor", {"E4": 5}, required_hours=12)
    return y.done()


def found_on_survey() -> Installation:
    """A survey: a cable runs behind the lining and its size cannot be read. Nothing is wrong, one fact is asked for."""
    y = Yard(build_year=1998)
    _house(y)
    _branch(y, 4, "X1", "lighting", 15, 60, "12 AWG", 5.0, "saloon")
    _branch(y, 5, "X1", "pump", 15, 50, "", 4.0, "galley")
    y.state("At anchor", {"E4": 5, "E5": 0.5}, required_hours=12)
    return y.done()


def old_labels() -> Installation:
    """A refit: the old panel re-breakered, old markings recorded, one old breaker to go, its successor has its name."""
    y = Yard(build_year=1988)
    _house(y)
    _branch(y, 4, "X1", "lighting", 15, 60, "12 AWG", 5.0, "saloon")
    y.set("F4", status="new", old_marking="CABIN LTS 1")
    y.dc_breaker("F5", 15, label="water pump", status="new", old_marking="PUMP")
    y.pair("W51", "X1.bar", "F5.in", "12 AWG", 0.15, "saloon", sheath="enclosed", status="new", old_marking="12")
    y.motor("M5", "pump", 5, place="galley", status="existing")
    y.pair("W52", "F5.out", "M5.in", "12 AWG", 4.0, {"saloon": 2.0, "galley": 2.0}, old_marking="17")
    y.fuse("F6", 20, "blade ISO 8820-3", "saloon", label="water pump, old", status="to remove", marking="PUMP")
    y.state("At anchor", {"E4": 5, "M5": 0.3}, required_hours=12)
    return y.done()


def windlass() -> Installation:
    """A windlass on its own breaker at the bus, chosen for its working current, with 1/0 there and back."""
    y = Yard()
    _house(y, 3, 300, "4/0 AWG")
    y.dc_breaker("F2", 120, label="windlass", curve="thermal")
    y.motor("M2", "windlass", 85, place="bow", starting_a=180, starting_s=0.5, stalled_a=320, stalled_s=20)
    y.pos("W5", "X1.bar", "F2.in", "1/0 AWG", 0.15, "saloon")
    y.pos("W6", "F2.out", "M2.in", "1/0 AWG", 6.0, {"saloon": 2.0, "bow": 4.0})
    y.neg("W7", "X1.bar", "M2.neg", "1/0 AWG", 6.2, {"saloon": 2.2, "bow": 4.0})
    y.state("Anchoring", {"M2": 0.1})
    return y.done()


def thruster() -> Installation:
    """A bow thruster with a battery of its own beside it, fuse and remote-worked isolator, no long heavy cable."""
    y = Yard()
    y.agm("G1", 2, 100, place="bow", label="thruster battery")
    y.fuse("F1", 300, "strip", "bow", label="thruster")
    y.switch("Q1", 300, "bow", label="thruster isolator")
    y.motor("M1", "thruster", 230, place="bow", starting_a=420, starting_s=0.2, stalled_a=700, stalled_s=10)
    y.pos("W1", "G1.pos", "F1.in", "2/0 AWG", 0.15, "bow")
    y.pos("W2", "F1.out", "Q1.in", "2/0 AWG", 0.3, "bow")
    y.pos("W3", "Q1.out", "M1.in", "2/0 AWG", 0.8, "bow")
    y.neg("W4", "G1.neg", "M1.neg", "2/0 AWG", 1.0, "bow")
    y.state("Berthing", {"M1": 0.1})
    return y.done()


def fuse_in_the_return() -> Installation:
    """A VHF radio whose maker ships an inline fuse in each lead; the panel's breaker protects the cable."""
    y = Yard()
    _house(y)
    y.dc_breaker("F2", 15, label="VHF")
    y.pair("W5", "X1.bar", "F2.in", "12 AWG", 0.15, "saloon", sheath="enclosed")
    y.fuse("F3", 10, "blade ISO 8820-3", "helm", label="VHF positive", supplied_with_equipment=True)
    y.fuse("F4", 10, "blade ISO 8820-3", "helm", label="VHF negative", conductor="-", supplied_with_equipment=True)
    y.load("A1", "communication", 65, place="helm")
    y.pos("W6", "F2.out", "F3.in", "10 AWG", 3.0, {"saloon": 2.0, "helm": 1.0})
    y.pos("W7", "F3.out", "A1.in", "14 AWG", 0.3, "helm")
    y.neg("W8", "X1.bar", "F4.in", "10 AWG", 3.2, {"saloon": 2.2, "helm": 1.0})
    y.neg("W9", "F4.out", "A1.neg", "14 AWG", 0.3, "helm")
    y.state("Under way", {"A1": 24}, required_hours=12)
    return y.done()


def far_end_charger() -> Installation:
    """A small charger wired to the far end of a feeder: it limits itself far below what the feeder carries."""
    y = Yard()
    _house(y)
    y.dc_breaker("F2", 60, label="aft feeder")
    y.bus("X3", 100, label="aft bus", place="lazarette")
    y.pair("W5", "X1.bar", "F2.in", "6 AWG", 0.15, "saloon", sheath="enclosed")
    y.pair("W6", "F2.out", "X3.bar", "6 AWG", 4.0, {"saloon": 1.0, "lazarette": 3.0})
    y.dc_breaker("F3", 15, "lazarette", label="deck wash")
    y.pair("W7", "X3.bar", "F3.in", "12 AWG", 0.15, "lazarette", sheath="enclosed")
    y.motor("M1", "pump", 6, place="deck")
    y.pair("W8", "F3.out", "M1.in", "12 AWG", 2.0, "deck")
    y.add(
        "solar_array",
        "G3",
        place="deck",
        module_w=100,
        module_open_v=22.5,
        module_short_a=5.9,
        module_power_v=18.6,
        module_power_a=5.4,
        open_v_percent_per_c=-0.3,
        series_fuse_a=10,
    )
    y.add(
        "solar_controller",
        "T1",
        place="lazarette",
        method="tracking",
        dc_v=12,
        charge_a=10,
        self_limiting=True,
        highest_input_v=75,
        largest_input_a=10,
        charge_v=14.4,
        float_v=13.6,
        profile="three-stage",
        temperature_sensed=True,
        common="negative",
        blocks_reverse=True,
        efficiency=0.96,
        needs_battery=False,
        standby_w=0.2,
    )
    y.pair("W9", "G3.pos", "T1.pv", "12 AWG", 2.0, "deck")
    y.fuse("F4", 15, "terminal-stud", "lazarette", label="solar")
    y.pair("W10", "X3.bar", "F4.in", "12 AWG", 0.15, "lazarette", sheath="enclosed")
    y.pair("W11", "F4.out", "T1.dc", "12 AWG", 0.6, "lazarette")
    y.state("At anchor", {"M1": 0.2}, running=("G3",), peak_sun_h=4)
    return y.done()


def parallel_feeder() -> Installation:
    """Two equal 2/0 conductors side by side for a heavy bus, one fuse for both, lugs on studs of their own."""
    y = Yard()
    y.agm("G1", 4, 110, label="house bank")
    y.fuse("F1", 400, "class T", label="house main")
    y.switch("Q1", 600, label="house")
    y.bus("X1", 600)
    two = {"parallel": 2, "bundle": 1}
    y.pos("W1", "G1.pos", "F1.in", "2/0 AWG", 0.2, "battery box", **two)
    y.pos("W2", "F1.out", "Q1.in", "2/0 AWG", 0.3, "battery box", **two)
    y.pos("W3", "Q1.out", "X1.bar", "2/0 AWG", 1.5, {"battery box": 0.5, "saloon": 1.0}, **two)
    y.neg("W4", "G1.neg", "X1.bar", "2/0 AWG", 1.6, {"battery box": 0.5, "saloon": 1.1}, **two)
    _branch(y, 4, "X1", "lighting", 15, 60, "12 AWG", 5.0, "saloon")
    y.state("At anchor", {"E4": 5}, required_hours=24)
    return y.done()


def shunt_and_meters() -> Installation:
    """A shunt in the negative between bank and bus, its meter's sense lead fused at the positive, a voltmeter."""
    y = Yard()
    y.agm("G1", 2, 100, label="house bank")
    y.fuse("F1", 200, "class T", label="house main")
    y.switch("Q1", 300, label="house")
    y.bus("X1", 300)
    y.add("shunt", "B1", place="battery box", rating_a=500, drop_mv=50, poles=("-",), sense_fused=True, covered=True)
    y.pos("W1", "G1.pos", "F1.in", "2/0 AWG", 0.15, "battery box")
    y.pos("W2", "F1.out", "Q1.in", "2/0 AWG", 0.3, "battery box")
    y.pos("W3", "Q1.out", "X1.bar", "2/0 AWG", 1.2, {"battery box": 0.3, "saloon": 0.9})
    y.neg("W4", "G1.neg", "B1.in", "2/0 AWG", 0.3, "battery box")
    y.neg("W5", "B1.out", "X1.bar", "2/0 AWG", 1.2, {"battery box": 0.3, "saloon": 0.9})
    y.fuse("F2", 3, "class T", label="battery monitor")
    y.add("meter", "P1", measures="state of charge", shunt=y.ref("B1"), place="helm", standby_w=0.1)
    y.pair("W6", "G1.pos", "F2.in", "16 AWG", 0.15, "battery box")
    y.pair("W7", "F2.out", "P1.sense", "16 AWG", 3.0, {"battery box": 0.5, "helm": 2.5})
    y.fuse("F3", 3, "terminal-stud", "saloon", label="voltmeter")
    y.add("meter", "P2", measures="voltage", scale="8-16 V", place="saloon")
    y.pair("W8", "X1.bar", "F3.in", "16 AWG", 0.1, "saloon", sheath="enclosed")
    y.pair("W9", "F3.out", "P2.sense", "16 AWG", 0.5)
    _branch(y, 4, "X1", "lighting", 15, 60, "12 AWG", 5.0, "saloon")
    y.state("At anchor", {"E4": 5}, required_hours=24)
    return y.done()


def remote_panel() -> Installation:
    """A remote-worked battery switch and a switching module with fused channels; both can be worked by hand."""
    y = Yard()
    y.agm("G1", 2, 100, label="house bank")
    y.fuse("F1", 175, "class T", label="house main")
    y.add(
        "remote_battery_switch",
        "Q1",
        place="battery box",
        poles=("+",),
        continuous_a=300,
        five_minute_a=450,
        cranking_a=900,
        rated_dc_v=48,
        breaks_load=True,
        control_v=12,
        control_a=2,
        on_loss="stays",
        manual_override=True,
        in_position="closed",
        covered=True,
    )
    y.bus("X1", 250)
    y.pair("W1", "G1.pos", "F1.in", "1/0 AWG", 0.15, "battery box", bundle=1)
    y.pair("W2", "F1.out", "Q1.in", "1/0 AWG", 0.3, "battery box", bundle=1)
    y.pair("W3", "Q1.out", "X1.bar", "1/0 AWG", 1.0, {"battery box": 0.3, "saloon": 0.7}, bundle=1)
    y.fuse("F3", 3, "class T", label="switch control")
    y.pos("W5", "G1.pos", "F3.in", "16 AWG", 0.15, "battery box")
    y.dc_breaker("F2", 60, label="module supply")
    y.pair("W6", "X1.bar", "F2.in", "6 AWG", 0.15, "saloon", sheath="enclosed")
    channels = (
        Channel(number=1, label="saloon lights", rating_a=10, fuse_a=10, override=True, on_network_loss="stays"),
        Channel(number=2, label="water pump", rating_a=15, fuse_a=15, override=True, on_network_loss="stays"),
    )
    y.add(
        "switching_module",
        "A1",
        dc_v=12,
        channels=channels,
        local_control=True,
        standby_w=1,
        through_a=60,
        rated_dc_v=32,
        breaking=(Breaking(3000, 32),),
    )
    y.pair("W7", "F2.out", "A1.supply", "6 AWG", 0.6)
    y.load("E1", "lighting", 60)
    y.pair("W8", "A1.ch1", "E1.in", "12 AWG", 4.0)
    y.motor("M1", "pump", 6, place="galley")
    y.pair("W9", "A1.ch2", "M1.in", "12 AWG", 4.0, {"saloon": 2.0, "galley": 2.0})
    y.signal("W10", "F3.out", "Q1.control", 0.5, "battery box")
    y.state("At anchor", {"E1": 5, "M1": 0.3}, required_hours=12)
    return y.done()
