"""With supply: polarity, neutral bonds, residual current, voltage drop, hot spots."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Iterator
from typing import NamedTuple

from app.handover.commissioning._columns import called, in_use, pieces, reading, text, tick
from app.handover.commissioning.taken import taken
from app.handover.job import Job
from app.handover.schedules.aboard import counted_from
from app.paper.blocks import Block, Gap, Heading, Paragraph
from app.paper.table import Table, Value
from engine.circuit.flow.operating import STARTER
from engine.circuit.flow.results import LoadFlow, Start
from engine.circuit.neutrals import bonded_in, neutrals
from engine.installation.surveying import Reading
from engine.naming import natural
from engine.units import number, show
from engine.words import N_, _

__all__ = ["drops", "hot_spots", "neutral_bonds", "outlets", "residual_current"]

_HOTTEST = 25  # places looked at for heat
_ALL_ON = N_("as drawn, every load on")


def outlets(job: Job) -> list[Block]:
    """Polarity at every outlet and inlet."""
    rows: list[tuple[Value, ...]] = []
    for item, record in pieces(job):
        metal, shore = record.touchable(), record.ashore()
        is_outlet = (metal is not None and metal.is_socket) or (shore is not None and shore.inlet)
        if not is_outlet:
            continue
        terminal = shore.terminal if shore is not None else "in"
        system = record.nominal_volts(terminal) or _reached(job, item, terminal)
        kind = {"dc": _("DC"), "ac": _("AC")}.get(system[0] if system else "")
        volts = None if system is None or system[1] is None else show(system[1], "V")
        for n in range(1, record.quantity + 1):
            name = called(job, item)
            told = _("{name}, outlet {n} of {of}").format(name=name, n=n, of=record.quantity)
            place = job.snapshot.places.get(record.place)
            where = place.name if place is not None else ""
            rows.append((told if record.quantity > 1 else name, where, kind, volts, *[None] * 4))
    columns = (
        text("outlet", _("Outlet or inlet")),
        text("place", _("Place"), 32.0),
        text("kind", _("AC or DC")),
        text("nominal", _("Nominal")),
        reading("volts", _("Found"), "V"),
        tick("live", _("L or + right")),
        tick("return", _("N or – right")),
        tick("earth", _("Earth")),
    )
    title = _("Polarity at every outlet")
    if not rows:
        return [Heading(title), Gap(_("No outlet and no inlet is drawn: polarity is not tested by this sheet."))]
    return [Table("polarity", title, columns, tuple(rows))]


def _reached(job: Job, item: str, terminal: str) -> tuple[str, float | None] | None:
    """The kind of system at a terminal by the runs that arrive there, its volts not told."""
    for run in job.snapshot.runs.values():
        for end in (run.from_end, run.to_end):
            if end.equipment == item and end.terminal == terminal and run.function not in ("earth", "bonding"):
                return ("ac" if run.is_ac() else "dc"), None
    return None


def neutral_bonds(job: Job) -> list[Block]:
    """What the neutral of each source is bonded to, in every operating condition in which it feeds."""
    study = job.study
    every = neutrals(study)
    title = _("Neutral bond in each source state")
    if not every:
        return [Heading(title), Paragraph(_("No AC source with a neutral is drawn: nothing to measure."))]
    rows: list[tuple[Value, ...]] = []
    for operation in study.operations:
        for neutral in every:
            record = job.snapshot.equipment[neutral.item]
            position = operation.positions.get(neutral.item)
            if neutral.positions is not None and position not in neutral.positions:
                continue
            needs_start = not record.conversions()
            if needs_start and operation.running is not None and neutral.item not in operation.running:
                continue
            at = [called(job, item) for item in bonded_in(study, neutral, operation.positions)]
            expected = _("bonded once, at {item}").format(item=at[0]) if len(at) == 1 else ""
            if not at:
                expected = _("no bond is drawn: see the findings")
            elif len(at) > 1:
                expected = _("more than one: {items}; see the findings").format(items=", ".join(at))
            rows.append((operation.name or _("as drawn"), called(job, neutral.item), expected, *[None] * 3))
    columns = (
        text("condition", _("Condition"), 32.0),
        text("source", _("Source that feeds"), 40.0),
        text("expected", _("Expected of its neutral"), 50.0),
        reading("volts", _("N to PE"), "V"),
        reading("ohms", _("N to PE, dead"), "Ω"),
        tick("done", _("As expected")),
    )
    notes = (
        _("Measured at the AC panel with the source feeding; then dead, every switch in the same position."),
        _("Two bonds put current through the earth conductors; none leaves a fault without a way back."),
    )
    if not rows:
        return [Heading(title), Gap(_("In no operating condition an AC source with a neutral feeds anything."))]
    return [Table("neutral-bonds", title, columns, tuple(rows), notes)]


def residual_current(job: Job) -> list[Block]:
    """Every residual-current device: milliamperes and milliseconds measured, its button tried."""
    rows: list[tuple[Value, ...]] = []
    for item, record in pieces(job):
        told = record.residual()
        if told is not None:
            rows.append(
                (
                    called(job, item),
                    told.form or None,
                    None if told.trips_ma is None else show(told.trips_ma, "mA"),
                    None if told.within_ms is None else show(told.within_ms, "ms"),
                    None,
                    _tripped_ms(job, item, told.trips_ma),
                    *[None] * 2,
                )
            )
    title = _("Residual-current protection")
    if not rows:
        told_none = _("No residual-current protection is drawn: there is none to test.")
        return [Heading(title), Gap(told_none)]
    columns = (
        text("device", _("Device")),
        text("type", _("Type")),
        text("trips", _("Trips by")),
        text("within", _("Within")),
        reading("ma", _("Tripped at"), "mA"),
        reading("ms", _("Tripped in"), "ms"),
        tick("button", _("Button")),
        tick("done", _("Passed")),
    )
    note = _("Measured at the farthest outlet it protects, at its rated residual current; a rising test for the mA.")
    return [Table("residual-current", title, columns, tuple(rows), (note,))]


def _tripped_ms(job: Job, item: str, trips_ma: float | None) -> float | None:
    """The time measured at its rated residual current."""
    if trips_ma is None:
        return None
    rated = trips_ma / 1000
    return taken(job, item, "trip_s", lambda r: r.test_a is not None and abs(r.test_a - rated) <= 0.01 * rated, 1e-3)


class _Worst(NamedTuple):
    condition: str
    load: LoadFlow
    at_source: float | None
    item: str = ""  # id of the condition


def drops(job: Job) -> list[Block]:
    """Each load in the condition in which it loses most: what is computed, to be measured under load."""
    worst = _worst(job)
    rows: list[tuple[Value, ...]] = []
    several = {item for item, terminal in worst if sum(1 for other, _t in worst if other == item) > 1}
    order = sorted(worst, key=lambda at: (natural(job.snapshot.name(at[0])), at))
    for item, terminal in order:
        one = worst[item, terminal]
        load = one.load
        computed = load.drop_pct is not None and not load.at_least
        rows.append(
            (
                called(job, item) + (f", {terminal}" if item in several else ""),
                one.condition,
                job.snapshot.name(load.source) if load.source else None,
                _rounded(load.amps),
                _rounded(one.at_source),
                _rounded(load.volts),
                _percent(load.drop_pct, computed),
                taken(job, item, "current_a", _in(one, terminal)),
                taken(job, load.source, "volts", _in(one)) if load.source else None,
                taken(job, item, "volts", _in(one, terminal)),
            )
        )
    title = _("Voltage drop under load")
    left_out = _left_out(job, {item for item, _terminal in worst})
    if not rows:
        none = _("No load draws anything in any condition: no drop is computed.")
        return [Heading(title), Gap(" ".join((none, *left_out)))]
    columns = (
        text("load", _("Load"), 44.0),
        text("condition", _("Condition"), 24.0),
        text("source", _("From"), 14.0),
        text("amps", _("Computed"), unit="A"),
        text("source_v", _("At source"), unit="V"),
        text("load_v", _("At load"), unit="V"),
        text("drop", _("Drop"), unit="%"),
        *(
            reading(name, title, unit)._replace(least=13.0)
            for name, title, unit in (
                ("found_a", _("Found"), "A"),
                ("found_source", _("At source"), "V"),
                ("found_load", _("At load"), "V"),
            )
        ),
    )
    notes = [
        _(
            "Computed with everything on that has hours in the condition, batteries at their nominal volts. Measure "
            "with the load running, both readings within a minute; more than a quarter above the computed drop points "
            "to a bad joint (common practice, no source)."
        ),
        _(
            "From: the source the drop is counted from, a battery where one feeds the load in some condition. At "
            "source is measured at the terminals of that source, not at a bus."
        ),
    ]
    if job.snapshot.conditions and any(one.condition == _(_ALL_ON) for one in worst.values()):
        notes.append(
            _("No hours are recorded in any condition for what stands under {all_on}.").format(all_on=f"“{_(_ALL_ON)}”")
        )
    missing = sorted({m for one in worst.values() for m in one.load.missing if one.load.drop_pct is None}, key=natural)
    if missing:
        notes.append(_("Not known for want of: {fields}.").format(fields=", ".join(missing)))
    return [Table("voltage-drop", title, columns, tuple(rows), (*notes, *left_out))]


def _in(worst: _Worst, terminal: str = "") -> Callable[[Reading], bool]:
    """Readings taken in that condition, at that terminal where one is named."""
    return lambda r: r.condition == worst.item and r.terminal in ("", terminal or r.terminal)


def _worst(job: Job) -> dict[tuple[str, str], _Worst]:
    """The largest drop of each load that is there when the work is done; as drawn of those that have no hours."""
    worst: dict[tuple[str, str], _Worst] = {}
    there = dict(in_use(job.snapshot.equipment.items()))
    for flow in (*job.study.flows, *((job.study.flow(""),) if job.snapshot.conditions else ())):
        name = flow.name if flow.condition else _(_ALL_ON)
        done = {item for item, _terminal in worst} if not flow.condition else set()
        for load in flow.loads:
            at = load.equipment, load.terminal
            if load.equipment not in there or load.equipment in done or load.source in ("", load.equipment):
                continue
            if at not in worst or _before(job, load) > _before(job, worst[at].load):
                at_source = None if load.volts is None or load.drop_v is None else load.volts + load.drop_v
                worst[at] = _Worst(name, load, at_source, flow.condition)
    return worst


def _before(job: Job, load: LoadFlow) -> tuple[bool, int, float]:
    """What tells better what to expect: known at all, counted from a battery, lost more."""
    drop = load.drop_pct
    return drop is not None, counted_from(job.snapshot, load.source), 0.0 if drop is None else drop


def _left_out(job: Job, told: set[str]) -> Iterator[str]:
    """Loads of which no drop is told, each with the reason."""
    starts: dict[str, Start] = {}
    for start in job.study.starts:  # the condition in which least arrives
        before = starts.get(start.motor)
        least = math.inf if before is None or before.own_volts is None else before.own_volts
        if before is None or (start.own_volts is not None and start.own_volts < least):
            starts[start.motor] = start
    going: list[str] = []
    for item in _in_order(job, job.snapshot.equipment):
        record = job.snapshot.equipment[item]
        use = record.use()
        if use is None or item in told:
            continue
        name = called(job, item)
        if record.status in ("to remove", "spare"):
            going.append(name)
        elif use.service == STARTER:
            found = starts.get(item)
            if found is None or found.amps is None or found.own_volts is None:
                yield _("{name} is in no row: it draws only while the engine starts. Measure it then.").format(
                    name=name
                )
            else:
                yield _(
                    "{name} is in no row: it draws only while the engine starts. Measure it then; computed with the "
                    "batteries at their lowest: {amps} A, {volts} V at it."
                ).format(name=name, amps=_rounded(found.amps), volts=_rounded(found.own_volts))
        elif not record.draws():
            yield _("{name} is in no row: what it draws is not recorded.").format(name=name)
        else:
            yield _("{name} is in no row: nothing feeds it in any condition, nor as drawn.").format(name=name)
    if going:
        yield _("To be removed or spare, so not measured: {names}.").format(names=", ".join(going))


def _in_order(job: Job, items: Iterable[str]) -> list[str]:
    return sorted(items, key=lambda i: (natural(job.snapshot.name(i)), i))


def _rounded(value: float | None) -> str | None:
    return None if value is None else number(value, 3 if abs(value) < 100 else 4)


def _percent(value: float | None, exact: bool) -> str | None:
    if value is None:
        return None
    told = number(round(value, 2), 3)
    return told if exact else _("at least {value}").format(value=told)


class _Place(NamedTuple):
    share: float | None  # of what it may carry
    amps: float
    item: str
    condition: str
    rated_a: float | None


def hot_spots(job: Job) -> list[Block]:
    """The places through which most of what they may carry flows, to be felt for heat after an hour at load.

    What would carry more than it may is tried with no more than that.
    """
    found = _places(job)
    shown = found[:_HOTTEST]
    rows: list[tuple[Value, ...]] = [
        (
            called(job, one.item),
            one.condition,
            _rounded(one.amps),
            _rounded(one.rated_a),
            None if one.share is None else f"{one.share * 100:.0f}",
            f"≤ {_rounded(one.rated_a)}" if _is_over(one) else _rounded(one.amps),
            *[None] * 3,
        )
        for one in shown
    ]
    title = _("Hot spots after one hour at load")
    if not rows:
        return [Heading(title), Gap(_("No current is computed through any device: the hottest places are not known."))]
    columns = (
        text("place", _("Device or bus")),
        text("condition", _("Condition"), 30.0),
        text("amps", _("Computed"), unit="A"),
        text("rated", _("May carry"), unit="A"),
        text("share", _("Of it"), unit="%"),
        text("test", _("Test with"), unit="A"),
        reading("air", _("Air"), "°C"),
        reading("found", _("Terminal"), "°C"),
        tick("done", _("Sound")),
    )
    notes = [
        _(
            "One hour in the condition named with the current under Test with, covers closed; of readings at both "
            "terminals the hotter counts."
        ),
        _(
            "Computed: the most in any condition, with everything on at once that has hours in it; what a person or a "
            "converter switches off in time is not taken off, nor what a device upstream would not let through. The "
            "calculations judge a device by what flows for hours and by each load alone: their figure may be smaller."
        ),
    ]
    over = [job.snapshot.name(one.item) for one in shown if _is_over(one)]
    if over:
        notes.append(
            _(
                "{names}: the computed current is above what it may carry and is not to be held. Switch loads off "
                "until no more than the rating flows, and see the findings."
            ).format(names=", ".join(over))
        )
    if any(one.rated_a is None for one in shown):
        notes.append(_("Where what it may carry is not known, read it off first and test with no more than that."))
    if len(found) > len(rows):
        notes.append(_("The {n} most loaded of {of} places.").format(n=len(rows), of=len(found)))
    return [Table("hot-spots", title, columns, tuple(rows), tuple(notes))]


def _is_over(one: _Place) -> bool:
    return one.share is not None and one.share > 1 + 1e-9


def _places(job: Job) -> list[_Place]:
    """Devices that are there when the work is done, the most loaded first."""
    there = dict(in_use(job.snapshot.equipment.items()))
    largest: dict[str, tuple[float, str]] = {}
    for flow in job.study.flows:
        name = flow.name if flow.condition else _(_ALL_ON)
        for device in flow.devices:
            if device.equipment in there and device.amps > largest.get(device.equipment, (1e-3, ""))[0]:
                largest[device.equipment] = device.amps, name
    found: list[_Place] = []
    for item, (amps, condition) in largest.items():
        record = job.snapshot.equipment[item]
        carried = record.carries()
        rated = record.through_a if carried is None else carried.continuous_a
        if rated is None:
            rated = next((c.protection.rating_a for c in record.contacts() if c.protection is not None), None)
        if rated is None:
            limits = (record.through_limit(terminal.name) for terminal in record.terminals())
            rated = min((limit for limit in limits if limit is not None), default=None)
        found.append(_Place(amps / rated if rated else None, amps, item, condition, rated))
    # where the rating is not known the place is the more to be looked at
    return sorted(
        found,
        key=lambda one: (
            -(1.0 if one.share is None else one.share),
            -one.amps,
            natural(job.snapshot.name(one.item)),
            one.item,
        ),
    )
