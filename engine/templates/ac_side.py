"""The AC side of a template: inlet with its main and galvanic isolator, panel, generator, the boat's ground."""

from __future__ import annotations

from typing import Any, NamedTuple

from engine.edits.edit import EditError
from engine.templates.charged import banks_at
from engine.templates.dc_side import TO_FUSE_M, bus_bar, dc_poles, dc_side, main_bank, switch_rating, volts_of
from engine.templates.making import Making, Spot
from engine.templates.question import Answers, Question
from engine.templates.stock import ac_breaker, class_t, residual
from engine.words import N_, _

__all__ = [
    "OVER",
    "InverterFeed",
    "Shore",
    "ac_volts_of",
    "ask_ac_volts",
    "ask_panel",
    "ask_shore",
    "breaker",
    "generator",
    "ground",
    "hertz",
    "inlet",
    "inverter_facts",
    "inverter_feed",
    "panel",
    "residual_main",
    "shore",
]

OVER = 1.2  # of its rated current: what an inverter holds its output to (common practice, no source)


class Shore(NamedTuple):
    """Shore power as far as its main. `main`: its load side; `earth`: where the shore's earth comes out aboard."""

    inlet: str
    main: Spot
    earth: Spot
    runs: tuple[str, ...]


class InverterFeed(NamedTuple):
    """The DC of an inverter: its own bank (`""` where it joins a bus), every bank there, and the runs of the feed."""

    bank: str
    banks: tuple[str, ...]
    runs: tuple[str, ...]


def ask_ac_volts() -> Question:
    """Volts of the AC side; 230 where conductors are metric."""
    return Question("ac_volts", N_("AC voltage"), "V", "120", metric="230", choices=("120", "230"))


def ask_shore() -> Question:
    """Rating of the inlet."""
    return Question("shore", N_("rating of the shore inlet"), "A", "30", metric="16", choices=("16", "30", "32", "50"))


def ask_panel() -> Question:
    """The AC bus it feeds."""
    return Question("panel", N_("AC bus it feeds; empty: it brings a panel bus"), joins="ac")


def ac_volts_of(a: Answers) -> float:
    """The AC voltage that was answered."""
    return float(a.word("ac_volts"))


def hertz(ac_v: float) -> float:
    """60 Hz at 120 V, 50 Hz at 230 V."""
    return 60.0 if ac_v < 200 else 50.0


def ground(m: Making) -> Spot:
    """The boat's ground: that of the drawing where it has one, else a new point, of the hull where that conducts."""
    for item, record in m.draft.table("equipment").items():
        if record.KIND == "earth_point" and record.is_ground():
            return Spot(item, "at")
    conducts = m.draft.first.vessel.hull in ("steel", "aluminium")
    return Spot(m.add("earth_point", "bilge", _("boat's ground"), form="hull" if conducts else "ground plate"), "at")


def panel(m: Making, a: Answers, amps: float, label: str, *, sign: bool) -> Spot:
    """The AC bus that was named, else a new one in a panel; `sign`: several sources feed it, and it says so."""
    asked = a.word("panel") if "panel" in a else ""
    if asked:
        spot = m.joined(asked, _("panel"), ("L1", "N"))
        if m.of(spot.equipment).KIND not in ("bus_bar", "junction", "terminal"):
            raise EditError(
                _("panel: {name} is no bus; name the AC bus that is to be fed").format(
                    name=m.of(spot.equipment).designation
                )
            )
        m.hold_to(ac_volts_of(a), spot, "L1", _("panel"))
        return spot
    return bus_bar(m, max(50.0, amps), "line", "saloon", label, m.box(label, "saloon", sign=sign))


def inlet(m: Making, ac_v: float, amps: float) -> str:
    """A shore inlet."""
    return m.add(
        "shore_inlet",
        "deck",
        _("shore inlet"),
        ("rating_a", "ac_v"),
        rating_a=amps,
        ac_v=ac_v,
        frequency_hz=hertz(ac_v),
        supply_breaker_a=amps,
        supply_fault_a=3000.0,
        polarised=ac_v < 200,
        neutral_earthed=True,
        connector="IEC 60309" if ac_v > 200 else "three-pin, locking",
        weatherproof=True,
        labelled=True,
    )


def shore(m: Making, a: Answers) -> Shore:
    """Inlet, two-pole residual-current main beside it, galvanic isolator in the earth."""
    ac_v, amps = ac_volts_of(a), float(a.word("shore"))
    point = inlet(m, ac_v, amps)
    main = m.add(
        "residual_current_device",
        "locker",
        _("shore main"),
        **residual(amps, is_metric=m.is_metric, form="at the inlet"),
    )
    isolator = m.add(
        "galvanic_isolator",
        "locker",
        _("galvanic isolator"),
        rating_a=amps,
        fail_safe=True,
        monitored=True,
        blocks_v=1.4,
        fault_a=3000.0,
        fault_s=0.1,
    )
    run = m.ac(Spot(point, "out"), Spot(main, "in"), amps, 0.4, volts=ac_v, earth=False)
    m.earth(Spot(point, "out"), Spot(isolator, "in"), 0.4, like=(run,))
    return Shore(point, Spot(main, "out"), Spot(isolator, "out"), (run,))


