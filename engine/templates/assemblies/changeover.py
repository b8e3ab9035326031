"""Shore, generator and inverter on one panel, by two changeover switches that move line and neutral together."""

from __future__ import annotations

from engine.templates.ac_side import (
    OVER,
    ac_volts_of,
    ask_ac_volts,
    ask_panel,
    ask_shore,
    generator,
    ground,
    inverter_facts,
    inverter_feed,
    panel,
    residual_main,
    shore,
)
from engine.templates.dc_side import ask_bank, ask_bus, ask_volts
from engine.templates.making import Making, Spot
from engine.templates.question import Answers, Question
from engine.words import N_, _

__all__ = ["NAME", "PURPOSE", "QUESTIONS", "TITLE", "build"]

NAME = "changeover"
TITLE = N_("Shore, generator and inverter changeover")
PURPOSE = N_("One of three sources feeds the panel, the neutral switched with the line: no two can meet.")
QUESTIONS = (
    ask_ac_volts(),
    ask_shore(),
    Question("generator_va", N_("rating of the generator"), "VA", 3500, 1500, 6000),
    Question("inverter_w", N_("continuous output of the inverter"), "W", 2000, 500, 3000),
    ask_volts(),
    Question("inverter_m", N_("way from the disconnect to the inverter"), "m", 1.2, 0.3, 3),
    Question("panel_m", N_("way from the changeover to the panel"), "m", 3, 0.5, 8),
    ask_bank(400, 440),
    ask_bus(),
    ask_panel(),
)


def build(m: Making, a: Answers) -> None:
    """Three sources, two changeovers with an off, the panel's main, the panel, one ground."""
    ac_v = ac_volts_of(a)
    given = (float(a.word("shore")), a.figure("generator_va") / ac_v, a.figure("inverter_w") / ac_v * OVER)
    amps = m.rating(max(given))
    earth = ground(m)
    bus = panel(m, a, amps, _("ship's panel"), sign=True)
    box = m.of(bus.equipment).enclosure
    quay = shore(m, a)
    power = m.rating_up_to(1.15 * a.figure("generator_va") / ac_v)  # 46 CFR 111.12-11: 115 % at most
    machine = generator(m, ac_v, a.figure("generator_va"), power)
    unit = m.add(
        "inverter",
        "locker",
        _("inverter"),
        ("power_w", "dc_v", "ac_v"),
        **inverter_facts(float(a.word("volts")), ac_v, a.figure("inverter_w")),
    )
    first = _changeover(m, amps, _("shore - off - generator"), box)
    second = _changeover(m, amps, _("shore or generator - off - inverter"), box)
    start, end = residual_main(m, amps, _("panel main"), box)
    m.ac(quay.main, Spot(first, "one"), float(a.word("shore")), 2.0, volts=ac_v, earth=False)
    m.earth(quay.earth, bus, 2.0, like=quay.runs)
    lead = m.ac(Spot(machine, "out"), Spot(first, "two"), power, 4.0, volts=ac_v)
    m.ac(Spot(first, "common"), Spot(second, "one"), amps, 0.3, volts=ac_v, inside=True)
    limit = m.rating(m.of(unit).output_limit_a)
    side = m.ac(Spot(unit, "ac_out"), Spot(second, "two"), max(limit, 20.0), 2.0, volts=ac_v)
    m.ac(Spot(second, "common"), start, amps, a.figure("panel_m"), volts=ac_v, typed=("length_m",))
    last = m.ac(end, bus, amps, 0.3, volts=ac_v, inside=True)
    m.earth(Spot(machine, "earth"), earth, 2.0, like=(lead,))
    m.earth(bus, earth, 2.0, like=(last,))
    inverter_feed(m, a, unit, a.figure("inverter_w"), a.figure("inverter_m"), ac=side)
    m.condition(_("Alongside"), {first: "1", second: "1"}, (quay.inlet,))
    m.condition(_("On the generator"), {first: "2", second: "1"}, (machine,))
    m.condition(_("On the inverter"), {first: "0", second: "2"}, (unit,))


def _changeover(m: Making, amps: float, label: str, box: str) -> str:
    return m.add(
        "changeover",
        "saloon",
        label,
        poles=("L1", "N"),
        has_off=True,
        continuous_a=amps,
        through_a=amps,
        breaks_load=True,
        makes_before_breaks=False,
        automatic=False,
        rated_ac_v=250.0,
        in_position="1",
        enclosure=box,
    )
