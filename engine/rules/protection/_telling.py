"""What the five rules of conductor protection say alike: names, currents, arithmetic, what could not be judged."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator

from engine.books.ampacity import amps, at_most, tenths
from engine.circuit.conductors import EXEMPTING, PLACING, RATING
from engine.circuit.coverage import Uncovered
from engine.circuit.refine import Supplied
from engine.findings import Figure, Finding, NotJudged, Remark, Word
from engine.rules.protection._devices import device
from engine.rules.wording import in_condition
from engine.rules.wording import listed as listed
from engine.study import Study
from engine.units import number, show, show_size
from engine.words import _

Tell = Callable[[Study, Uncovered], Finding]


def remarks(study: Study, slug: str, would_be: Word, tell: Tell) -> Iterator[Remark]:
    """One remark for every uncovered end of a class, in the order of runs."""
    for end in study.coverage.of(slug):
        if not end.judged:
            yield not_judged(study, end, slug, would_be)
        elif end.undecided:
            yield undecided(study, end, slug, would_be)
        else:
            yield tell(study, end)


# -- names ----------------------------------------------------------------------------------------------------------
def run_name(study: Study, end: Uncovered) -> str:
    """*run W12*, its conductors named where it has several live ones."""
    run = study.snapshot.runs[end.run]
    name = study.name(end.run)
    if run.function == "ac" and len(run.phases.split()) > 1:
        return _("run {run} ({conductors})").format(run=name, conductors=", ".join(end.conductors))
    return _("run {run}").format(run=name)


def sized(study: Study, end: Uncovered) -> str:
    """*6 AWG, good for 120 A*."""
    run = study.snapshot.runs[end.run]
    size = show_size(run.size) if run.size else _("of unknown size")
    if run.parallel > 1:
        size = f"{run.parallel} × {size}"
    limits = end.limits
    if not run.size:
        return size
    if limits.low != limits.high:
        return _("{size}, good for {amps} at most").format(size=size, amps=amps(limits.high))
    return _("{size}, good for {amps}").format(size=size, amps=amps(limits.high))


def end_name(study: Study, end: Uncovered) -> str:
    """The equipment at the end that is fed."""
    run = study.snapshot.runs[end.run]
    return study.name((run.from_end if end.end == "from" else run.to_end).equipment)


def far_name(study: Study, end: Uncovered) -> str:
    """The equipment at the other end."""
    run = study.snapshot.runs[end.run]
    return study.name((run.to_end if end.end == "from" else run.from_end).equipment)


def feeders(study: Study, supplied: Supplied | None, end: Uncovered | None = None) -> list[str]:
    """*F1 (100 A)*, *T1 (gives 40 A)*: what a feed cut is made of."""
    if supplied is None:
        return []
    made = [f"{device(study, item, rating, end).name} ({amps(rating)})" for item, rating in supplied.devices]
    for item, given in supplied.sources:
        if given == math.inf:
            made.append(study.name(item))
        else:
            made.append(_("{name} (gives {amps})").format(name=study.name(item), amps=amps(given)))
    return made


def is_sum(end: Uncovered) -> bool:
    """Whether several feeds are too much only together: of a sum the clauses on a device's rating do not speak."""
    by = () if end.supplied is None else (*end.supplied.devices, *end.supplied.sources)
    return len(by) > 1 and all(given <= end.limits.single_high for _item, given in by)


def machine_a(study: Study, end: Uncovered) -> float | None:
    """The most a device may be rated at for the alternator or generator that feeds an end; `None`: another source."""
    if end.supplied is None or end.amps < math.inf or not end.supplied.sources:
        return None
    item = end.supplied.sources[0][0]
    multiple = study.book.limit(EXEMPTING, "machine")
    for feed in study.circuit.feeds:
        if feed.equipment == item and feed.source.rotating:
            rated = feed.source.limit_a
            return math.inf if rated is None or multiple is None else rated * multiple.value
    return None


