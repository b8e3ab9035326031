"""Banks, buses, switches and inverters: what their ratings must be for what they do."""

from __future__ import annotations

import math

from engine.books.ampacity import amps, at_least
from engine.circuit.energy.results import BankEnergy
from engine.sizing.basis import ALIKE, Basis, Carried
from engine.sizing.feeds import full_power
from engine.sizing.results import Answer, Reason
from engine.units import number
from engine.words import _

__all__ = ["bank", "bus", "inverter", "switch"]


# -- bus ------------------------------------------------------------------------------------------------------------
def bus(b: Basis, item: str) -> Answer | None:
    """The rating of a bus: its most loaded section, and what devices let through it."""
    from engine.circuit.through_bus import through_bus

    record = b.snapshot.equipment[item]
    carries = record.carries()
    if carries is None or record.contacts() or record.ROLE != "bus":
        return None
    study = b.study
    most, condition = 0.0, ""
    missing: list[str] = []
    for situation in b.situations:
        for told in situation.flow.buses:
            if told.equipment != item:
                continue
            if told.at_least:
                missing += told.missing
            section = max(told.sections_a, default=0.0)
            if section > most:
                most, condition = section, situation.flow.name
    reasons, needed, decided = [], 0.0, ""
    if most > ALIKE:
        needed, decided = most, "section current"
        reasons.append(
            Reason(
                name="section current",
                needs=at_least(most),
                arithmetic=_("{amps} in its most loaded section in {condition}").format(
                    amps=amps(most), condition=condition
                ),
                missing=tuple(dict.fromkeys(missing)),
            )
        )
    through = through_bus(study.coverage, study.operations, item)
    if through is not None and 0 < through.amps < math.inf:
        reasons.append(
            Reason(
                name="let through",
                needs=at_least(through.amps),
                arithmetic=_("the devices at it let {amps} through a section").format(amps=amps(through.amps)),
                clause=study.book.clause("bus-overloaded"),
            )
        )
        if through.amps > needed * (1 + ALIKE):
            needed, decided = through.amps, "let through"
    return _rated(b, item, "bus", carries.continuous_a, needed, decided, reasons, condition, "rating_a", missing)


# -- switch ---------------------------------------------------------------------------------------------------------
def switch(b: Basis, item: str) -> Answer | None:
    """Continuous rating of a switch for what flows, cranking rating for what starts through it."""
    record = b.snapshot.equipment[item]
    carries = record.carries()
    if carries is None or record.ROLE != "switch" or not hasattr(record, "continuous_a"):
        return None
    carried = b.device_amps.get(item, Carried())
    started = b.start_amps.get(item, Carried())
    reasons = []
    if carried.amps > ALIKE:
        reasons.append(
            Reason(
                name="continuous current",
                needs=at_least(carried.amps),
                arithmetic=_("{amps} in {condition}").format(amps=amps(carried.amps), condition=carried.condition),
                clause=b.study.book.clause("switch-overloaded"),
                missing=carried.missing,
            )
        )
    answer = _rated(
        b,
        item,
        "switch",
        carries.continuous_a,
        carried.amps,
        "continuous current" if carried.amps > ALIKE else "",
        reasons,
        carried.condition,
        "continuous_a",
        list(carried.missing),
    )
    if started.amps <= max(carried.amps, ALIKE):
        return answer
    import msgspec

    reason = Reason(
        name="current while starting",
        needs=at_least(started.amps),
        arithmetic=_("{amps} while {motor} starts").format(amps=amps(started.amps), motor=started.condition),
        clause=b.study.book.clause("switch-overloaded"),
    )
    brief = max((r for r in (carries.cranking_a, carries.continuous_a, carries.five_minute_a) if r), default=None)
    suffices, fields, missing = answer.suffices, answer.fields, answer.missing
    if carries.cranking_a is None and (brief is None or brief < started.amps):
        suffices = False if suffices is False else None
        missing = (*missing, f"{b.study.name(item)}.cranking_a")
    elif brief is not None and brief < started.amps * (1 - ALIKE):
        suffices = False
    if brief is None or brief < started.amps * (1 - ALIKE):
        fields = (*fields, ("cranking_a", math.ceil(started.amps)))
    elif not answer.needs:
        suffices = True
    needs = answer.needs or at_least(started.amps)
    decided = answer.decided_by or reason.name
    if answer.needs:
        needs = _("{continuous} continuous, {starting} while starting").format(
            continuous=answer.needs, starting=at_least(started.amps)
        )
        decided = reason.name if answer.suffices and suffices is False else decided
    return msgspec.structs.replace(
        answer,
        reasons=(*answer.reasons, reason),
        suffices=suffices,
        fields=fields,
        missing=missing,
        needs=needs,
        decided_by=decided,
    )


def _rated(
    b: Basis,
    item: str,
    what: str,
    rating: float | None,
    needed: float,
    decided: str,
    reasons: list[Reason],
    condition: str,
    field: str,
    missing: list[str],
) -> Answer:
    suffices: bool | None = None
    if rating is not None and needed > ALIKE:
        if rating < needed * (1 - 1e-6):
            suffices = False
        elif not missing:
            suffices = True
    whole = math.ceil(needed - 1e-6)
    return Answer(
        item=item,
        designation=b.study.name(item),
        what=what,
        has="" if rating is None else amps(rating),
        needs=at_least(needed) if needed > ALIKE else "",
        suffices=suffices,
        decided_by=decided,
        reasons=tuple(reasons),
        condition=condition,
        fields=((field, float(whole)),) if needed > ALIKE and suffices is not True else (),
        missing=tuple(dict.fromkeys(missing)),
    )


