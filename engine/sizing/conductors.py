"""The conductor of a run: the smallest that meets every constraint, and the device that suits it."""

from __future__ import annotations

from engine.circuit.conductors import BookLimits
from engine.sizing.basis import ALIKE, Basis, Carried, basis, index_of
from engine.sizing.devices import stands_start, suiting
from engine.sizing.drops import by_drop, by_start
from engine.sizing.feeds import feeds_one, full_power
from engine.sizing.needs import Need, by_ampacity, by_device, by_fault, by_smallest, may_carry
from engine.sizing.results import Answer, Reason
from engine.units import show_size
from engine.words import _

__all__ = ["conductor"]

CARRYING = ("dc pair", "dc positive", "dc negative", "ac")


def conductor(b: Basis, item: str) -> Answer | None:
    """What a run needs; `None` for earth, bonding and signal, which carry nothing in use."""
    run = b.snapshot.runs[item]
    if run.function not in CARRYING:
        return None
    sizes = b.sizes(run)
    carried, why = _carried(b, item)
    cranking = run.exempt == "cranking"
    needs: list[Need | None] = [by_smallest(b, run, sizes)]
    if not cranking:
        needs.append(by_ampacity(b, item, sizes, carried, why))
    floor = _highest(needs)
    if not cranking:
        needs.append(by_device(b, item, sizes, floor))
    needs.append(by_start(b, item, sizes))
    if not cranking and not why:
        needs, carried = _settled(b, item, sizes, needs, carried)
    floor = _highest(needs)
    needs.append(by_drop(b, item, sizes, floor))
    if not cranking and not why:
        needs, carried = _settled(b, item, sizes, needs, carried)
    needs.append(by_fault(b, item, run, sizes))
    return _answer(b, item, sizes, [need for need in needs if need is not None], carried)


def _carried(b: Basis, item: str) -> tuple[Carried, str]:
    """The most a run carries; a feed of an inverter alone is for its full power at the lowest volts."""
    carried = b.run_amps.get(item, Carried())
    alone = feeds_one(b, item)
    full = full_power(b, *alone) if alone is not None else None
    if full is None:
        return carried, ""
    name = b.study.name(alone[0]) if alone is not None else ""
    if full.amps is None:
        return carried._replace(missing=tuple(dict.fromkeys((*carried.missing, *full.missing)))), ""
    if full.amps <= carried.amps:
        return carried, ""
    why = _("{name} at full power: {arithmetic}").format(name=name, arithmetic=full.arithmetic)
    return carried._replace(amps=full.amps, condition=_("full power")), why


NEAR = 0.85  # of its ampacity: how much of it a load must be for the conductor's own resistance to decide


def _settled(
    b: Basis, item: str, sizes: tuple[str, ...], needs: list[Need | None], carried: Carried
) -> tuple[list[Need | None], Carried]:
    """Ampacity once more, with what the run carries in the size proposed.

    Constant power draws less current through a larger conductor; a load that gets too few volts now draws none of its
    current.
    """
    before = next((need for need in needs if need is not None and need.name == "ampacity"), None)
    others = _highest([need for need in needs if need is not before])
    if before is None or before.sure is None or before.sure >= len(sizes) or carried.amps <= ALIKE:
        return needs, carried
    collapsed = any(one.load.collapsed for one in b.behind.get(item, ()))
    place = max(before.sure, others)
    if place >= len(sizes):
        return needs, carried

    def within(n: int) -> Carried | None:
        """What it carries in a size that may carry it."""
        again = carried
        may = may_carry(b.study, item, sizes[n], carried.volts).low_a
        if sizes[n] != b.snapshot.runs[item].size and (collapsed or NEAR <= carried.amps / max(may, ALIKE) <= 1 / NEAR):
            again = basis(b.trial(item, sizes[n])).run_amps.get(item, carried)
        return again if again.amps <= may * (1 + ALIKE) else None

    found = within(place)
    while found is None and place < len(sizes) - 1:
        place += 1
        found = within(place)
    while found is not None and place > others and (smaller := within(place - 1)) is not None:
        place, found = place - 1, smaller
    if found is None or found.amps == carried.amps:
        return needs, carried
    made = by_ampacity(b, item, sizes, found)
    if made is not None:
        made = made._replace(sure=max(made.sure or 0, place) if place > others else made.sure)
    return [made if need is before else need for need in needs], found