def suited_a(study: Study, end: Uncovered) -> float:
    """The largest device that suits a conductor and the machine that feeds it."""
    machine = machine_a(study, end)
    return sure_a(end) if machine is None else min(sure_a(end), machine)


def sure_a(end: Uncovered) -> float:
    """The largest device that suits a conductor whatever is not recorded of it; without limit where its size is not."""
    return end.limits.single_low if end.limits.single_low > 0 else math.inf


def a_device(most: float) -> str:
    """*a device of 60 A or less*."""
    if most >= 1e12:
        return _("a device that suits the conductor")
    return _("a device of {amps} or less").format(amps=at_most(most))


def recording(end: Uncovered) -> Iterator[str]:
    """The advice to record what would allow more, where something is not recorded."""
    if end.limits.ampacity.missing and end.limits.low < end.limits.high:
        yield _("record {fields}: a larger device may then be allowed").format(
            fields=listed(list(end.limits.ampacity.missing))
        )


def bare_clause(study: Study, end: Uncovered, slug: str) -> tuple[str, bool]:
    """The clause on a conductor without a device: that on machines where one feeds it."""
    return cited(study, slug, "") if machine_a(study, end) is None else cited(study, EXEMPTING, "machine")


def fit_at(study: Study, end: Uncovered) -> str:
    """The advice to fit a device where the end is fed; beside the device that stands there already."""
    run = study.snapshot.runs[end.run]
    item = (run.from_end if end.end == "from" else run.to_end).equipment
    if study.snapshot.equipment[item].ROLE == "protection":
        text = _("fit a further one, {device}, between {end} and run {run}")
    else:
        text = _("fit {device} at {end}")
    return text.format(device=a_device(sure_a(end)), end=study.name(item), run=study.name(end.run))


def source_name(study: Study, end: Uncovered) -> str:
    """The source that nothing stands before."""
    if end.supplied is None or not end.supplied.sources:
        return end_name(study, end)
    return study.name(end.supplied.sources[0][0])


def equipment_of(supplied: Supplied | None) -> tuple[str, ...]:
    """Ids a finding names after what it speaks of: devices of the cut, then sources."""
    if supplied is None:
        return ()
    return tuple(dict.fromkeys(item for item, _amps in (*supplied.devices, *supplied.sources)))


def involved(study: Study, supplied: Supplied | None) -> tuple[str, ...]:
    """The same, and the devices whose rating a transformer passes on."""
    if supplied is None:
        return ()
    before = (device(study, item, rating).item for item, rating in supplied.devices)
    return tuple(dict.fromkeys((*equipment_of(supplied), *before)))


def device_at(study: Study, edge: int) -> str:
    """The equipment of a protective device."""
    coverage = study.coverage
    return coverage.circuit.links[coverage.mirror.link[edge]].equipment


def edge_name(study: Study, edge: int) -> str:
    """*F1*, *channel 3 of A1*."""
    coverage = study.coverage
    item = device_at(study, edge)
    terminal = coverage.circuit.nodes[coverage.circuit.links[coverage.mirror.link[edge]].b].terminal
    if study.snapshot.equipment[item].TERMINALS_VARY and terminal.startswith("ch"):
        return _("channel {number} of {name}").format(number=terminal[2:], name=study.name(item))
    return study.name(item)


def rated(study: Study, edge: int) -> str:
    """*F1 (100 A)*."""
    rating = study.coverage.mirror.protection[edge]
    name = edge_name(study, edge)
    if rating is None or rating.rating_a is None:
        return name
    return f"{name} ({amps(rating.rating_a)})"


def far_devices(study: Study, end: Uncovered) -> list[int]:
    """Protective devices the way on from an end meets, as edges, each once."""
    if end.placed is None:
        return []
    return list(dict.fromkeys(ending.edge for ending in end.placed.endings if ending.edge >= 0))


