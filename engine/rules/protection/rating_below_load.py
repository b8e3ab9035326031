"""A device is too small for what flows through it in normal use.

What it checks
--------------
Every protective device: what flows through it for hours in some operating condition (loads that run longer than the
book's figure), and the full cold output of a charging source that stands alone behind it, against the share of its
rating that it carries continuously: its maker's, else the book's. The connected load of a lighting circuit likewise,
whatever its hours. A single load against the rating itself, however short it runs, unless it is of those that run for
minutes (windlass, thruster, winch). And whether the device would open while the motor behind it starts.

Why it matters
--------------
A device near its rating runs hot and opens without a fault: the bilge pump's on the night it is needed.

What to do
----------
A larger device where the conductor allows it, else a larger conductor as well; for a motor a slower device.

Limits read
-----------
`share`, `lighting` (shares of the rating), `continuous` (hours), `longest_start` (a device that holds so long holds);
`least_factor` (an efficiency or a power factor that is not recorded is no lower); `minutes_services` of
`switch-overloaded`.

References
----------
46 CFR 111.75-5(b), 2015 edition, for lighting. For the rest common practice, no source.
"""

from __future__ import annotations

from collections.abc import Iterator

from engine.books.ampacity import amps, at_least
from engine.circuit.faults.curves import clearing
from engine.circuit.flow.results import DeviceFlow, Flow
from engine.circuit.in_series import in_series
from engine.equipment.base import LIVE, Draw
from engine.equipment.switching.switching_module import Channel
from engine.findings import Figure, Finding, NotJudged, Remark, Word
from engine.fixes import Fix
from engine.installation.model import Installation
from engine.rules.bounds import weighty
from engine.rules.example_boats import set_condition
from engine.rules.example_parts import boat, cable
from engine.rules.protection._channels import Carried, Told, called, flowing, item_of
from engine.rules.protection._channels import devices as by_device
from engine.rules.proved import proved
from engine.rules.rule import Example
from engine.study import Study
from engine.units import number, show
from engine.words import N_, _

SLUG = "rating-below-load"
WORD: Word = "warning"
TITLE = N_("device too small for what flows through it in normal use")
LOOKS_AT = N_("protective devices, and what flows through them")
SOLVES = True  # rests on solved currents


def check(study: Study) -> Iterator[Remark]:
    """At most one remark a device for what it carries, one for what starts behind it."""
    devices = by_device(study)
    ratings = {item: of.rating_a if (of.rating_a or 0.0) > 0 else None for item, of in devices.items()}
    told = Told(ratings, {}, {})
    for flow in study.flows:
        _of_condition(study, flow, told)
        for device in flowing(flow, ratings):
            of = devices.get(device.equipment)
            if of is not None and ratings[device.equipment] is None and (device.amps > 0 or device.at_least):
                gap = (f"{study.name(item_of(device.equipment))}.{of.missing}",)
                told.gaps.setdefault(device.equipment, (gap, _("what it carries continuously is not known")))
    _of_charging(study, told)
    _of_lighting(study, told)
    _of_single_loads(study, told)
    alike: dict[tuple[tuple[str, ...], str], list[str]] = {}
    for item in sorted(told.most.keys() | told.gaps.keys()):
        if ":" in item and item_of(item) in told.most and told.most[item_of(item)].is_over():
            continue  # told of the whole
        if item in told.most and told.most[item].is_over():
            yield _finding(study, item, told.most[item], ratings[item] or 0.0)
        elif item in told.gaps:
            alike.setdefault(told.gaps[item], []).append(item)
    if study.proving:
        yield from _proofs(study, told)
    for (missing, why), items in alike.items():
        yield _gap(study, items, missing, why)
    yield from _starts(study, ratings)


