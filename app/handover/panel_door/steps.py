"""The steps of the cards: in an emergency, past a converter that has failed, when a battery has shut itself off.

What is done comes from the circuit (`mains.all_off`, the orders of switching, the battery card). The two sentences
that lead in an emergency are common practice, no source.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import NamedTuple

from app.figures.battery_off import Line, cut_inverter
from app.figures.isolation_report import short_deed
from app.figures.order_report import called, deed, where
from app.handover.panel_door.mains import Emergency
from app.handover.panel_door.names import few, name, said, short
from app.handover.panel_door.tables import conditions
from engine.circuit.flow.operating import positions_in
from engine.circuit.switching.orders import order
from engine.circuit.switching.results import MakeDead, Order, Step
from engine.installation.model import Snapshot
from engine.pausing import pause
from engine.study import Study
from engine.words import _

__all__ = ["Ordered", "Told", "bypass_orders", "emergency", "inverters", "order_steps"]


class Told(NamedTuple):
    """A step: what is done, what explains it, the equipment it is done at."""

    deed: str
    about: tuple[str, ...] = ()
    item: str = ""


class Ordered(NamedTuple):
    """Orders past units that can be gone round, and sentences on those for which there is none."""

    orders: tuple[Order, ...]
    gaps: tuple[str, ...]
    any_bypass: bool


def emergency(study: Study, found: Emergency) -> Iterator[Told]:
    """Everything off: machines, shore, batteries."""
    snapshot = study.snapshot
    stopped: set[str] = set()
    for act, sources in found.acts:
        item = act.item
        record = snapshot.equipment[item]
        machine = record.machine()
        about = [short(where(snapshot, item))]
        if act.kind == "stop" and machine is not None and machine.engine in snapshot.equipment:
            item = machine.engine
            about = [short(where(snapshot, item)), _("it turns {name}").format(name=said(snapshot, act.item))]
            if item in stopped:
                continue
            stopped.add(item)
        elif sources and item not in sources:
            about.append(_("cuts off {sources}").format(sources=few(snapshot, sources)))
        own = short(snapshot.equipment[item].designation)
        what = name(snapshot, item)
        if own and own != what:
            about.insert(0, own)
        done = short_deed(MakeDead(act.kind, act.item, act.position))
        yield Told(f"{what}: {done}", (", ".join(t for t in about if t),), act.item)


def inverters(study: Study) -> list[Line]:
    """How each inverter is cut from its battery."""
    return list(cut_inverter(study))


# -- bypass ---------------------------------------------------------------------------------------------------------
def bypass_orders(study: Study) -> Ordered:
    """There and back: from the condition least unlike it to each condition in which a unit is gone round."""
    snapshot = study.snapshot
    ways = study.bypasses
    orders: list[Order] = []
    gaps: list[str] = []
    known = conditions(snapshot).order
    stands = {item: positions_in(snapshot, item) for item in known}
    round_: dict[str, list[str]] = {}  # unit -> conditions that go round it
    for way in ways:
        told = round_.setdefault(way.unit, [])
        for item in known if way.positions else ():
            goes_round = all(stands[item].get(device) in allowed for device, allowed in way.positions)
            if goes_round and item not in told:
                told.append(item)
    for unit, those in sorted(round_.items(), key=lambda u: snapshot.name(u[0])):
        if not those:
            text = _("How {unit} is bypassed is not told: no operating condition of the drawing does it.")
            gaps.append(text.format(unit=said(snapshot, unit)))
        usual = [item for item in known if item not in those]
        for stop in those:
            if not usual:
                continue
            start = min(usual, key=lambda item: (_unlike(snapshot, stands, item, stop), known.index(item)))
            for a, b in ((start, stop), (stop, start)):
                pause()
                found = order(study, a, b)
                if (a, b) in [(each.start, each.stop) for each in orders]:
                    continue
                orders.append(found)
    for each in orders:
        if not each.found:
            gaps.append(
                _("From “{start}” to “{stop}” no safe order was found. {reason}").format(
                    start=short(snapshot.conditions[each.start].name),
                    stop=short(snapshot.conditions[each.stop].name),
                    reason=each.reason,
                )
            )
    return Ordered(tuple(each for each in orders if each.found), tuple(gaps), bool(ways))


def _unlike(snapshot: Snapshot, stands: dict[str, dict[str, str]], a: str, b: str) -> int:
    """How many switches and sources stand differently."""
    one, other = stands[a], stands[b]
    runs = set(snapshot.conditions[a].running) ^ set(snapshot.conditions[b].running)
    return sum(one[item] != other.get(item) for item in one) + 2 * len(runs)


def order_steps(snapshot: Snapshot, found: Order) -> Iterator[Told]:
    """The steps of an order."""
    for step in found.steps:
        yield _step(snapshot, step)


def _step(snapshot: Snapshot, step: Step) -> Told:
    record = snapshot.equipment[step.item]
    what = short(called(snapshot, step.item))
    own = [short(record.designation)] if short(record.designation) not in ("", what) else []
    if short(record.label).casefold() not in ("", what.casefold()):
        own.append(short(record.label))
    own.append(short(where(snapshot, step.item)))
    about = [", ".join(t for t in own if t)]
    if step.why:
        about.append(step.why)
    about += [_("See: {what}").format(what=text) for text in step.see]
    return Told(f"{what}: {deed(snapshot, step)}", tuple(about), step.item)