def own_devices(study: Study, end: Uncovered) -> list[int]:
    """Of the devices met, those that end the run; one that feeds the end itself does not."""
    feeding = () if end.supplied is None else {item for item, _rating in end.supplied.devices}
    return [edge for edge in far_devices(study, end) if device_at(study, edge) not in feeding]


def move_nearer(study: Study, end: Uncovered) -> Iterator[str]:
    """Where the distance is all that is wrong: move the device, or cover the run."""
    placed = end.placed
    devices = own_devices(study, end)
    if placed is None or placed.reason != "far":
        return
    limits = study.coverage.values.distances
    if study.snapshot.runs[end.run].status == "to remove":
        yield _("take run {run} out, as recorded").format(run=study.name(end.run))
        return
    if devices:
        yield _("move {devices} to within {allowed} of {origin}").format(
            devices=listed([edge_name(study, edge) for edge in devices]),
            allowed=allowed_distance(study, distance_limit(study, end)),
            origin=study.name(placed.origin),
        )
    else:
        yield _("fit {device} within {allowed} of {origin}").format(
            device=a_device(sure_a(end)),
            allowed=allowed_distance(study, distance_limit(study, end)),
            origin=study.name(placed.origin),
        )
    covered = limits.allowed(placed.supply, True)
    names = [study.name(study.circuit.wires[study.coverage.mirror.wire[edge]].run) for edge in placed.path]
    if placed.allowed_m < covered == math.inf:
        yield _("run {runs} in a sheath or enclosure all the way to the panel").format(runs=listed(names))
    elif placed.allowed_m < covered and placed.distance_m <= covered:
        yield _("run {runs} in a sheath or enclosure all the way: {allowed} is allowed then").format(
            runs=listed(names), allowed=allowed_distance(study, limits.name(placed.supply, covered))
        )


def length(study: Study, metres: float) -> str:
    """A length in the drawing's units."""
    return show(metres, "m", study.snapshot.settings.units)


# -- numbers --------------------------------------------------------------------------------------------------------
def arithmetic(study: Study, end: Uncovered) -> str:
    """How the allowed current comes about, and what is let through."""
    limits = end.limits
    parts = [limits.ampacity.arithmetic] if limits.ampacity.arithmetic else []
    allowed = end.allowed_a
    if allowed > limits.high:
        multiple = allowed / limits.high
        if math.isclose(multiple, limits.multiple):
            parts.append(
                _("one device: {amps} × {multiple} = {allowed}").format(
                    amps=amps(limits.high), multiple=number(multiple), allowed=amps(allowed)
                )
            )
        else:
            parts.append(_("next standard size {allowed}").format(allowed=amps(allowed)))
    if end.supplied is not None and math.isfinite(end.amps):
        given = [amount for _item, amount in (*end.supplied.devices, *end.supplied.sources)]
        if len(given) > 1:
            parts.append(" + ".join(tenths(g) for g in given) + f" = {amps(end.amps)}")
    parts += _supposed(study, end)
    return "; ".join(parts)


def _supposed(study: Study, end: Uncovered) -> list[str]:
    """Sources the book takes as limiting themselves though the record does not say so."""
    if end.supplied is None:
        return []
    named = {item for item, given in end.supplied.sources if given < math.inf}
    return [
        _("{name} taken as limiting itself, as this book does with an ordinary alternator").format(
            name=study.name(feed.equipment)
        )
        for feed in study.circuit.feeds
        if feed.equipment in named and feed.source.rotating and feed.source.limited is None
    ]


def figures(end: Uncovered) -> tuple[Figure, ...]:
    """What is let through, and what may be."""
    fed = None if end.amps == math.inf else round(end.amps, 3)
    return (
        Figure("feed", fed, "A"),
        Figure("allowed", round(end.allowed_a, 3) if end.allowed_a < 1e12 else None, "A"),
        Figure("ampacity", round(end.limits.high, 3) if end.limits.high < 1e12 else None, "A"),
    )


