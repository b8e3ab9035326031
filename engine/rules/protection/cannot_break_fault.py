"""A device cannot break the fault current that may flow through it.

What it checks
--------------
Every overcurrent device: the largest fault current through it, from either side, in the permitted state of the switches
where that is largest (conductors cold, banks full, every source running), against what it can break at that voltage and
kind of current. A capacity for alternating current never counts for direct current, nor the reverse; one stated at
lower volts than the fault's counts only against the device.

Where a lead-acid bank's short-circuit current is not recorded but its cold cranking current is, the book's table of
least breaking capacities by cranking current stands in, where it has one; likewise for a supply from ashore whose
prospective current is not recorded. What is not recorded on the way (a size, a length) makes the current an upper
bound: then a device is not judged unless it passes.

Why it matters
--------------
A device asked to break more than it can arcs on, welds or bursts, and the fault goes on behind it.

What to do
----------
Fit a device that breaks the current at that voltage, or stand one before it whose maker states that it protects this
one. A longer or thinner conductor before it makes the current smaller, and the drop larger.

Limits read
-----------
`cca_small`, `cca_large` (cranking amperes), `main_small`, `main_middle`, `main_large`, `branch_small`,
`branch_middle`, `branch_large` (amperes), `cca_most` (the table ends), `shore_low`, `shore_high`, `shore_branch`,
`shore_low_v`, `shore_most_v`, `shore_most_a`.

References
----------
E-11 tables V-A and V-B, secondary copy: least breaking capacity by cranking current and by supply from ashore.
33 CFR 183.455(a), 2015 edition, asks for a device and does not speak of its breaking capacity.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any, NamedTuple

from engine.circuit.faults.results import DeviceFault
from engine.findings import Figure, Finding, Passed, Remark, Word
from engine.fixes import Fix
from engine.installation.model import Installation
from engine.rules.example_parts import ac_cable, cable
from engine.rules.protection._faults import ampere, bank, by_usual_figures, condition_of, gaps, shore, way
from engine.rules.proved import proved
from engine.rules.rule import Example
from engine.rules.wording import listed
from engine.study import Study
from engine.units import number
from engine.words import N_, _, ngettext

SLUG = "cannot-break-fault"
WORD: Word = "danger"
TITLE = N_("device cannot break the fault current")
LOOKS_AT = N_("protective devices that a fault can draw on")
SOLVES = True  # rests on solved currents
SAME_V = 0.999  # volts of a rating that count as the volts needed
LEAD_ACID = ("flooded", "AGM", "gel", "carbon")


class _Needed(NamedTuple):
    """What a device must break, A; `None` where it is not known. `low`: at least."""

    amps: float | None
    low: float
    missing: tuple[str, ...] = ()
    by_table: str = ""  # the table's words
    at_most: bool = False  # an upper bound


def check(study: Study) -> Iterator[Remark]:
    """At most one remark a device."""
    unknown: list[tuple[str, tuple[str, ...]]] = []
    for item, ways in _by_device(study).items():
        worst: tuple[float, Finding] | None = None
        missing: list[str] = []
        proofs: list[Passed] = []
        for fault in ways:
            needed = _needed(study, fault)
            capacity, at_v, lacking = _capacity(study, fault)
            if capacity is not None and needed.low > capacity * (1 + 1e-9):
                if worst is None or needed.low > worst[0]:
                    worst = needed.low, _finding(study, fault, needed, capacity, at_v)
            elif lacking and (needed.amps is None or needed.amps > 0):
                missing += [lacking, *needed.missing]
            elif capacity is not None and (needed.amps is None or needed.amps > capacity * (1 + 1e-9)):
                missing += needed.missing
            elif study.proving and capacity is not None and needed.amps:
                proofs.append(_proved(study, fault, needed, needed.amps, capacity))
        if worst is not None:
            yield worst[1]
        elif missing:
            unknown.append((item, tuple(missing)))
        else:
            yield from proofs
    why = _("what it can break, or the fault current there, is not known")
    yield from gaps(study, SLUG, WORD, unknown, why)


def _proved(study: Study, fault: DeviceFault, needed: _Needed, amps: float, capacity: float) -> Passed:
    return proved(
        study,
        SLUG,
        fault.equipment,
        found=(_("fault current"), amps),
        limit=(_("breaks"), capacity),
        unit="A",
        arithmetic=needed.by_table or fault.arithmetic,
        condition=condition_of(study, fault.positions),
    )


def _by_device(study: Study) -> dict[str, list[DeviceFault]]:
    made: dict[str, list[DeviceFault]] = {}
    for fault in study.faults.devices:
        made.setdefault(fault.equipment, []).append(fault)
    return dict(sorted(made.items(), key=lambda entry: (study.name(entry[0]), entry[0])))


def _capacity(study: Study, fault: DeviceFault) -> tuple[float | None, float, str]:
    """The most it breaks at the volts of the fault, those volts; the field that would tell, where that is not known.

    What it breaks at lower volts bounds it from above, and counts where even that is too little.
    """
    kind = "DC" if fault.system == "dc" else "AC"
    mine = [b for b in study.snapshot.equipment[fault.equipment].breaking if b.kind == kind]
    field = f"{study.name(fault.equipment)}.breaking"
    if not mine:
        return None, 0.0, field
    volts = fault.volts or 0.0
    enough = [b.amps for b in mine if b.volts >= volts * SAME_V]
    if enough:
        return max(enough), volts, ""
    least = min(mine, key=lambda b: b.amps)
    return least.amps, least.volts, field


def _needed(study: Study, fault: DeviceFault) -> _Needed:
    table = _by_cranking(study, fault) if fault.system == "dc" else _by_shore(study, fault)
    if table is not None:
        return table
    if fault.max_a is None:
        known = 0.0 if fault.bounded else sum(part.amps for part in fault.parts if part.how)
        return _Needed(None, known, fault.missing)
    if fault.bounded:
        return _Needed(fault.max_a, 0.0, fault.bounded, at_most=True)
    return _Needed(fault.max_a, fault.max_a, at_most=fault.undecided)


# -- tables of a book -----------------------------------------------------------------------------------------------
def _limit(study: Study, name: str) -> float | None:
    limit = study.book.limit(SLUG, name)
    return None if limit is None else limit.value


def _by_cranking(study: Study, fault: DeviceFault) -> _Needed | None:
    """The table's least capacity where the largest part is a lead-acid bank of known cranking current alone."""
    small, large, most = (_limit(study, name) for name in ("cca_small", "cca_large", "cca_most"))
    if small is None or large is None or most is None or not fault.parts:
        return None
    cranking = 0.0
    for part in fault.parts:
        store = study.snapshot.equipment[part.equipment].store()
        if store is None:
            continue
        if store.short_circuit_a is not None or store.resistance_ohm is not None:
            return None
        if store.cranking_a is None or store.chemistry not in LEAD_ACID:
            return None
        cranking += store.cranking_a
    if not 0 < cranking <= most:
        return None
    size = "small" if cranking <= small else "middle" if cranking <= large else "large"
    place = "main" if _is_first(study, fault) else "branch"
    needed = _limit(study, f"{place}_{size}")
    if needed is None:
        return None
    words = _("a bank of {cca} cranking amperes: {amps} for a main device").format(
        cca=number(cranking, 6), amps=ampere(needed)
    )
    if place == "branch":
        words = _("a bank of {cca} cranking amperes: {amps} for a branch device").format(
            cca=number(cranking, 6), amps=ampere(needed)
        )
    return _Needed(needed, needed, by_table=words)


