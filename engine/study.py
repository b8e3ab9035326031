"""One lazy object with every analysis of one snapshot. Rules and sizing read from it; nothing is computed twice.

A study never touches the live installation: it is built from frozen records.
"""

from __future__ import annotations

import copy
import traceback
from collections.abc import Callable, Mapping
from functools import cached_property
from typing import TYPE_CHECKING, NamedTuple

from engine.books import Book
from engine.findings import Finding, NotJudged, Passed, least
from engine.installation.model import Snapshot
from engine.pausing import GivenUp

if TYPE_CHECKING:
    from engine.circuit.battery_ways import BatteryWays
    from engine.circuit.coverage import Coverage
    from engine.circuit.covered import Covered
    from engine.circuit.energy.results import Energy
    from engine.circuit.expand import Circuit
    from engine.circuit.faults.results import Faults
    from engine.circuit.flow.operating import Operation
    from engine.circuit.flow.results import Charge, Flow, Start
    from engine.circuit.meeting import Meeting
    from engine.circuit.reaching import Reaching
    from engine.circuit.switching.bypasses import Bypass
    from engine.circuit.switching.feeding import Feeding
    from engine.circuit.switching.results import FailureTable
    from engine.circuit.switching.upstream import Upstream
    from engine.circuit.volts import SystemVolts
    from engine.circuit.ways import Ways

__all__ = ["Outcome", "Study"]


class Outcome(NamedTuple):
    """What a rule said of a study, and the fault that stopped it (then what it said before is no judgement)."""

    remarks: tuple[Finding | NotJudged, ...]
    fault: Exception | None = None
    passed: tuple[Passed, ...] = ()  # where the study is `proving`


