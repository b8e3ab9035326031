"""Start and house bank joined by a charging relay while one of them is being charged."""

from __future__ import annotations

from engine.templates.dc_side import ask_volts, volts_of
from engine.templates.making import Making, Spot
from engine.templates.question import Answers, Question
from engine.templates.stock import class_t
from engine.templates.two_banks import ask_two_banks, two_banks
from engine.words import N_, _

__all__ = ["NAME", "PURPOSE", "QUESTIONS", "TITLE", "build"]

NAME = "charging-relay"
TITLE = N_("Two banks with a charging relay")
PURPOSE = N_(
    "The relay joins start and house bank while one is charged and parts them else; its lead is fused at both."
)
QUESTIONS = (
    ask_volts(),
    Question("relay", N_("continuous rating of the relay"), "A", 140, 60, 250),
    Question("apart_m", N_("way from each bank's fuse to the relay"), "m", 0.5, 0.2, 4),
    *ask_two_banks(),
)


def build(m: Making, a: Answers) -> None:
    """Two banks, a fuse at each, the relay between."""
    volts, carried = volts_of(a), a.figure("relay")
    start, house = two_banks(m, a, "AGM")
    rating = max((r for r in m.book.standard_ratings_a if r <= carried / 1.25), default=carried)
    first = m.add("fuse", "battery box", _("charging relay, start side"), **class_t(rating))
    second = m.add("fuse", "battery box", _("charging relay, house side"), **class_t(rating))
    relay = m.add(
        "charging_relay",
        "battery box",
        _("charging relay"),
        ("continuous_a",),
        poles=("+",),
        dc_v=volts,
        continuous_a=carried,
        five_minute_a=carried * 1.4,
        cranking_a=carried * 2.5,
        rated_dc_v=32.0 if volts < 48 else 80.0,
        senses="both sides",
        closes_above_v=round(13.6 * volts / 12, 2),
        opens_below_v=round(12.8 * volts / 12, 2),
        opens_on_start=True,
        limits_current=False,
        on_loss="opens",
        manual_override=False,
        covered=True,
        in_position="open",
    )
    m.dc(start, Spot(first, "in"), rating, 0.15, volts=volts)
    m.dc(Spot(first, "out"), Spot(relay, "a"), rating, a.figure("apart_m"), volts=volts, typed=("length_m",))
    m.dc(Spot(relay, "b"), Spot(second, "out"), rating, a.figure("apart_m"), volts=volts, typed=("length_m",))
    m.dc(Spot(second, "in"), house, rating, 0.15, volts=volts)
