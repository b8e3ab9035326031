"""What is tried rather than measured: wrong orders, galvanic isolators, floats, the stop of charging by the battery."""

from __future__ import annotations

from collections.abc import Iterator

from app.handover.commissioning._columns import called, pieces, reading, text, tick
from app.handover.job import Job
from app.paper.blocks import Block, Heading, Paragraph
from app.paper.table import Table, Value
from engine.equipment.base import Equipment, Source
from engine.installation.records import Held, Interlock
from engine.rules.wording import listed
from engine.units import show
from engine.words import _

__all__ = ["floats", "galvanic", "interlocks", "stop_by_battery"]


def interlocks(job: Job) -> list[Block]:
    """The wrong order tried against each interlock: it must not be possible."""
    rows: list[tuple[Value, ...]] = []
    for item in sorted(job.snapshot.interlocks, key=lambda i: (job.snapshot.interlocks[i].name.casefold(), i)):
        lock = job.snapshot.interlocks[item]
        for first, then in _wrong(job, lock):
            rows.append((lock.name or _("interlock"), _(lock.kind), first, then, None, None))
    title = _("Wrong order against each interlock")
    if not rows:
        return [Heading(title), Paragraph(_("No interlock is recorded: there is none to try."))]
    columns = (
        text("interlock", _("Interlock"), 40.0),
        text("kind", _("How")),
        text("first", _("Standing"), 45.0),
        text("then", _("Try to put"), 45.0),
        tick("refused", _("Refused")),
        tick("slow", _("By force too")),
    )
    note = _("Tried dead. Refused: the second device cannot be moved while the first stands so; half-way counts too.")
    return [Table("interlocks", title, columns, tuple(rows), (note,))]


def _wrong(job: Job, lock: Interlock) -> Iterator[tuple[str, str]]:
    """What stands so, and what must then be refused: each device once against those that may stand together."""
    held = [each for each in lock.held if each.equipment in job.snapshot.equipment]
    for n, last in enumerate(held):
        others = [each for k, each in enumerate(held) if k != n]
        if lock.at_most == 0:
            yield _("anything"), _held(job, last)
        elif lock.at_most == 1:
            for other in others:
                yield _held(job, other), _held(job, last)
        elif len(others) >= lock.at_most:
            yield listed([_held(job, each) for each in others[: lock.at_most]]), _held(job, last)


def _held(job: Job, held: Held) -> str:
    name = called(job, held.equipment)
    return _("{name} {positions}").format(name=name, positions=_(" or ").join(_(p) for p in held.positions))


def galvanic(job: Job) -> list[Block]:
    """Galvanic isolators, and the earth from the shore plug to the boat's main earth."""
    rows: list[tuple[Value, ...]] = [
        (called(job, item), None, None, None, None)
        for item, record in pieces(job)
        if record.blocks_corrosion() and not record.conversions()
    ]
    rows += [
        (_("Earth pin of the plug to the main earth, {inlet}").format(inlet=called(job, item)), "", "", None, None)
        for item, record in pieces(job)
        if _is_inlet(record)
    ]
    title = _("Galvanic isolator and shore earth")
    if not rows:
        return [Heading(title), Paragraph(_("No galvanic isolator and no shore inlet is drawn: nothing to test."))]
    columns = (
        text("piece", _("What"), 70.0),
        reading("one", _("One way"), "V"),
        reading("other", _("Other way"), "V"),
        reading("ohm", _("Through"), "Ω"),
        tick("done", _("Sound")),
    )
    note = _(
        "The isolator apart from the circuit, with the diode test of the instrument: the same volts each way, neither "
        "0 nor open (common practice, no source). The earth conductor is unbroken: at most 1 Ω."
    )
    return [Table("galvanic", title, columns, tuple(rows), (note,))]


def _is_inlet(record: Equipment) -> bool:
    shore = record.ashore()
    return shore is not None and shore.inlet


