"""Colours of insulation by the letters of IEC 60757, read from what people write.

Several colours on one core stand together in the standard's order (red with a blue stripe is RDBU); cores of a cable
are joined by ``+`` (BK+BU+GNYE). Green and yellow together only ever stand for protective earth.
"""

from __future__ import annotations

import re

from engine.words import N_

__all__ = ["COLOURS", "read_colours", "show_colours"]

# in the order of the standard, in which letters stand together (IEC 60757, secondary copy)
COLOURS: dict[str, str] = {
    "BK": N_("black"),
    "BN": N_("brown"),
    "RD": N_("red"),
    "OG": N_("orange"),
    "YE": N_("yellow"),
    "GN": N_("green"),
    "BU": N_("blue"),
    "VT": N_("violet"),
    "GY": N_("grey"),
    "WH": N_("white"),
    "PK": N_("pink"),
    "GD": N_("gold"),
    "TQ": N_("turquoise"),
    "SR": N_("silver"),
}
OTHERS = {"purple": "VT", "gray": "GY", "tan": "BN", "light blue": "BU", "dark blue": "BU", "dark grey": "GY"}
NAMES = {name: code for code, name in COLOURS.items()} | OTHERS
ORDER = list(COLOURS)


def read_colours(text: str) -> tuple[str, ...] | None:
    """The cores of a cable as codes (`("BN", "BU", "GNYE")`), `None` where a word of it is no colour.

    Cores are parted by ``+``, ``,`` or ``;``; the colours of one core by ``/``, ``-``, spaces, "with", "stripe".
    """
    cores = []
    for part in re.split(r"[+,;]", text):
        core = _core(part)
        if core is None:
            return None
        cores.append(core)
    return tuple(cores)


def _core(text: str) -> str | None:
    low = re.sub(r"\b(with|stripe[sd]?|and|tracer)\b", " ", text.strip().lower())
    found: list[str] = []
    for name in sorted(NAMES, key=len, reverse=True):
        if re.search(rf"\b{name}\b", low):
            found.append(NAMES[name])
            low = re.sub(rf"\b{name}\b", " ", low)
    rest = re.sub(r"[/\s_-]+", "", low).upper()
    while rest:
        if rest[:2] not in COLOURS:
            return None
        found.append(rest[:2])
        rest = rest[2:]
    made = "".join(sorted(dict.fromkeys(found), key=ORDER.index))
    return ("GNYE" if made == "YEGN" else made) or None  # the one exception to the order


def show_colours(cores: tuple[str, ...]) -> str:
    """Codes as the standard writes them: `BN+BU+GNYE`."""
    return "+".join(cores)
