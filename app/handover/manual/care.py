"""Care: residual-current devices, fuses to carry, what to do and what never to do.

What ISO 10133 annex B and ISO 13297 ask an owner's manual to tell of the electrical installation is taken from memory
and not confirmed; the sentences are our own. What is said beyond that is common practice, no source.
"""

from __future__ import annotations

from collections.abc import Iterator

from app.handover.manual.words import figure, known_by
from app.handover.schedules.aboard import Aboard
from app.handover.schedules.fuses import fuses
from app.paper.blocks import Block, Gap, Heading, Paragraph, Points
from app.paper.table import Column, Table, Value
from engine.words import _

__all__ = ["do_and_do_not", "residual_current", "spare_fuses"]


def residual_current(aboard: Aboard) -> Iterator[Block]:
    """Each device, and how it is tried."""
    title = _("Residual-current devices")
    rows: list[tuple[Value, ...]] = []
    for item in aboard.sorted(aboard.snapshot.equipment):
        record = aboard.snapshot.equipment[item]
        told = record.residual()
        at = record.ashore()
        if told is not None and not (at is not None and not at.inlet):  # those of the pontoon are not hers
            rows.append(
                (
                    known_by(aboard, item),
                    aboard.where(record),
                    figure(told.trips_ma, "mA"),
                    figure(told.within_ms, "ms"),
                    told.form or None,
                )
            )
    if not rows:
        snapshot = aboard.snapshot
        has_ac = any(run.is_ac() for run in snapshot.runs.values())
        has_ac = has_ac or any(record.ashore() is not None for record in snapshot.equipment.values())
        yield Heading(title)
        yield (
            Gap(_("None is drawn: nobody is protected against a shock from a faulty appliance."))
            if has_ac
            else Paragraph(_("None is drawn, and no alternating current either."))
        )
        return
    columns = (
        Column("device", _("Device"), width=50),
        Column("where", _("Stands in"), width=50),
        Column("trips", _("Trips at"), width=24),
        Column("within", _("Within"), width=24),
        Column("type", _("Type"), width=24),
    )
    yield Table("residual-current", title, columns, tuple(rows))
    yield Points(
        (
            _("Press its test button once a month while it is fed: it must open at once. Switch it on again."),
            _("If it does not open, leave what is behind it switched off and unplug the shore until it is replaced."),
            _("If it opens by itself, unplug one appliance after another until it holds; have that one repaired."),
            _("The button tries the device, not the earth: have the protective earth measured every year."),
        )
    )


def spare_fuses(aboard: Aboard) -> Iterator[Block]:
    """What to have in the locker."""
    table = fuses(aboard)
    if not table.rows:
        yield Heading(table.title)
        yield Paragraph(" ".join(table.notes))
        return
    keep = [c for c, column in enumerate(table.columns) if column.name not in ("aboard", "part_number")]
    yield table._replace(
        columns=tuple(table.columns[c]._replace(width=60) for c in keep),
        rows=tuple(tuple(row[c] for c in keep) for row in table.rows),
    )


def do_and_do_not(aboard: Aboard) -> Iterator[Block]:
    """The rules for whoever lives with it."""
    yield Heading(_("Do"))
    yield Points(
        (
            _("Switch off and prove dead before anything is opened: every source, the batteries too."),
            _("Have repairs and changes made by a qualified marine electrician, and the drawings changed with them."),
            _("Find out why a fuse blew or a breaker tripped before it is replaced or switched on again."),
            _("Look once a year at batteries, lugs, shore cord, inlet and bilge floats: tight, clean, dry, not hot."),
            _("Keep this page, the drawings and the schedules aboard and hand them on with the boat."),
        )
    )
    yield Heading(_("Do not"))
    yield Points(
        (
            _("Do not work on the installation while it is live."),
            _("Do not change the installation or its drawings yourself."),
            _("Do not fit a fuse or breaker of another rating or class, and never bridge one."),
            _("Do not connect appliances that take more than their circuit is rated for."),
            _(
                "Do not leave her with the installation switched on, but for what must stay on: bilge pumps, fire and "
                "gas alarms."
            ),
            _("Do not switch a battery off while an alternator charges it, unless this page says that it may be."),
            _("Do not join protective earth, bonding and negative anywhere but where they are drawn joined."),
        )
    )
    yield Paragraph(
        _(
            "What an owner's manual is to tell of the electrical installation: ISO 10133:2012 annex B and ISO "
            "13297:2020 (from memory, not confirmed). Other sentences here are common practice, no source."
        )
    )
