"""An inverter/charger between shore panel and its own panel, with a bypass that parts it on both sides."""

from __future__ import annotations

from engine.templates.ac_side import (
    OVER,
    ac_volts_of,
    ask_ac_volts,
    ask_panel,
    ask_shore,
    breaker,
    ground,
    inverter_facts,
    inverter_feed,
    panel,
    residual_main,
    shore,
)
from engine.templates.charged import charge_facts, let_stop
from engine.templates.dc_side import ask_bank, ask_bus, ask_volts, bus_bar
from engine.templates.making import Making, Spot
from engine.templates.question import Answers, Question
from engine.words import N_, _

__all__ = ["NAME", "PURPOSE", "QUESTIONS", "TITLE", "build"]

NAME = "bypass"
TITLE = N_("Inverter/charger with two-sided bypass")
PURPOSE = N_("A slide lets either the inverter's input and output be closed, or the bypass: the unit can be taken out.")
QUESTIONS = (
    ask_ac_volts(),
    ask_shore(),
    Question("inverter_w", N_("continuous output of the inverter/charger"), "W", 2000, 800, 3000),
    ask_volts(),
    Question("inverter_m", N_("way from the disconnect to the inverter/charger"), "m", 1.2, 0.3, 3),
    Question("panel_m", N_("way from the panels to the inverter/charger"), "m", 3, 0.5, 8),
    ask_bank(400, 440),
    ask_bus(),
    ask_panel(),
)
EFFICIENCY = 0.88  # of the charger


def build(m: Making, a: Answers) -> None:
    """Shore bus, input, output and bypass under one slide, the inverter's panel, one ground."""
    ac_v, volts, shore_a = ac_volts_of(a), float(a.word("volts")), float(a.word("shore"))
    times = volts / 12
    charge_v = 14.4 * times
    # of the shore's power so much, and no more than a bank of lead takes well: common practice, no source
    charge_a = float(min(int(0.6 * shore_a * ac_v * EFFICIENCY / charge_v), int(0.3 * a.figure("bank"))))
    out_a = m.rating(max(shore_a, a.figure("inverter_w") / ac_v * OVER))
    earth = ground(m)
    out = panel(m, a, out_a, _("inverter panel"), sign=True)
    box = m.of(out.equipment).enclosure
    side = m.box(_("shore panel"), "saloon", sign=True)
    first = bus_bar(m, max(50.0, shore_a), "line", "saloon", _("shore panel bus"), side)
    quay = shore(m, a)
    lead = m.ac(quay.main, first, shore_a, 3.0, volts=ac_v, earth=False)
    m.earth(quay.earth, first, 3.0, like=quay.runs)
    unit = m.add(
        "inverter_charger",
        "locker",
        _("inverter/charger"),
        ("power_w", "dc_v", "ac_v"),
        **inverter_facts(volts, ac_v, a.figure("inverter_w")),
        power_va=a.figure("inverter_w"),
        input_limit_a=shore_a,
        supports_input=False,
        transfer_ms=20.0,
        charge_a=charge_a,
        charge_v=charge_v,
        float_v=13.6 * times,
        temperature_sensed=True,
        self_limiting=True,
        obeys_stop=True,
        charger_efficiency=EFFICIENCY,
        through_a=shore_a,
    )
    feed = breaker(m, shore_a, _("inverter input"), box)
    by = breaker(m, shore_a, _("bypass"), box, in_position="open")
    give = breaker(m, out_a, _("inverter output"), box)
    start, end = residual_main(m, out_a, _("inverter panel main"), box)
    join = bus_bar(m, max(50.0, out_a), "line", "saloon", _("behind bypass and output"), box)
    m.ac(first, feed[0], shore_a, 0.15, volts=ac_v, inside=True)
    m.ac(feed[1], Spot(unit, "ac_in"), shore_a, a.figure("panel_m"), volts=ac_v, typed=("length_m",))
    side = m.ac(Spot(unit, "ac_out"), give[0], out_a, a.figure("panel_m"), volts=ac_v, typed=("length_m",))
    m.ac(give[1], join, out_a, 0.15, volts=ac_v, inside=True)
    m.ac(first, by[0], shore_a, 0.15, volts=ac_v, inside=True)
    m.ac(by[1], join, shore_a, 0.15, volts=ac_v, inside=True)
    m.ac(join, start, out_a, 0.15, volts=ac_v, inside=True)
    last = m.ac(end, out, out_a, 0.3, volts=ac_v, inside=True)
    m.earth(first, earth, 2.0, like=(lead, last))
    dc = inverter_feed(m, a, unit, a.figure("inverter_w"), a.figure("inverter_m"), charge_a, side)
    m.set(unit, **charge_facts(m, dc.banks, volts))
    let_stop(m, dc.banks, unit)
    closed = ("closed",)
    m.interlock(_("slide: output or bypass"), {give[0].equipment: closed, by[0].equipment: closed})
    m.interlock(_("slide: input or bypass"), {feed[0].equipment: closed, by[0].equipment: closed})
    names = (feed[0].equipment, give[0].equipment, by[0].equipment)
    m.condition(
        _("Alongside"), dict(zip(names, ("closed", "closed", "open"), strict=True)) | {unit: "pass"}, (quay.inlet,)
    )
    m.condition(
        _("On the inverter"), dict(zip(names, ("closed", "closed", "open"), strict=True)) | {unit: "invert"}, (unit,)
    )
    bypassed = dict(zip(names, ("open", "open", "closed"), strict=True)) | {unit: "off"}
    m.condition(_("Inverter bypassed"), bypassed, (quay.inlet,))
