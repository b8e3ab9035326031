"""Where everything stands before an order is begun and after each of its steps, and when something is made dead: to
be shown.

The relay of a converter moves with its input, as the steps tell. What else moves by itself (contactors, charging
relays) is shown as in the condition one comes from, and after the last step as in the one that is reached.
"""

from __future__ import annotations

from typing import NamedTuple

from engine.circuit.flow.operating import positions_in
from engine.circuit.switching.results import Isolation, Order, Step
from engine.installation.model import Snapshot

__all__ = ["Standing", "along", "when_dead"]

OFF = "off"


class Standing(NamedTuple):
    """Positions of everything that has any, and the sources that run; `None`: not recorded.

    `gone` joins nothing and gives nothing: fuses that are drawn; `silent` gives nothing and joins as before.
    """

    positions: dict[str, str]
    running: tuple[str, ...] | None
    gone: tuple[str, ...] = ()
    silent: tuple[str, ...] = ()


def along(snapshot: Snapshot, order: Order) -> list[Standing]:
    """The state at the start, then one a step."""
    first, last = (positions_in(snapshot, c) for c in (order.start, order.stop))
    before, after = (_recorded(snapshot, c) for c in (order.start, order.stop))
    if before is None:  # the same are taken as running where one end does not record which
        before = None if after is None else () if order.start in snapshot.conditions else after
    states = [Standing(first, before)]
    for step in order.steps:
        states.append(_after(snapshot, states[-1], step, last, after or ()))
    states = [s._replace(running=None if s.running is None else _listed(snapshot, s.running)) for s in states]
    if len(states) > 1:
        moved = {step.item for step in order.steps}
        states[-1].positions.update({item: p for item, p in last.items() if item not in moved})
    return states


def when_dead(snapshot: Snapshot, made: Isolation) -> Standing:
    """Where everything stands once all is done that makes something dead, all other sources running.

    One fuse of several in a block cannot be told: the block is taken as it is.
    """
    positions = {item: record.drawn_position() for item, record in snapshot.equipment.items() if record.positions()}
    positions.update((item, p) for item, p in made.state if item in positions)
    silent = tuple(act.item for act in made.steps if act.kind in ("stop", "unplug", "cover", "disable"))
    running = tuple(item for item in made.sources if item not in silent)
    gone = tuple(act.item for act in made.steps if act.kind == "draw" and not act.position)
    return Standing(positions, _listed(snapshot, running), gone, silent)


def _listed(snapshot: Snapshot, running: tuple[str, ...]) -> tuple[str, ...]:
    """Sources that run, so told that it is known: where nothing has to be started, what is simply there is named.

    A condition that lists no source has not recorded which run.
    """
    there = (item for item, record in snapshot.equipment.items() if record.store() is not None)
    return running or tuple(there)


def _recorded(snapshot: Snapshot, condition: str) -> tuple[str, ...] | None:
    record = snapshot.conditions.get(condition)
    return record.running if record is not None and record.running else None


def _after(
    snapshot: Snapshot, standing: Standing, step: Step, last: dict[str, str], runs_at_last: tuple[str, ...]
) -> Standing:
    positions, running = dict(standing.positions), standing.running
    if step.kind == "switch":
        positions[step.item] = step.after
    elif step.item in positions and OFF in snapshot.equipment[step.item].positions():  # a converter with a relay
        if step.kind == "stop":
            positions[step.item] = OFF
        elif step.kind == "start":
            on = [p for p in snapshot.equipment[step.item].positions() if p != OFF]
            wanted = last.get(step.item, OFF)
            positions[step.item] = wanted if wanted != OFF else on[0]
    elif running is not None and step.kind in ("start", "stop"):
        members = [item for item in dict.fromkeys((*running, *runs_at_last)) if _goes_with(snapshot, item, step.item)]
        if step.kind == "start":
            running = (*running, *(item for item in members or [step.item] if item not in running))
        else:
            running = tuple(item for item in running if item not in members)
    known = snapshot.equipment
    positions.update((item, p) for item, p in step.by_itself if item in known and p in known[item].positions())
    return Standing(positions, running)


def _goes_with(snapshot: Snapshot, source: str, item: str) -> bool:
    """Whether a source is what is started or stopped, or runs with that engine."""
    if source == item:
        return True
    record = snapshot.equipment.get(source)
    machine = None if record is None else record.machine()
    return machine is not None and machine.engine == item