def residual_main(m: Making, amps: float, label: str, box: str = "", place: str = "saloon") -> tuple[Spot, Spot]:
    """A two-pole main that opens by residual current too: its two ends."""
    facts = residual(amps, is_metric=m.is_metric, form="in a panel")
    item = m.add("residual_current_device", place, label, enclosure=box, **facts)
    return Spot(item, "in"), Spot(item, "out")


def breaker(
    m: Making, amps: float, label: str, box: str = "", place: str = "saloon", **facts: Any
) -> tuple[Spot, Spot]:
    """A two-pole breaker: its two ends."""
    known = ac_breaker(amps, is_metric=m.is_metric) | facts
    item = m.add("circuit_breaker", place, label, enclosure=box, **known)
    return Spot(item, "in"), Spot(item, "out")


def generator(m: Making, ac_v: float, power_va: float, breaker_a: float) -> str:
    """A generator set that bonds its neutral, with a two-pole breaker of its own."""
    rated = power_va / ac_v
    return m.add(
        "generator",
        "engine space",
        _("generator"),
        ("power_va", "ac_v"),
        power_va=power_va,
        rating_a=round(rated, 1),
        ac_v=ac_v,
        frequency_hz=hertz(ac_v),
        power_factor=1.0,
        self_limiting=False,
        subtransient_pu=0.12,
        transient_pu=0.2,
        synchronous_pu=1.8,
        short_circuit_a=round(rated * 3),
        breaker_a=breaker_a,
        breaker_poles=2,
        bonds_neutral=True,
        fuel="petrol" if m.draft.first.vessel.engine_fuel.startswith("petrol") else "diesel",
        starting="by hand",
        manual_panel=True,
        exposed_metal=True,
    )


def inverter_facts(volts: float, ac_v: float, power_w: float) -> dict[str, Any]:
    """What an inverter of so many watts is asked to be; it bonds its neutral while it inverts."""
    times = volts / 12
    return {
        "dc_v": volts,
        "minimum_v": 10.5 * times,
        "highest_v": 16.0 * times,
        "ac_v": ac_v,
        "frequency_hz": hertz(ac_v),
        "power_w": power_w,
        "peak_w": power_w * 2,
        "output_limit_a": round(power_w / ac_v * OVER, 1),
        "efficiency": 0.9,
        "standby_w": 10.0,
        "bonds_neutral": True,
        "needs_pre_charge": False,
        "exposed_metal": True,
    }


def inverter_feed(
    m: Making, a: Answers, inverter: str, power_w: float, metres: float, charge_a: float = 0.0, ac: str = ""
) -> InverterFeed:
    """From its own bank, or the bus that was named: a class T fuse and a disconnect of its own; its case to ground.

    The case's earth is as large as this feed and as the run `ac` of its other side.
    """
    volts = volts_of(a)
    amps = power_w / (10.5 * volts / 12) / 0.9
    rating = m.rating(max(amps * 1.1, charge_a * 1.25))
    m.set(inverter, largest_device_a=rating)
    runs: list[str] = []
    bank = ""
    banks: tuple[str, ...]
    if a.word("bus"):
        start = dc_side(m, a, rating).bus
        banks = banks_at(m, start)
    else:
        bank = main_bank(m, "AGM", _("house bank"), volts, a.figure("bank"))
        start, banks = Spot(bank, "pos"), (bank,)
    fuse = m.add("fuse", "battery box", _("inverter fuse"), **class_t(rating))
    carried = switch_rating(rating)
    switch = m.add(
        "battery_switch",
        "battery box",
        _("inverter disconnect"),
        poles=dc_poles(m),
        continuous_a=carried,
        five_minute_a=1.5 * carried,
        cranking_a=3.0 * carried,
        rated_dc_v=80.0,
        breaks_load=True,
        emergency_access=True,
        covered=True,
        in_position="closed",
    )
    runs.append(m.dc(start, Spot(fuse, "in"), rating, TO_FUSE_M, volts=volts))
    runs.append(m.dc(Spot(fuse, "out"), Spot(switch, "in"), rating, 0.3, volts=volts))
    runs.append(
        m.dc(Spot(switch, "out"), Spot(inverter, "dc"), rating, metres, volts=volts, load_a=amps, typed=("length_m",))
    )
    earth = ground(m)
    m.earth(Spot(inverter, "earth"), earth, 1.5, like=[*runs, *([ac] if ac else [])])
    if bank:
        m.ground(Spot(bank, "neg"), earth, 1.5, like=runs)
    return InverterFeed(bank, banks, tuple(runs))
