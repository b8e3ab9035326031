"""What a new run carries: from what its two terminals can carry, and from what arrives there already."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator
from typing import Any, NamedTuple, cast

from engine.equipment.base import DC, Equipment
from engine.installation import Run, Snapshot
from engine.installation.records import RunFunction

__all__ = ["Carried", "Side", "arriving", "choose", "side_of"]

_PHASES = ("L1 L2 L3", "L1 L2", "L1", "L2", "L3")
_PURPOSES: dict[str, RunFunction] = {
    "pair": "dc pair",
    "positive": "dc positive",
    "negative": "dc negative",
    "line": "ac",
    "protective earth": "earth",
    "bonding": "bonding",
}


class Carried(NamedTuple):
    """What a run's function fields say."""

    function: RunFunction
    phases: str = "L1"
    neutral: bool = True
    earth: bool = True

    def conductors(self) -> frozenset[str]:
        """Names of the conductors."""
        return frozenset(self.as_run().conductors())

    def as_run(self) -> Run:
        """A run that carries this, its ends not told."""
        from engine.installation import End

        nowhere = End(equipment="", terminal="")
        return Run(from_end=nowhere, to_end=nowhere, **self.fields())

    def fields(self) -> dict[str, Any]:
        """The fields of a run."""
        if self.function != "ac":
            return {"function": self.function}
        return {"function": "ac", "phases": self.phases, "neutral": self.neutral, "earth": self.earth}


class Side(NamedTuple):
    """One end of a run that is being drawn."""

    conductors: tuple[str, ...]  # what it can carry
    at: tuple[Carried, ...] = ()  # what arrives, the most usual first
    through: tuple[Carried, ...] = ()  # what arrives on the other side of the same device
    made_for: tuple[Carried, ...] = ()  # what the equipment gives or takes
    is_earth: bool = False


def of_run(run: Run) -> Carried:
    """What a run carries."""
    if run.function != "ac":
        return Carried(run.function)
    return Carried("ac", run.phases, run.neutral, run.earth)


def arriving(snapshot: Snapshot, equipment: str, terminal: str, without: str = "") -> list[Carried]:
    """What the runs at a terminal carry, the most usual first."""
    count = Counter(
        of_run(run)
        for item, run in snapshot.runs.items()
        if item != without
        and any((e.equipment, e.terminal) == (equipment, terminal) for e in (run.from_end, run.to_end))
    )
    return [each for each, _n in count.most_common()]


def side_of(snapshot: Snapshot, equipment: str, terminal: str, without: str = "") -> Side:
    """What is known of a terminal; the run `without` does not count."""
    record = snapshot.equipment[equipment]
    carried = next((t.conductors for t in record.terminals() if t.name == terminal), ())
    beyond = [each for other in _joined(record, terminal) for each in arriving(snapshot, equipment, other, without)]
    return Side(
        carried,
        tuple(arriving(snapshot, equipment, terminal, without)),
        tuple(dict.fromkeys(beyond)),
        tuple(_made_for(record, terminal, carried)),
        record.ROLE == "earth",
    )


def _joined(record: Equipment, terminal: str) -> list[str]:
    """Terminals that conduct straight to this one."""
    found = [
        other
        for c in record.contacts()
        if c.cross is None and c.a != c.b
        for one, other in ((c.a, c.b), (c.b, c.a))
        if one == terminal
    ]
    return list(dict.fromkeys(found))


def _made_for(record: Equipment, terminal: str, carried: tuple[str, ...]) -> Iterator[Carried]:
    purpose = getattr(record, "purpose", "")
    if purpose in _PURPOSES:
        yield Carried(_PURPOSES[purpose])
    sources = [s for s in record.sources(frozenset({terminal})) if s.terminal == terminal]
    phases = [s.conductor for s in sources if s.system == "ac"]
    for draw in record.draws():
        if draw.terminal == terminal and draw.conductors and draw.system == "ac":
            phases += [c for c in draw.conductors if c.startswith("L")]
    if phases:
        named = " ".join(sorted(set(phases)))
        if named in _PHASES:
            yield Carried("ac", named, "N" in carried, "PE" in carried)
    if any(s.system == "dc" for s in sources):
        yield Carried("dc pair")
    made = record.nominal_volts(terminal)
    if made is not None:
        yield Carried("dc pair") if made[0] == "dc" else Carried("ac", "L1", "N" in carried, "PE" in carried)


def choose(start: Side, stop: Side) -> Carried | None:
    """What a run between two ends carries; `None` where they have nothing in common."""
    common = frozenset(start.conductors) & frozenset(stop.conductors)
    if not common or _unlike(start, stop):
        return None
    for one, other in ((start.at, stop.at), (start.through, stop.through), (start.made_for, stop.made_for)):
        fitting = [made for told in (one, other) for made in [_first(told, common)] if made is not None]
        if fitting:  # where one end has less than the other, the run has what both have
            least = min(fitting, key=lambda c: len(c.conductors()))
            return least if all(least.conductors() <= c.conductors() for c in fitting) else fitting[0]
    return _usual(common, start.is_earth and stop.is_earth)


def _first(told: Iterable[Carried], common: frozenset[str]) -> Carried | None:
    for each in told:
        made = _within(each, common)
        if made is not None:
            return made
    return None


def _within(carried: Carried, common: frozenset[str]) -> Carried | None:
    """The same as far as both terminals carry it, `None` where they do not."""
    if carried.function == "ac":
        shared = [p for p in carried.phases.split() if p in common]
        phases = next((p for p in _PHASES if set(p.split()) <= set(shared)), "")
        if not phases:
            return None
        return Carried("ac", phases, carried.neutral and "N" in common, carried.earth and "PE" in common)
    if carried.conductors() <= common:
        return carried
    if carried.function == "dc pair":
        return _usual(common & frozenset(DC), False)
    return None


def _usual(common: frozenset[str], earths: bool) -> Carried | None:
    """What terminals with these conductors in common are joined by, where nothing else tells."""
    if earths and "PE" in common:
        return Carried("bonding")
    if set(DC) <= common:
        return Carried("dc pair")
    phases = next((p for p in ("L1", "L2", "L3") if p in common), "")
    if phases:
        return Carried("ac", phases, "N" in common, "PE" in common)
    singles: tuple[tuple[str, str], ...] = (
        ("+", "dc positive"),
        ("-", "dc negative"),
        ("PE", "earth"),
        ("S", "signal"),
    )
    return next((Carried(cast(RunFunction, function)) for name, function in singles if name in common), None)


def _unlike(start: Side, stop: Side) -> bool:
    """Whether alternating current arrives at one end and direct current at the other, and nothing else."""

    def systems(side: Side) -> set[str]:
        told = side.at or side.through
        return {"ac" if c.function == "ac" else "dc" for c in told if c.function == "ac" or c.function.startswith("dc")}

    one, other = systems(start), systems(stop)
    earth_only = not ((set(start.conductors) & set(stop.conductors)) - {"PE", "S"})
    return bool(one and other) and not one & other and not earth_only
