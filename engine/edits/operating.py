"""Moving a switch, as drawn or in an operating condition, as far as the interlocks let it."""

from __future__ import annotations

from typing import NamedTuple

import msgspec

from engine.edits.edit import Edit, EditError, Put, SetFields
from engine.equipment.base import Equipment
from engine.installation.model import Snapshot
from engine.installation.records import Interlock, Setting
from engine.words import N_, _

__all__ = ["Operated", "operate", "positions_in"]


class Operated(NamedTuple):
    """The edit that moves the switch, or `None` and why it does not move."""

    edit: Edit | None
    why: str = ""


_MOVES = {"closed": N_("Close {name}"), "open": N_("Open {name}")}
_STAYS = {"closed": N_("{name} does not close"), "open": N_("{name} does not open")}
_COUNTS = (N_("none"), N_("one"), N_("two"), N_("three"), N_("four"), N_("five"))


def positions_in(snapshot: Snapshot, condition: str) -> dict[str, str]:
    """Where everything that has positions stands in a condition, `""` as drawn: equipment id -> position.

    Raises `EditError` where there is no such condition.
    """
    made = {item: record.drawn_position() for item, record in snapshot.equipment.items() if record.positions()}
    if condition:
        if condition not in snapshot.conditions:
            raise EditError(_("There is no operating condition {id!r}.").format(id=condition))
        made |= {s.equipment: s.position for s in snapshot.conditions[condition].settings if s.equipment in made}
    return made


def operate(snapshot: Snapshot, equipment: str, condition: str, position: str | None = None) -> Operated:
    """Move a switch to `position`, or to the next one in the order of its positions.

    It passes only where its own mechanism lets it, and never through what an interlock forbids; a move that leaves an
    interlock no worse than it is goes. Raises `EditError` where there is no such equipment or condition.
    """
    record = snapshot.equipment.get(equipment)
    if record is None:
        raise EditError(_("There is no equipment {id!r}.").format(id=equipment))
    standing = positions_in(snapshot, condition)
    name = snapshot.name(equipment)
    every = record.positions()
    if not every:
        return Operated(None, _("{name} has no positions: it is not a switch.").format(name=name))
    now = standing[equipment]
    if position is None:
        position = every[(every.index(now) + 1) % len(every)]
    if position not in every:
        text = _("{name} has no position “{wanted}”: it has {has}.")
        return Operated(None, text.format(name=name, wanted=position, has=", ".join(every)))
    if position == now:
        return Operated(None, _("{name} is {position} already.").format(name=name, position=_(position)))
    why = _barred(snapshot, equipment, record, standing, position)
    if why:
        return Operated(None, why)
    return Operated(_edit(snapshot, equipment, record, condition, position))


def _barred(snapshot: Snapshot, equipment: str, record: Equipment, standing: dict[str, str], wanted: str) -> str:
    """Why a switch does not come to a position, `""` where it does."""
    forbidden: dict[str, Interlock] = {}
    before = {item: _holding(lock, standing) for item, lock in snapshot.interlocks.items()}
    for to in record.positions():
        after = standing | {equipment: to}
        for item, lock in snapshot.interlocks.items():
            count = len(_holding(lock, after))
            if count > lock.at_most and count > len(before[item]):
                forbidden.setdefault(to, lock)
    name = snapshot.name(equipment)
    if wanted in forbidden:
        return _sentence(snapshot, equipment, wanted, forbidden[wanted], standing)
    ways = record.moves()
    reached, free = {standing[equipment]}, {standing[equipment]}
    for _step in record.positions():
        reached |= {b for a, b in ways if a in reached}
        free |= {b for a, b in ways if a in free and b not in forbidden}
    if wanted in free:
        return ""
    if wanted not in reached:
        text = _("{name} does not pass from {now} to {wanted}.")
        return text.format(name=name, now=_(standing[equipment]), wanted=_(wanted))
    between = next(p for p in record.positions() if p in forbidden)
    text = _("{name} does not reach {wanted}: its way leads through {between}.")
    return " ".join(
        (
            text.format(name=name, wanted=_(wanted), between=_(between)),
            _sentence(snapshot, equipment, between, forbidden[between], standing),
        )
    )


def _holding(lock: Interlock, standing: dict[str, str]) -> list[str]:
    return [held.equipment for held in lock.held if standing.get(held.equipment, "") in held.positions]


def _sentence(snapshot: Snapshot, equipment: str, wanted: str, lock: Interlock, standing: dict[str, str]) -> str:
    """*Q3 does not close: interlock “bypass” (mechanical) allows one of Q2 closed and Q3 closed, and Q2 is closed.*"""
    stays = _STAYS.get(wanted, N_("{name} does not move to {position}"))
    counted = [
        _("{name} {positions}").format(
            name=snapshot.name(held.equipment), positions=_(" or ").join(_(p) for p in held.positions)
        )
        for held in lock.held
    ]
    holding = [
        _("{name} is {position}").format(name=snapshot.name(item), position=_(standing[item]))
        for item in _holding(lock, standing)
        if item != equipment
    ]
    named = _("interlock “{name}” ({kind})") if lock.name else _("an interlock ({kind})")
    many = _(_COUNTS[lock.at_most]) if lock.at_most < len(_COUNTS) else str(lock.at_most)
    if holding:
        text = _("{stays}: {lock} allows {many} of {counted}, and {holding}.")
    else:
        text = _("{stays}: {lock} allows {many} of {counted}.")
    return text.format(
        stays=_(stays).format(name=snapshot.name(equipment), position=_(wanted)),
        lock=named.format(name=lock.name, kind=_(lock.kind)),
        many=many,
        counted=_list(counted),
        holding=_list(holding),
    )


def _list(texts: list[str]) -> str:
    if len(texts) < 2:
        return "".join(texts)
    return _("{most} and {last}").format(most=", ".join(texts[:-1]), last=texts[-1])


def _edit(snapshot: Snapshot, equipment: str, record: Equipment, condition: str, position: str) -> Edit:
    words = _(_MOVES.get(position, N_("Move {name} to {position}"))).format(
        name=snapshot.name(equipment), position=_(position)
    )
    if not condition:
        return SetFields("equipment", equipment, (("in_position", position),), words)
    settings = list(snapshot.conditions[condition].settings)
    at = next((n for n, s in enumerate(settings) if s.equipment == equipment), len(settings))
    kept = [s for s in settings if s.equipment != equipment]
    if position != record.drawn_position():
        kept.insert(at, Setting(equipment=equipment, position=position))
    changed = msgspec.structs.replace(snapshot.conditions[condition], settings=tuple(kept))
    words = _("{words}, {condition}").format(words=words, condition=snapshot.name(condition))
    return Put("conditions", condition, changed, words)
