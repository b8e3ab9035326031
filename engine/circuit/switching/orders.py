"""The shortest safe order from one operating condition to another, or why there is none.

A step moves one switch by one position, starts or stops a source, switches a converter off or on. After every step, and
while a switch passes from one position to the next, the state must be safe for every position of what moves by itself
(`_safety`). A device not recorded as breaking load, and a plug, is moved only while the solved current is nil before
and after; where that needs other devices to be opened for a while, they come into play and are put back.

What may come into play: everything that differs between the two conditions; switches and sources that can lie between
two sources; what is found to take the current off a device that may not break it. A search that ends without an order
proves that there is none *with these*; one that is stopped by its budget proves nothing, and `undecided` says so.
"""

from __future__ import annotations

from collections.abc import Iterable

from engine.circuit.switching._current import Current
from engine.circuit.switching._hands import Hands, State
from engine.circuit.switching._moving import SOLVED_COSTS, Block, Moving, Path
from engine.circuit.switching._play import core, depths, reliefs
from engine.circuit.switching._safety import Safety
from engine.circuit.switching._steps import reason, steps, unsafe
from engine.circuit.switching.results import Order
from engine.pausing import pause
from engine.study import Study
from engine.words import _

__all__ = ["BUDGET", "order"]

BUDGET = 20_000  # states looked at; a solved network counts as many
FEW = 10  # with so few things to move all come into play


def order(study: Study, start: str, stop: str, keep: Iterable[str] = (), budget: int = BUDGET) -> Order:
    """The shortest safe order from condition `start` to `stop` (ids, `""` as drawn), loads `keep` (ids) fed throughout.

    Never raises for a drawing that could be opened.
    """
    return _Ordering(study, start, stop, tuple(keep), budget).made()


class _Ordering:
    """One question."""

    def __init__(self, study: Study, start: str, stop: str, keep: tuple[str, ...], budget: int) -> None:
        keep = tuple(item for item in keep if item in study.snapshot.equipment)
        self.study, self.keep = study, keep
        self.hands = Hands(study, start, stop)
        self.safety = Safety(study, self.hands, keep)
        self.current = Current(study, self.hands, self.safety.fed.net)
        self.moving = Moving(study, self.hands, self.safety, self.current, depths(study, self.hands))
        self._budget, self._looked = budget, 0

    def left(self) -> int:
        """States that may still be looked at; asked before each, so that the search can be given up here."""
        pause()
        return self._budget - self._looked - SOLVED_COSTS * self.current.solved

    def made(self) -> Order:
        """The answer."""
        hands = self.hands
        ends = (hands.first.name, hands.start), (hands.last.name, hands.stop)
        faults = [(name, fault) for name, state in ends if (fault := self.safety.fault(state)) is not None]
        if faults:
            missing = [field for _name, fault in faults for field in fault.missing]
            undecided = all(fault.kind == "undecided" for _name, fault in faults)
            return self._answer(None, unsafe(self.study, faults), missing, undecided)
        differs = [n for n, thing in enumerate(hands.things) if thing.start != thing.stop]
        path = self._search(differs)
        least = hands.left(hands.start)
        if path.states is not None and len(path.states) - 1 == least:
            return self._found(path.states)
        wider = self._search(self._more(differs, path.blocks))
        best = min((p.states for p in (path, wider) if p.states is not None), key=len, default=None)
        if best is not None:
            return self._found(best)
        missing = [f for block in wider.blocks or path.blocks for f in block.fault.missing]
        told = reason(self.study, hands, wider.blocks or path.blocks, self.keep, wider.finished)
        return self._answer(None, told, missing, undecided=not wider.finished)

    def _search(self, in_play: list[int]) -> Path:
        path = self.moving.search(in_play, self.left)
        self._looked += path.looked
        return path

    def _more(self, differs: list[int], blocks: tuple[Block, ...]) -> list[int]:
        """What else may be moved: see the head of this file."""
        hands = self.hands
        if len(hands.things) <= FEW:
            return list(range(len(hands.things)))
        more = core(self.study, hands, self.keep) | reliefs(self.moving, blocks)
        return sorted({*differs, *more})

    # -- answers ----------------------------------------------------------------------------------------------------
    def _found(self, states: tuple[State, ...]) -> Order:
        return self._answer(states, "", ())

    def _answer(
        self, states: tuple[State, ...] | None, told: str, missing: Iterable[str], undecided: bool = False
    ) -> Order:
        hands, unsaid = self.hands, self.safety.unsaid
        taken = [*hands.taken]
        if unsaid:
            text = _("whether its own neutral is bonded to earth is not recorded, and taken as so: {fields}")
            taken.append(text.format(fields=", ".join(unsaid)))
        return Order(
            start=hands.first.condition,
            stop=hands.last.condition,
            steps=steps(self.study, hands, self.moving, states) if states is not None else (),
            found=states is not None,
            reason=told,
            undecided=undecided,
            kept=self.keep,
            dark=self._dark(states) if states is not None else (),
            missing=tuple(dict.fromkeys((*missing, *unsaid))),
            taken=tuple(taken),
        )

    def _dark(self, states: tuple[State, ...]) -> tuple[str, ...]:
        """Essential loads that are fed at both ends and not in between."""
        fed = [self.safety.supplied(state) for state in states]
        essential = [
            item
            for item, record in self.study.snapshot.equipment.items()
            if (use := record.use()) is not None and use.essential
        ]
        return tuple(
            item
            for item in essential
            if item in fed[0] and item in fed[-1] and any(item not in between for between in fed)
        )
