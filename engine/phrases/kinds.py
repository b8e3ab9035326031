"""Kinds of equipment by what people call them: words of the name, the letter, other words of the trade."""

from __future__ import annotations

import re
import sys
from functools import cache
from typing import NamedTuple

from engine.equipment import FAMILIES, kinds
from engine.words import N_, _

__all__ = ["FAMILY_NAMES", "Entry", "entries", "matching", "rank", "words_of"]

FAMILY_NAMES = {
    "storage": N_("Storage"),
    "generation": N_("Generation"),
    "shore": N_("Shore"),
    "conversion": N_("Conversion"),
    "protection": N_("Protection"),
    "switching": N_("Switching"),
    "distribution": N_("Distribution"),
    "measurement": N_("Measurement"),
    "consumption": N_("Consumption"),
    "earthing": N_("Earthing and bonding"),
}
# what people also call it; words to type, never shown
_ALSO = {
    "battery_bank": N_("batteries accumulator cells"),
    "battery_management": N_("bms"),
    "battery_switch": N_("isolator disconnect disconnector master"),
    "bus_bar": N_("busbar rail"),
    "changeover": N_("transfer source selection"),
    "charger": N_("battery charging"),
    "charging_relay": N_("vsr combiner split charge"),
    "circuit_breaker": N_("mcb mccb trip"),
    "combined_inverter": N_("split phase legs"),
    "contactor": N_("relay solenoid"),
    "dc_dc_converter": N_("dcdc step up down"),
    "diode_isolator": N_("splitter split charge"),
    "earth_point": N_("ground plate hull"),
    "engine": N_("block"),
    "galvanic_isolator": N_("zinc saver"),
    "generator": N_("genset"),
    "insulation_monitor": N_("imd earth leakage"),
    "inverter_charger": N_("combined"),
    "junction": N_("splice tap tee joint"),
    "load": N_("consumer lamp light heater fridge radio electronics instrument appliance panel"),
    "meter": N_("voltmeter ammeter battery monitor gauge"),
    "motor": N_("pump windlass thruster winch starter fan blower"),
    "open_end": N_("loose end"),
    "remote_battery_switch": N_("isolator disconnect master emergency"),
    "residual_current_device": N_("rcd rcbo gfci elci earth leakage ground fault"),
    "selector": N_("one two both"),
    "shore_inlet": N_("plug"),
    "shore_supply": N_("pedestal pontoon dock"),
    "socket_outlet": N_("receptacle power point usb"),
    "solar_array": N_("panel module pv photovoltaic"),
    "solar_controller": N_("mppt pwm regulator"),
    "surge_absorber": N_("load dump"),
    "surge_protection": N_("spd lightning arrester"),
    "switching_module": N_("digital switching channels"),
    "terminal": N_("stud post block"),
    "wind_hydro": N_("turbine hydro towed"),
}


class Entry(NamedTuple):
    """A kind as it is looked for."""

    kind: str
    name: str
    letters: tuple[str, ...]
    family: str
    gloss: str  # what it is, in one sentence
    named: tuple[str, ...]  # words of the name and of the name in files
    also: tuple[str, ...]
    told: tuple[str, ...]  # words of the gloss


def words_of(text: str) -> tuple[str, ...]:
    """The words of a text, small."""
    return tuple(re.findall(r"\w+", text.casefold().replace("_", " ")))


def _gloss(cls: type) -> str:
    """The first sentence of the file that holds the kind, without what it goes on to say."""
    doc = (sys.modules[cls.__module__].__doc__ or "").strip()
    return " ".join(doc.split("\n\n")[0].replace("`", "").split())


@cache
def _entries(_language_marker: str) -> tuple[Entry, ...]:
    made = []
    for kind, cls in kinds().items():
        family = cls.__module__.split(".")[-2]
        name, gloss = _(cls.NAME), _gloss(cls)
        also = words_of(_(_ALSO[kind])) if kind in _ALSO else ()
        named = tuple(dict.fromkeys((*words_of(name), *words_of(kind))))
        made.append(Entry(kind, name, cls.LETTERS, family, gloss, named, also, words_of(gloss)))
    return tuple(sorted(made, key=lambda e: (FAMILIES.index(e.family), e.name.casefold())))


def entries() -> tuple[Entry, ...]:
    """Every kind, by family and name, in the language in use."""
    return _entries(_("Storage"))  # made anew when the language is another


def rank(entry: Entry, word: str) -> int | None:
    """How well a word fits, 0 best; `None` where it does not."""
    key = (entry.kind, entry.name, word)
    if key not in _RANKS:
        if len(_RANKS) > 50_000:
            _RANKS.clear()
        _RANKS[key] = _rank(entry, word)
    return _RANKS[key]


_RANKS: dict[tuple[str, str, str], int | None] = {}  # asked again with every key that is pressed


def _rank(entry: Entry, word: str) -> int | None:
    if len(word) == 1:
        letters = [letter.casefold() for letter in entry.letters]
        if word in letters:
            return (0 if entry.named[0].startswith(word) else 1) + 2 * letters.index(word)
        return 4 if any(w.startswith(word) for w in entry.named) else None
    if word in entry.named or entry.named[0].startswith(word):
        return 0
    if any(w.startswith(word) for w in entry.named):
        return 1
    if any(w.startswith(word) for w in entry.also):
        return 2
    if any(w.startswith(word) for w in words_of(_(FAMILY_NAMES[entry.family]))):
        return 3
    if any(word in w for w in (*entry.named, *entry.also)):
        return 4
    return 5 if any(w.startswith(word) for w in entry.told) else None


def matching(text: str, recent: tuple[str, ...] = ()) -> list[str]:
    """Kinds that every typed word fits, the best first; of equals those lately used, then by family. All for ""."""
    words = words_of(text)
    if text.strip() and not words:
        return []
    found = []
    for n, entry in enumerate(entries()):
        ranks = [rank(entry, word) for word in words]
        if None not in ranks:
            used = recent.index(entry.kind) if words and entry.kind in recent else len(recent)
            found.append((sum(r for r in ranks if r is not None), used, n, entry.kind))
    return [kind for *_order, kind in sorted(found)]
