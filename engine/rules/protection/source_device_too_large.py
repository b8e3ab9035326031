"""The device of an alternator or generator that does not limit itself is larger than the book allows.

What it checks
--------------
Every alternator and generator that is not recorded as limiting itself: the device inside it, and the devices that carry
its output and nothing else, against the book's multiple of its rated current. Where it is not recorded whether an
ordinary alternator limits itself, a book that takes it as doing so is satisfied; else, and for a generator, a device
above the limit is not judged.

Why it matters
--------------
A machine that does not limit itself drives its own winding and leads above their rating for as long as the device
allows.

What to do
----------
A device no larger than the limit, or record that the machine limits itself where its maker says so.

Limits read
-----------
`alternator`, `generator` (multiples of the rated current), `fishing_generator` for a fishing vessel's; of the options
of `no-protection`, `ordinary_alternator_limits_itself`.

References
----------
33 CFR 183.460(b), 2015 edition: 120 % of the rated current at 60 degC. 46 CFR 28.365(a), 2015 edition: generators of
commercial fishing vessels, 115 %. E-11 11.6.4.2, secondary copy: generators, 120 %.
"""

from __future__ import annotations

from collections.abc import Iterator

from engine.books.ampacity import amps, at_most
from engine.circuit.expand import Feed
from engine.circuit.in_series import in_series
from engine.findings import Figure, Finding, NotJudged, Remark, Word
from engine.fixes import Fix
from engine.installation.model import Installation
from engine.rules.example_parts import ac_cable, boat, cable
from engine.rules.protection._faults import rated
from engine.rules.proved import proved
from engine.rules.rule import Example
from engine.rules.wording import named
from engine.study import Study
from engine.units import number
from engine.words import N_, _

SLUG = "source-device-too-large"
WORD: Word = "warning"
TITLE = N_("device of an alternator or generator larger than allowed")
LOOKS_AT = N_("alternators and generators")
OPTIONS = "no-protection"  # the rule whose options say what an ordinary alternator does


def check(study: Study) -> Iterator[Remark]:
    """At most one remark a machine."""
    seen: set[str] = set()
    for feed in study.circuit.feeds:
        source, item = feed.source, feed.equipment
        if not source.rotating or item in seen:
            continue
        if source.limited:
            if study.proving:
                by_itself = _("{machine} limits itself.").format(machine=named(study, item))
                yield proved(study, SLUG, item, message=by_itself)
            continue
        machine = study.snapshot.equipment[item].machine()
        seen.add(item)
        which = _which(study, feed)
        limit = study.book.limit(SLUG, which)
        if machine is None or limit is None:
            continue
        devices = _devices(study, feed)
        if not devices:
            continue  # that it has none is told by the rules about conductors
        takes = bool(study.book.option(OPTIONS, "ordinary_alternator_limits_itself", False))
        if source.is_ordinary_alternator() and takes:
            if study.proving:
                taken = _("This book takes {machine} as limiting itself, as an ordinary alternator does.")
                yield proved(study, SLUG, item, message=taken.format(machine=named(study, item)))
            continue
        name = study.name(item)
        unsure = () if source.limited is False else (f"{name}.self_limiting",)
        if machine.rated_a is None:
            yield _gap(study, item, (f"{name}.rating_a", *unsure))
            continue
        most = machine.rated_a * limit.value
        larger = [(device, size) for device, size in devices if size > most * (1 + 1e-9)]
        if not larger:
            if study.proving:
                size = max(size for _device, size in devices)
                device = next(device for device, own in devices if own == size)
                ids, limits = dict.fromkeys((item, device)), ("largest allowed", most)
                yield proved(study, SLUG, *ids, found=("device", size), limit=limits, unit="A")
            continue
        if unsure:
            yield _gap(study, item, unsure)
            continue
        yield _finding(study, item, which, machine.rated_a, limit.value, larger)


def _which(study: Study, feed: Feed) -> str:
    if feed.source.system == "dc" or feed.source.line == "stator":
        return "alternator"
    return "fishing_generator" if study.snapshot.vessel.use == "fishing" else "generator"


def _devices(study: Study, feed: Feed) -> list[tuple[str, float]]:
    """Devices of its output and their ratings: that inside, those that carry it alone."""
    own = feed.source.protection
    found = [(feed.equipment, own.rating_a)] if own is not None and own.rating_a else []
    for item in in_series(study.coverage, feed.node, feed.equipment):
        trip = study.snapshot.equipment[item].trip()
        if trip is not None and trip.rating_a:
            found.append((item, trip.rating_a))
    # one that is small enough protects whatever the others are
    return [min(found, key=lambda entry: entry[1])] if found else []