def _is_first(study: Study, fault: DeviceFault) -> bool:
    """Whether no other device stands between it and a bank that feeds the fault."""
    behind = {source for series in study.faults.series if series.down == fault.equipment for source in series.sources}
    return any(
        part.equipment not in behind
        for part in fault.parts
        if study.snapshot.equipment[part.equipment].store() is not None
    )


def _by_shore(study: Study, fault: DeviceFault) -> _Needed | None:
    """The table's least capacity where a supply from ashore is all that is not known."""
    low_v, most_v, most_a = (_limit(study, name) for name in ("shore_low_v", "shore_most_v", "shore_most_a"))
    if low_v is None or most_v is None or most_a is None or fault.max_a is not None:
        return None
    feeds = {
        feed.equipment: feed
        for feed in study.circuit.feeds
        if feed.source.line == "shore" and feed.equipment in {part.equipment for part in fault.parts}
    }
    ashore = {f"{study.name(item)}.{field}" for item in feeds for field in ("fault_a", "supply_fault_a")}
    if not feeds or not set(fault.missing) <= ashore:
        return None
    rated = [feed.source.protection.rating_a for feed in feeds.values() if feed.source.protection is not None]
    volts = fault.volts
    if volts is None or volts > most_v or not rated or any(a is None or a > most_a for a in rated):
        return None
    main = not any(series.down == fault.equipment for series in study.faults.series)
    needed = _limit(study, ("shore_low" if volts <= low_v else "shore_high") if main else "shore_branch")
    if needed is None:
        return None
    words = _("a supply from ashore of {volts} V, {amps}: {needed}").format(
        volts=number(volts), amps=ampere(max(a for a in rated if a is not None)), needed=ampere(needed)
    )
    return _Needed(needed, needed, by_table=words)


