"""What may stand in a word that is no free text: positions of that switch, terminals of that piece, rules, books.

Of records that any kind of equipment shares; nothing here knows a kind.
"""

from __future__ import annotations

import functools
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING, Any, NamedTuple

from app.drawing.whole.voltage_systems import nominal_offers
from app.window.entries import title_of
from engine.books import book_names, files_beside
from engine.equipment.base import Equipment
from engine.installation.model import Snapshot
from engine.installation.records import End, Held, Setting, Settings, Waiver
from engine.installation.surveying import Deficiency, Inspection, Reading
from engine.record import FieldSpec
from engine.words import _

if TYPE_CHECKING:
    from app.window.particulars.state import State

__all__ = ["Offer", "is_offered", "offered_volts", "offers"]

# fields of a nominal voltage, and of which kind
_NOMINAL = {"dc_v": "DC", "ac_v": "AC", "in_v": "", "out_v": ""}


class Offer(NamedTuple):
    """One of the values a field may take, and how it reads."""

    value: Any
    text: str


def offers(
    owner: Any, spec: FieldSpec, snapshot: Snapshot, run: str = "", folder: Path | None = None
) -> tuple[Offer, ...] | None:
    """The values a word of `owner` may take, `None` where any text may stand.

    `run` is the run an end belongs to; `folder` is where the drawing is kept: a yard's own books stand there.
    """
    for cls, name, make in _OFFERED:
        if spec.name == name and isinstance(owner, cls):
            made = make(owner, snapshot, run)
            if name == "book":
                there = {offer.value for offer in made}
                made += tuple(Offer(file, file) for file in files_beside(folder) if file not in there)
            return made
    return None


def offered_volts(state: State) -> tuple[str, ...]:
    """What a nominal voltage may be by the systems the drawing declares; nothing for any other field."""
    kind = _NOMINAL.get(state.spec.name)
    if kind is None or not isinstance(state.owner, Equipment) or state.spec.fact.unit != "V":
        return ()
    settings = state.reading.snapshot.settings
    return tuple(state.reading.text(state.spec, volts) for volts, _words in nominal_offers(settings, kind))


def is_offered(cls: type, spec: FieldSpec) -> bool:
    """Whether a word of records of `cls` is chosen rather than typed."""
    return _is_offered(cls, spec.name)


@functools.cache
def _is_offered(cls: type, field: str) -> bool:
    return any(field == name and issubclass(cls, of) for of, name, _make in _OFFERED)


def _positions(owner: Any, snapshot: Snapshot, run: str) -> tuple[Offer, ...]:
    every = owner.positions()
    if not every:
        return ()
    usual = _("as usual: {position}").format(position=owner.normal_position())
    return (Offer("", usual), *(Offer(p, p) for p in every))


def _positions_there(owner: Any, snapshot: Snapshot, run: str) -> tuple[Offer, ...]:
    switch = snapshot.equipment.get(owner.equipment)
    return tuple(Offer(p, p) for p in switch.positions()) if switch is not None else ()


def _terminals(owner: Any, snapshot: Snapshot, run: str) -> tuple[Offer, ...]:
    there = snapshot.equipment.get(owner.equipment)
    if there is None:
        return ()
    taken: dict[str, list[str]] = {}
    for item, other in snapshot.runs.items():
        for end in (other.from_end, other.to_end):
            if end.equipment == owner.equipment and item != run:
                taken.setdefault(end.terminal, []).append(title_of(snapshot, "runs", item))
    found = []
    for terminal in there.terminals():
        others = taken.get(terminal.name, [])
        text = terminal.name
        if others:
            text = _("{terminal} (with {others})").format(terminal=text, others=", ".join(others[:3]))
        found.append(Offer(terminal.name, text))
    return tuple(found)


def _books(owner: Any, snapshot: Snapshot, run: str) -> tuple[Offer, ...]:
    named = book_names()
    every = named if owner.book in named else (*named, owner.book)
    return tuple(Offer(name, name) for name in every)


def _rules(owner: Any, snapshot: Snapshot, run: str) -> tuple[Offer, ...]:
    from engine.rules import rules  # every rule is imported for it

    slugs = sorted(rules())
    every = slugs if owner.rule in slugs else [owner.rule, *slugs]
    return tuple(Offer(slug, slug or _("not recorded")) for slug in every)


def _anything(owner: Any, snapshot: Snapshot, run: str) -> tuple[Offer, ...]:
    found = [Offer("", _("not recorded"))]
    for table in ("equipment", "runs", "sheets"):
        found += [Offer(item, title_of(snapshot, table, item)) for item in snapshot.tables[table]]
    if all(offer.value != owner.at for offer in found):
        found.append(Offer(owner.at, owner.at))
    return tuple(found)


_OFFERED: tuple[tuple[type, str, Callable[[Any, Snapshot, str], tuple[Offer, ...]]], ...] = (
    (Equipment, "in_position", _positions),
    (Setting, "position", _positions_there),
    (Held, "positions", _positions_there),
    (End, "terminal", _terminals),
    (Settings, "book", _books),
    (Waiver, "rule", _rules),
    (Deficiency, "at", _anything),
    (Inspection, "at", _anything),
    (Reading, "at", _anything),
)
