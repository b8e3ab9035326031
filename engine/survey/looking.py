"""What there is to look at, from what a thing is, what the drawing says of it and what the book asks.

What no book says is common practice, no source.
"""

from __future__ import annotations

from typing import Any, NamedTuple

from engine.books import Book
from engine.equipment.base import Equipment
from engine.installation import Place, Run, Snapshot
from engine.installation.records import Enclosure, End
from engine.naming import title_of
from engine.units import show, show_size
from engine.words import N_, _

__all__ = ["look_at"]

_DRY_PLACES = ("petrol machinery", "battery", "LPG")  # where gas may gather
_COVERED = ("source", "protection", "switch", "bus")
_PLACE = N_("anything aboard that is not drawn, loose or cut conductors, damp, heat marks")
_MADE_FAST = N_("made fast, dry, no corrosion, no marks of heat")


class _Asked(NamedTuple):
    snapshot: Snapshot
    book: Book | None


def look_at(snapshot: Snapshot, book: Book | None, table: str, item: str, place: str = "") -> tuple[str, ...]:
    """Phrases, the first to be looked at first. `place`: of a run, the place it is looked at in; "" all of it."""
    record: Any = snapshot.tables[table][item]
    asked = _Asked(snapshot, book)
    if table == "places":
        return _of_place(record)
    if table == "enclosures":
        return _of_enclosure(asked, item, record)
    if table == "runs":
        return _of_run(asked, item, record, place)
    return _of_equipment(asked, item, record)


def _of_place(place: Place) -> tuple[str, ...]:
    told = [_(_PLACE)]
    if place.kind == "battery":
        told.append(_("ventilation of the battery space from its highest point"))
    if place.kind in ("petrol machinery", "LPG"):
        told.append(_("ventilation, and nothing that may spark"))
    return tuple(told)


def _of_enclosure(asked: _Asked, item: str, enclosure: Enclosure) -> tuple[str, ...]:
    told = [_(_MADE_FAST), _("cover closes, unused openings shut, no live part within reach")]
    if enclosure.legend or enclosure.rows:
        told.append(_("every way labelled as drawn"))
    sign = enclosure.several_sources_sign
    if sign or (sign is None and asked.book is not None and asked.book.has("no-several-sources-sign")):
        told.append(_("the sign that several sources feed it"))
    return tuple(told)


def _of_equipment(asked: _Asked, item: str, record: Equipment) -> tuple[str, ...]:
    told = [_(_MADE_FAST)]
    told += _ratings(record)
    told += _covering(record)
    store, shore, metal = record.store(), record.ashore(), record.touchable()
    if store is not None:
        told.append(_("held against all movement, vents clear, no swelling, nothing loose above it"))
    if record.converter() is not None or record.conversions():
        told.append(_("air about it free, out of the gas and spray of batteries"))
    if record.residual() is not None:
        told.append(_("opens by its test button"))
    if record.positions() and not record.AUTOMATIC:
        told.append(_("moves to every position, each is marked"))
    if shore is not None:
        told.append(_("pins and cover sound, no marks of burning, warning label"))
    if metal is not None and metal.is_socket:
        told.append(_("polarity and earth contact"))
    elif metal is not None and metal.metal is not False and metal.terminals:
        told.append(_("earth conductor tight on its metal"))
    if record.blocks_corrosion():
        told.append(_("its indicator, where it has one"))
    if record.ROLE == "earth":
        told.append(_("clean metal, tight, not painted"))
    if _gas(asked.snapshot, record) and record.SPARKS:
        told.append(_("marked as ignition protected"))
    if record.designation:
        told.append(_("marked {name}").format(name=record.designation))
    return tuple(told)


def _ratings(record: Equipment) -> list[str]:
    trip = record.trip()
    if trip is None:
        return []
    if trip.rating_a is None:
        return [_("rating and class on the device, to be written down")]
    return [_("{rating} on the device itself").format(rating=show(trip.rating_a, "A"))]


def _covering(record: Equipment) -> list[str]:
    if record.covered:
        return [_("live studs booted or covered, as drawn")]
    stud = any(record.terminals_on(terminal.name)[1] for terminal in record.terminals())
    return [_("live studs booted or covered")] if stud and record.ROLE in _COVERED else []


def _gas(snapshot: Snapshot, record: Equipment) -> bool:
    enclosure = snapshot.enclosures.get(record.enclosure)
    place = snapshot.places.get(record.place or (enclosure.place if enclosure is not None else ""))
    return place is not None and place.kind in _DRY_PLACES


def _of_run(asked: _Asked, item: str, run: Run, place: str) -> tuple[str, ...]:
    snapshot = asked.snapshot
    told: list[str] = []
    for end in (run.from_end, run.to_end):
        if not place or _place_of(snapshot, end.equipment) == place:
            told.append(_end_words(snapshot, end))
    if run.size:
        told.append(_("{size} printed on it").format(size=show_size(run.size)))
    if not place or any(passage.place == place for passage in run.places) or not run.places:
        told += _passage_words(asked, run)
    return tuple(told)


def _end_words(snapshot: Snapshot, end: End) -> str:
    at = f"{title_of(snapshot, 'equipment', end.equipment)} {end.terminal}"
    if end.torque_nm is not None:
        return _("at {terminal}: fitting sound, tightened to {torque}").format(
            terminal=at, torque=show(end.torque_nm, "Nm")
        )
    return _("at {terminal}: fitting sound, tight").format(terminal=at)


def _passage_words(asked: _Asked, run: Run) -> list[str]:
    every = asked.book.limit("missing-support", "every_m") if asked.book is not None else None
    told = [
        _("supported every {length}").format(length=every.text or show(every.value, "m"))
        if every is not None
        else _("supported, no weight on its ends"),
        _("no chafe where it passes through or over anything"),
    ]
    if run.is_ac():
        told.append(_("kept apart from direct current"))
    if run.insulation_c is None and run.function not in ("signal", "bonding"):
        told.append(_("type and temperature class printed on it, to be written down"))
    return told


def _place_of(snapshot: Snapshot, item: str) -> str:
    record = snapshot.equipment.get(item)
    if record is None:
        return ""
    enclosure = snapshot.enclosures.get(record.enclosure)
    return record.place or (enclosure.place if enclosure is not None else "")
