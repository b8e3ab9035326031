"""Quantities as people write them, in and out: "1.2 kA", "3,5 m", "10 ft 6 in", "120 °F", "2/0", "35 mm2".

Values are stored in the units of `UNITS`. Reading is exact: "3.3 mA" is the same number as `0.0033`.

Decimal point and decimal comma are both understood. A comma before exactly three digits ("1,200") could be either a
thousands mark or a decimal comma and is refused with both readings; "1,200.5", "1.200,5", "1 200", "0,125" and
"1,200,000" leave no doubt. A point alone is always a decimal point. Fractions ("10 1/2 in") are read in lengths only.
"""

from __future__ import annotations

import functools
import math
import re
from typing import TYPE_CHECKING, Literal

from engine.conductor_sizes import AWG_SIZES, METRIC_SIZES, area_mm2, read_size, show_size
from engine.unit_table import UNITS, Unit, UnitError, short, tidy
from engine.words import _, decimal_sign

if TYPE_CHECKING:
    from fractions import Fraction

__all__ = [
    "AWG_SIZES",
    "METRIC_SIZES",
    "UNITS",
    "Unit",
    "UnitError",
    "area_mm2",
    "number",
    "plain_number",
    "read",
    "read_size",
    "show",
    "show_size",
    "spelled",
    "suffix_kind",
    "unit_named",
]

_EXPONENTS = {"u": -6, "µ": -6, "m": -3, "k": 3, "K": 3, "M": 6}
_NUMBER = re.compile(
    r"([+-]?) ?(\d{1,3}(?: \d{3})+(?!\d)(?:[.,]\d+)?|\d+(?:[.,]\d+)*|[.,]\d+)(?:([eE][+-]?\d{1,3})(?!\w))?", re.ASCII
)
_FRACTION = re.compile(r"[ -]?(\d{1,4})/(\d{1,4})(?!\d)", re.ASCII)
_NAME = re.compile(r"(?:(?![.,]?\d).)*", re.ASCII)
_KIND = re.compile(r"(?<![A-Za-z])(?:a\.?c\.?|d\.?c\.?)$|(?<=[VA])(?:ac|dc)$|[~⎓]$", re.IGNORECASE)
_TEMPERATURE = re.compile(r"(?:° ?|deg(?:ree)?s?\.? ?)?(c|celsius|f|fahrenheit|k|kelvin)|°", re.IGNORECASE)


# -- in ----------------------------------------------------------------------------------------------------------
def read(text: str, unit: str, bare: str = "") -> float:
    """The quantity written in `text`, in the storage unit `unit`.

    A number without unit is in `bare` where that is given (a list's column heading), else in the storage unit.
    Raises `UnitError`, and nothing else, for every text that is no such quantity.
    """
    known = UNITS.get(unit)
    if known is None:
        raise UnitError(_("there is no unit {unit!r}").format(unit=unit))
    rest = tidy(text)
    value, rest = _read_number(rest, text, unit)
    if unit == "degC":
        return _as_float(_to_celsius(value, rest or bare, text), text, unit)
    negative = value < 0
    total = None
    smaller_than = 0.0
    while True:
        name, rest = _read_name(rest) if known.parts else (rest, "")
        worth = _worth(name or (bare if total is None and not rest else ""), unit)
        several = bool(rest) or total is not None
        if worth is None or (several and name.lower() not in known.parts):
            raise _unread(text, unit)
        size = worth[0] / worth[1]
        if total is not None and size >= smaller_than:
            raise _unread(text, unit)
        smaller_than = size
        part = value * worth[0] / worth[1]
        total = part if total is None else total + part
        if not rest:
            return _as_float(total, text, unit)
        value, rest = _read_number(rest, text, unit)
        if value < 0:
            raise _unread(text, unit)
        value = -value if negative else value