def floats(job: Job) -> list[Block]:
    """Every float switch lifted by hand."""
    rows: list[tuple[Value, ...]] = []
    for item, record in pieces(job):
        if record.CLOSES_ON_NEED:
            fed = listed([called(job, load) for load in _behind(job, item)]) or None
            rows.append((called(job, item), fed, *[None] * 4))
    title = _("Bilge floats")
    if not rows:
        return [Heading(title), Paragraph(_("No float switch is drawn: there is none to lift."))]
    columns = (
        text("float", _("Float switch"), 45.0),
        text("starts", _("Starts"), 55.0),
        tick("runs", _("Pump runs")),
        tick("stops", _("Stops again")),
        tick("alarm", _("Alarm heard")),
        tick("away", _("With the boat left")),
    )
    note = _("Lifted by hand, water over the suction. With the boat left: the main switches as they stand unattended.")
    return [Table("floats", title, columns, tuple(rows), (note,))]


def _behind(job: Job, item: str) -> list[str]:
    """Consumers joined to a float switch by a run, or by one more device."""
    beside: dict[str, set[str]] = {}
    for run in job.snapshot.runs.values():
        a, b = run.from_end.equipment, run.to_end.equipment
        if run.function in ("dc pair", "dc positive", "ac"):
            beside.setdefault(a, set()).add(b)
            beside.setdefault(b, set()).add(a)
    near = beside.get(item, set())
    equipment = job.snapshot.equipment
    found = {i for i in near if i in equipment and equipment[i].use() is not None and equipment[i].draws()}
    return sorted(found, key=job.snapshot.name)


def stop_by_battery(job: Job) -> list[Block]:
    """Every battery that can stop its charging or open its contactor, with a machine charging it."""
    equipment = job.snapshot.equipment
    rows: list[tuple[Value, ...]] = []
    machines = [item for item, record in pieces(job) if any(s.rotating and s.system == "dc" for s in _sources(record))]
    running = listed([called(job, item) for item in machines])
    for item, record in pieces(job):
        governs, store = record.governs(), record.store()
        if governs is not None:
            banks = [bank for bank in governs.banks if bank in equipment]
            stops = [called(job, each) for each in (*governs.stops, *governs.sets) if each in equipment]
            rows.append(_stop_row(job, item, banks, listed(list(dict.fromkeys(stops)))))
        elif store is not None and store.disconnects and not _looked_after(job, item):
            rows.append(_stop_row(job, item, [item], ""))
    title = _("Stop by the battery, a machine charging")
    if not rows:
        return [Heading(title), Paragraph(_("No battery that stops its charging or shuts itself off is drawn."))]
    columns = (
        text("battery", _("Battery or its management"), 45.0),
        text("stops", _("Tells to stop"), 42.0),
        text("charge", _("Charged to")),
        reading("highest", _("Highest"), "V"),
        reading("seconds", _("Stops in"), "s"),
        tick("first", _("Current 0 first")),
        tick("alarm", _("Alarm heard")),
    )
    notes = (
        _(
            "Running: {machines}. Volts are watched at the machine's output from the moment the battery asks for the "
            "stop; the test is ended at once where they rise above what anything on that bus may have."
        ).format(machines=running or _("no machine that charges direct current is drawn")),
        _(
            "The stop is made as the battery's maker says. Current 0 first: it has fallen to nothing before any "
            "contactor opens; an alternator whose battery is taken from it may be destroyed, and what hangs on its bus "
            "with it."
        ),
    )
    return [Table("battery-stop", title, columns, tuple(rows), notes)]


def _sources(record: Equipment) -> tuple[Source, ...]:
    return record.sources(frozenset(terminal.name for terminal in record.terminals()))


def _looked_after(job: Job, bank: str) -> bool:
    told = (record.governs() for record in job.snapshot.equipment.values())
    return any(governs is not None and bank in governs.banks for governs in told)


def _stop_row(job: Job, item: str, banks: list[str], stops: str) -> tuple[Value, ...]:
    stores = [store for bank in banks if (store := job.snapshot.equipment[bank].store()) is not None]
    volts = [store.charge_v for store in stores if store.charge_v is not None]
    charge = show(max(volts), "V") if volts and len(volts) == len(stores) else None
    return called(job, item), stops or None, charge, None, None, None, None
