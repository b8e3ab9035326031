"""The DC side of a template: a bank with its main fuse, switch and bus, or the bus a person named."""

from __future__ import annotations

from typing import NamedTuple

from engine.templates.making import Making, Spot
from engine.templates.question import Answers, Question
from engine.templates.stock import agm, class_t, dc_breaker, lithium
from engine.words import N_, _

__all__ = [
    "TO_FUSE_M",
    "DcSide",
    "ask_bank",
    "ask_bus",
    "ask_volts",
    "bus_bar",
    "dc_poles",
    "dc_side",
    "device",
    "main_bank",
    "switch_rating",
    "volts_of",
]

BREAKER_TO_A = 70  # up to here a breaker that is a switch too, above it a fuse
TO_FUSE_M = 0.15  # from a post or a bar to the device on it


def ask_volts() -> Question:
    """System voltage."""
    return Question("volts", N_("system voltage"), "V", "12", choices=("12", "24", "48"))


def ask_bank(amp_hours: float = 200, high: float = 400) -> Question:
    """Capacity of its own bank."""
    return Question("bank", N_("capacity of its bank, where it brings one"), "Ah", amp_hours, 50, high)


def ask_bus() -> Question:
    """The bus it joins."""
    return Question("bus", N_("DC bus it joins; empty: it brings a bank and a bus"), joins="dc")


class DcSide(NamedTuple):
    """Where a template finds its DC: a spot that takes positive and negative. `bank`: its own, or `""`."""

    bus: Spot
    bank: str
    runs: tuple[str, ...]  # from the bank's post to the bus


def volts_of(a: Answers) -> float:
    """The system voltage that was answered."""
    return float(a.word("volts"))


def dc_poles(m: Making) -> tuple[str, ...]:
    """What a DC switch opens: both poles where conductors are metric, as ISO 13297 has it, else the positive."""
    return ("+", "-") if m.is_metric else ("+",)


def main_bank(m: Making, kind: str, label: str, volts: float, amp_hours: float, typed: tuple[str, ...] = ()) -> str:
    """A bank of a chemistry, by itself."""
    managed = kind == "managed lithium"
    facts = agm(volts, amp_hours) if kind == "AGM" else lithium(volts, amp_hours, managed=managed)
    return m.add("battery_bank", "battery box", label, typed, **facts)


def dc_side(
    m: Making,
    a: Answers,
    amps: float,
    *,
    chemistry: str = "AGM",
    label: str = "",
    bus_place: str = "saloon",
    metres: float = 1.2,
) -> DcSide:
    """The bus that was named, else a bank, a class T main for `amps`, a switch and a bus."""
    if "bus" in a and a.word("bus"):
        return DcSide(joined_bus(m, a.word("bus"), volts_of(a)), "", ())
    volts = volts_of(a)
    bank = main_bank(m, chemistry, label or _("house bank"), volts, a.figure("bank"))
    rating = m.rating(amps)
    fuse = m.add("fuse", "battery box", _("house main"), **class_t(rating))
    switch = m.add(
        "battery_switch",
        "battery box",
        _("house battery switch"),
        poles=dc_poles(m),
        continuous_a=max(200.0, switch_rating(rating)),
        five_minute_a=1.5 * max(200.0, switch_rating(rating)),
        cranking_a=3.0 * max(200.0, switch_rating(rating)),
        rated_dc_v=80.0,
        breaks_load=True,
        emergency_access=True,
        covered=True,
        in_position="closed",
    )
    bus = bus_bar(m, max(250.0, switch_rating(rating)), "pair", bus_place, _("main bus, positive and negative"))
    runs = (
        m.dc(Spot(bank, "pos"), Spot(fuse, "in"), rating, TO_FUSE_M, volts=volts),
        m.dc(Spot(fuse, "out"), Spot(switch, "in"), rating, 0.3, volts=volts),
        m.dc(Spot(switch, "out"), bus, rating, metres, volts=volts, load_a=amps, drop=0.02),
    )
    return DcSide(bus, bank, runs)


def joined_bus(m: Making, asked: str, volts: float) -> Spot:
    """The bus a person named. Raises `EditError` where it is known to be of other volts."""
    spot = m.joined(asked, _("bus"), ("+",))
    m.hold_to(volts, spot, "+", _("bus"))
    return spot


def bus_bar(m: Making, amps: float, purpose: str, place: str, label: str, box: str = "") -> Spot:
    """A covered bus bar."""
    ac = purpose == "line"
    item = m.add(
        "bus_bar",
        place,
        label,
        rating_a=amps,
        purpose=purpose,
        studs=12,
        stud_size="M8",
        terminals_per_stud=4,
        rated_dc_v=None if ac else 80.0,
        rated_ac_v=250.0 if ac else None,
        covered=True,
        enclosure=box,
    )
    return Spot(item, "bar")


def device(
    m: Making, place: str, label: str, amps: float, *, always_fuse: bool = False, reverse: bool = False
) -> tuple[Spot, Spot]:
    """A breaker up to 70 A, a class T fuse above: the end at the bus and the end at what it protects."""
    if amps <= BREAKER_TO_A and not always_fuse:
        item = m.add("circuit_breaker", place, label, **dc_breaker(amps, dc_poles(m)))
    else:
        item = m.add("fuse", place, label, **class_t(amps))
    ends = (Spot(item, "in"), Spot(item, "out"))
    return ends[::-1] if reverse else ends


def switch_rating(amps: float) -> float:
    """The next usual rating of a battery switch, A (common practice, no source)."""
    return next((float(r) for r in (100, 200, 300, 350, 400, 500, 600, 800, 1000) if r >= amps), amps)