def _read_number(rest: str, text: str, unit: str) -> tuple[Fraction, str]:
    """The exact number `rest` begins with, and what follows it."""
    from fractions import Fraction  # only where a person's text is read: a check of a drawing never gets here

    fractions = unit in ("m", "mm")
    sign = "-" if rest.startswith("-") else ""
    if fractions and (only := _FRACTION.match(rest)):
        return _fraction(only, text, unit) * (-1 if sign else 1), rest[only.end() :].strip()
    found = _NUMBER.match(rest)
    if not found:
        raise _unread(text, unit)
    digits, exponent = found[2], found[3] or ""
    value = Fraction(_plain_digits(digits, text) + exponent)
    rest = rest[found.end() :]
    if fractions and digits.isdigit() and not exponent and (more := _FRACTION.match(rest)):
        part = _fraction(more, text, unit)
        if part >= 1:
            raise _unread(text, unit)
        value += part
        rest = rest[more.end() :]
    return -value if sign else value, rest.strip()


def _fraction(found: re.Match[str], text: str, unit: str) -> Fraction:
    from fractions import Fraction

    if int(found[2]) == 0:
        raise _unread(text, unit)
    return Fraction(int(found[1]), int(found[2]))


def _plain_digits(digits: str, text: str) -> str:
    """Digits with point, comma and thin thousands marks as Python reads them."""
    digits = digits.replace(" ", "")
    marks = [c for c in digits if c in ".,"]
    if not marks:
        return digits
    whole, *groups = re.split("[.,]", digits)
    grouped = all(len(g) == 3 for g in groups) and 1 <= len(whole) <= 3 and not whole.startswith("0")
    if len(marks) == 1:
        if marks[0] == "," and grouped:
            raise UnitError(
                _("{text} can be read as {one} or as {other}: write it without the comma").format(
                    text=short(text), one=whole + groups[0], other=f"{whole}.{groups[0]}"
                )
            )
        return f"{whole or '0'}.{groups[0]}"
    if len(set(marks)) == 1 and grouped:  # 1,200,000 or 1.200.000
        return whole + "".join(groups)
    *thousands, decimals = groups
    alike = len(set(marks[:-1])) == 1 and marks[-1] != marks[0]
    if alike and all(len(g) == 3 for g in thousands) and 1 <= len(whole) <= 3:  # 1,200.5 or 1.200,5
        return f"{whole}{''.join(thousands)}.{decimals}"
    raise UnitError(_("{text} has too many points and commas for one number").format(text=short(text)))


def _read_name(rest: str) -> tuple[str, str]:
    """The unit's name that `rest` begins with, up to the next number, and what follows it."""
    found = _NAME.match(rest)
    assert found is not None  # it matches the empty text
    return found[0].strip(" ,-"), rest[found.end() :]


def _worth(name: str, unit: str) -> tuple[int, int] | None:
    """What one `name` is worth in the storage unit, as numerator and denominator; `None` where it is not one."""
    known = UNITS[unit]
    if known.kinds:
        name = _KIND.sub("", name).strip()
    if not name:
        return 1, 1
    if known.thousandth_of:
        worth = _worth(name, known.thousandth_of)
        return worth and (worth[0] * 1000, worth[1])
    low = name.lower()
    same = (unit.lower(), known.sign.lower())
    if low in same:
        return 1, 1
    if low in known.others:
        return known.others[low]
    exponent = _EXPONENTS.get(name[0]) if known.prefixes else None
    tail = low[1:].strip()
    if exponent is None or not (tail in same or tail in known.others):
        return None
    above, below = known.others.get(tail, (1, 1))
    return (above * 10**exponent, below) if exponent > 0 else (above, below * 10**-exponent)


def _to_celsius(value: Fraction, name: str, text: str) -> Fraction:
    found = _TEMPERATURE.fullmatch(name) if name else None
    if name and not found:
        raise _unread(text, "degC")
    scale = (found[1] or "c")[0].lower() if found else "c"
    if scale == "f":
        return (value - 32) * 5 / 9
    return value - 27315 * value.__class__(1, 100) if scale == "k" else value


def _as_float(value: Fraction, text: str, unit: str) -> float:
    try:
        return float(value)
    except OverflowError:
        raise _unread(text, unit) from None


