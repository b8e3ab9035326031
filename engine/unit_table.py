"""The storage units, and every way to write each of them. `engine.units` reads and shows by this table."""

from __future__ import annotations

from collections.abc import Mapping
from typing import NamedTuple

from engine.words import N_

__all__ = ["UNITS", "Unit", "UnitError", "short", "tidy"]

LONGEST = 80  # characters of a quantity; longer text is none


class UnitError(ValueError):
    """A text that is no such quantity; the message is for the person."""


class Unit(NamedTuple):
    """A storage unit: its sign for people, what it measures, an example, other ways to write it.

    `others` gives each spelling (lower case) its exact worth in the storage unit as numerator and denominator.
    `prefixes`: SI prefixes stand before `sign` and are used when showing. `parts`: spellings that may follow one
    another, large before small ("10 ft 6 in"). `kinds`: "AC" or "DC" may be added. `thousandth_of`: the unit this is
    a thousandth of, whose spellings hold.
    """

    sign: str
    help: str
    example: str
    others: Mapping[str, tuple[int, int]]
    prefixes: str = ""
    parts: tuple[str, ...] = ()
    kinds: bool = False
    thousandth_of: str = ""


_ALL = "µmkM"
_METRES = dict.fromkeys(("m", "metre", "metres", "meter", "meters"), 1000) | {"mm": 1, "cm": 10, "km": 1_000_000}
_FEET = ("ft", "ft.", "foot", "feet", "'")
_INCHES = ("in", "in.", "inch", "inches", '"', "''")


def _lengths(mm_in_unit: int) -> dict[str, tuple[int, int]]:
    """Spellings of a length against a unit of so many millimetres."""
    found = {name: (mm, mm_in_unit) for name, mm in _METRES.items()}
    found |= dict.fromkeys(_FEET, (3048, 10 * mm_in_unit))  # international foot, 0.3048 m exactly
    found |= dict.fromkeys(_INCHES, (254, 10 * mm_in_unit))
    return found


def _same(*names: str) -> dict[str, tuple[int, int]]:
    return dict.fromkeys(names, (1, 1))