# -- inverter -------------------------------------------------------------------------------------------------------
def inverter(b: Basis, item: str) -> Answer | None:
    """The direct current an inverter takes at full power and lowest volts."""
    full = full_power(b, item)
    if full is None:
        return None
    reason = Reason(
        name="full power",
        needs="" if full.amps is None else at_least(full.amps),
        arithmetic=full.arithmetic,
        missing=full.missing,
    )
    return Answer(
        item=item,
        designation=b.study.name(item),
        what="inverter feed",
        has="",
        needs=reason.needs,
        suffices=None,
        decided_by="full power" if full.amps is not None else "",
        reasons=(reason,),
        missing=full.missing,
    )


# -- bank -----------------------------------------------------------------------------------------------------------
def bank(b: Basis, item: str) -> Answer | None:
    """The capacity of a bank for the hours it must last; the charging current for the hours it must refill in."""
    record = b.snapshot.equipment[item]
    store = record.store()
    if store is None:
        return None
    name = b.study.name(item)
    reasons: list[Reason] = []
    missing: list[str] = []
    most: tuple[float, str] | None = None
    enough: list[bool | None] = []
    has = store.capacity_ah
    for situation in b.situations[: len(b.study.operations)]:
        energy = b.study.energy(situation.operation.condition)
        for told in energy.banks:
            if told.bank != item:
                continue
            if told.required_h is not None:
                reason, capacity = _lasting(told, energy.name, name)
                reasons.append(reason)
                missing += reason.missing
                if capacity is not None and (most is None or capacity > most[0]):
                    most = capacity, energy.name
                enough.append(
                    None if capacity is None or has is None or reason.missing else has >= capacity * (1 - 1e-6)
                )
                if capacity is not None and has is not None and has < capacity * (1 - 1e-6):
                    enough[-1] = False
            if told.required_recharge_h is not None:
                reason, _enough = _refilling(told, energy.name, name)
                reasons.append(reason)
                missing += reason.missing
    if not reasons:
        return Answer(
            item=item,
            designation=name,
            what="bank",
            has="" if has is None else f"{number(has)} Ah",
            needs="",
            suffices=None,
            missing=tuple(_("required hours of a condition") for _none in (0,)),
        )
    suffices = False if False in enough else (None if None in enough or not enough else True)
    fields: tuple[tuple[str, object], ...] = ()
    needed = ""
    if most is not None and most[0] >= 0.5:
        strings = max(1, store.strings)
        unit = math.ceil(most[0] / strings - 1e-9)
        needed = f"{number(math.ceil(most[0] - 1e-9), 6)} Ah"
        if suffices is not True and hasattr(record, "unit_ah"):
            fields = (("unit_ah", float(unit)),)
    return Answer(
        item=item,
        designation=name,
        what="bank",
        has="" if has is None else f"{number(has)} Ah",
        needs=needed,
        suffices=suffices,
        decided_by="required hours" if needed else "",
        reasons=tuple(reasons),
        condition=most[1] if most is not None and needed else "",
        fields=fields,
        missing=tuple(dict.fromkeys(missing)),
    )


def _lasting(told: BankEnergy, condition: str, name: str) -> tuple[Reason, float | None]:
    """Ampere-hours in the required time, over the part of the capacity that is used."""
    capacity, usable, hours = told.capacity_ah, told.usable_ah, told.required_h
    mean = _mean_a(told)
    gaps = list(told.missing)
    if mean is None or hours is None or not capacity or not usable:
        if not capacity:
            gaps.append(f"{name}.unit_ah")
        return Reason(name="required hours", needs="", missing=tuple(dict.fromkeys(gaps))), None
    part = usable / capacity
    needed = mean * hours / part
    text = _("{condition}: {mean} for {hours} h = {drawn} Ah; {part} % of the capacity is used: {needed} Ah").format(
        condition=condition,
        mean=amps(mean),
        hours=number(hours),
        drawn=number(mean * hours),
        part=number(100 * part),
        needed=number(needed),
    )
    return Reason(
        name="required hours", needs=f"{number(needed)} Ah", arithmetic=text, missing=tuple(dict.fromkeys(gaps))
    ), needed


def _mean_a(told: BankEnergy) -> float | None:
    """What is taken out on the mean, sun and wind set off."""
    if told.load_wh is None or not told.nominal_v:
        return told.mean_a
    return max(0.0, told.load_wh - (told.source_wh or 0.0)) / 24 / told.nominal_v


def _refilling(told: BankEnergy, condition: str, name: str) -> tuple[Reason, bool | None]:
    """The charging current that refills in the required time; none where only the taper takes longer."""
    hours, capacity = told.required_recharge_h, told.capacity_ah
    if told.recharge_h is None or hours is None or not capacity or told.from_soc is None or told.to_soc is None:
        return Reason(name="required recharge", needs="", missing=told.missing_recharge), None
    took = _("{condition}: {took} h with {amps} ({limit}); {hours} h are required").format(
        condition=condition,
        took=number(told.recharge_h) if math.isfinite(told.recharge_h) else _("endless"),
        amps=amps(told.charge_a or 0.0),
        limit=told.charge_limit or _("no limit"),
        hours=number(hours),
    )
    if told.recharge_h <= hours * (1 + 1e-9):
        return Reason(name="required recharge", needs=at_least(told.charge_a or 0.0), arithmetic=took), True
    least = (told.to_soc - told.from_soc) * capacity / hours if hours > 0 else math.inf
    text = took + _("; at least {amps} on the mean").format(amps=at_least(least))
    return Reason(name="required recharge", needs=at_least(least), arithmetic=text), False
