"""Using her: what each operating condition means and needs, how long the batteries last, interlocks."""

from __future__ import annotations

from collections.abc import Iterator

from app.handover.manual.words import items, known_by
from app.handover.schedules.aboard import Aboard
from app.handover.schedules.energy import energy, is_charged
from app.handover.schedules.switches import in_order, in_words
from app.paper.blocks import Block, Gap, Heading, Paragraph, Points
from engine.circuit.energy.results import BankEnergy
from engine.circuit.flow.operating import positions_in
from engine.naming import natural
from engine.units import number
from engine.words import _

__all__ = ["capacity", "conditions", "interlocks"]

_SHOWN = ("bank", "condition", "usable_ah", "load_wh", "lasts_h", "required_h", "charge_a", "refills_h")


def conditions(aboard: Aboard) -> Iterator[Block]:
    """Each condition: what runs, how the switches stand, what it asks."""
    yield Heading(_("Operating conditions"))
    found = [c for c in in_order(aboard) if not aboard.snapshot.conditions[c].work_stage]
    if not found:
        yield Gap(_("No operating condition is recorded: how the switches are to stand in use is not known here."))
        return
    yield Paragraph(
        _(
            "How the switches stand and what runs. Change from one to another in the order on the cards; a wrong order "
            "can leave her dark or join what must not meet."
        )
    )
    for condition in found:
        record = aboard.snapshot.conditions[condition]
        yield Heading(record.name, 2)
        told = [record.note] if record.note else []
        told += [_running(aboard, condition), _standing(aboard, condition), *_asked(aboard, condition)]
        yield Points(tuple(text for text in told if text))


def _running(aboard: Aboard, condition: str) -> str:
    running = aboard.snapshot.conditions[condition].running
    if not running:
        return _("Which sources run or are plugged in is not recorded.")
    known = [item for item in running if item in aboard.snapshot.equipment]
    return _("Gives power: {items}.").format(items=items(aboard, known))


def _standing(aboard: Aboard, condition: str) -> str:
    """Positions the condition names, or that differ from the drawing."""
    drawn, here = positions_in(aboard.snapshot, ""), positions_in(aboard.snapshot, condition)
    named = {s.equipment for s in aboard.snapshot.conditions[condition].settings}
    shown = aboard.sorted(item for item in here if item in named or here[item] != drawn[item])
    if not shown:
        return _("Switches: all as drawn.")
    return _("Switches: {list}; the others as drawn.").format(
        list=", ".join(f"{known_by(aboard, item)} {_(here[item])}" for item in shown)
    )


def _asked(aboard: Aboard, condition: str) -> Iterator[str]:
    """How long each bank lasts, against what is asked."""
    for bank in sorted(aboard.study.energy(condition).banks, key=lambda b: aboard.sorted_key(b.bank)):
        yield f"{known_by(aboard, bank.bank)}: {_lasts(bank)}"


def _lasts(bank: BankEnergy) -> str:
    hours = bank.autonomy_h
    if bank.is_kept:
        told = _("kept charged by what runs")
    elif hours is None:
        told = _("how long it lasts is not known")
    elif bank.missing and hours == float("inf"):
        told = _("how long it lasts is not known, because something that draws is not recorded")
    elif hours == float("inf") and not bank.load_wh:
        told = _("nothing is recorded that draws from it")
        told += _("; it is charged") if is_charged(bank) else _(", and nothing charges it")
    elif hours == float("inf"):
        told = _("what it gives is made good every day")
    else:
        told = _("lasts at most {hours} h") if bank.missing else _("lasts {hours} h")
        told = told.format(hours=number(hours, 2))
    if bank.required_h is not None:
        told += _("; {hours} h are asked for").format(hours=number(bank.required_h))
        if hours is not None and not bank.is_kept and hours < bank.required_h:
            told += _(": TOO SHORT")
    return told + (f" ({bank.joined})" if bank.joined else "") + "."


def capacity(aboard: Aboard) -> Iterator[Block]:
    """What the loads take, how long it lasts, how it is refilled."""
    table = energy(aboard, plain=True)
    title = _("Capacity: how long it lasts, how it is refilled")
    if not table.rows:
        yield Heading(title)
        yield Gap(" ".join(table.notes) or _("It cannot be told."))
        return
    keep = [c for c, column in enumerate(table.columns) if column.name in _SHOWN]
    yield table._replace(
        title=title,
        columns=tuple(table.columns[c]._replace(width=38) for c in keep),
        rows=tuple(tuple(row[c] for c in keep) for row in table.rows),
        notes=(
            *table.notes,
            _("Computed from plates and the hours recorded, not measured; batteries lose capacity with age and cold."),
            _("What was taken where nothing is recorded stands below the schedule of energy."),
        ),
    )


def interlocks(aboard: Aboard) -> Iterator[Block]:
    """What switches keep each other from."""
    records = aboard.snapshot.interlocks
    yield Heading(_("Interlocks"))
    if not records:
        yield Paragraph(_("No interlock is recorded: nothing keeps you from a wrong order of switching but care."))
        return
    yield Points(
        tuple(in_words(aboard, records[i]) for i in sorted(records, key=lambda i: (natural(records[i].name), i)))
    )
    yield Paragraph(_("Never defeat, force or remove an interlock: it keeps two sources from meeting."), bold=True)