def _finding(study: Study, fault: DeviceFault, needed: _Needed, capacity: float, at_v: float) -> Finding:
    item = fault.equipment
    name = way(study, item, fault.terminal)
    kind = "DC" if fault.system == "dc" else "AC"
    volts = number(fault.volts or 0.0, 3)
    fixes: tuple[str, ...] = (
        _("fit a device that breaks {amps} or more at {volts} V {kind}").format(
            amps=ampere(needed.low), volts=volts, kind=kind
        ),
    )
    breaks = _("{name} breaks {capacity} at {volts} V {kind}").format(
        name=name, capacity=ampere(capacity), volts=number(at_v, 3), kind=kind
    )
    if needed.by_table:
        message = _("{breaks}; it must break {amps}.").format(breaks=breaks, amps=ampere(needed.low))
        arithmetic = needed.by_table
        clause, confirmed = study.book.clause(SLUG, "main_small"), False
    else:
        by = ", ".join(dict.fromkeys(part.designation for part in fault.parts if part.designation))
        at_least = _("at least ") if needed.amps is None else _("up to ") if needed.at_most else ""
        message = _("{breaks}; a fault beside it draws {least}{amps} through it, from {sources}.").format(
            breaks=breaks, least=at_least, amps=ampere(needed.low), sources=by
        )
        arithmetic = fault.arithmetic
        usual = by_usual_figures(fault.parts)
        if usual:
            message += " " + ngettext(
                "What {names} gives is not recorded and taken by the usual figures of its kind.",
                "What {names} give is not recorded and taken by the usual figures of their kind.",
                len(usual),
            ).format(names=listed(usual))
            fixes = (*fixes, _("record the short-circuit current of {names}").format(names=listed(usual)))
        told = [f"{part.designation}: {part.how}" for part in fault.parts[:3] if part.how]
        if told:
            arithmetic += f" ({'; '.join(told)})"
        clause, confirmed = "", False
    sources = tuple(dict.fromkeys(part.equipment for part in fault.parts))
    return Finding(
        rule=SLUG,
        word=WORD,
        designations=(study.name(item),),
        ids=(item, *(source for source in sources if source != item)),
        message=message,
        condition=condition_of(study, fault.positions),
        positions=fault.positions,
        figures=(
            Figure(name=_("fault current"), value=needed.low, unit="A"),
            Figure(name=_("breaks"), value=capacity, unit="A"),
        ),
        arithmetic=arithmetic,
        fixes=fixes,
        undecided=fault.undecided and not needed.by_table,
        clause=clause,
        confirmed=confirmed,
    )


