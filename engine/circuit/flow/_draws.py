"""Loads of a network: consumers that draw in the condition, and what converters and modules take for themselves."""

from __future__ import annotations

import math

from engine.circuit.flow.netlist import Netlist, NetLoad
from engine.circuit.solve.network import CURRENT, POWER, RESISTANCE
from engine.equipment.base import Draw, Equipment
from engine.units import number
from engine.words import _

__all__ = ["add_loads", "pairs_of"]

# (positive point, negative point, share of the whole power, volts across to line-to-neutral volts)
Pair = tuple[int, int, float, float]

LINES = ("L1", "L2", "L3")
SQRT3 = math.sqrt(3)
KINDS = {"power": POWER, "current": CURRENT, "resistance": RESISTANCE}


def add_loads(built: Netlist) -> None:
    """Put every load that draws into its network."""
    for item in built.circuit.joined:
        record = built.snapshot.equipment[item]
        use = record.use()
        if use is not None and item not in built.operation.on:
            continue
        draws = record.draws()
        if not draws or (use is None and _is_off(built, item, record)):
            continue
        for draw in draws:
            _draw(built, item, record, draw, None if use is None else use.minimum_v, use is not None)


def _is_off(built: Netlist, item: str, record: Equipment) -> bool:
    """A converter that converts nothing in the position it stands in takes nothing for itself."""
    conversions = record.conversions()
    return bool(conversions) and not any(built.holds(item, c.positions) for c in conversions)


def pairs_of(built: Netlist, item: str, terminal: str, system: str, wanted: tuple[str, ...]) -> tuple[str, list[Pair]]:
    """Between which points a terminal takes power: the conductors `wanted`, else those that arrive."""
    positive = built.point(item, terminal, "+")[1]
    is_dc = "+" in wanted or (not wanted and positive >= 0 and system != "ac")
    if is_dc:
        negative = built.negative(item, terminal)
        if positive < 0 or negative is None or negative == positive:
            return "dc", []
        return "dc", [(positive, negative, 1.0, 1.0)]
    points = {line: built.point(item, terminal, line)[1] for line in LINES}
    lines = [line for line in (wanted or LINES) if points.get(line, -1) >= 0]
    neutral = built.point(item, terminal, "N")[1] if not wanted or "N" in wanted else -1
    if not lines:
        return "ac", []
    if neutral >= 0:
        return "ac", [(points[line], neutral, 1 / len(lines), 1.0) for line in lines]
    if len(lines) == 1:
        return "ac", []
    if len(lines) == 2:
        return "ac", [(points[lines[0]], points[lines[1]], 1.0, 2.0 if "L3" not in wanted else SQRT3)]
    # three lines without neutral: the delta that takes the same from each line
    ring = zip(lines, (*lines[1:], lines[0]), strict=True)
    return "ac", [(points[a], points[b], 1 / 3, SQRT3) for a, b in ring]


def _draw(built: Netlist, item: str, record: Equipment, draw: Draw, minimum_v: float | None, is_use: bool) -> None:
    name = built.name(item)
    nominal = record.nominal_volts(draw.terminal)
    told = draw.system if draw.conductors else ""
    system, pairs = pairs_of(built, item, draw.terminal, told, draw.conductors)
    if not pairs:
        if is_use:
            why = _("{name}: no return arrives at it, so nothing flows").format(name=name)
            built.wrong(item, why, is_contradiction=True)
        return
    value, problem = draw.value, ""
    if value is not None and (value < 0 or not math.isfinite(value) or (draw.kind == "resistance" and value == 0)):
        unit = {"power": "W", "current": "A", "resistance": "Ω"}[draw.kind]
        problem = _("{name} takes {value} {unit}, which nothing can; it is left out").format(
            name=name, value=number(value), unit=unit
        )
        built.wrong(item, problem, is_contradiction=True)
        value = None
    gaps = tuple(
        f"{name}.{field}"
        for field in draw.missing
        if field != "power_factor" or (draw.kind != "resistance" and system == "ac")
    )
    to_neutral = nominal[1] if nominal is not None and nominal[0] == system else None
    for positive, negative, share, times in pairs:
        across = None if to_neutral is None else to_neutral * times
        floor = across / 2 if across else 0.0
        if minimum_v is not None and minimum_v >= 0:
            # a plate's volts are between lines where it takes several
            floor = minimum_v / SQRT3 if len(pairs) == 3 and times == 1.0 else minimum_v
            floor = minimum_v / 2 if len(pairs) == 2 else floor
        net = built.nets[system]
        if value is None:
            made = net.load(positive, negative, CURRENT, 0.0, 0.0)
        else:
            made = net.load(
                positive, negative, KINDS[draw.kind], _amount(draw, value, share, len(pairs), system), floor
            )
        built.loads.append(NetLoad(item, draw.terminal, system, made, False, gaps, across, value is not None, is_use))


def _amount(draw: Draw, value: float, share: float, pairs: int, system: str) -> complex:
    """What one pair takes of a load's power, a line's current, a line's resistance."""
    factor = min(1.0, draw.power_factor) if system == "ac" and draw.power_factor > 0 else 1.0
    sine = math.sqrt(1 - factor * factor)
    if draw.kind == "power":
        watts = value * share
        return complex(watts, watts * sine / factor) if system == "ac" else watts
    if draw.kind == "current":
        amps = value / SQRT3 if pairs == 3 and share == 1 / 3 and "N" not in draw.conductors else value
        return complex(amps * factor, -amps * sine) if system == "ac" else amps
    if pairs == 3 and "N" not in draw.conductors:
        return 3 * value
    return value / 2 if pairs == 2 else value
