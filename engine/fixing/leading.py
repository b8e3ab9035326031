"""Edits that lead conductors: a new run, one led elsewhere, a protective earth brought along, a main nearer."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator
from typing import Any

import msgspec

from engine.edits import Put, Several
from engine.edits.designations import for_kind, next_designation
from engine.edits.draft import Draft, highest_id
from engine.equipment import kind_named
from engine.findings import Finding
from engine.fixes import Fix
from engine.fixing.pieces import device_for, in_run, refitted
from engine.fixing.trial import first_sound
from engine.installation.records import End, Run
from engine.study import Study
from engine.units import number, show
from engine.words import _, inward

__all__ = [
    "all_poles",
    "beside",
    "earth_joined",
    "earthed",
    "moved_along",
    "residual_beside",
    "residual_suited",
    "returned",
]

MOST = 12  # pieces on the way to what has an earth: a whole boat is not run anew
PASSES = ("protection", "switch", "bus", "junction")  # roles a circuit goes on through


def moved_along(
    study: Study, finding: Finding, device: str, runs: Iterable[str], far_m: float, limit_m: float
) -> Iterator[Fix]:
    """A device at the limit of its distance: the run up to it becomes as much shorter as those behind longer."""
    snapshot, excess = study.snapshot, math.ceil((far_m - limit_m) * 1e4 - 1e-6) / 1e4
    last = next((r for r in runs if device in _ends(snapshot.runs[r])), "")
    length = snapshot.runs[last].length_m if last else None
    if length is None or length < excess:
        return
    near = next(e.terminal for e in _both(snapshot.runs[last]) if e.equipment == device)
    lengths = {last: length - excess}
    for item, run in snapshot.runs.items():
        leaves = any(e.equipment == device and e.terminal != near for e in _both(run))
        if leaves and run.length_m is not None:
            lengths[item] = run.length_m + excess
    units = snapshot.settings.units
    text = _("move {device} to {allowed} along: {runs}").format(
        device=study.name(device),
        allowed=show(limit_m, "m", units),
        runs=", ".join(f"{study.name(run)} {show(metres, 'm', units)}" for run, metres in lengths.items()),
    )
    puts = tuple(
        Put("runs", run, msgspec.structs.replace(snapshot.runs[run], length_m=round(metres, 4)), words=text)
        for run, metres in lengths.items()
    )
    yield from first_sound(study, finding, [Fix(text, Several(puts, text))])


def returned(study: Study, finding: Finding, item: str) -> Iterator[Fix]:
    """The negative of a piece led to a bus of negatives, or to the battery, in place of where it goes."""
    made = []
    for run, record in study.snapshot.runs.items():
        if item not in _ends(record) or record.conductors() != ("-",):
            continue
        field = "to_end" if record.from_end.equipment == item else "from_end"
        for equipment, terminal in _negatives(study):
            if equipment in _ends(record):
                continue
            text = _("lead the negative of {item}, {run}, to {to}").format(
                item=study.name(item), run=study.name(run), to=study.name(equipment)
            )
            led = refitted(record, **{field: End(equipment=equipment, terminal=terminal)}, length_m=None)
            made.append(Fix(text, Put("runs", run, led, words=text)))
    yield from first_sound(study, finding, made)


def _negatives(study: Study) -> Iterator[tuple[str, str]]:
    """Buses that batteries reach by negatives alone, then the batteries themselves."""
    circuit, ways = study.circuit, study.ways
    batteries = sorted({circuit.nodes[feed.node].equipment for feed in circuit.feeds if feed.source.battery})
    starts = {
        n: (item, t)
        for item in batteries
        for t in circuit.joined[item]
        if (n := circuit.node(item, t, "-")) is not None
    }
    reached = ways.reach(list(starts), lambda step: ways.conductor(step.start) == ways.conductor(step.to) == "-")
    for node in sorted(reached):
        equipment, terminal, _conductor = circuit.nodes[node]
        if study.snapshot.equipment[equipment].ROLE == "bus":
            yield equipment, terminal
    yield from starts.values()


def earth_joined(study: Study, finding: Finding, items: Iterable[str], ground: str) -> Iterator[Fix]:
    """An earth conductor from each of some pieces to the boat's ground."""
    draft = Draft(study.snapshot, highest_id(study.snapshot))
    to = _earth_terminal(study, ground)
    names = []
    for item in items:
        at = _earth_terminal(study, item)
        if not at or not to:
            return
        sizes = [r.size for r in study.snapshot.runs.values() if item in _ends(r) and r.function == "earth" and r.size]
        run = Run(
            designation=next_designation(draft.snapshot(), "W"),
            from_end=End(equipment=item, terminal=at),
            to_end=End(equipment=ground, terminal=to),
            function="earth",
            size=sizes[0] if sizes else "",
            status="new",
        )
        draft.add("runs", run)
        names.append(study.name(item))
    text = _("run an earth conductor from {items} to {ground}").format(
        items=", ".join(names), ground=study.name(ground)
    )
    yield from first_sound(study, finding, [Fix(text, draft.done(text))])


def _earth_terminal(study: Study, item: str) -> str:
    """Where an earth of its own may arrive: at a terminal for that alone, else at one that takes it too."""
    terminals = study.snapshot.equipment[item].terminals()
    alone = next((t.name for t in terminals if t.conductors == ("PE",)), "")
    return alone or next((t.name for t in terminals if "PE" in t.conductors), "")