def condition(study: Study, positions: tuple[tuple[str, str], ...]) -> str:
    """Switch positions that make it true; nothing where it is so as drawn."""
    if not positions:
        return ""
    equipment = study.snapshot.equipment
    automatic = [item for item, _position in positions if equipment[item].moves_itself()]
    return in_condition(study, [(item, (position,)) for item, position in positions], automatic)


def detail(end: Uncovered) -> str:
    """Tells the ends and conductors of one run apart."""
    return f"{end.end} {' '.join(end.conductors)}"


def cited(study: Study, slug: str, which: str) -> tuple[str, bool]:
    """The clause of one of a rule's values where it has its own, and whether it was read."""
    limit = study.book.limit(slug, which)
    clause = study.book.clause(slug, which)
    return clause, study.book.confirmed(slug) if limit is None else limit.confirmed


def rating_clause(study: Study, end: Uncovered) -> tuple[str, bool]:
    """The clause on the size of a device at the voltage of a run."""
    volts = end.limits.volts
    is_low = volts is not None and study.coverage.values.is_low(volts)
    return cited(study, RATING, "below_split" if is_low else "from_split")


def distance_limit(study: Study, end: Uncovered) -> str:
    """The name of the value of the book that the distance was held to."""
    placed = end.placed
    distances = study.coverage.values.distances
    return "bare" if placed is None else distances.name(placed.supply, placed.allowed_m)


def allowed_distance(study: Study, name: str) -> str:
    """*0.178 m (7 in)*."""
    limit = study.book.limit(PLACING, name)
    if limit is None:
        return _("no distance")
    shown = length(study, limit.value)
    return shown if not limit.text or limit.text == shown else f"{shown} ({limit.text})"


# -- what could not be judged ---------------------------------------------------------------------------------------
def not_judged(study: Study, end: Uncovered, slug: str, would_be: Word) -> NotJudged:
    """Which fields are missing, and what they would tell."""
    name = run_name(study, end)
    if study.snapshot.runs[end.run].exempt == "cranking":
        why = _("{run} is recorded as part of a cranking circuit and leads, as drawn, to no cranking motor").format(
            run=name
        )
    elif any(field.endswith(".away_reason") for field in end.missing):
        why = _("{run} has its device away from the source, and why is not recorded").format(run=name)
    elif end.missing and all(field.endswith(".self_limiting") for field in end.missing):
        why = _(
            "whether {sources} limits itself is not recorded; if it does not, {run} needs a device at {end}"
        ).format(
            sources=listed([field.rpartition(".")[0] for field in end.missing]), run=name, end=end_name(study, end)
        )
    elif slug == PLACING:
        why = _("whether the device of {run} stands near enough is not known").format(run=name)
    elif end.why:
        why = _("what {run} may carry is not known: {why}").format(run=name, why=end.why)
    else:
        why = _("what feeds {run} at {end} cannot be compared with what it may carry").format(
            run=name, end=end_name(study, end)
        )
    return NotJudged(
        rule=slug,
        would_be=would_be,
        designations=(study.name(end.run),),
        ids=(end.run,),
        missing=end.missing,
        why=why,
        detail=detail(end),
    )


def undecided(study: Study, end: Uncovered, slug: str, word: Word) -> Finding:
    """The search over switch positions was stopped."""
    if study.coverage.allows_nothing:
        why = _("the interlocks allow no switch position at all, so nothing is proved")
        fix = _("correct the interlocks: some position of every switch must be allowed")
    else:
        why = _("the search was stopped before it could tell")
        fix = _("give the run a device of its own at that end, or interlock the switches that feed it")
    return Finding(
        rule=slug,
        word=word,
        designations=(study.name(end.run),),
        ids=(end.run,),
        message=_(
            "Whether a permitted switch position feeds {run} at {end} with more than it may carry is not decided: "
            "{why}."
        ).format(run=run_name(study, end), end=end_name(study, end), why=why),
        arithmetic=arithmetic(study, end),
        figures=figures(end),
        fixes=(fix,),
        undecided=True,
        detail=detail(end),
    )
