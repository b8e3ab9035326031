"""Protective devices: what each is, where it stands, what it protects and feeds, what it may have to break."""

from __future__ import annotations

from app.handover.schedules.aboard import Aboard, Guard, Notes, lines, rounded, taken
from app.handover.schedules.fuses import class_words
from app.handover.schedules.systems import system_key, system_name
from app.handover.schedules.zones import Device
from app.paper.table import Column, Table, Value
from engine.circuit.faults.results import DeviceFault
from engine.equipment.base import Breaking
from engine.units import number
from engine.words import N_, _

__all__ = ["devices"]

_MOST = 6  # runs or pieces told one by one
_KINDS = {"fuse": N_("fuse"), "breaker": N_("circuit breaker"), "electronic": N_("electronic")}
_PASSED = ("switch", "junction", "meter")  # what a reader does not ask after when he asks what a device feeds


def devices(aboard: Aboard) -> Table:
    """One row a device, by system, then by designation."""
    notes = Notes(aboard)
    faults = _faults(aboard)
    told = sorted(aboard.zones.devices, key=lambda device: _order(aboard, device))
    if not told:
        notes.say(_("No protective device is drawn."))
    else:
        notes.say(
            _(
                "Protects: of the conductors between it and the next devices, every switch closed, those that every "
                "device feeding them is small enough for. Ampacity: the least of those, by {book}."
            ).format(book=_(aboard.study.book.title)),
            _(
                "Largest fault: the largest prospective current through it in any permitted state of the switches, all "
                "sources giving, banks full, conductors cold. The volts are those it would have to break."
            ),
            taken(_("for the fault currents"), aboard.study.faults.assumed),
        )
    rows = [_row(aboard, device, faults, notes) for device in told]
    columns = (
        Column("device", _("Device"), width=26),
        Column("system", _("System"), width=24),
        Column("kind", _("Kind, class"), width=32),
        Column("rating_a", _("Rating"), "A", "right"),
        Column("poles", _("Poles"), width=22),
        Column("breaks_a", _("Breaks"), "A", "right"),
        Column("breaks_v", _("Breaks at"), "V", "right", width=20),
        Column("fault_a", _("Largest fault"), "A", "right", width=29),
        Column("fault_v", _("Fault at"), "V", "right", width=20),
        Column("where", _("Stands in"), width=46),
        Column("protects", _("Protects"), width=80),
        Column("ampacity_a", _("Ampacity"), "A", "right", width=24),
        Column("feeds", _("Feeds"), width=56),
        Column("status", _("Status"), width=20),
    )
    return Table("devices", _("Protective devices"), columns, tuple(rows), notes.texts())


def _order(aboard: Aboard, device: Device) -> tuple[object, ...]:
    at = aboard.sorted_key(device.equipment)
    return (*system_key(aboard.zones.system_of_device(device)), at, device.within, device.terminal)


def _row(
    aboard: Aboard, device: Device, faults: dict[tuple[str, str], list[DeviceFault]], notes: Notes
) -> tuple[Value, ...]:
    record = aboard.snapshot.equipment[device.equipment]
    rating = device.protection.rating_a
    if rating is None:
        notes.lacks(device.equipment, device.protection.missing)
    system = aboard.zones.system_of_device(device)
    fault_a, fault_v = _fault(aboard, device, faults, notes)
    breaks_a, breaks_v = _breaks(aboard, device, system[0], fault_v, notes)
    protects, ampacity = _protects(aboard, device, notes)
    return (
        _name(aboard, device),
        system_name(*system),
        _kind(aboard, device),
        rating,
        _poles(aboard, device),
        breaks_a,
        breaks_v,
        fault_a,
        _("n/a") if device.within else None if fault_v is None else rounded(fault_v),
        aboard.where(record),
        protects,
        ampacity,
        _feeds(aboard, device),
        _(record.status),
    )


