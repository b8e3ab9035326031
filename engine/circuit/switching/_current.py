"""What flows through a switch or out of a source in one state: solved, and nothing where nothing can reach it."""

from __future__ import annotations

from typing import NamedTuple

from engine.circuit.flow.operating import Operation
from engine.circuit.live import live_items
from engine.circuit.switching._hands import Hands, State, Thing
from engine.pausing import pause
from engine.study import Study

__all__ = ["NIL_A", "Amps", "Current"]

NIL_A = 0.01  # less than this shows on no ammeter of a panel


class Amps(NamedTuple):
    """The largest current over what can stand by itself; `missing`: fields without which it is only a least value."""

    amps: float
    missing: tuple[str, ...] = ()

    @property
    def is_nil(self) -> bool:
        """Nothing flows, and nothing is unknown that could."""
        return self.amps < NIL_A and not self.missing


class _Solved(NamedTuple):
    """One state and one setting of the relays."""

    through: dict[str, Amps]
    given: dict[str, float]


class Current:
    """Solved states of one question. `solved` counts the networks that were solved."""

    def __init__(self, study: Study, hands: Hands) -> None:
        self.study, self.hands = study, hands
        self.solved = 0
        self._known: dict[State, list[_Solved]] = {}

    def through(self, thing: Thing, state: State) -> Amps:
        """What a switch carries, or a source gives, in a state."""
        if state not in self._known and not self._is_live(thing, state):
            return Amps(0.0)
        worst, missing = 0.0, dict[str, None]()
        for solved in self._solve(state):
            for item in (thing.item, *thing.members):
                found = solved.through.get(item)
                if found is not None:
                    worst = max(worst, found.amps)
                    missing.update(dict.fromkeys(found.missing))
                worst = max(worst, solved.given.get(item, 0.0))
        return Amps(worst, tuple(missing))

    def carrying(self, state: State) -> frozenset[str]:
        """Everything that carries current in a state."""
        return frozenset(
            item for solved in self._solve(state) for item, found in solved.through.items() if not found.is_nil
        )

    def _is_live(self, thing: Thing, state: State) -> bool:
        running = self.hands.running(state)
        for positions in self.hands.surroundings(state):
            live = live_items(self.study.circuit, positions, running)
            if any(item in live.live or item in live.doubtful for item in (thing.item, *thing.members)):
                return True
        return False

    def _solve(self, state: State) -> list[_Solved]:
        if state not in self._known:
            from engine.circuit.flow.flow import flow

            hands, study, made = self.hands, self.study, []
            for positions in hands.surroundings(state):
                pause()
                operation = Operation(
                    condition="",
                    name="",
                    positions=positions,
                    running=hands.running(state),
                    hours={},
                    on=hands.on,
                    has_hours=True,
                )
                found = flow(study.snapshot, study.circuit, operation, study.book)
                self.solved += 1
                # a least value rests on something not recorded: then what is not named counts too
                through = {
                    d.equipment: Amps(abs(d.amps), (d.missing or ("",)) if d.at_least else ()) for d in found.devices
                }
                given: dict[str, float] = {}
                for source in found.sources:
                    given[source.equipment] = max(given.get(source.equipment, 0.0), abs(source.amps))
                made.append(_Solved(through, given))
            self._known[state] = made
        return self._known[state]