def _proofs(study: Study, told: Told) -> Iterator[Remark]:
    """What each device that is neither found nor left open carries: with every load on, or for hours."""
    most: dict[str, Carried] = {}
    rates = [(item, carried) for item, carried in told.most.items()]
    for flow in study.flows:
        for device in flowing(flow, told.ratings):
            limit_a = _continuous_a(study, device.equipment, told)
            if limit_a and device.amps > 0:
                rates.append((device.equipment, Carried(device.amps, limit_a, flow.name, "")))
    for item, carried in rates:
        if carried.amps <= carried.limit_a * (1 + 1e-9) and item not in told.gaps:
            before = most.get(item)
            if before is None or carried.amps * before.limit_a > before.amps * carried.limit_a:
                most[item] = carried
    for item, carried in sorted(most.items()):
        worst = told.most.get(item)
        if worst is None or not worst.is_over():
            found, limit = ("current", carried.amps), ("continuous", carried.limit_a)
            where, what = carried.condition, carried.what
            yield proved(
                study, SLUG, item_of(item), found=found, limit=limit, unit="A", condition=where, arithmetic=what
            )


def _share(study: Study, item: str) -> float:
    trip = study.snapshot.equipment[item_of(item)].trip()
    if trip is not None and trip.continuous_percent is not None:
        return trip.continuous_percent / 100
    limit = study.book.limit(SLUG, "share")
    return limit.value if limit is not None else 1.0


def _continuous_a(study: Study, item: str, told: Told) -> float | None:
    rating = told.ratings.get(item)
    return None if rating is None else _share(study, item) * rating


def _of_condition(study: Study, flow: Flow, told: Told) -> None:
    """What flows for hours. Only where everything together exceeds a device's share are the lasting loads looked at."""
    over: list[str] = []
    unsure: dict[str, tuple[str, ...]] = {}
    for device in flowing(flow, told.ratings):
        limit_a = _continuous_a(study, device.equipment, told)
        if limit_a is None:
            continue
        if device.amps > limit_a * (1 + 1e-9):
            over.append(device.equipment)
        elif missing := _may_be_more(study, device, limit_a):
            unsure[device.equipment] = missing
    if not over and not unsure:
        return
    operation = study.operation(flow.condition)
    limit = study.book.limit(SLUG, "continuous")
    not_full = _("what flows through it for hours is not known in full")
    if not operation.has_hours or limit is None:
        carried = {device.equipment: device.amps for device in flowing(flow, told.ratings)}
        for item in over:
            why = _("{amps} flow through it with every load on; for how long is not recorded")
            told.gaps.setdefault(item, (_hours_missing(study, flow), why.format(amps=amps(carried[item]))))
        for item, missing in unsure.items():
            told.gaps.setdefault(item, (missing, not_full))
        return
    lasting = frozenset(item for item in operation.on if operation.hours.get(item, 0.0) >= limit.value)
    from engine.circuit.flow.flow import flow as solved

    what = _("what runs for {hours} h or more").format(hours=number(limit.value))
    steady = solved(study.snapshot, study.circuit, operation._replace(on=lasting), study.book, "nominal")
    for device in flowing(steady, told.ratings):
        limit_a = _continuous_a(study, device.equipment, told)
        if limit_a is None:
            continue
        told.carries(device.equipment, Carried(device.amps, limit_a, flow.name, what))
        if lacks := _may_be_more(study, device, limit_a):
            told.gaps.setdefault(device.equipment, (lacks, not_full))


def _may_be_more(study: Study, device: DeviceFlow, limit_a: float) -> tuple[str, ...]:
    """Fields without which more than `limit_a` may flow through a device."""
    least = study.book.limit(SLUG, "least_factor")
    if not device.at_least:
        return ()
    if least is not None and device.amps <= limit_a * least.value and not weighty(device.missing, factors=False):
        return ()
    return weighty(device.missing)


def _hours_missing(study: Study, flow: Flow) -> tuple[str, ...]:
    name = flow.name if flow.condition else "conditions"
    return (f"{name}.duties",)


def _of_charging(study: Study, told: Told) -> None:
    """The full cold output of every charging source, in the devices that carry nothing else."""
    for feed in study.circuit.feeds:
        source = feed.source
        if source.battery or source.system != "dc" or source.limit_a is None or source.adapts:
            continue
        if not any(one.source.battery for one in study.volts.at(feed.node).feeds):
            continue  # it supplies, it does not charge: what it feeds draws what it needs
        what = _("the full output of {source}").format(source=study.name(feed.equipment))
        for device in in_series(study.coverage, feed.node, feed.equipment):
            limit_a = _continuous_a(study, device, told)
            if limit_a is not None:
                told.carries(device, Carried(source.limit_a, limit_a, "", what, (feed.equipment,)))