_HOURS = {
    **_same("h", "hr", "hrs", "hour", "hours"),
    **dict.fromkeys(("min", "minute", "minutes"), (1, 60)),
    **dict.fromkeys(("s", "sec", "second", "seconds"), (1, 3600)),
    **dict.fromkeys(("d", "day", "days"), (24, 1)),
}
_SECONDS = {name: (3600 * p, q) for name, (p, q) in _HOURS.items()} | {"ms": (1, 1000), "µs": (1, 10**6)}
_FOOT_LBF = (13558179483314004, 10**16)  # 1 lbf·ft = 0.3048 x 4.4482216152605 N·m, exact
_INCH_LBF = (_FOOT_LBF[0] // 12, 10**16)

UNITS: dict[str, Unit] = {
    "A": Unit("A", N_("a current"), "1.2 kA", _same("amp", "amps", "ampere", "amperes"), _ALL, kinds=True),
    "mA": Unit("mA", N_("a current"), "30 mA", {}, kinds=True, thousandth_of="A"),
    "V": Unit("V", N_("a voltage"), "25.6 V", _same("volt", "volts"), _ALL, kinds=True),
    "mV": Unit("mV", N_("a voltage"), "50 mV", {}, kinds=True, thousandth_of="V"),
    "A2s": Unit("A²s", N_("a let-through energy"), "40 kA²s", dict.fromkeys(("ka2s", "ka²s"), (10**6, 1))),
    "W": Unit("W", N_("a power"), "1.5 kW", _same("watt", "watts") | {"hp": (7457, 10)}, _ALL),
    "VA": Unit("VA", N_("an apparent power"), "5 kVA", {}, _ALL),
    "var": Unit("var", N_("a reactive power"), "1.5 kvar", {}, _ALL),
    "Wh": Unit("Wh", N_("an energy"), "10 kWh", {}, _ALL),
    "Ah": Unit("Ah", N_("a charge"), "200 Ah", {}, "m"),
    "ohm": Unit("Ω", N_("a resistance"), "2.5 mΩ", _same("ohm", "ohms"), _ALL),
    "Hz": Unit("Hz", N_("a frequency"), "50 Hz", _same("hertz"), _ALL),
    "F": Unit("F", N_("a capacitance"), "47 mF", _same("farad", "farads"), _ALL),
    "H": Unit("H", N_("an inductance"), "10 µH", _same("henry"), _ALL),
    "N": Unit("N", N_("a force"), "400 N", {"lbf": (44482216152605, 10**13), "kgf": (980665, 100000)}, "k"),
    "m": Unit("m", N_("a length"), "3.5 m or 10 ft 6 in", _lengths(1000), parts=(*_FEET, *_INCHES)),
    "mm": Unit("mm", N_("a length"), "35 mm or 7 in", _lengths(1), parts=(*_FEET, *_INCHES)),
    "mm2": Unit("mm²", N_("an area"), "35 mm2", _same("mm^2", "sq mm", "sqmm", "sq.mm")),
    "m3/h": Unit(
        "m³/h",
        N_("a flow of air"),
        "150 m3/h",
        _same("m^3/h")
        | {"l/s": (36, 10), "l/min": (6, 100), "m3/s": (3600, 1), "m³/s": (3600, 1), "cfm": (169901082, 10**8)},
    ),
    "degC": Unit("°C", N_("a temperature"), "60 °C or 140 °F", {}),
    "h": Unit("h", N_("a time"), "4 h or 30 min", _HOURS, parts=tuple(_HOURS)),
    "s": Unit("s", N_("a time"), "0.5 s or 20 ms", _SECONDS, parts=tuple(_SECONDS)),
    "ms": Unit("ms", N_("a time"), "40 ms", {}, thousandth_of="s"),
    "kg": Unit("kg", N_("a mass"), "28 kg", {"g": (1, 1000), "t": (1000, 1), "lb": (45359237, 10**8)}),
    "Nm": Unit(
        "N·m",
        N_("a torque"),
        "12 Nm",
        _same("n m", "n.m")
        | dict.fromkeys(("lbf ft", "lb ft", "ft lb", "ft-lb", "lb-ft", "ft lbf", "lbf·ft"), _FOOT_LBF)
        | dict.fromkeys(("lbf in", "lb in", "in lb", "in-lb", "lb-in", "in lbf", "lbf·in"), _INCH_LBF),
    ),
    "rpm": Unit("rpm", N_("a speed of rotation"), "1500 rpm", _same("1/min", "r/min", "/min", "min-1", "min⁻¹")),
    "lux": Unit("lx", N_("an illuminance"), "200 lx", {}),
    "%": Unit("%", N_("a percentage"), "10 %", _same("percent", "per cent")),
    "": Unit("", N_("a number"), "0.92", {"%": (1, 100)}),
}

_SIGNS = str.maketrans(
    {
        **dict.fromkeys("\u00a0\u2009\u202f\t\n\r", " "),
        **dict.fromkeys("−–‐‑", "-"),
        **dict.fromkeys("′’‘", "'"),
        **dict.fromkeys("″”“", '"'),
        "μ": "µ", "\u2126": "Ω", "¼": " 1/4", "½": " 1/2", "¾": " 3/4", "℃": "°C", "℉": "°F",
    }
)  # fmt: skip


def tidy(text: str) -> str:
    """`text` with one kind of space, minus, quote and fraction; "" when it is too long to be a quantity."""
    if len(text) > LONGEST:
        return ""
    return " ".join(text.translate(_SIGNS).split())


def short(text: str) -> str:
    """`text` as a message quotes it."""
    return repr(text if len(text) <= 40 else text[:39] + "…")