def _highest(needs: list[Need | None]) -> int:
    return max((need.sure for need in needs if need is not None and need.sure is not None), default=0)


def _answer(b: Basis, item: str, sizes: tuple[str, ...], needs: list[Need], carried: Carried) -> Answer:
    run = b.snapshot.runs[item]
    told = [need for need in needs if need.sure is not None]
    # ties go to what comes first: what the current asks for before what the volts do
    order = (
        "ampacity",
        "protective device",
        "voltage drop",
        "volts while starting",
        "smallest size",
        "fault withstand",
    )
    told.sort(key=lambda need: (-(need.sure or 0), order.index(need.name)))
    place = told[0].sure if told else None
    mine = index_of(run.size, sizes) if run.size else None
    missing = tuple(
        dict.fromkeys(
            gap
            for need in needs
            for gap in need.missing
            # a class that is not recorded matters only where the stricter one would ask for more
            if need.strict is None or mine is None or mine < need.strict
        )
    )
    judged = any(need.name != "smallest size" for need in told)
    needed = sizes[place] if place is not None and place < len(sizes) and judged else ""
    least = max((need.maybe for need in needs if need.maybe is not None), default=0)
    suffices = _suffices(run.size, sizes, place if judged else None, least, bool(missing))
    reasons = tuple(
        Reason(
            name=need.name,
            needs=_needs(need, sizes),
            arithmetic=need.arithmetic,
            clause=need.clause,
            missing=(*need.missing, *need.rests_on),
        )
        for need in needs
    )
    fitted = run.size if needed and run.size and not _is_below(run.size, needed, sizes) else needed
    device, device_why = None, ""
    if fitted and run.exempt != "cranking" and run.function != "dc negative":
        volts = _volts(b, item, carried)
        may = may_carry(b.study, item, fitted, volts)
        values = BookLimits(b.study.book)
        is_low = values.is_low(volts) if volts is not None else run.function != "ac"
        device, device_why = suiting(
            b, values.single(may.low_a, is_low), carried, show_size(fitted), stands_start(b, item)
        )
    is_larger = place is not None and (mine is None or place > mine)  # an answer never makes a conductor thinner
    changes = (("size", needed),) if needed and is_larger else ()
    return Answer(
        item=item,
        designation=b.study.name(item),
        what="conductor",
        has=run.size,
        needs=needed,
        suffices=suffices,
        decided_by=told[0].name if needed else "",
        reasons=reasons,
        device_a=device,
        device_why=device_why,
        condition=carried.condition if carried.amps > ALIKE else "",
        fields=changes,
        assumed=_assumed(b, item),
        missing=missing,
    )


def _needs(need: Need, sizes: tuple[str, ...]) -> str:
    if need.sure is None:
        return ""
    if need.sure < len(sizes):
        return sizes[need.sure]
    return _("more than {size}").format(size=sizes[-1])


def _suffices(has: str, sizes: tuple[str, ...], place: int | None, least: int, has_gaps: bool) -> bool | None:
    mine = index_of(has, sizes) if has else None
    if mine is None or place is None:
        return None
    # a size between two of the series does what the smaller does
    if mine == len(sizes) or not _is_offered(has, sizes):
        mine -= 1
    if mine >= place:
        return None if has_gaps else True
    return False if mine < least else None


def _is_below(has: str, needed: str, sizes: tuple[str, ...]) -> bool:
    mine = index_of(has, sizes)
    return mine is None or mine < sizes.index(needed)


def _is_offered(has: str, sizes: tuple[str, ...]) -> bool:
    return has in sizes


def _volts(b: Basis, item: str, carried: Carried) -> float | None:
    if carried.volts is not None:
        return carried.volts
    conductors = b.study.coverage.conductors
    nodes = [wire.a for wire in b.study.circuit.wires if wire.run == item]
    return next((volts for node in nodes if (volts := conductors.volts(node)) is not None), None)


def _assumed(b: Basis, item: str) -> tuple[str, ...]:
    run = b.snapshot.runs[item]
    made = []
    if not run.size:
        made.append(_("size not recorded: proposed in the series that the drawing uses"))
    if not run.places:
        made.append(_("places not recorded: taken as warm as the tables are for"))
    return tuple(made)
