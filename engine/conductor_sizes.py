"""Conductor sizes: "2/0 AWG", "35 mm2". Reached through `engine.units`."""

from __future__ import annotations

import functools
import math
import re

from engine.unit_table import UnitError, short, tidy
from engine.words import _, decimal_sign

__all__ = ["AWG_SIZES", "METRIC_SIZES", "area_mm2", "read_size", "show_size"]

AWG_SIZES = (
    *(f"{n} AWG" for n in (24, 22, 20, 18, 16, 14, 12, 10, 8, 6, 4, 3, 2, 1)),
    *(f"{n}/0 AWG" for n in (1, 2, 3, 4)),
)
# nominal areas of IEC 60228 from 0.5 mm2
METRIC_SIZES = tuple(
    f"{area} mm2"
    for area in (
        *("0.5", "0.75", "1", "1.5", "2.5", "4", "6", "10", "16", "25", "35", "50"),
        *("70", "95", "120", "150", "185", "240", "300", "400", "500", "630"),
    )
)
_GAUGE = re.compile(r"(?:awg ?#?|#|no\.? ?)([\d/]+)|#?([\d/]+) ?(?:awg|ga\.?|gauge)|#([\d/]+) ?awg", re.ASCII)
_SQUARE = re.compile(r"([\d.,]+) ?(?:mm2|mm²|mm\^2|sq\.? ?mm)", re.ASCII)
_BARE = re.compile(r"[\d.,/]+", re.ASCII)


@functools.lru_cache(maxsize=4096)
def read_size(text: str, series: str = "") -> str:
    """A conductor size as files store it, "2/0 AWG" or "35 mm2", from the ways people write it.

    `series` ("AWG" or "mm2") decides a bare number, where a column heading says so. Otherwise a bare number is read
    only when a single one of the two series has it: "12" and "35" are; "10", "16", "6", "4" and "1" are refused.
    Raises `UnitError`.
    """
    low = tidy(text).lower()
    if found := _GAUGE.fullmatch(low):
        return _gauge(found[1] or found[2] or found[3], text)
    if found := _SQUARE.fullmatch(low):
        return _square(found[1], text)
    if _BARE.fullmatch(low):
        if series == "AWG" or "/" in low or re.fullmatch("0{1,4}", low):
            return _gauge(low, text)
        if series == "mm2":
            return _square(low, text)
        awg, metric = f"{low} AWG", f"{low.replace(',', '.')} mm2"
        in_awg, in_metric = awg in AWG_SIZES, metric in METRIC_SIZES
        if in_awg and in_metric:
            raise UnitError(
                _("{text} can be {awg} or {metric}: write which").format(text=short(text), awg=awg, metric=metric)
            )
        if in_awg or in_metric:
            return awg if in_awg else metric
    raise _no_size(text)


def _gauge(digits: str, text: str) -> str:
    if re.fullmatch("0{1,4}", digits):
        return f"{len(digits)}/0 AWG"
    if re.fullmatch("[1-4]/0", digits):
        return f"{digits} AWG"
    if re.fullmatch("[1-9][0-9]?", digits) and int(digits) <= 40:
        return f"{digits} AWG"
    raise _no_size(text)


def _square(digits: str, text: str) -> str:
    if not re.fullmatch(r"[0-9]{1,4}(?:[.,][0-9]{1,4})?", digits):
        raise _no_size(text)
    area = float(digits.replace(",", "."))
    if not 0.01 <= area <= 2000:
        raise _no_size(text)
    return f"{area:.10g} mm2"


def _no_size(text: str) -> UnitError:
    return UnitError(_("expected a conductor size such as 2/0 AWG or 35 mm2, found {text}").format(text=short(text)))


@functools.lru_cache(maxsize=1024)
def area_mm2(size: str) -> float:
    """Area of a conductor size, mm2. AWG: a round wire of d = 0.127 mm x 92^((36-n)/39) (ASTM B258); metric: nominal.

    Raises `UnitError`.
    """
    digits, _space, series = read_size(size).partition(" ")
    if series == "mm2":
        return float(digits)
    gauge = 1 - int(digits[0]) if digits.endswith("/0") else int(digits)
    diameter: float = 0.127 * 92 ** ((36 - gauge) / 39)
    return math.pi / 4 * diameter**2


def show_size(size: str) -> str:
    """A stored conductor size for people: "35 mm²", "2/0 AWG", or "not known"."""
    if not size:
        return _("not known")
    return f"{size[:-3].replace('.', decimal_sign())}mm²" if size.endswith("mm2") else size