def _name(aboard: Aboard, device: Device) -> str:
    name = aboard.name(device.equipment)
    if device.within:
        return _("in {name}").format(name=f"{name}.{device.terminal}" if device.terminal else name)
    return f"{name}.{device.terminal}" if device.terminal else name


def _kind(aboard: Aboard, device: Device) -> str:
    record = aboard.snapshot.equipment[device.equipment]
    if device.within:
        ashore = record.ashore()
        inside = _("ashore") if ashore is not None and not ashore.inlet else _("inside")
        return f"{_(_KINDS[device.protection.kind])}, {inside}"
    trip = record.trip()
    if trip is not None and trip.form and not device.terminal and (trip.is_fuse or trip.form != "other"):
        is_letter = len(trip.form) == 1 and not trip.is_fuse
        form = _("curve {letter}").format(letter=trip.form) if is_letter else class_words(trip.form, record)
        return f"{_(record.NAME)}, {form}"
    if device.terminal:
        return f"{_(record.NAME)}, {_(_KINDS[device.protection.kind])}"
    return _(record.NAME)


def _poles(aboard: Aboard, device: Device) -> str:
    """What it opens together: *2 (L1 N)*."""
    circuit = aboard.study.circuit
    poles = set(device.conductors)
    for link in aboard.zones.links_of.get(device.equipment, ()):
        if link.protection is None and link.positions is None:
            continue
        if device.terminal in ("", circuit.nodes[link.b].terminal):
            poles.add(circuit.nodes[link.a].conductor)
    shown = [pole for pole in ("+", "-", "L1", "L2", "L3", "N") if pole in poles]
    return f"{len(shown)} ({' '.join(shown)})"


# -- faults ----------------------------------------------------------------------------------------------------------
def _faults(aboard: Aboard) -> dict[tuple[str, str], list[DeviceFault]]:
    made: dict[tuple[str, str], list[DeviceFault]] = {}
    for one in aboard.study.faults.devices:
        made.setdefault((one.equipment, one.terminal), []).append(one)
        made.setdefault((one.equipment, ""), []).append(one)
    return made


def _fault(
    aboard: Aboard, device: Device, faults: dict[tuple[str, str], list[DeviceFault]], notes: Notes
) -> tuple[Value, float | None]:
    name = _name(aboard, device)
    if device.within:
        notes.say(_("Of a device inside a source or converter the fault current is not worked out here."))
        return _("n/a"), None
    found = faults.get((device.equipment, device.terminal)) or faults.get((device.equipment, ""), [])
    if not found:
        notes.also(_("{name}: nothing drawn feeds it, so no fault current is told.").format(name=name))
        return None, None
    for one in found:
        notes.missing((*one.missing, *one.bounded) if one.max_a is None or one.bounded else ())
    known = [one for one in found if one.max_a is not None]
    if len(known) < len(found) or not known:
        return None, max((one.volts for one in found if one.volts is not None), default=None)
    worst = max(known, key=lambda one: (one.max_a or 0.0, one.volts or 0.0))
    amps = number(worst.max_a or 0.0, 3)
    if worst.bounded or worst.undecided:
        notes.say(_("≤: no more than this; what is not recorded, or a search that was ended, may make it less."))
        return f"≤ {amps}", worst.volts
    return float(amps), worst.volts


def _breaks(aboard: Aboard, device: Device, kind: str, volts: float | None, notes: Notes) -> tuple[Value, Value]:
    """The breaking capacity at the lowest rated volts that are enough; else that at the highest it has."""
    if device.within:
        return _("n/a"), _("n/a")
    record = aboard.snapshot.equipment[device.equipment]
    mine = sorted((b for b in record.breaking if b.kind.lower() == kind), key=lambda b: (b.volts, b.amps))
    if not mine:
        notes.lacks(device.equipment, "breaking")
        return None, None
    enough = [b for b in mine if volts is not None and b.volts >= volts * (1 - 1e-9)]
    chosen: Breaking = enough[0] if enough else mine[-1]
    if volts is not None and not enough:
        notes.also(
            _("{name}: no breaking capacity is recorded at {volts} V or more.").format(
                name=_name(aboard, device), volts=number(volts)
            )
        )
    return chosen.amps, chosen.volts


