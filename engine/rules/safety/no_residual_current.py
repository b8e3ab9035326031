"""Shore power reaches what people touch with no residual-current protection on the way.

What it checks
--------------
From every shore inlet (or shore supply, where no inlet is drawn) the rule follows the live conductors with every
contact closed. What takes power and can be reached without passing residual-current protection that trips at the
book's current within the book's time is found. Protection ashore does not count: it is another's, and changes with the
berth. A transformer that separates the boat from the shore needs none before it where it stands within the book's
length of conductor of the inlet; what is beyond it is another source, asked about where the book names it.

Where every socket reached has protection of its own or before it at the book's current, it is a *warning*: what stays
unprotected is fixed equipment.

Why it matters
--------------
A faulty appliance or a frayed cord puts the boat's earth, and the water around her, at a voltage that kills swimmers;
the current is far too small for a breaker.

What to do
----------
A main breaker with residual-current protection, near the inlet.

Limits read
-----------
`most_ma` (residual current), `within_ms` (time), `transformer_m` (length to a transformer that stands in its stead),
`sources` (what else is asked about: generators, inverters, transformer secondaries).

References
----------
E-11 11.11.1, secondary copy: 30 mA, 100 ms; 10 ft to a transformer.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any, NamedTuple

from engine.circuit.ways import Reached, Step
from engine.findings import Finding, NotJudged, Remark, Word
from engine.fixes import Fix
from engine.installation.model import Installation
from engine.rules.example_parts import ac_cable
from engine.rules.left_open import left_open
from engine.rules.proved import proved
from engine.rules.rule import Example
from engine.rules.safety._boats import alongside, circuit
from engine.rules.safety._residual import Suited, asked, protections, suited
from engine.rules.safety._shore import inlets, is_live_step, uses
from engine.rules.wording import listed, named
from engine.study import Study
from engine.units import show
from engine.words import N_, _, ngettext

SLUG = "no-residual-current"
WORD: Word = "danger"
TITLE = N_("shore power without residual-current protection")
LOOKS_AT = N_("places where AC power comes aboard, and what they feed")


class _Start(NamedTuple):
    item: str
    live: tuple[int, ...]


def check(study: Study) -> Iterator[Remark]:
    """One remark an inlet or source."""
    most, within = study.book.limit(SLUG, "most_ma"), study.book.limit(SLUG, "within_ms")
    if most is None and within is None:
        return
    plates = {item: suited(told, study.name(item), most, within) for item, told in protections(study).items()}
    for start in _starts(study):
        yield from _from(study, start, plates)


def _starts(study: Study) -> Iterator[_Start]:
    for inlet in inlets(study):
        yield _Start(inlet.item, inlet.live)
    others = study.book.option(SLUG, "sources", ())
    found: dict[str, list[int]] = {}
    for feed in study.circuit.feeds:
        if feed.source.system == "ac" and feed.source.line in others:
            found.setdefault(feed.equipment, []).append(feed.node)
    for item, nodes in found.items():
        yield _Start(item, tuple(nodes))


def _reached(study: Study, start: _Start, stops: set[str], own: bool = True, hopeful: bool = True) -> tuple[str, ...]:
    """What takes power and is reached without passing `stops`; a transformer near enough does not count.

    `own`: nor does what has protection of its own. `hopeful`: a length that is not recorded is none.
    """
    near = study.book.limit(SLUG, "transformer_m")
    found = []
    for node, way in _distances(study, start, stops).items():
        item = uses(study, node)
        if not item or item == start.item:
            continue
        if near is not None and (way.low_m if hopeful else way.high_m) <= near.value and _separates(study, item):
            continue
        told = study.snapshot.equipment[item].residual()
        if own and told is not None and not told.onward and _own(study, item).suits:
            continue
        found.append(item)
    return tuple(sorted(dict.fromkeys(found)))


def _distances(study: Study, start: _Start, stops: set[str]) -> dict[int, Reached]:
    links = study.circuit.links

    def passes(step: Step) -> bool:
        return is_live_step(study, step) and (step.link < 0 or links[step.link].equipment not in stops)

    return study.ways.distances(start.live, passes)


def _lengths(study: Study, start: _Start, stops: set[str], far: tuple[str, ...]) -> tuple[str, ...]:
    """Lengths that would tell whether transformers stand near enough."""
    found = _distances(study, start, stops)
    runs = [run for node in found if uses(study, node) in far for run in study.ways.runs_to(found, node)]
    return tuple(
        f"{study.name(run)}.length_m" for run in dict.fromkeys(runs) if study.snapshot.runs[run].length_m is None
    )


def _separates(study: Study, item: str) -> bool:
    """Whether it is a transformer whose windings share nothing."""
    record = study.snapshot.equipment[item]
    windings = [{c.source, c.target} for c in record.conversions() if c.both_ways]
    shared = [{c.a, c.b} for c in record.contacts() if c.poles != ("PE",)]  # earth may pass: lives and neutral may not
    return bool(windings) and not any(pair in shared for pair in windings)


def _own(study: Study, item: str) -> Suited:
    told = study.snapshot.equipment[item].residual()
    if told is None:
        return Suited(False)
    return suited(told, study.name(item), study.book.limit(SLUG, "most_ma"), None)


def _from(study: Study, start: _Start, plates: dict[str, Suited]) -> Iterator[Remark]:
    sure = {item for item, plate in plates.items() if plate.suits}
    maybe = {item for item, plate in plates.items() if plate.suits is None}
    bare = _reached(study, start, sure | maybe)
    if bare:
        yield _finding(study, start, bare, plates)
        return
    missing = _missing(study, start, sure, maybe, plates)
    far = () if missing else _reached(study, start, sure | maybe, hopeful=False)
    if far:
        yield NotJudged(
            rule=SLUG,
            would_be=WORD,
            designations=(study.name(start.item), *(study.name(item) for item in far)),
            ids=(start.item, *far),
            missing=_lengths(study, start, sure | maybe, far),
            why=_("how far the transformer stands from the inlet is not recorded"),
        )
    elif missing:
        yield left_open(
            study,
            SLUG,
            WORD,
            start.item,
            missing=missing,
            why=_("whether the residual-current protection after it trips soon enough is not recorded"),
        )
    elif study.proving and _reached(study, start, set()):
        yield proved(
            study,
            SLUG,
            start.item,
            message=_("All that {start} feeds stands behind residual-current protection of {asked}.").format(
                start=named(study, start.item),
                asked=asked(study.book.limit(SLUG, "most_ma"), study.book.limit(SLUG, "within_ms")),
            ),
        )


def _missing(
    study: Study, start: _Start, sure: set[str], maybe: set[str], plates: dict[str, Suited]
) -> tuple[str, ...]:
    """Fields of the protections of which it hangs whether something is reached."""
    if not _reached(study, start, sure):
        return ()
    fields: list[str] = []
    for item in sorted(maybe):
        if _reached(study, start, sure | (maybe - {item})):
            fields += plates[item].missing
    return tuple(fields) or tuple(field for item in sorted(maybe) for field in plates[item].missing)


def _finding(study: Study, start: _Start, bare: tuple[str, ...], plates: dict[str, Suited]) -> Finding:
    snapshot = study.snapshot
    every = _reached(study, start, set(), own=False)
    sockets = {item for item in every if (told := snapshot.equipment[item].touchable()) is not None and told.is_socket}
    word: Word = "warning" if sockets and not sockets & set(bare) else "danger"
    most, within = study.book.limit(SLUG, "most_ma"), study.book.limit(SLUG, "within_ms")
    unsuited = {
        item: plate
        for item, plate in plates.items()
        if plate.suits is False and len(_reached(study, start, {item})) < len(_reached(study, start, set()))
    }
    names = [study.name(item) for item in bare[:4]]
    if len(bare) > 4:
        names.append(ngettext("{n} more", "{n} more", len(bare) - 4).format(n=len(bare) - 4))
    if unsuited:
        message = _("{start} feeds {uses} through {devices}; {asked} is required.").format(
            start=named(study, start.item),
            uses=listed(names),
            devices=listed([f"{study.name(item)} ({plate.words})" for item, plate in unsuited.items()]),
            asked=asked(most, within),
        )
    else:
        message = _("{start} feeds {uses} without residual-current protection of {asked}.").format(
            start=named(study, start.item), uses=listed(names), asked=asked(most, within)
        )
    near = study.book.limit(SLUG, "transformer_m")
    fixes = [_("fit a main breaker that opens by a residual current of {asked}").format(asked=asked(most, within))]
    if near is not None:
        fixes.append(
            _("or fit an isolation transformer within {length} of the inlet").format(
                length=show(near.value, "m", study.snapshot.settings.units)
            )
        )
    ids = (start.item, *unsuited, *bare)
    return Finding(
        rule=SLUG,
        word=word,
        designations=tuple(study.name(item) for item in (start.item, *unsuited)),
        ids=ids,
        message=message,
        figures=tuple(figure for plate in unsuited.values() for figure in plate.figures),
        fixes=tuple(fixes),
    )


def fixes(study: Study, finding: Finding) -> Iterator[Fix]:
    """A device that trips as asked: in place of the one there is, else put in beside where the power comes aboard."""
    from engine.fixing.leading import residual_beside, residual_suited

    most, within = study.book.limit(SLUG, "most_ma"), study.book.limit(SLUG, "within_ms")
    asks = {"residual_ma": most, "residual_ms": within}
    values = {field: limit.value for field, limit in asks.items() if limit is not None}
    unsuited = [item for item in finding.ids[1:] if item in protections(study)]
    yield from residual_suited(study, finding, unsuited, values)
    yield from residual_beside(study, finding, finding.ids[0], values)


# -- examples -------------------------------------------------------------------------------------------------------
def _boat(ma: float | None = 30, ms: float | None = 90, **more: Any) -> Installation:
    b = alongside(ma=ma, ms=ms)
    circuit(b, "load", "E1")
    circuit(b, "socket_outlet", "X5", rating_a=15, polarised=True, **more)
    return b.installation


def _transformer(metres: float, inches: float | None = 10) -> Installation:
    b = alongside(ma=100, metres=metres)
    b.add("isolation_transformer", "T1", power_va=3600, primary_v=120, secondary_v=120, bonds_neutral=True)
    ac_cable(b, "W3", "X2.bar", "T1.primary", "10 AWG", inches)
    b.add("load", "E1", ac_v=120, power_w=500, power_factor=1.0)
    ac_cable(b, "W4", "T1.secondary", "E1.in", "10 AWG", 100)
    return b.installation


GOOD = (
    Example("a main that trips at 30 mA within 90 ms", _boat),
    Example("30 mA in just 100 ms", lambda: _boat(30, 100)),
    Example("an isolation transformer within 10 ft of the inlet", lambda: _transformer(2.0)),
)
BAD = (
    Example("a main that trips too late", lambda: _boat(30, 120), (("X1", "Q1"),)),
    Example("a main that trips at 40 mA", lambda: _boat(40, 50), (("X1", "Q1"),)),
    Example(
        "sockets with 5 mA of their own, fixed equipment without",
        lambda: _boat(300, 90, residual_ma=5),
        (("X1", "Q1"),),
    ),
    Example("an isolation transformer too far from the inlet", lambda: _transformer(4.0), (("X1", "Q1"),)),
    Example("how far it stands is not recorded", lambda: _transformer(2.0, None), (("X1", "T1"),)),
)