class Study:
    """Analyses of `snapshot` judged by `book`, each made when first asked for.

    With `proving` the rules say what passed too, and with what margin; else that costs nothing.
    """

    def __init__(self, snapshot: Snapshot, book: Book, proving: bool = False) -> None:
        self.snapshot = snapshot
        self.book = book
        self.proving = proving
        self.budget = (
            20_000  # conditions a search over switch positions may look at; more may be given before it is asked
        )
        self._outcomes: dict[str, Outcome] = {}
        self.own: Mapping[str, Outcome] = {}  # what a person's own rules said, by slug; they are run elsewhere
        self.awaits_own = False  # whether there may be own rules of which nothing is known here
        self.entering: Callable[[str], object] | None = None  # told of every rule before it runs
        self._flows: dict[tuple[str, Charge], Flow] = {}
        self._energies: dict[str, Energy] = {}

    @cached_property
    def circuit(self) -> Circuit:
        """What the installation means electrically, conductor by conductor."""
        from engine.circuit.expand import expand

        return expand(self.snapshot)

    @cached_property
    def volts(self) -> SystemVolts:
        """Nominal and highest volts of every conductor that a source can feed."""
        from engine.circuit.volts import system_volts

        return system_volts(self.circuit)

    @cached_property
    def reaching(self) -> Reaching:
        """Which sources can feed a point in some state the interlocks allow."""
        from engine.circuit.reaching import Reaching

        return Reaching(self.snapshot, self.circuit, self.volts)

    @cached_property
    def ways(self) -> Ways:
        """The conductors as a plain graph, every contact closed."""
        from engine.circuit.ways import Ways

        return Ways(self.circuit)

    @cached_property
    def coverage(self) -> Coverage:
        """Which conductor ends are covered by protective devices, in every permitted switch state."""
        from engine.circuit.coverage import cover

        return cover(self.snapshot, self.circuit, self.book, self.volts)

    @cached_property
    def covered(self) -> tuple[Covered, ...]:
        """How the runs that are covered are, and with what margin: asked only by what proves."""
        from engine.circuit.covered import covered

        return tuple(covered(self.coverage))

    @cached_property
    def meeting(self) -> Meeting:
        """Which AC sources can be joined, and by which switch positions."""
        from engine.circuit.meeting import meet

        return meet(self.snapshot, self.circuit, self.budget)

    @cached_property
    def battery_ways(self) -> BatteryWays:
        """In which switch positions a DC source is joined to a battery, and in which it is left with none."""
        from engine.circuit.battery_ways import BatteryWays

        return BatteryWays(self.snapshot, self.circuit, budget=self.budget)

    @cached_property
    def feeding(self) -> Feeding:
        """From which sources a load can be fed, and in which switch positions."""
        from engine.circuit.switching.feeding import Feeding

        return Feeding(self.snapshot, self.circuit, self.budget)

    @cached_property
    def bypasses(self) -> tuple[Bypass, ...]:
        """Ways round converters, and whether these can be taken out on both sides meanwhile."""
        from engine.circuit.switching.bypasses import bypasses

        return bypasses(self.snapshot, self.circuit, self.budget)

    @cached_property
    def failure_table(self) -> FailureTable:
        """Which essential load can still be fed, and from what, when something has failed."""
        from engine.circuit.switching.failing import failure_table

        return failure_table(self.snapshot, self.feeding)

    @cached_property
    def upstream(self) -> Upstream:
        """Where energy may come from, against the flow: what making dead is worked out on."""
        from engine.circuit.switching.upstream import Upstream

        return Upstream(self.snapshot, self.circuit)

    # -- currents ---------------------------------------------------------------------------------------------------
    @cached_property
    def operations(self) -> tuple[Operation, ...]:
        """The operating conditions; as drawn where none is recorded."""
        from engine.circuit.flow.operating import operations

        return operations(self.snapshot)

    def operation(self, condition: str = "") -> Operation:
        """One of them by id, `""` as drawn."""
        for made in self.operations:
            if made.condition == condition:
                return made
        from engine.circuit.flow.operating import operation

        return operation(self.snapshot, condition)

    def flow(self, condition: str = "", charge: Charge = "nominal") -> Flow:
        """What flows in a condition, the batteries full, at their nominal volts or at their lowest."""
        key = condition, charge
        if key not in self._flows:
            from engine.circuit.flow.flow import flow

            self._flows[key] = flow(self.snapshot, self.circuit, self.operation(condition), self.book, charge)
        return self._flows[key]

    @property
    def flows(self) -> tuple[Flow, ...]:
        """What flows in each operating condition, batteries at their nominal volts."""
        return tuple(self.flow(made.condition) for made in self.operations)

    @cached_property
    def starts(self) -> tuple[Start, ...]:
        """What happens while the largest motor and each engine starts, batteries at their lowest."""
        from engine.circuit.flow.starting import starts

        return starts(self.snapshot, self.circuit, self.operations, self.book)

    @cached_property
    def faults(self) -> Faults:
        """Prospective fault currents at protective devices and buses."""
        from engine.circuit.faults.faults import faults

        return faults(self.snapshot, self.circuit, self.book)

    def energy(self, condition: str = "") -> Energy:
        """Energy a day, autonomy and recharge in a condition."""
        if condition not in self._energies:
            from engine.circuit.energy.budget import energy

            self._energies[condition] = energy(self.snapshot, self.circuit, self.operation(condition), self.book)
        return self._energies[condition]

    @property
    def energies(self) -> tuple[Energy, ...]:
        """Energy in each operating condition."""
        return tuple(self.energy(made.condition) for made in self.operations)

    def outcome(self, slug: str) -> Outcome:
        """What the rule called `slug` says, run once. A rule that fails takes nothing else with it."""
        if slug in self.own:
            return self.own[slug]
        if slug not in self._outcomes:
            from engine.rules import rules
            from engine.rules.disabled import DisabledRule, disabled

            why = disabled().get(slug)
            if why is not None:
                self._outcomes[slug] = Outcome((), DisabledRule(why))
                return self._outcomes[slug]
            if self.entering is not None:
                self.entering(slug)
            remarks: list[Finding | NotJudged] = []
            passed: list[Passed] = []
            fault: Exception | None = None
            try:
                for remark in rules()[slug].check(self):
                    if isinstance(remark, Passed):
                        passed.append(remark)
                    else:
                        remarks.append(remark)
            except GivenUp:
                raise
            except Exception as caught:
                fault, remarks = caught, []
                traceback.clear_frames(caught.__traceback__)  # what it held of memory is held no longer
            self._outcomes[slug] = Outcome(tuple(remarks), fault, least(passed, remarks) if passed else ())
        return self._outcomes[slug]

    def proved(self) -> Study:
        """The same study asked to prove: what was worked out is shared, what rules say is asked anew."""
        made = copy.copy(self)
        made.proving, made._outcomes, made.entering = True, {}, None
        return made

    def hear_own(self, own: Mapping[str, Outcome], is_complete: bool = True) -> None:
        """Take what own rules said; `is_complete`: there is no other own rule. What rests on it is said anew."""
        if own != self.own or self.awaits_own is is_complete:
            self.own, self.awaits_own = own, not is_complete
            self._outcomes.pop("needless-waiver", None)

    def name(self, item: str) -> str:
        """Designation of equipment or run."""
        return self.snapshot.name(item)