# -- what hangs on it ------------------------------------------------------------------------------------------------
def _protects(aboard: Aboard, device: Device, notes: Notes) -> tuple[Value, Value]:
    """The conductors it is enough for, with the least of their ampacities; apart from them those it is not."""
    runs = aboard.sorted(aboard.zones.protects(device))
    if not runs:
        if device.fed == 0:
            notes.also(
                _("{name}: nothing drawn feeds it; what it protects is not told.").format(name=_name(aboard, device))
            )
            return None, None
        return _("no run is drawn there"), _("n/a")
    by: dict[Guard, list[str]] = {}
    for run in runs:
        by.setdefault(aboard.guard(device, run), []).append(run)
    mine = by.get("it", [])
    begins = [run for run in aboard.sorted(aboard.zones.begins(device)) if run in mine]
    told = mine if len(mine) <= _MOST else begins
    parts = [", ".join(_sized(aboard, run) for run in told)]
    rest = [run for run in mine if run not in told]
    if rest:
        weakest = _sized(aboard, min(rest, key=lambda run: _low(aboard, run)))
        more = _("{n} more, the weakest {run}").format(n=len(rest), run=weakest)
        parts = [_("{runs} and {more}").format(runs=parts[0], more=more) if told else more]
    if others := by.get("another"):
        notes.say(
            _(
                "Not by it: a device that feeds these is too large for them; each has one of its own near enough, or "
                "what feeds it can give no more than it may carry."
            )
        )
        parts.append(_("not by it: {runs}").format(runs=_some(aboard, others)))
    if failing := by.get("none"):
        notes.say(_("Not protected: a finding is open on these conductors, read it there."))
        parts.append(_("NOT PROTECTED, see the findings: {runs}").format(runs=_some(aboard, failing)))
    if not mine:
        return lines(parts), _("n/a")
    found = [aboard.ampacity(run) for run in mine]
    for each in found:
        if each is not None and not each.known:
            notes.missing(each.missing)
    known = [each for each in found if each is not None]
    if not known:
        return lines(parts), None
    return lines(parts), aboard.span(min(a.low_a for a in known), min(a.high_a for a in known))


def _sized(aboard: Aboard, run: str) -> str:
    return " ".join((aboard.name(run), _size(aboard, run)))


def _some(aboard: Aboard, runs: list[str]) -> str:
    """The first few by name and size, how many more."""
    told = [_sized(aboard, run) for run in runs[:_MOST]]
    if len(runs) > _MOST:
        told.append(_("and {n} more").format(n=len(runs) - _MOST))
    return ", ".join(told)


def _low(aboard: Aboard, run: str) -> tuple[float, str]:
    found = aboard.ampacity(run)
    return (found.low_a if found is not None else float("inf")), aboard.name(run)


def _size(aboard: Aboard, run: str) -> str:
    size = aboard.size(run)
    return str(size) if size is not None else _("(size not known)")


def _feeds(aboard: Aboard, device: Device) -> Value:
    """Consumers, converters, sources and buses behind it; where there are none, the next devices."""
    equipment = aboard.snapshot.equipment
    members = aboard.sorted(aboard.zones.members(device))
    ends = [i for i in members if equipment[i].ROLE not in (*_PASSED, "protection")]
    chosen = ends or [i for i in members if equipment[i].ROLE == "protection"] or members
    if not chosen:
        return _("nothing drawn") if device.fed else None
    if len(chosen) > _MOST:
        buses = [i for i in chosen if equipment[i].ROLE == "bus"]
        first = buses[:_MOST] or chosen[:_MOST]
        rest = [aboard.name(i) for i in chosen if i not in first]
        return lines([*(aboard.told(i) for i in first), _("and {names}").format(names=", ".join(rest))])
    return lines(aboard.told(i) for i in chosen)