def _unread(text: str, unit: str) -> UnitError:
    known = UNITS[unit]
    return UnitError(
        _("expected {what} such as {example}, found {text}").format(
            what=_(known.help), example=known.example, text=short(text)
        )
    )


def suffix_kind(text: str) -> Literal["AC", "DC", ""]:
    """Whether a voltage or current is written with "AC" or "DC" ("230 VAC", "20 A DC"), else ""."""
    found = _KIND.search(tidy(text))
    if not found:
        return ""
    return "AC" if found[0][0] in "aA~" else "DC"


def unit_named(name: str, unit: str) -> bool:
    """Whether `name` is a way to write `unit` or a multiple of it ("kA" for "A", "ft" for "m", "°F" for "degC")."""
    name = tidy(name)
    if unit not in UNITS or not name:
        return False
    if unit == "degC":
        return _TEMPERATURE.fullmatch(name) is not None
    return _worth(name, unit) is not None


# -- out ---------------------------------------------------------------------------------------------------------
def number(value: float, digits: int = 3) -> str:
    """A number for people: at least `digits` figures, whole figures never rounded away, no trailing zeros.

    Its decimal sign is that of the language in use.
    """
    return spelled(plain_number(value, digits))


def spelled(text: str) -> str:
    """A number that was written with a decimal point, with the decimal sign of the language in use."""
    return text if decimal_sign() == "." else text.replace(".", decimal_sign())


@functools.lru_cache(maxsize=4096)  # the same figures are told again and again
def plain_number(value: float, digits: int = 3) -> str:
    """As `number`, with a decimal point whatever the language: for codes, keys and other machines."""
    if not math.isfinite(value):
        return str(value)
    if value == 0:
        return "0"
    size = math.floor(math.log10(abs(value)))
    if not -9 <= size < 15:
        mantissa, _e, exponent = f"{value:.{max(digits - 1, 0)}e}".partition("e")
        return f"{mantissa.rstrip('0').rstrip('.') if '.' in mantissa else mantissa}e{int(exponent)}"
    text = f"{value:.{max(0, digits - 1 - size)}f}"
    return text.rstrip("0").rstrip(".") if "." in text else text


def show(value: float | None, unit: str, system: str = "metric", digits: int = 3) -> str:
    """A stored value for people: "1.2 kA", "2.5 mΩ", "3.5 m"; in the US system lengths in feet and inches.

    `None` is "not known". Raises `UnitError` for a unit there is not.
    """
    if value is None:
        return _("not known")
    known = UNITS.get(unit)
    if known is None:
        raise UnitError(_("there is no unit {unit!r}").format(unit=unit))
    if system == "US" and unit in ("m", "mm"):
        return _feet(value / (0.0254 if unit == "m" else 25.4), digits)
    prefix = ""
    if known.prefixes and math.isfinite(value):
        value, prefix = _prefixed(value, known, digits)
    return f"{number(value, digits)} {prefix}{known.sign}".rstrip()


def _prefixed(value: float, known: Unit, digits: int) -> tuple[float, str]:
    """Value and prefix: k from 1000 up, M from a million; m below 0.1 (ohm: below 1), µ below 0.0001."""
    size = abs(float(f"{value:.{max(digits - 1, 0)}e}"))  # as it will read once rounded
    for prefix, low in (("M", 1e6), ("k", 1e3)):
        if prefix in known.prefixes and size >= low:
            return value / low, prefix
    small = 1.0 if known.sign == "Ω" else 0.1
    for prefix, high, times in (("µ", 1e-4, 1e6), ("m", small, 1e3)):
        if prefix in known.prefixes and 0 < size < high:
            return value * times, prefix
    return value, ""


def _feet(inches: float, digits: int) -> str:
    """Under two feet in inches, above in feet and inches to a tenth."""
    if not math.isfinite(inches) or abs(inches) < 23.95:
        return f"{number(inches, digits)} in"
    feet, tenths = divmod(round(abs(inches) * 10), 120)
    sign = "-" if inches < 0 else ""
    return f"{sign}{feet} ft {number(tenths / 10)} in" if tenths else f"{sign}{feet} ft"