def _of_lighting(study: Study, told: Told) -> None:
    """The connected load of every lighting circuit."""
    share = study.book.limit(SLUG, "lighting")
    for item, record in study.snapshot.equipment.items() if share is not None else ():
        use = record.use()
        if use is None or use.service != "lighting" or share is None:
            continue
        for draw in record.draws():
            volts = record.nominal_volts(draw.terminal)
            if not draw.value or volts is None or not volts[1]:
                continue
            by_kind = {"current": draw.value, "power": draw.value / volts[1], "resistance": volts[1] / draw.value}
            for device in _before(study, item, draw):
                rating = told.ratings.get(device)
                if rating is not None:
                    own = _share(study, device)
                    limit_a, held = max(share.value, own) * rating, "lighting" if own <= share.value else "share"
                    carried = Carried(by_kind[draw.kind], limit_a, "", _("the lights connected"), (item,), limit=held)
                    told.carries(device, carried)


def _of_single_loads(study: Study, told: Told) -> None:
    """What one load takes, in the devices that carry nothing else, against their rating: for minutes it is too much."""
    brief = study.book.option("switch-overloaded", "minutes_services", ())
    equipment = study.snapshot.equipment
    most: dict[str, tuple[float, str]] = {}
    for flow in study.flows:
        for load in flow.loads:
            use = equipment[load.equipment].use()
            if use is None or use.service in brief or load.amps is None or load.collapsed:
                continue
            if load.amps > most.get(load.equipment, (0.0, ""))[0]:
                most[load.equipment] = load.amps, flow.name
    for item, (taken, condition) in most.items():
        what = _("{load} takes that").format(load=study.name(item))
        for draw in equipment[item].draws():
            for device in _before(study, item, draw):
                rating = told.ratings.get(device)
                before = told.most.get(device)
                is_told = before is not None and before.is_over()
                if rating is not None and taken > rating * (1 + 1e-9) and not is_told:
                    told.most[device] = Carried(taken, rating, condition, what, (item,), is_brief=True)


def _before(study: Study, item: str, draw: Draw) -> tuple[str, ...]:
    """The devices that carry what is drawn at a terminal, and nothing else."""
    conductor = next((c for c in draw.conductors if c in LIVE), "+")
    node = study.circuit.node(item, draw.terminal, conductor)
    return in_series(study.coverage, node, item) if node is not None else ()


def _starts(study: Study, ratings: dict[str, float | None]) -> Iterator[Remark]:
    """Whether the device behind which a motor stands alone opens while it starts."""
    longest = study.book.limit(SLUG, "longest_start")
    for item, record in study.snapshot.equipment.items():
        use = record.use()
        if use is None or not use.is_motor or use.starting_a is None:
            continue
        for draw in record.draws():
            for device in _before(study, item, draw):
                if ratings.get(device) is None:
                    continue
                opened = clearing(study.snapshot.equipment[device], use.starting_a)
                fastest = opened.fastest_s
                if fastest is None and opened.missing and use.starting_a > (ratings[device] or 0.0):
                    missing = tuple(f"{study.name(device)}.{field}" for field in opened.missing)
                    why = _("whether it opens while {motor} starts is not known").format(motor=study.name(item))
                    yield _gap(study, [device], missing, why, "start")
                elif fastest is not None and use.starting_s is None and (longest is None or fastest < longest.value):
                    why = _("how long {motor} takes to start is not recorded").format(motor=study.name(item))
                    yield _gap(study, [device], (f"{study.name(item)}.starting_s",), why, "start")
                elif fastest is not None and use.starting_s is not None and fastest < use.starting_s:
                    yield _opens(study, device, item, use.starting_a, use.starting_s, fastest, ratings[device] or 0.0)
                elif study.proving and fastest is not None and use.starting_s is not None:
                    at, to = ("opens after", fastest), ("starts in", use.starting_s)
                    yield proved(study, SLUG, device, item, found=at, limit=to, unit="s", at_least=True, detail="start")


