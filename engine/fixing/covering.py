"""Edits for a conductor end that is not covered: device nearer, smaller, put in; conductor larger or covered."""

from __future__ import annotations

import math
from collections.abc import Iterator

import msgspec

from engine.circuit.coverage import Uncovered
from engine.edits import Edit, Put, Several
from engine.findings import Finding
from engine.fixes import Fix
from engine.fixing.pieces import device_for, in_run, interlocked, of_rating, ratings_down, run_in
from engine.fixing.trial import first_sound, least_sound
from engine.installation.records import Run
from engine.study import Study
from engine.units import show
from engine.words import _, inward

__all__ = ["device_in", "larger_conductor", "locked_out", "moved_nearer", "sheathed", "smaller_device", "the_end"]

RATINGS = 3  # of a device to be put in: the largest that suits and the next below


def the_end(study: Study, finding: Finding) -> Uncovered | None:
    """The conductor end a finding speaks of."""
    for end in study.coverage.of(finding.rule):
        if end.run == finding.ids[0] and finding.detail == f"{end.end} {' '.join(end.conductors)}":
            return end
    return None


def moved_nearer(study: Study, finding: Finding, end: Uncovered) -> Iterator[Fix]:
    """The device that stands too far, at the limit: the run up to it becomes as much shorter as those behind longer."""
    placed = end.placed
    if placed is None or placed.reason != "far":
        return
    mirror, circuit, runs = study.coverage.mirror, study.coverage.circuit, study.snapshot.runs
    for ending in placed.endings:
        if ending.edge < 0 or ending.distance_m <= placed.allowed_m:
            continue
        item = circuit.links[mirror.link[ending.edge]].equipment
        last = circuit.wires[mirror.wire[[*placed.path, *ending.through][-1]]].run
        length, excess = runs[last].length_m, math.ceil((ending.distance_m - placed.allowed_m) * 1e4 - 1e-6) / 1e4
        if length is None or length < excess or runs[last].status == "to remove":
            continue
        near = next((e.terminal for e in (runs[last].from_end, runs[last].to_end) if e.equipment == item), "")
        if not near:
            continue
        lengths = {last: length - excess}
        for other, run in runs.items():
            leaves = any(e.equipment == item and e.terminal != near for e in (run.from_end, run.to_end))
            if leaves and run.length_m is not None:
                lengths[other] = run.length_m + excess
        text = _("move {device} to within {allowed} of {origin}: {runs}").format(
            device=study.name(item),
            allowed=_length(study, placed.allowed_m),
            origin=study.name(placed.origin),
            runs=", ".join(f"{study.name(run)} {_length(study, metres)}" for run, metres in lengths.items()),
        )
        edits = tuple(Put("runs", run, _of_length(runs[run], metres), words=text) for run, metres in lengths.items())
        yield from first_sound(study, finding, [Fix(text, Several(edits, text))])


def sheathed(study: Study, finding: Finding, end: Uncovered) -> Iterator[Fix]:
    """The way up to the device in a sheath or conduit, where that is allowed farther."""
    placed = end.placed
    if placed is None or placed.reason != "far":
        return
    mirror, circuit, runs = study.coverage.mirror, study.coverage.circuit, study.snapshot.runs
    edges = [*placed.path, *(edge for ending in placed.endings for edge in ending.through)]
    way = list(dict.fromkeys(circuit.wires[mirror.wire[edge]].run for edge in edges))
    bare = [run for run in way if runs[run].sheath not in ("sheathed", "enclosed") or _is_open(runs[run])]
    if not bare:
        return
    text = _("run {runs} in a sheath or conduit all the way").format(runs=", ".join(study.name(run) for run in bare))
    edits = tuple(Put("runs", run, _covered(runs[run]), words=text) for run in bare)
    yield from first_sound(study, finding, [Fix(text, _one(edits, text))])


def device_in(study: Study, finding: Finding, end: Uncovered) -> Iterator[Fix]:
    """A device put in where the conductor is fed: at its own end, else where the unprotected way begins."""
    if study.snapshot.runs[end.run].status == "to remove":
        return
    yield from first_sound(study, finding, _put_in(study, end))


def _put_in(study: Study, end: Uncovered) -> Iterator[Fix]:
    most = end.limits.single_low
    if not 0 < most < 1e12:
        return
    snapshot, mirror, circuit = study.snapshot, study.coverage.mirror, study.coverage.circuit
    places = [(end.run, str(end.end))]
    if end.placed is not None and len(end.placed.path) > 1:
        first = circuit.wires[mirror.wire[end.placed.path[0]]].run
        side = "from" if snapshot.runs[first].from_end.equipment == end.placed.origin else "to"
        places.append((first, side))
    for number, rating in enumerate(ratings_down(study, most)):
        if number == RATINGS:
            return
        for run, side in places:
            record = device_for(snapshot, snapshot.runs[run], rating)
            text = _("fit a {kind} of {amps}, {{device}}, in run {{run}} at {{at}}").format(
                kind=inward(_(record.NAME)), amps=show(rating, "A", digits=6)
            )
            yield from in_run(study, run, side, record, text)


def smaller_device(study: Study, finding: Finding, end: Uncovered) -> Iterator[Fix]:
    """The one device that lets too much through, as the largest that suits."""
    supplied = end.supplied
    if supplied is None or len(supplied.devices) != 1 or supplied.sources:
        return
    item, rating = supplied.devices[0]
    record = study.snapshot.equipment[item]
    if record.status == "to remove":
        return
    most = end.limits.single_low if record.trip() is not None and end.limits.single_low > 0 else rating
    yield from least_sound(study, finding, of_rating(study, item, ratings_down(study, min(rating, most))))


def larger_conductor(study: Study, finding: Finding, end: Uncovered) -> Iterator[Fix]:
    """The run in the smallest size that carries what is let through."""
    if study.snapshot.runs[end.run].status != "to remove":
        yield from least_sound(study, finding, run_in(study, end.run))


def locked_out(study: Study, finding: Finding) -> Iterator[Fix]:
    """An interlock against the switch positions that make it so."""
    equipment = study.snapshot.equipment
    held = [(item, (position,)) for item, position in finding.positions if not equipment[item].moves_itself()]
    yield from first_sound(study, finding, interlocked(study, held))


def _one(edits: tuple[Put, ...], text: str) -> Edit:
    return edits[0] if len(edits) == 1 else Several(edits, text)


def _is_open(run: Run) -> bool:
    return any(place.unsheathed_m for place in run.places)


def _covered(run: Run) -> Run:
    places = tuple(
        msgspec.structs.replace(place, unsheathed_m=0.0) if place.unsheathed_m else place for place in run.places
    )
    origins = tuple((field, origin) for field, origin in run.origins if field.split(".")[0] != "sheath")
    return msgspec.structs.replace(run, sheath="sheathed", places=places, origins=origins)


def _of_length(run: Run, metres: float) -> Run:
    """A run cut to a length: what was measured in each place no longer adds up."""
    places = tuple(msgspec.structs.replace(place, length_m=None, unsheathed_m=None) for place in run.places)
    origins = tuple((f, o) for f, o in run.origins if f.split(".")[0] not in ("length_m", "places"))
    return msgspec.structs.replace(run, length_m=round(max(metres, 0.0), 4), places=places, origins=origins)


def _length(study: Study, metres: float) -> str:
    return show(metres, "m", study.snapshot.settings.units)
