"""Loads: what each takes, how many hours a day in each operating condition, whether it is essential."""

from __future__ import annotations

from app.handover.schedules.aboard import Aboard, Notes, by_condition, rounded, taken
from app.handover.schedules.systems import system_key, system_name
from app.paper.table import Column, Table, Value
from engine.circuit.energy.results import Energy, LoadEnergy
from engine.circuit.flow.operating import STARTER
from engine.equipment.base import LIVE
from engine.equipment.behaviour import Use
from engine.units import number
from engine.words import _

__all__ = ["energies_of", "loads"]


def loads(aboard: Aboard) -> Table:
    """One row a consumer, by system, then by designation."""
    notes = Notes(aboard)
    energies = energies_of(aboard)
    budgets = [({load.equipment: load for load in one.loads}, one) for one in energies]
    consumers = {i: use for i, r in aboard.snapshot.equipment.items() if (use := r.use()) is not None}
    systems = {item: _system(aboard, item) for item in consumers}
    order = sorted(consumers, key=lambda item: (system_key(systems[item]), aboard.sorted_key(item)))
    rows = [_row(aboard, item, consumers[item], systems[item], budgets, notes) for item in order]
    if not rows:
        notes.say(_("No load is drawn."))
    else:
        notes.say(
            _("Power and current of all pieces of a row together, by the plate; energy a day at the load's terminals."),
            _("An engine's starter has no hours: it draws while the engine starts.")
            if any(use.service == STARTER for use in consumers.values())
            else "",
            "" if energies else _("No operating condition is recorded: no hours can be told."),
            taken(_("for the hours"), by_condition((one.name, one.assumed) for one in energies)),
        )
    columns = [
        Column("load", _("Load"), width=26),
        Column("label", _("What it is"), width=50),
        Column("system", _("System"), width=26),
        Column("pieces", _("Pieces"), "", "right"),
        Column("service", _("Service"), width=36),
        Column("essential", _("Essential"), width=22),
        Column("power_w", _("Power"), "W", "right"),
        Column("current_a", _("Current"), "A", "right"),
        Column("lowest_v", _("Works from"), "V", "right"),
    ]
    for n, one in enumerate(energies, 1):  # hours and energy of one condition stand side by side
        columns.append(Column(f"hours_{n}", one.name, _("h a day"), "right", width=30))
        columns.append(Column(f"energy_{n}", one.name, _("Wh a day"), "right", width=30))
    columns.append(Column("status", _("Status"), width=20))
    return Table("loads", _("Loads, duty and conditions"), tuple(columns), tuple(rows), notes.texts())


def energies_of(aboard: Aboard) -> list[Energy]:
    """Of the operating conditions; a stage of the work is none."""
    conditions = aboard.snapshot.conditions
    return [aboard.study.energy(made.condition) for made in aboard.study.operations if made.condition in conditions]


def _system(aboard: Aboard, item: str) -> tuple[str, tuple[float, ...]]:
    found = [aboard.zones.system(n) for n in aboard.zones.live_nodes.get(item, ())]
    if found:
        return max(found, key=lambda one: (len(one[1]), one[1]))
    made = [v for t in aboard.snapshot.equipment[item].terminals()
            if (v := aboard.snapshot.equipment[item].nominal_volts(t.name))]  # fmt: skip
    return (made[0][0], () if made[0][1] is None else (made[0][1],)) if made else ("", ())


def _row(
    aboard: Aboard,
    item: str,
    use: Use,
    system: tuple[str, tuple[float, ...]],
    budgets: list[tuple[dict[str, LoadEnergy], Energy]],
    notes: Notes,
) -> tuple[Value, ...]:
    record = aboard.snapshot.equipment[item]
    watts, amps = _power(aboard, item, use, notes)
    if use.essential is None:
        notes.lacks(item, "essential")
    row: list[Value] = [
        record.designation or _("without designation"),
        record.label,
        system_name(*system),
        record.quantity,
        _(use.service) if use.service else None,
        use.essential,
        watts,
        amps,
        use.minimum_v,
    ]
    for told, one in budgets:
        row.extend(_duty(aboard, item, use, told.get(item), one, notes))
    return (*row, _(record.status))


def _power(aboard: Aboard, item: str, use: Use, notes: Notes) -> tuple[Value, Value]:
    """Power of all lines and current of one, as recorded or as they follow from the plate.

    P = n V I pf, n lines of V volts against neutral. Without a recorded power factor what follows is a limit.
    """
    watts = amps = 0.0
    known_w = known_a = True
    bound_w = bound_a = False
    draws = aboard.snapshot.equipment[item].draws()
    for draw in draws:
        notes.lacks(item, *draw.missing)
        if draw.value is None:
            return None, None if use.running_a is None else rounded(use.running_a)
        volts = _volts(aboard, item, draw.terminal)
        lines = sum(1 for conductor in draw.conductors if conductor in LIVE) or 1
        across = (volts or 0.0) * lines * draw.power_factor
        if draw.kind == "power":
            watts += draw.value
            known_a = known_a and across > 0
            amps += draw.value / across if across > 0 else 0.0
            bound_a = bound_a or bool(draw.missing)
        elif draw.kind == "current":
            amps += draw.value
            known_w = known_w and across > 0
            watts += draw.value * across
            bound_w = bound_w or bool(draw.missing)
        else:
            known_w = known_a = known_a and draw.value > 0 and volts is not None
            if known_a and volts is not None:
                amps += volts / draw.value
                watts += lines * volts * volts / draw.value
    if use.running_a is not None:
        amps, known_a, bound_a = use.running_a, True, False
    if not draws:
        return None, None if use.running_a is None else rounded(use.running_a)
    if (bound_w and known_w) or (bound_a and known_a):
        notes.say(_("≥, ≤: a limit, because the power factor is not recorded."))
    return (
        (f"≤ {number(watts)}" if bound_w else rounded(watts)) if known_w else None,
        (f"≥ {number(amps)}" if bound_a else rounded(amps)) if known_a else None,
    )


def _volts(aboard: Aboard, item: str, terminal: str) -> float | None:
    made = aboard.snapshot.equipment[item].nominal_volts(terminal)
    return None if made is None else made[1]


def _duty(
    aboard: Aboard, item: str, use: Use, load: LoadEnergy | None, energy: Energy, notes: Notes
) -> tuple[Value, Value]:
    if use.service == STARTER:
        return _("n/a"), _("n/a")
    operation = aboard.study.operation(energy.condition)
    if load is None or load.hours_a_day is None:
        if operation.has_hours:
            return 0.0, 0.0  # hours of others are recorded, none of this one: it does not run
        notes.also(_("{name}: no hours of any load are recorded.").format(name=energy.name))
        return None, None
    notes.missing(load.missing)
    return load.hours_a_day, None if load.wh_a_day is None else rounded(load.wh_a_day)
