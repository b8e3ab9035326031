"""How to make something dead from every source: what to do, in which order, where to lock off and to prove dead.

The acts are the cheapest that part it from every source in whatever permitted state everything else may stand
(`engine.circuit.switching.cutting`, costs in `made_dead`). The proof: the last search over positions found no way from
any source, with every device that is not part of the acts in any position the interlocks allow, whoever moves it.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from engine.circuit.states import TooManyStates
from engine.circuit.switching.isolating_notes import notes
from engine.circuit.switching.isolating_order import ordered, steps
from engine.circuit.switching.made_dead import Question
from engine.circuit.switching.results import Isolation, Lock, MakeDead, Prove

if TYPE_CHECKING:
    from engine.study import Study

__all__ = ["isolate"]


def isolate(study: Study, item: str) -> Isolation:
    """How to make equipment or a run, by its id, dead. Never raises for what is drawn."""
    question = Question(study, item)
    origins, cut = question.upstream.origins, question.cut

    def names(numbers: frozenset[int]) -> tuple[str, ...]:
        return tuple(dict.fromkeys(origins[n].equipment for n in sorted(numbers)))

    done = tuple(steps(question))
    held = [act for act in ordered(question) if act.kind in ("switch", "disable")]
    return Isolation(
        item=item,
        steps=done,
        locks=tuple(Lock(act.item, getattr(question.record(act.item), "lockable", None)) for act in held),
        prove=tuple(_prove(question)),
        sources=names(cut.reached),
        remains=names(cut.remains),
        undecided=names(cut.undecided - cut.remains),
        missing=tuple(dict.fromkeys(_missing(question, done))),
        notes=tuple(notes(question)),
        state=_state(question),
    )


def _prove(question: Question) -> Iterator[Prove]:
    """Its terminals with the conductors there, earth left out: against it they are proved."""
    found: dict[tuple[str, str], list[str]] = {}
    for node in question.own_nodes():
        here = found.setdefault((node.equipment, node.terminal), [])
        if node.conductor != "PE":
            here.append(node.conductor)
    for (equipment, terminal), conductors in found.items():
        if conductors:
            yield Prove(equipment, terminal, tuple(conductors))


def _missing(question: Question, done: tuple[MakeDead, ...]) -> Iterator[str]:
    """Fields not recorded that would tell more, as "Q1.lockable"."""
    for step in done:
        if step.kind == "switch":
            fields: tuple[str, ...] = ("lockable", "isolates", "breaks_load")
        elif step.kind == "stop":
            fields = ("starting", "manual_panel")
        else:
            continue
        record = question.record(step.item)
        for field in fields:
            if getattr(record, field, 0) in (None, ""):
                yield f"{question.study.name(step.item)}.{field}"
    for n in sorted(question.cut.remains):
        origin = question.upstream.origins[n]
        if origin.act is None and getattr(question.record(origin.equipment), "brake", 0) is None:
            yield f"{question.study.name(origin.equipment)}.brake"


def _state(question: Question) -> tuple[tuple[str, str], ...]:
    """A full permitted state with all done, what else there is as drawn where that may be."""
    upstream = question.upstream
    states = upstream.states
    done = {act.item: act.position for act in question.cut.acts if act.kind in ("switch", "disable")}
    stands = {
        item: done.get(item, record.drawn_position())
        for item, record in question.snapshot.equipment.items()
        if record.positions()
    }
    if not upstream.is_locked:
        cube = upstream.given(question.cut.acts)
        try:
            for device in states.devices:
                more = cube | states.of_positions(((device.equipment, stands[device.equipment]),))
                cube = more if states.allows(more) else cube
            stands |= states.completion(cube) or {}
        except TooManyStates:
            return ()
    return tuple(sorted(stands.items()))