def _gap(study: Study, items: list[str], missing: tuple[str, ...], why: str, detail: str = "") -> NotJudged:
    return NotJudged(
        rule=SLUG,
        would_be=WORD,
        designations=tuple(dict.fromkeys(study.name(item_of(item)) for item in items)),
        ids=tuple(dict.fromkeys(map(item_of, items))),
        missing=missing,
        why=why,
        detail=detail,
    )


def _finding(study: Study, key: str, carried: Carried, rating: float) -> Finding:
    item, limit = item_of(key), carried.limit_a
    name = study.name(item)
    if carried.is_brief:
        message = _("{device} ({rating}) carries {carried}{where}: {what}.")
        arithmetic = f"{amps(rating)} < {amps(carried.amps)}"
    else:
        message = _("{device} ({rating}) carries {carried}{where}: {what}; it carries {limit} continuously.")
        arithmetic = f"{show(rating, 'A')} × {number(limit / rating, 3)} = {amps(limit)} < {amps(carried.amps)}"
    clause, confirmed = study.book.cited(SLUG, carried.limit)
    fixes = [
        _("fit {amps} or more, where the conductor and what it feeds allow it").format(
            amps=at_least(carried.amps * rating / limit)
        ),
    ]
    if not carried.ids:
        fixes.append(_("share the load among several circuits"))
    if study.snapshot.equipment[item].status == "to remove":
        fixes.insert(0, _("take {device} out, as recorded").format(device=name))
    return Finding(
        rule=SLUG,
        word=WORD,
        designations=(name, *(study.name(one) for one in carried.ids)),
        ids=(item, *carried.ids),
        message=message.format(
            device=called(study, key),
            rating=show(rating, "A"),
            carried=amps(carried.amps),
            where=_(" in {condition}").format(condition=carried.condition) if carried.condition else "",
            what=carried.what,
            limit=amps(limit),
        ),
        condition=carried.condition,
        detail=key.partition(":")[2],
        figures=(
            Figure("current", carried.amps, "A"),
            Figure("rating" if carried.is_brief else "continuous", limit, "A"),
        ),
        arithmetic=arithmetic,
        fixes=tuple(fixes),
        clause="" if carried.is_brief else clause,
        confirmed=confirmed,
        beyond_clause=carried.is_brief or not clause,
    )


def _opens(
    study: Study, item: str, motor: str, starting_a: float, starting_s: float, fastest: float, rating: float
) -> Finding:
    name, what = study.name(item), study.name(motor)
    return Finding(
        rule=SLUG,
        word=WORD,
        designations=(name, what),
        ids=(item, motor),
        message=_("{device} ({rating}) may open after {fastest} s while {motor} takes {starting} for {time} s.").format(
            device=name,
            rating=show(rating, "A"),
            fastest=number(fastest, 3),
            motor=what,
            starting=show(starting_a, "A"),
            time=number(starting_s),
        ),
        figures=(Figure("opens after", fastest, "s"), Figure("starts in", starting_s, "s")),
        arithmetic=f"{show(starting_a, 'A')} / {show(rating, 'A')} = {number(starting_a / rating, 3)}",
        fixes=(_("fit a slower device, or a larger one where the conductor allows it"),),
        detail="start",
    )


def fixes(study: Study, finding: Finding) -> Iterator[Fix]:
    """A larger device, with larger conductors where they must be."""
    from engine.fixing.ratings import larger_device

    item = finding.ids[0]
    trip = study.snapshot.equipment[item].trip()
    if trip is not None and trip.rating_a:
        yield from larger_device(study, finding, item, trip.rating_a * (1 + 1e-6))


# -- examples -------------------------------------------------------------------------------------------------------
def _carrying(load_a: float, fuse_a: float = 20, hours: float = 10.0, **fuse: float) -> Installation:
    b = boat()
    b.add("battery_bank", "G1", unit_v=12.0, unit_ah=200.0, chemistry="AGM", internal_resistance_ohm=0.001)
    b.add("fuse", "F1", rating_a=fuse_a, **fuse)  # type: ignore[arg-type]
    b.add("load", "E1", dc_v=12, current_a=load_a)
    cable(b, "W1", "G1.pos", "F1.in", "6 AWG", 6, function="dc pair")
    cable(b, "W2", "F1.out", "E1.in", "6 AWG", 60, function="dc pair")
    set_condition(b, "At anchor", {"E1": hours})
    return b.installation


