"""Shore power over an isolation transformer: no conductor and no earth of the shore goes on aboard."""

from __future__ import annotations

from engine.templates.ac_side import (
    ac_volts_of,
    ask_ac_volts,
    ask_panel,
    ask_shore,
    breaker,
    ground,
    hertz,
    inlet,
    panel,
    residual_main,
)
from engine.templates.making import Making, Spot
from engine.templates.question import Answers, Question
from engine.words import N_, _

__all__ = ["NAME", "PURPOSE", "QUESTIONS", "TITLE", "build"]

NAME = "isolation-transformer"
TITLE = N_("Isolation-transformer inlet")
PURPOSE = N_("The shore's earth ends at the screen; the boat's neutral is bonded aboard, at the transformer.")
QUESTIONS = (
    ask_ac_volts(),
    ask_shore(),
    Question("panel_m", N_("way from the transformer's main to the panel"), "m", 3, 0.5, 8),
    ask_panel(),
)


def build(m: Making, a: Answers) -> None:
    """Inlet, primary breaker, transformer, boat main, panel, ground."""
    ac_v, amps = ac_volts_of(a), float(a.word("shore"))
    earth = ground(m)
    bus = panel(m, a, amps, _("AC panel"), sign=False)
    point = inlet(m, ac_v, amps)
    start, end = breaker(m, amps, _("transformer primary"), place="locker")
    unit = m.add(
        "isolation_transformer",
        "locker",
        _("isolation transformer"),
        ("primary_v", "secondary_v"),
        power_va=amps * ac_v,
        primary_v=ac_v,
        secondary_v=ac_v,
        frequency_hz=hertz(ac_v),
        impedance_percent=4.0,
        inrush_a=amps * 10,
        passes_earth=False,
        screen="to shore earth",
        bonds_neutral=True,
        thermal_cut_out=True,
        exposed_metal=True,
        largest_device_a=m.rating(amps * 1.25),
    )
    main = residual_main(m, amps, _("boat main"), place="locker")
    m.ac(Spot(point, "out"), start, amps, 0.4, volts=ac_v)
    m.ac(end, Spot(unit, "primary"), amps, 0.6, volts=ac_v)
    lead = m.ac(Spot(unit, "secondary"), main[0], amps, 0.4, volts=ac_v)
    last = m.ac(main[1], bus, amps, a.figure("panel_m"), volts=ac_v, typed=("length_m",))
    m.earth(Spot(unit, "earth"), bus, a.figure("panel_m"), like=(lead,))
    m.earth(bus, earth, 2.0, like=(last,))
    m.condition(_("Alongside"), {}, (point,))