def earthed(study: Study, finding: Finding, item: str) -> Iterator[Fix]:
    """A protective conductor with the live ones, all the way; devices that open none."""
    runs, equipment = study.snapshot.runs, study.snapshot.equipment
    bare: dict[str, None] = {}
    opening: dict[str, None] = {}
    seen, todo = {item}, [item]
    for here in todo:
        for run, record in runs.items():
            if record.function != "ac" or here not in _ends(record):
                continue
            there = next((e for e in _ends(record) if e != here), here)
            if not record.earth:
                bare[run] = None
            elif there not in seen and "PE" not in getattr(equipment[there], "poles", ()):
                continue  # the earth goes on from here
            if there in seen:
                continue
            seen.add(there)
            if "PE" in getattr(equipment[there], "poles", ()):
                opening[there] = None
            has_earth = any(study.circuit.node(there, t, "PE") is not None for t in study.circuit.joined.get(there, ()))
            if equipment[there].ROLE in PASSES and (not has_earth or there in opening) and len(seen) < MOST:
                todo.append(there)
    puts = []
    told = []
    if bare:
        told.append(_("run {runs} with a protective conductor").format(runs=", ".join(study.name(r) for r in bare)))
        puts += [Put("runs", run, refitted(runs[run], earth=True)) for run in bare]
    for device in opening:
        breaker: Any = equipment[device]
        told.append(_("fit {device} as one that leaves the earth whole").format(device=study.name(device)))
        poles = tuple(pole for pole in breaker.poles if pole != "PE")
        puts.append(Put("equipment", device, refitted(breaker, poles=poles)))
    text = "; ".join(told)
    if puts:
        yield from first_sound(study, finding, [Fix(text, Several(tuple(puts), text))])


def all_poles(study: Study, finding: Finding, devices: Iterable[str]) -> Iterator[Fix]:
    """Breakers that open the neutral with the live, in place of those that open the live alone."""
    puts = []
    for item in devices:
        record: Any = study.snapshot.equipment[item]
        poles = getattr(record, "poles", ())
        if poles and "N" not in poles:
            fields = {"poles": (*poles, "N")} | ({"untripped": ("N",)} if hasattr(record, "untripped") else {})
            puts.append(Put("equipment", item, refitted(record, **fields)))
    text = _("fit {devices} as ones that open the neutral too").format(
        devices=", ".join(study.name(put.id) for put in puts)
    )
    if puts:
        yield from first_sound(study, finding, [Fix(text, Several(tuple(puts), text))])


# -- beside an inlet ------------------------------------------------------------------------------------------------
def beside(study: Study, finding: Finding, inlet: str, runs: Iterable[str], rating: float) -> Iterator[Fix]:
    """A breaker put into the run that leaves an inlet."""
    made: list[Fix] = []
    for run, side in _leaving(study, inlet, runs):
        record = device_for(study.snapshot, study.snapshot.runs[run], rating)
        text = _("fit a {kind} of {amps}, {{device}}, in run {{run}} at {{at}}").format(
            kind=inward(_(record.NAME)), amps=show(rating, "A", digits=6)
        )
        made += in_run(study, run, side, record, text)
    yield from first_sound(study, finding, made)


def residual_suited(study: Study, finding: Finding, devices: Iterable[str], values: dict[str, float]) -> Iterator[Fix]:
    """Residual-current devices that trip as asked in place of those that do not."""
    puts, told = [], []
    for item in devices:
        record = study.snapshot.equipment[item]
        told.append(_("fit {device} as one of {asked}").format(device=study.name(item), asked=_residual(values)))
        puts.append(Put("equipment", item, refitted(record, **values)))
    text = "; ".join(told)
    if puts:
        yield from first_sound(study, finding, [Fix(text, Several(tuple(puts), text))])


def residual_beside(study: Study, finding: Finding, inlet: str, values: dict[str, float]) -> Iterator[Fix]:
    """A residual-current device put into the run that leaves an inlet."""
    snapshot = study.snapshot
    cls: Any = kind_named("residual_current_device")
    made: list[Fix] = []
    for run, side in _leaving(study, inlet, snapshot.runs):
        carried = snapshot.runs[run].conductors()
        record = cls(
            designation=for_kind(snapshot, cls.KIND),
            rating_a=getattr(snapshot.equipment[inlet], "rating_a", None),
            poles=tuple(c for c in carried if c != "PE"),
            status="new",
            **values,
        )
        text = _("fit a residual-current device of {asked}, {{device}}, in run {{run}} at {{at}}").format(
            asked=_residual(values)
        )
        made += in_run(study, run, side, record, text)
    yield from first_sound(study, finding, made)


def _leaving(study: Study, inlet: str, runs: Iterable[str]) -> Iterator[tuple[str, str]]:
    """The one run of AC that leads power on from an inlet, and its end there; nothing where it branches there."""
    told = study.snapshot.equipment[inlet].ashore()
    found = []
    for run in runs:
        record = study.snapshot.runs[run]
        for side, end in (("from", record.from_end), ("to", record.to_end)):
            if record.function == "ac" and end.equipment == inlet and (told is None or end.terminal == told.terminal):
                found.append((run, side))
    if len(found) == 1:
        yield found[0]


def _residual(values: dict[str, float]) -> str:
    units = {"residual_ma": "mA", "residual_ms": "ms"}
    return ", ".join(f"{number(value, 6)} {units[field]}" for field, value in values.items())


def _both(run: Run) -> tuple[End, End]:
    return run.from_end, run.to_end


def _ends(run: Run) -> tuple[str, str]:
    return run.from_end.equipment, run.to_end.equipment