def _charging(fuse_a: float) -> Installation:
    b = boat()
    b.add("battery_bank", "G1", unit_v=12.0, unit_ah=200.0, chemistry="AGM", internal_resistance_ohm=0.001)
    b.add("alternator", "G2", dc_v=12, rating_a=80, self_limiting=True, charge_v=14.4, hot_a=60)
    b.add("fuse", "F1", rating_a=fuse_a)
    cable(b, "W1", "G1.pos", "F1.in", "2 AWG", 6, function="dc pair")
    cable(b, "W2", "F1.out", "G2.pos", "2 AWG", 100, function="dc pair")
    return b.installation


def _pumping(starting_s: float) -> Installation:
    """A pump that takes three times its fuse while it starts: a blade fuse of ISO 8820-3 opens after 0.1 s or later."""
    b = boat()
    b.add("battery_bank", "G1", unit_v=12.0, unit_ah=200.0, chemistry="AGM", internal_resistance_ohm=0.001)
    b.add("fuse", "F1", rating_a=10, fuse_class="blade ISO 8820-3")
    b.add("motor", "M1", dc_v=12, running_a=5.0, starting_a=35.0, starting_s=starting_s)
    cable(b, "W1", "G1.pos", "F1.in", "6 AWG", 6, function="dc pair")
    cable(b, "W2", "F1.out", "M1.in", "6 AWG", 60, function="dc pair")
    set_condition(b, "At anchor", {"M1": 0.5})
    return b.installation


def _channels(second_a: float) -> Installation:
    """A module of 10 A and 20 A: together they carry more than the lesser trips at."""
    b = boat()
    b.add("battery_bank", "G1", unit_v=12.0, unit_ah=200.0, chemistry="AGM", internal_resistance_ohm=0.001)
    b.add("fuse", "F1", rating_a=60)
    b.add("switching_module", "A1", dc_v=12, channels=(Channel(number=1, rating_a=10), Channel(number=2, rating_a=20)))
    cable(b, "W1", "G1.pos", "F1.in", "6 AWG", 6, function="dc pair")
    cable(b, "W2", "F1.out", "A1.supply", "6 AWG", 12, function="dc pair")
    for n, load_a in ((1, 6.0), (2, second_a)):
        b.add("load", f"E{n}", dc_v=12, current_a=load_a)
        cable(b, f"W{n}3", f"A1.ch{n}", f"E{n}.in", "10 AWG", 60, function="dc pair")
    set_condition(b, "At anchor", {"E1": 10.0, "E2": 10.0})
    return b.installation


GOOD = (
    Example("half its rating", lambda: _carrying(10)),
    Example("16 A on 20 A: 80 %", lambda: _carrying(16)),
    Example("19 A, but for an hour only", lambda: _carrying(19, hours=1.0)),
    Example("a fuse whose maker allows 100 %", lambda: _carrying(19, continuous_percent=100.0)),
    Example("an alternator of 80 A on 100 A", lambda: _charging(100)),
    Example("a start of 0.05 s", lambda: _pumping(0.05)),
    Example("20 A on 20 A for an hour", lambda: _carrying(20, hours=1.0)),
    Example("each channel of a module within its share", lambda: _channels(15)),
)
BAD = (
    Example("far above its share", lambda: _carrying(25), (("F1",),), condition="At anchor"),
    Example("17 A on 20 A all night", lambda: _carrying(17), (("F1",),)),
    Example("21 A on 20 A, if for an hour only", lambda: _carrying(21, hours=1.0), (("F1", "E1"),)),
    Example("cold it gives 80 A, more than 80 % of 90 A", lambda: _charging(90), (("F1", "G2"),)),
    Example("the second channel of a module above its share", lambda: _channels(17), (("A1",),)),
    Example("a start of three seconds at three and a half times the fuse", lambda: _pumping(3.0), (("F1", "M1"),)),
)
