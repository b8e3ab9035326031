"""Systems in words and in order: direct current first, by volts, then alternating, then earth, then signals."""

from __future__ import annotations

import math

from engine.units import number
from engine.words import _

__all__ = ["of_lines", "system_key", "system_name"]

# names of three-phase systems, line to neutral and between lines; IEC 60038, from memory, not confirmed
_BETWEEN = {230.0: 400.0, 220.0: 380.0, 240.0: 415.0, 120.0: 208.0, 277.0: 480.0}
_ORDER = {"dc": 0, "ac": 1, "earth": 2, "signal": 3}


def of_lines(system: tuple[str, tuple[float, ...]], lines: int) -> tuple[str, tuple[float, ...]]:
    """A system as its volts are told where so many live conductors of it come together: *120/240 V*, *230/400 V*."""
    kind, volts = system
    if kind != "ac" or len(volts) != 1 or lines not in (2, 3):
        return system
    between = volts[0] * 2.0 if lines == 2 else _BETWEEN.get(volts[0], round(volts[0] * math.sqrt(3)))
    return kind, (volts[0], between)


def system_name(kind: str, volts: tuple[float, ...]) -> str | None:
    """*12 V DC*; *DC* where the volts are not known, `None` where nothing is."""
    if kind == "earth":
        return _("earth and bonding")
    if kind == "signal":
        return _("signal")
    if kind not in ("dc", "ac"):
        return None
    what = _("DC") if kind == "dc" else _("AC")
    if not volts:
        return _("{what}, volts not known").format(what=what)
    return f"{'/'.join(number(v) for v in volts)} V {what}"


def system_key(system: tuple[str, tuple[float, ...]]) -> tuple[int, bool, tuple[float, ...]]:
    """Sorts systems; what several share comes after them."""
    return _ORDER.get(system[0], 9), len(system[1]) > 1, system[1]
