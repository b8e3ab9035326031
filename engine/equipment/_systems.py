"""Behaviour that is the same in several kinds: sources of a system, common negatives, bonds, draws, ratings told."""

from __future__ import annotations

import functools
import math
from typing import Any, Literal

from engine.equipment.base import DC, LIVE, Breaking, Contact, Draw, Protection, Source, phase_names
from engine.units import show
from engine.words import _

System = tuple[Literal["dc", "ac"], float | None]


# -- what is not known ----------------------------------------------------------------------------------------------
def gaps(record: Any, *fields: str) -> tuple[str, ...]:
    """Those of `fields` that are not recorded."""
    return tuple(name for name in fields if getattr(record, name) in (None, ""))


def limit_gaps(record: Any, limiting: str, limit: str) -> tuple[str, ...]:
    """Fields that would settle a source's limit; none where it is known not to limit itself."""
    return () if getattr(record, limiting) is False else gaps(record, limiting, limit)


def first(*values: float | None) -> float | None:
    """The first value that is recorded."""
    return next((v for v in values if v is not None), None)


# -- contacts -------------------------------------------------------------------------------------------------------
@functools.lru_cache(maxsize=64)
def negative(terminal: str, apart: str = "neg") -> Contact:
    """The negative drawn apart is the negative of the pair."""
    return Contact(terminal, apart, cross=("-", "-"), straight=False)


@functools.lru_cache(maxsize=64)
def case(terminal: str, earth: str = "earth") -> Contact:
    """The case is joined to the protective earth of an AC terminal."""
    return Contact(terminal, earth, cross=("PE", "PE"), straight=False)


@functools.lru_cache(maxsize=64)
def bond(terminal: str, positions: frozenset[str] | None = None) -> Contact:
    """Neutral bonded to protective earth."""
    return Contact(terminal, terminal, positions=positions, cross=("N", "PE"), straight=False)


def opened(poles: tuple[str, ...]) -> tuple[str, ...]:
    """Conductors a device opens; where none is recorded, the live ones: that is what a line on the sheet stands for."""
    return poles or LIVE


@functools.lru_cache(maxsize=256)  # boats have many equal breakers
def tripping(
    poles: tuple[str, ...], untripped: tuple[str, ...], protection: Protection, positions: frozenset[str]
) -> tuple[Contact, ...]:
    """`in` to `out` of a breaker: poles with a trip, then poles that open with them and have none."""
    bare = tuple(p for p in poles if p in set(untripped))
    tripped = tuple(p for p in poles if p not in bare)
    made = [Contact("in", "out", tripped, positions, protection, straight=False)] if tripped else []
    if bare:
        made.append(Contact("in", "out", bare, positions, straight=False))
    passed = tuple(c for c in ("+", "-", "L1", "L2", "L3", "N", "PE") if c not in poles)
    if passed:
        made.append(Contact("in", "out", passed, straight=False))
    return tuple(made)


# -- positions ------------------------------------------------------------------------------------------------------
def ring(positions: tuple[str, ...]) -> tuple[tuple[str, str], ...]:
    """Moves between neighbours of a ring, both ways."""
    following = (*positions[1:], positions[0])
    return tuple(pair for a, b in zip(positions, following, strict=True) for pair in ((a, b), (b, a)))


# -- sources --------------------------------------------------------------------------------------------------------
def ac_sources(
    terminal: str,
    phases: str,
    *,
    volts: float | None,
    frequency_hz: float | None,
    limited: bool | None,
    limit_a: float | None = None,
    line: str = "",
    positions: frozenset[str] | None = None,
    rotating: bool = False,
    protection: Protection | None = None,
    in_step: bool = False,
    missing: tuple[str, ...] = (),
) -> tuple[Source, ...]:
    """One source a phase, all of one `line`; `volts` are line to neutral."""
    return tuple(
        Source(
            terminal,
            conductor,
            "ac",
            nominal_v=volts,
            highest_v=volts,
            limited=limited,
            limit_a=limit_a,
            line=line,
            positions=positions,
            rotating=rotating,
            protection=protection,
            frequency_hz=frequency_hz,
            in_step=in_step,
            missing=missing,
        )
        for conductor in phase_names(phases)
    )


def inside(rating_a: float | None, field: str, kind: Literal["fuse", "breaker"] = "fuse") -> Protection | None:
    """The protective device inside a source, where one is recorded."""
    return None if rating_a is None else Protection(rating_a, kind, field)


# -- volts ----------------------------------------------------------------------------------------------------------
def to_neutral(volts: float | None, phases: str) -> float | None:
    """Line to neutral of a plate's volts: halves of a split-phase pair, 1/sqrt 3 of three phases, else as they are."""
    if volts is None:
        return None
    return {1: volts, 2: volts / 2, 3: volts / math.sqrt(3)}[len(phase_names(phases))]


