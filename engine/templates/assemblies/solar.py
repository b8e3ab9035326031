"""A solar array, its controller and the device at the bus."""

from __future__ import annotations

import math

from engine.templates.charged import LITHIUM, banks_at, charge_facts, let_stop
from engine.templates.dc_side import TO_FUSE_M, ask_bank, ask_bus, ask_volts, dc_side, device, volts_of
from engine.templates.making import Making, Spot
from engine.templates.question import Answers, Question
from engine.words import N_, _

__all__ = ["NAME", "PURPOSE", "QUESTIONS", "TITLE", "build"]

NAME = "solar"
TITLE = N_("Solar with controller")
PURPOSE = N_("Modules to a tracking controller, and from it through a device of its own to the bus.")
QUESTIONS = (
    ask_volts(),
    Question("strings", N_("strings side by side, each of two modules, of four at 48 V"), "", 1, 1, 3, whole=True),
    Question("module_w", N_("power of one module"), "W", 180, 50, 250),
    Question("array_m", N_("way from the modules to the controller"), "m", 6, 0.5, 20),
    Question("controller_m", N_("way from the controller to its device at the bus"), "m", 0.6, 0.3, 1.0),
    ask_bank(),
    ask_bus(),
)
# of a module of one watt, 36 cells at 18 V: common practice, no source
POWER_V, OPEN_V = 20.0, 24.0


def build(m: Making, a: Answers) -> None:
    """Bus, device, controller, array."""
    volts, watts, strings = volts_of(a), a.figure("module_w"), int(a.figure("strings"))
    series = 4 if volts > 24 else 2  # enough to charge the bank when the modules are hot
    power_a, short_a = watts / POWER_V, watts / POWER_V * 1.07
    charge_a = m.rating(watts * series * strings / volts)
    side = dc_side(m, a, max(100.0, charge_a * 1.5))
    banks = (side.bank,) if side.bank else banks_at(m, side.bus)
    lithium = any(m.of(bank).chemistry in LITHIUM for bank in banks)
    rating = m.rating(charge_a * 1.25)
    near, far = device(m, "saloon", _("solar"), rating)
    m.dc(side.bus, near, rating, TO_FUSE_M, volts=volts, inside=True)
    controller = m.add(
        "solar_controller",
        "saloon",
        _("solar controller"),
        method="tracking",
        dc_v=volts,
        charge_a=charge_a,
        self_limiting=True,
        highest_input_v=_next((100, 150, 250), OPEN_V * series * 1.25),
        largest_input_a=math.ceil(short_a * strings * 1.3 / 5) * 5.0,
        **charge_facts(m, banks, volts),
        temperature_sensed=True,
        obeys_stop=lithium,
        needs_battery=False,
        common="negative",
        blocks_reverse=True,
        efficiency=0.97,
        standby_w=0.3,
    )
    m.dc(
        far, Spot(controller, "dc"), rating, a.figure("controller_m"), volts=volts, load_a=charge_a, typed=("length_m",)
    )
    if lithium:
        let_stop(m, banks, controller)
    fused = strings > 2
    array = m.add(
        "solar_array",
        "deck",
        _("solar array"),
        ("module_w", "strings"),
        module_w=watts,
        module_open_v=OPEN_V,
        module_short_a=round(short_a, 2),
        module_power_v=POWER_V,
        module_power_a=round(power_a, 2),
        open_v_percent_per_c=-0.28,
        series_fuse_a=m.rating(short_a * 1.5),
        blocking_diodes=False,
        series=series,
        strings=strings,
        **({"string_fuse_a": m.rating(short_a * 1.5)} if fused else {}),
    )
    m.dc(
        Spot(array, "pos"),
        Spot(controller, "pv"),
        m.rating(short_a * strings * 1.56),
        a.figure("array_m"),
        volts=volts,
        load_a=power_a * strings,
        typed=("length_m",),
    )


def _next(steps: tuple[float, ...], least: float) -> float:
    return next((float(step) for step in steps if step >= least), math.ceil(least))