def fixes(study: Study, finding: Finding) -> Iterator[Fix]:
    """A device that breaks what flows, of the next usual capacity; a class that may not is left to be chosen."""
    from engine.fixing.breaking import able

    yield from able(study, finding, [fault for fault in study.faults.devices if fault.equipment == finding.ids[0]])


# -- examples -------------------------------------------------------------------------------------------------------
def _main(
    breaks_a: float | None, kind: str = "DC", volts: float = 32, short_a: float | None = 3000, **facts: Any
) -> Installation:
    """A bank, its main fuse 3 in away, a panel."""
    from engine.equipment.base import Breaking

    b = bank(short_a, **facts)
    breaking = () if breaks_a is None else (Breaking(amps=breaks_a, volts=volts, kind=kind),)  # type: ignore[arg-type]
    b.add("fuse", "F1", rating_a=100, fuse_class="bolt-in ISO 8820-5", breaking=breaking)
    b.add("load", "E1", dc_v=12, current_a=20.0)
    cable(b, "W1", "G1.pos", "F1.in", "4/0 AWG", 3)
    cable(b, "W2", "F1.out", "E1.in", "2 AWG", 120)
    cable(b, "W3", "E1.neg", "X9.bar", "2 AWG", 120, function="dc negative")
    return b.installation


def _branch(breaks_a: float, cranking_a: float) -> Installation:
    """A bank of known cranking current, a main fuse that breaks plenty, a branch breaker."""
    from engine.equipment.base import Breaking

    b = bank(None, chemistry="flooded", cca_a=cranking_a)
    b.add("fuse", "F1", rating_a=100, breaking=(Breaking(amps=10000, volts=32),))
    b.add("circuit_breaker", "Q1", rating_a=15, poles=("+",), breaking=(Breaking(amps=breaks_a, volts=32),))
    b.add("load", "E1", dc_v=12, current_a=2.0)
    cable(b, "W1", "G1.pos", "F1.in", "2 AWG", 6)
    cable(b, "W2", "F1.out", "Q1.in", "2 AWG", 60)
    cable(b, "W3", "Q1.out", "E1.in", "14 AWG", 120)
    return b.installation


def _ashore(breaks_a: float, fault_a: float | None) -> Installation:
    from engine.equipment.base import Breaking

    b = shore(fault_a)
    b.add(
        "circuit_breaker",
        "Q1",
        rating_a=30,
        poles=("L1", "N"),
        breaking=(Breaking(amps=breaks_a, volts=240, kind="AC"),),
    )
    b.add("load", "E1", ac_v=120, power_w=1000, power_factor=1.0)
    ac_cable(b, "W1", "X1.out", "Q1.in", "10 AWG", 40)
    ac_cable(b, "W2", "Q1.out", "E1.in", "12 AWG", 120)
    return b.installation


GOOD = (
    Example("3000 A bank, a fuse that breaks 5000 A", lambda: _main(5000)),
    Example("the fuse breaks just what may flow: 2.9 kA with 3 in of 4/0 AWG", lambda: _main(3000)),
    Example("1000 cranking amperes: a branch breaker of 1500 A", lambda: _branch(1500, 1000)),
    Example("nothing known ashore: 3000 A suit a 120 V 30 A supply", lambda: _ashore(3000, None)),
)
BAD = (
    Example("3000 A bank, a fuse that breaks 1000 A", lambda: _main(1000), (("F1",),)),
    Example("3000 A bank, a fuse that breaks 2900 A", lambda: _main(2900), (("F1",),)),
    Example("it breaks 10 kA, but of alternating current", lambda: _main(10000, kind="AC"), (("F1",),)),
    Example("its capacity is not recorded", lambda: _main(None), (("F1",),)),
    Example("1000 cranking amperes: a branch breaker of 1000 A", lambda: _branch(1000, 1000), (("Q1",),)),
    Example("1000 A ashore, a breaker that breaks 500 A", lambda: _ashore(500, 5000), (("Q1",),)),
)
