"""What a person changes on the page of conditions, as edits. Raises `UnitError` for what cannot be read. No Qt."""

from __future__ import annotations

import msgspec

from engine.edits import Edit, EditError, SetFields, Several
from engine.installation import Condition, Snapshot
from engine.installation.records import ConditionDuty
from engine.units import number, read
from engine.words import _

__all__ = ["hours_of", "running_set", "wanted_set"]

DAY_H = 24


def _condition(snapshot: Snapshot, item: str) -> Condition:
    record = snapshot.conditions.get(item)
    if record is None:
        raise EditError(_("Hours belong to an operating condition: choose one first."))
    return record


def hours_of(snapshot: Snapshot, condition: str, load: str, text: str) -> Edit | None:
    """Give a load so many hours a day in a condition; for "" it has none there any more. `None`: nothing changes."""
    record = _condition(snapshot, condition)
    name, text = snapshot.name(load), text.strip()
    mine = [duty for duty in record.duties if duty.equipment == load]
    if not text:
        return _without_hours(snapshot, condition, load)
    hours = read(text, "h", "h")
    if not 0 <= hours <= DAY_H:
        raise EditError(_("{load}: a day has no {hours} hours; 0 to 24 can be given.").format(load=name, hours=text))
    if mine and mine[0].hours_a_day == hours:
        return None
    made = ConditionDuty(equipment=load, hours_a_day=hours)
    duties = tuple(made if duty.equipment == load else duty for duty in record.duties) if mine else ()
    told = _("{load}: {hours} h a day, {condition}").format(load=name, hours=number(hours), condition=record.name)
    return SetFields("conditions", condition, (("duties", duties or (*record.duties, made)),), told)


def _without_hours(snapshot: Snapshot, condition: str, load: str) -> Edit | None:
    """Take the hours out of the condition, and out of the load's own record where they stand there."""
    record = _condition(snapshot, condition)
    left = tuple(duty for duty in record.duties if duty.equipment != load)
    edits: list[Edit] = []
    if left != record.duties:
        edits.append(SetFields("conditions", condition, (("duties", left),)))
    own = getattr(snapshot.equipment[load], "duty", ())
    if any(duty.condition == condition for duty in own):
        rest = tuple(duty for duty in own if duty.condition != condition)
        edits.append(SetFields("equipment", load, (("duty", rest),)))
    if not edits:
        return None
    told = _("{load}: no hours, {condition}").format(load=snapshot.name(load), condition=record.name)
    return msgspec.structs.replace(edits[0], words=told) if len(edits) == 1 else Several(tuple(edits), told)


def running_set(snapshot: Snapshot, condition: str, source: str, runs: bool) -> Edit | None:
    """Have a source run in a condition, or not."""
    record = _condition(snapshot, condition)
    if (source in record.running) == runs:
        return None
    left = tuple(each for each in record.running if each != source)
    told = _("{source} runs, {condition}") if runs else _("{source} does not run, {condition}")
    told = told.format(source=snapshot.name(source), condition=record.name)
    return SetFields("conditions", condition, (("running", (*left, source) if runs else left),), told)


def wanted_set(snapshot: Snapshot, condition: str, field: str, text: str) -> Edit | None:
    """Set `required_hours`, `required_recharge_h` or `peak_sun_h`; "" takes it out."""
    record = _condition(snapshot, condition)
    value = read(text, "h", "h") if text.strip() else None
    if getattr(record, field) == value:
        return None
    names = {
        "required_hours": _("hours it must last"),
        "required_recharge_h": _("hours to refill in"),
        "peak_sun_h": _("peak-sun hours"),
    }
    told = _("{what}, {condition}").format(what=names[field], condition=record.name)
    return SetFields("conditions", condition, ((field, value),), told)