def consumer_volts(dc_v: float | None, ac_v: float | None, phases: str) -> System | None:
    """The system a consumer is made for: the one whose volts are recorded, `None` for both or neither."""
    if (dc_v is None) == (ac_v is None):
        return None
    return ("dc", dc_v) if ac_v is None else ("ac", to_neutral(ac_v, phases))


# -- draws ----------------------------------------------------------------------------------------------------------
DrawKind = Literal["power", "current", "resistance"]
Behaves = Literal["", "constant power", "constant current", "constant resistance"]


def consumer_draw(
    *,
    terminal: str,
    behaves: Behaves,
    power_w: float | None,
    current_a: float | None,
    resistance_ohm: float | None = None,
    dc_v: float | None,
    ac_v: float | None,
    phases: str,
    neutral: bool | None,
    power_factor: float | None,
    count: int,
    missing: str = "power_w",
) -> Draw:
    """What `count` equal consumers take.

    Power is the total of all lines, current that of one line, resistance that of one line to the star point. The
    kind is `behaves`, else that of the first value recorded; a value not recorded follows from another and the volts.
    Where no volts are recorded, `conductors` is empty: whatever arrives.
    """
    volts = dc_v if dc_v is not None else ac_v
    is_ac = dc_v is None and ac_v is not None
    lines = phase_names(phases)
    factor = 1.0
    unknown: list[str] = []
    if is_ac and resistance_ohm is None:
        factor = 1.0 if power_factor is None else power_factor
        if power_factor is None:
            unknown.append("power_factor")
    across = 1.0 if volts is None else volts * (math.sqrt(3) if is_ac and len(lines) == 3 else 1.0) * factor
    recorded: dict[DrawKind, float | None] = {"power": power_w, "current": current_a, "resistance": resistance_ohm}
    kind = _kind(behaves, recorded)
    value = recorded[kind]
    if value is None and volts is not None:
        value = _derived(kind, power_w, current_a, resistance_ohm, volts, across)
    if value is None:
        unknown.append(missing)
    elif kind == "resistance":
        value /= count
    else:
        value *= count
    conductors: tuple[str, ...] = ()
    if volts is not None:
        with_neutral = len(lines) == 1 or bool(neutral)
        conductors = (*lines, *(("N",) if with_neutral else ())) if is_ac else ("+", "-")
    return Draw(terminal, "ac" if is_ac else "dc", kind, value, conductors, factor, tuple(unknown))


def _kind(behaves: Behaves, recorded: dict[DrawKind, float | None]) -> DrawKind:
    for kind in recorded:
        if behaves == f"constant {kind}":
            return kind
    return next((kind for kind, value in recorded.items() if value is not None), "power")


def _derived(
    kind: DrawKind, power_w: float | None, current_a: float | None, ohms: float | None, volts: float, across: float
) -> float | None:
    watts = power_w
    if watts is None and current_a is not None:
        watts = across * current_a
    if watts is None and ohms:
        watts = volts * volts / ohms
    if watts is None or kind == "power":
        return watts
    if kind == "current":
        return watts / across if across else None
    return volts * volts / watts if watts else None


# -- ratings in words -----------------------------------------------------------------------------------------------
def figure(value: float | None, unit: str) -> str:
    """A value with its unit, nothing where it is not recorded."""
    return "" if value is None else show(value, unit)


def word(choice: str) -> str:
    """A recorded choice in the language in use, nothing where it is not recorded."""
    return _(choice) if choice else ""


def residual_type_in_words(kind: str) -> str:
    """The type letter of a residual-current device, told so that none takes it for amperes."""
    return _("type {kind}").format(kind=kind) if kind else ""


def lines_of(*parts: str) -> tuple[str, ...]:
    """The parts that say something."""
    return tuple(text for p in parts if (text := p.strip()))


def together(*parts: str) -> str:
    """The parts that say something, on one line."""
    return " ".join(text for p in parts if (text := p.strip()))


def breaks(breaking: tuple[Breaking, ...], poles: tuple[str, ...]) -> str:
    """The smallest breaking capacity recorded for the kind of current its poles carry; of the other kind, told so."""
    kind = "AC" if poles and not any(p in DC for p in poles) else "DC"
    suited = [b.amps for b in breaking if b.kind == kind]
    if suited:
        return _("breaks {amps}").format(amps=show(min(suited), "A"))
    if not breaking:
        return ""
    return _("breaks {amps} {kind}").format(amps=show(min(b.amps for b in breaking), "A"), kind=breaking[0].kind)


def poles_in_words(poles: tuple[str, ...]) -> str:
    """How many poles, where there is more than one."""
    return _("{count}-pole").format(count=len(poles)) if len(poles) > 1 else ""


def switch_ratings(
    continuous_a: float | None, five_minute_a: float | None, cranking_a: float | None
) -> tuple[str, str]:
    """Continuous rating; the shorter ones."""
    shorter = together(
        "" if five_minute_a is None else _("5 min {amps}").format(amps=show(five_minute_a, "A")),
        "" if cranking_a is None else _("cranking {amps}").format(amps=show(cranking_a, "A")),
    )
    return figure(continuous_a, "A"), shorter
