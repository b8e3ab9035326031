"""Words that several rules share: switch positions, operating conditions, systems."""

from __future__ import annotations

from collections.abc import Container, Iterable
from typing import Protocol

from engine.installation.model import Snapshot
from engine.naming import natural
from engine.study import Study
from engine.units import number
from engine.words import _, inward

__all__ = [
    "Namer",
    "conditions_with",
    "hundredths",
    "in_condition",
    "in_operation",
    "listed",
    "named",
    "positions_in_words",
]

Positions = Iterable[tuple[str, tuple[str, ...]]]


class Namer(Protocol):
    """What knows a drawing and calls its things by name: a study, or less than one."""

    @property
    def snapshot(self) -> Snapshot:
        """The drawing."""

    def name(self, item: str) -> str:
        """Designation of equipment or run."""


def in_operation(condition: str, name: str) -> str:
    """*in At anchor*, or *as drawn, with every load on* where no operating condition is meant."""
    return _("in {condition}").format(condition=name) if condition else _("as drawn, with every load on")


def hundredths(value: float) -> str:
    """A figure to 0.01."""
    return number(round(value, 2), 8)


def named(study: Namer, item: str) -> str:
    """A piece of equipment for people: designation, then its label or kind: *G2 (generator)*."""
    record = study.snapshot.equipment[item]
    what = record.label or inward(_(record.NAME))
    name = study.name(item)
    return f"{name} ({what})" if what else name


def listed(names: list[str]) -> str:
    """*A*, *A and B*, *A, B and C*."""
    if len(names) < 2:
        return "".join(names)
    return _("{first} and {last}").format(first=", ".join(names[:-1]), last=names[-1])


def positions_in_words(study: Namer, positions: Positions, automatic: Container[str] = ()) -> str:
    """*Q1 closed, S1 in 1 or both, T1 in pass by itself*, by designation; what a controller moves is marked."""
    parts = []
    for item, allowed in sorted(positions, key=lambda each: natural(study.name(each[0]))):
        if set(allowed) <= {"open", "closed"}:
            text = f"{study.name(item)} {_(' or ').join(_(p) for p in allowed)}"
        else:
            text = _("{name} in {positions}").format(name=study.name(item), positions=_(" or ").join(allowed))
        parts.append(_("{text} by itself").format(text=text) if item in automatic else text)
    return ", ".join(parts)


def conditions_with(study: Study, positions: Positions, automatic: Container[str] = ()) -> tuple[str, ...]:
    """Names of the operating conditions in which every device stands as `positions` say.

    What a controller moves may stand anywhere in any condition.
    """
    wanted = [(item, allowed) for item, allowed in positions if item not in automatic]
    if not wanted:
        return ()
    equipment = study.snapshot.equipment
    found = []
    for item, condition in study.snapshot.conditions.items():
        stands = {s.equipment: s.position for s in condition.settings}
        if all(stands.get(device, equipment[device].drawn_position()) in allowed for device, allowed in wanted):
            found.append((condition.order, condition.name, item))
    return tuple(name for _order, name, _item in sorted(found))


def in_condition(study: Study, positions: Positions, automatic: Container[str] = ()) -> str:
    """The condition of a finding: operating conditions it holds in, then the positions that make it true."""
    positions = tuple(positions)
    if not positions:
        return _("in every switch position")
    words = positions_in_words(study, positions, automatic)
    names = conditions_with(study, positions, automatic)
    return f"{', '.join(names)}: {words}" if names else words
