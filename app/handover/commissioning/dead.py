"""Before anything is switched on: torque, continuity of protective conductors, insulation."""

from __future__ import annotations

from app.handover.commissioning._columns import called, end_words, pieces, reading, run_names, text, tick
from app.handover.commissioning.taken import at_end, between, taken
from app.handover.job import Job
from app.paper.blocks import Block, Gap, Heading, Paragraph
from app.paper.table import Table, Value
from engine.books.resistances import ohm_per_m
from engine.naming import natural
from engine.units import show, show_size
from engine.words import _, ngettext

__all__ = ["continuity", "insulation", "torque"]

_PAIRS = (("L", "PE"), ("N", "PE"), ("L", "N"))
_TEST_V, _LEAST_MOHM = "500 V DC", "1 MΩ"  # for AC circuits: common practice, no source


def torque(job: Job) -> list[Block]:
    """Every end that has a stud or a torque recorded, and how many have not."""
    rows: list[tuple[Value, ...]] = []
    without = 0
    for item, run in run_names(job):
        for far in (False, True):
            end = run.to_end if far else run.from_end
            if end.torque_nm is None and not end.stud:
                without += run.function != "signal"
                continue
            rows.append(
                (
                    end_words(job, run, far),
                    job.snapshot.name(item),
                    show_size(run.size) if run.size else None,
                    end.stud or None,
                    end.torque_nm,
                    taken(job, item, "torque_nm", at_end(job, item, far)),
                    None,
                )
            )
    rows.sort(key=lambda row: (natural(str(row[0])), natural(str(row[1]))))
    columns = (
        text("terminal", _("Terminal")),
        text("run", _("Run")),
        text("size", _("Size")),
        text("stud", _("Stud")),
        text("torque", _("Torque"), unit="Nm"),
        reading("found", _("Found"), "Nm"),
        tick("done", _("Marked")),
    )
    notes = [_("Where the torque is not known, that of the maker of the terminal holds; write it in.")]
    if without:
        notes.append(
            ngettext(
                "{n} other end has neither stud nor torque recorded: the maker's figures hold there too.",
                "{n} other ends have neither stud nor torque recorded: the makers' figures hold there too.",
                without,
            ).format(n=without)
        )
    if not rows:
        told = _("No end of a run has a stud or a torque recorded: the torques to be checked are not known.")
        return [Heading(_("Tightening torques")), Gap(told)]
    return [Table("torque", _("Tightening torques"), columns, tuple(rows), tuple(notes))]


def continuity(job: Job) -> list[Block]:
    """Protective and bonding conductors end to end, and metal that can be touched to the main earth."""
    rows: list[tuple[Value, ...]] = []
    for item, run in run_names(job):
        if "PE" not in run.conductors():
            continue
        size = run.earth_size or run.size
        ohm = None
        if size and run.length_m is not None:
            ohm = ohm_per_m(size, run.conductor) * run.length_m / (1 if run.is_ac() else run.parallel)
        rows.append(
            (
                job.snapshot.name(item),
                end_words(job, run),
                end_words(job, run, far=True),
                show_size(size) if size else None,
                None if run.length_m is None else show(run.length_m, "m", job.snapshot.settings.units),
                None if ohm is None else show(ohm, "ohm"),
                None,
                None,
            )
        )
    columns = (
        text("run", _("Run")),
        text("from", _("From")),
        text("to", _("To")),
        text("size", _("Earth conductor")),
        text("length", _("Length")),
        text("expected", _("Expected")),
        reading("found", _("Found"), "Ω"),
        tick("done", _("Sound")),
    )
    made: list[Block] = []
    if rows:
        note = _(
            "Expected: the conductor alone at 20 °C, from its size and length; leads and joints come on top. Null the "
            "leads of the instrument first."
        )
        made.append(Table("continuity", _("Protective and bonding conductors"), columns, tuple(rows), (note,)))
    touched: list[tuple[Value, ...]] = []
    for item, record in pieces(job):
        metal = record.touchable()
        if metal is not None and metal.metal is not False:
            known = _("yes") if metal.metal else None
            touched.append((called(job, item), known, None, None))
    if touched:
        own = (
            text("piece", _("Metal that can be touched")),
            text("metal", _("Bare metal")),
            reading("found", _("To main earth"), "Ω"),
            tick("done", _("Sound")),
        )
        limit = _("At most 1 Ω from the metal to the main earth and from the earth pin of the shore plug: {source}.")
        source = _("common practice, no source")
        made.append(Table("metal", _("Metal that can be touched"), own, tuple(touched), (limit.format(source=source),)))
    if not made:
        made = [
            Heading(_("Protective and bonding conductors")),
            Gap(_("No protective or bonding conductor is drawn: there is none to measure.")),
        ]
    return made


def insulation(job: Job) -> list[Block]:
    """What to take off first, then every AC run against earth and line to neutral."""
    off = [called(job, item) for item, record in pieces(job) if record.OFF_TO_TEST_INSULATION]
    rows: list[tuple[Value, ...]] = []
    for item, run in run_names(job):
        if not run.is_ac():
            continue
        found = [taken(job, item, "insulation_ohm", between(*pair), 1e6) for pair in _PAIRS]
        ends = end_words(job, run), end_words(job, run, far=True)
        rows.append((job.snapshot.name(item), *ends, run.label or "", *found, None))
    if not rows:
        return [Heading(_("Insulation")), Paragraph(_("No run carries alternating current: nothing to test."))]
    columns = (
        text("run", _("Run")),
        text("from", _("From")),
        text("to", _("To")),
        text("for", _("For"), 40.0),
        reading("line", _("L to PE"), "MΩ"),
        reading("neutral", _("N to PE"), "MΩ"),
        reading("between", _("L to N"), "MΩ"),
        tick("done", _("Sound")),
    )
    first = _(
        "Isolate and prove dead. Take these off first, and every load with electronics in it; their cases stay "
        "earthed: {pieces}."
    ).format(pieces=", ".join(off) or _("none is drawn"))
    notes = (
        _("Tested at {volts}, at least {least}: common practice, no source; the makers' limits come first.").format(
            volts=_TEST_V, least=_LEAST_MOHM
        ),
        _("Neutral bonds aboard are opened for this test, switches and breakers closed."),
    )
    table = Table("insulation", _("Insulation: readings"), columns, tuple(rows), notes)
    return [Heading(_("Insulation")), Paragraph(first), table]