def _gap(study: Study, item: str, missing: tuple[str, ...]) -> NotJudged:
    return NotJudged(
        rule=SLUG,
        would_be=WORD,
        designations=(study.name(item),),
        ids=(item,),
        missing=missing,
        why=_("whether its device is small enough is not known"),
    )


def _finding(
    study: Study, item: str, which: str, rating: float, multiple: float, larger: list[tuple[str, float]]
) -> Finding:
    device, size = larger[0]
    most = rating * multiple
    percent = number(multiple * 100, 4)
    if device == item:
        message = _(
            "{machine} gives {rating} and does not limit itself; the device in it ({size}) is above {percent} %."
        )
        fix = _("fit a device of {most} or less in {name}").format(most=at_most(most), name=study.name(item))
    else:
        message = _("{machine} gives {rating} and does not limit itself; {device} is above {percent} % of that.")
        fix = _("replace {name} by one of {most} or less").format(most=at_most(most), name=study.name(device))
    message = message.format(
        machine=named(study, item), rating=amps(rating), size=amps(size), device=rated(study, device), percent=percent
    )
    limit = study.book.limit(SLUG, which)
    return Finding(
        rule=SLUG,
        word=WORD,
        designations=tuple(dict.fromkeys((study.name(item), study.name(device)))),
        ids=tuple(dict.fromkeys((item, device))),
        message=message,
        figures=(
            Figure(name=_("device"), value=size, unit="A"),
            Figure(name=_("largest allowed"), value=most, unit="A"),
        ),
        arithmetic=f"{number(multiple)} × {amps(rating)} = {amps(most)}",
        fixes=(fix, _("record that {name} limits itself where its maker says so").format(name=study.name(item))),
        clause=study.book.clause(SLUG, which),
        confirmed=limit is not None and limit.confirmed,
    )


def fixes(study: Study, finding: Finding) -> Iterator[Fix]:
    """The largest standard device within the limit."""
    from engine.fixing.ratings import smaller_devices

    if len(finding.ids) > 1:
        yield from smaller_devices(study, finding, finding.ids[1], finding.figures[1].value)


# -- examples -------------------------------------------------------------------------------------------------------
def _alternator(fuse_a: float, limits: bool | None, rating_a: float | None = 100) -> Installation:
    """An alternator, its fuse, a bank."""
    b = boat()
    b.add("alternator", "G2", dc_v=12, rating_a=rating_a, self_limiting=limits)
    b.add("battery_bank", "G1", unit_v=12.8)
    b.add("fuse", "F1", rating_a=fuse_a)
    cable(b, "W1", "G2.pos", "F1.in", "2 AWG", 6)
    cable(b, "W2", "F1.out", "G1.pos", "2 AWG", 60)
    return b.installation


def _generator(breaker_a: float, use: str = "fishing", limits: bool | None = False) -> Installation:
    """10 kW at 240 V, power factor 1: 41.7 A."""
    b = boat(use=use)
    b.add("generator", "G1", power_va=10_000, ac_v=240, self_limiting=limits)
    b.add("circuit_breaker", "Q1", rating_a=breaker_a, poles=("L1", "N"))
    b.add("load", "E1", ac_v=240, power_w=1000, power_factor=1.0)
    ac_cable(b, "W1", "G1.out", "Q1.in", "6 AWG", 60)
    ac_cable(b, "W2", "Q1.out", "E1.in", "6 AWG", 120)
    return b.installation


GOOD = (
    Example("100 A alternator, a fuse of 110 A", lambda: _alternator(110, False)),
    Example("a fuse of just 120 %", lambda: _alternator(120, False)),
    Example("it limits itself", lambda: _alternator(200, True)),
    Example("an ordinary alternator, by a book that takes it as limiting itself", lambda: _alternator(200, None)),
    Example("generator of 41.7 A, fishing vessel: 45 A", lambda: _generator(45)),
    Example("the same generator on a pleasure craft: 50 A", lambda: _generator(50, use="pleasure")),
)
BAD = (
    Example("100 A alternator, a fuse of 200 A", lambda: _alternator(200, False), (("G2", "F1"),)),
    Example("a fuse of 125 A", lambda: _alternator(125, False), (("G2", "F1"),)),
    Example("generator of 41.7 A, fishing vessel: 50 A", lambda: _generator(50), (("G1", "Q1"),)),
    Example("whether it limits itself is not recorded", lambda: _generator(50, limits=None), (("G1",),)),
    Example(
        "an ordinary alternator, by a book that takes nothing for granted",
        lambda: _alternator(200, None),
        (("G2",),),
        book="us-33cfr183",
    ),
    Example("its rating is not recorded", lambda: _alternator(200, False, None), (("G2",),)),
)
