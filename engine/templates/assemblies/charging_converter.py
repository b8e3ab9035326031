"""Start and house bank of any chemistry, joined by nothing but a DC-DC converter that holds its current."""

from __future__ import annotations

from engine.templates.charged import charge_facts, let_stop
from engine.templates.dc_side import ask_volts, device, volts_of
from engine.templates.making import Making, Spot
from engine.templates.question import Answers, Question
from engine.templates.two_banks import ask_two_banks, two_banks
from engine.words import N_, _

__all__ = ["NAME", "PURPOSE", "QUESTIONS", "TITLE", "build"]

NAME = "charging-converter"
TITLE = N_("Two banks with a DC-DC converter")
PURPOSE = N_("While the engine runs the converter charges the house bank by its own profile; the banks never meet.")
QUESTIONS = (
    ask_volts(),
    Question("converter", N_("output of the converter"), "A", 30, 10, 50),
    Question("house_kind", N_("chemistry of the house bank it brings"), default="lithium", choices=("lithium", "AGM")),
    Question("start_m", N_("way from the start battery's fuse to the converter"), "m", 1.5, 0.3, 6),
    Question("house_m", N_("way from the converter to the house bank's fuse"), "m", 1.5, 0.3, 6),
    *ask_two_banks(),
)


def build(m: Making, a: Answers) -> None:
    """Two banks, a device at each, the converter between."""
    volts, amps = volts_of(a), a.figure("converter")
    times = volts / 12
    start, house = two_banks(m, a, a.word("house_kind"))
    input_a = round(amps * 1.25, 1)
    first = device(m, "battery box", _("converter input"), m.rating(input_a * 1.25), always_fuse=True)
    second = device(m, "battery box", _("converter output"), m.rating(amps * 1.25), always_fuse=True, reverse=True)
    unit = m.add(
        "dc_dc_converter",
        "locker",
        _("DC-DC converter"),
        ("output_a", "in_v", "out_v"),
        in_v=volts,
        out_v=volts,
        output_a=amps,
        power_w=amps * 14.4 * times,
        input_a=input_a,
        self_limiting=True,
        isolated=True,
        bidirectional=False,
        minimum_v=10.0 * times,
        highest_v=16.0 * times,
        efficiency=0.9,
        standby_w=0.2,
        needs_battery=False,
        runs_when="engine runs",
        charges_battery=True,
        **charge_facts(m, (house.equipment,), volts),
        obeys_stop=True,
    )
    let_stop(m, (house.equipment,), unit)
    fuse_in, fuse_out = m.of(first[0].equipment).rating_a, m.of(second[0].equipment).rating_a
    m.dc(start, first[0], fuse_in, 0.15, volts=volts)
    m.dc(first[1], Spot(unit, "in"), fuse_in, a.figure("start_m"), volts=volts, load_a=input_a, typed=("length_m",))
    m.dc(Spot(unit, "out"), second[0], fuse_out, a.figure("house_m"), volts=volts, load_a=amps, typed=("length_m",))
    m.dc(second[1], house, fuse_out, 0.15, volts=volts)
