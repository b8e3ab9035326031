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
from engine.rules.wording import listed
from engine.study import Study
from engine.units import show
from engine.words import _, ngettext

__all__ = ["Ordered", "Told", "bypass_orders", "emergency", "inverters", "order_steps", "still_live"]


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
            if item in stopped:
                continue
            turned = [
                s for a, _cut in found.acts for s in [a.item] if a.kind == "stop" and _engine(snapshot, s) == item
            ]
            about = [short(where(snapshot, item)), _("it turns {name}").format(name=few(snapshot, turned, 8))]
            stopped.add(item)
        elif sources and item not in sources:
            about.append(_("cuts off {sources}").format(sources=few(snapshot, sources)))
        if act.kind == "stop" and getattr(record, "starting", "") == "automatic":
            about.append(_("it starts by itself: keep it from starting at its panel"))
        own = short(snapshot.equipment[item].designation)
        what = name(snapshot, item)
        if own and own != what:
            about.insert(0, own)
        done = short_deed(MakeDead(act.kind, act.item, act.position))
        yield Told(f"{what}: {done}", (", ".join(t for t in about if t),), act.item)


def _engine(snapshot: Snapshot, item: str) -> str:
    machine = snapshot.equipment[item].machine()
    return machine.engine if machine is not None else ""


def still_live(study: Study, found: Emergency) -> Iterator[str]:
    """What stays live after all steps, a sentence or two each: up to which switch, with what on it, which runs."""
    snapshot = study.snapshot
    for each in found.stays:
        sources = few(snapshot, each.sources, 8)
        if each.until == "unplugged":
            lead = _("Until the plug is pulled, live from {sources}").format(sources=sources)
        elif each.until == "stopped":
            engine = few(snapshot, [each.engine] if each.engine else each.sources, 8)
            lead = _("Until {engine} stands still, live from {sources}").format(engine=engine, sources=sources)
        elif any(snapshot.equipment[s].harvest() is not None for s in each.sources):
            lead = _("As long as the sun or wind gives, live from {sources}").format(sources=sources)
            if any(snapshot.equipment[s].store() is not None for s in each.sources):
                lead = _("Always live from {sources}").format(sources=sources)
        else:
            lead = _("Always live from {sources}").format(sources=sources)
        volts = [_("volts not recorded") if v is None else show(v, "V") for v in each.volts]
        if volts and all(snapshot.equipment[s].harvest() is not None for s in each.sources):
            volts[-1] = _("{volts} open, on the coldest day").format(volts=volts[-1]) if each.volts[-1] else volts[-1]
        told = f"{lead} ({', '.join(volts)})" if volts else lead
        if each.ends:
            told += ", " + _("up to {switches}").format(switches=listed([_at(snapshot, i) for i in each.ends]))
        parts = [_at(snapshot, i) for i in each.parts]
        what = [*parts, *(said(snapshot, i) for i in each.loads)]
        if each.until == "stopped" and len(each.loads) > 3:  # a whole boat's worth, and soon over
            count = ngettext("{count} load", "{count} loads", len(each.loads))
            what = [*parts, count.format(count=len(each.loads))]
        if what:
            told += ": " + "; ".join(dict.fromkeys(what))
        told += "."
        if each.runs and each.until != "stopped":
            told += " " + _("Cables: {runs}.").format(
                runs=_ranges(list(dict.fromkeys(study.name(r) for r in each.runs)))
            )
        yield told


def _at(snapshot: Snapshot, item: str) -> str:
    """*HOUSE (Q1)*."""
    what, own = name(snapshot, item), short(snapshot.equipment[item].designation)
    return what if own in ("", what) else f"{what} ({own})"


def _ranges(names: list[str]) -> str:
    """*W1 to W3, W50*: three and more that follow each other are told by the first and the last."""
    parts: list[list[str]] = []
    for each in names:
        before = parts[-1][-1] if parts else ""
        if before and _next(before) == each:
            parts[-1].append(each)
        else:
            parts.append([each])
    told: list[str] = []
    for part in parts:
        if len(part) > 2:
            told.append(_("{first} to {last}").format(first=short(part[0]), last=short(part[-1])))
        else:
            told += [short(each) for each in part]
    return ", ".join(told)


def _next(text: str) -> str:
    """The designation that follows: *W4* of *W3*; `""` where it has no number."""
    stem = text.rstrip("0123456789")
    digits = text[len(stem) :]
    return f"{stem}{int(digits) + 1}" if digits.isascii() and digits and digits[0] != "0" else ""


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
