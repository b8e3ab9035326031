"""An order as steps, each with what must be seen before the next; the reason why there is none, in sentences."""

from __future__ import annotations

import itertools
from collections.abc import Iterator, Sequence

from engine.circuit.switching._dangers import Fault
from engine.circuit.switching._hands import OFF, ON, RUNS, STANDS, Hands, State, Thing
from engine.circuit.switching._moving import Block, Moving
from engine.circuit.switching.results import Step
from engine.study import Study
from engine.words import _

__all__ = ["reason", "steps", "unsafe"]

MOST_TOLD = 3  # obstacles


def steps(study: Study, hands: Hands, moving: Moving, states: Sequence[State]) -> tuple[Step, ...]:
    """One step a state after the first."""
    made = []
    for number, (before, after) in enumerate(itertools.pairwise(states)):
        n = next(i for i, (a, b) in enumerate(zip(before, after, strict=True)) if a != b)
        thing = hands.things[n]
        kind = {"switch": "switch", RUNS: "start", ON: "start"}.get(
            thing.kind if thing.kind == "switch" else after[n], "stop"
        )
        upcoming = _next(hands, states, number + 1)
        made.append(
            Step(
                kind=kind,  # type: ignore[arg-type]
                item=thing.item,
                before=before[n],
                after=after[n],
                why=_why(thing, after[n], hands, states, number),
                see=tuple(dict.fromkeys(_see(study, hands, moving, thing, before, after, upcoming))),
                by_itself=tuple(_relays(study, hands, moving, before, after)),
            )
        )
    return tuple(made)


def _next(hands: Hands, states: Sequence[State], number: int) -> Thing | None:
    if number + 1 >= len(states):
        return None
    before, after = states[number], states[number + 1]
    return next(hands.things[i] for i, (a, b) in enumerate(zip(before, after, strict=True)) if a != b)


def _why(thing: Thing, after: str, hands: Hands, states: Sequence[State], number: int) -> str:
    """What is moved only for a while says so."""
    n = hands.number[thing.item]
    if thing.start == thing.stop:
        back = any(state[n] != after for state in states[number + 2 :])
        if after != thing.stop or back:
            return _("for the change only: put back later")
        return _("put back as it was")
    return ""


def _see(
    study: Study, hands: Hands, moving: Moving, thing: Thing, before: State, after: State, upcoming: Thing | None
) -> Iterator[str]:
    """What must be seen after a step, before the next."""
    n = hands.number[thing.item]
    equipment = study.snapshot.equipment
    if thing.kind == "source":
        ashore = any(equipment[item].ashore() is not None for item in thing.members)
        if after[n] == RUNS:
            if ashore:
                yield _("the shore lamp or voltmeter shows volts, and no reversed polarity")
            elif any(equipment[item].WITH_ENGINE for item in thing.members):
                yield _("the engine runs, the charge lamp is out")
            else:
                yield _("it runs at speed, its voltmeter and frequency meter steady")
        else:
            yield _("the plug is out on shore or at the inlet") if ashore else _("it stands still")
    elif thing.kind == "unit":
        yield _("its lamps say off") if after[n] == OFF else _("its lamps say on, no alarm")
    elif {before[n], after[n]} == {"open", "closed"} and after[n] == "open":
        yield _("its handle fully at open")
    else:
        yield _("its handle fully at {position}").format(position=_(after[n]))
    yield from _comes_alive(study, hands, moving, before, after)
    for item, position in _relays(study, hands, moving, before, after):
        if position == "pass":
            yield _("{name} goes to pass by itself").format(name=_called(study, item))
        else:
            yield _("{name} goes to invert by itself").format(name=_called(study, item))
    if upcoming is not None and upcoming.kind == "switch" and upcoming.breaks_load is not True:
        yield _("no current in {name}: its ammeter, where it has one, at nil").format(
            name=_called(study, upcoming.item)
        )


def _comes_alive(study: Study, hands: Hands, moving: Moving, before: State, after: State) -> Iterator[str]:
    """Meters that get volts by the step."""
    fed, was = moving.safety.supplied(after), moving.safety.supplied(before)
    for item, record in study.snapshot.equipment.items():
        if record.ROLE == "meter" and item in fed and item not in was:
            yield _("{name} shows volts").format(name=_called(study, item))


def _relays(study: Study, hands: Hands, moving: Moving, before: State, after: State) -> Iterator[tuple[str, str]]:
    """Units whose input comes or goes: their relay moves by itself, to which position."""
    for item in hands.units:
        if hands.is_off(item, after):
            continue
        record = study.snapshot.equipment[item]
        passes = {c.a for c in record.contacts() if c.positions is not None and c.positions == frozenset({"pass"})}
        if not passes:
            continue
        was, now = (_live_at(moving, state, item, passes) for state in (before, after))
        if now and not was:
            yield item, "pass"
        elif was and not now:
            yield item, "invert"


def _live_at(moving: Moving, state: State, item: str, terminals: set[str]) -> bool:
    return any(moving.safety.is_live(state, item, terminal) for terminal in terminals)


def _called(study: Study, item: str) -> str:
    record = study.snapshot.equipment[item]
    name = study.name(item)
    return record.marking.strip() or (f"{record.label} ({name})" if record.label else name)


# -- why there is none -----------------------------------------------------------------------------------------------
def unsafe(study: Study, faults: Sequence[tuple[str, Fault]]) -> str:
    """A condition that is not safe by itself, or does not feed what is to be kept fed."""
    told = {
        "dark": _("In {condition} {what}: it cannot be kept fed."),
        "undecided": _("Whether {condition} is safe in itself is not decided: {what}."),
    }
    plain = _("{condition} is not safe in itself: {what}.")
    made = [told.get(fault.kind, plain).format(condition=name, what=fault.text) for name, fault in faults]
    return " ".join(text[0].upper() + text[1:] for text in dict.fromkeys(made))


def reason(study: Study, hands: Hands, blocks: Sequence[Block], keep: tuple[str, ...], finished: bool) -> str:
    """What stands in the way: what was met nearest to the end, one sentence an obstacle."""
    if not finished:
        head = _("None was found within the limit of the search; that is no proof that there is none.")
    elif keep:
        names = ", ".join(study.name(item) for item in keep)
        head = _("There is no safe order that keeps {loads} fed.").format(loads=names)
    else:
        head = _("There is no safe order.")
    told: dict[str, str] = {}
    for block in sorted(blocks, key=lambda b: (_strays(b), hands.left(b.state))):
        if _strays(block) and told:
            break
        if block.fault.text not in told:
            move = _move(study, block.thing, block.to)
            told[block.fault.text] = _("{move}: {what}.").format(move=move, what=block.fault.text)
        if len(told) == MOST_TOLD:
            break
    return " ".join((head, *(text[0].upper() + text[1:] for text in told.values())))


def _strays(block: Block) -> bool:
    """Whether the move would not have come nearer to the end."""
    n = block.thing
    return n.steps(block.to) >= max(n.steps(p) for p in n.positions if block.to in n.near[p])


def _move(study: Study, thing: Thing, to: str) -> str:
    name = study.name(thing.item)
    if thing.kind == "switch":
        return _("with {name} to {position}").format(name=name, position=_(to))
    words = {RUNS: _("starting {name}"), STANDS: _("stopping {name}"), ON: _("switching {name} on")}
    return words.get(to, _("switching {name} off")).format(name=name)
