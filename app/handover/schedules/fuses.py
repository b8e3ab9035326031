"""Fuses to carry: how many of each class and rating are fitted, how many spares to have aboard."""

from __future__ import annotations

from collections.abc import Iterator
from typing import NamedTuple

from app.handover.parts.equipment import form
from app.handover.parts.fuses import spares
from app.handover.parts.wanted import PartsWanted
from app.handover.schedules.aboard import Aboard, Notes
from app.paper.table import Column, Table, Value
from engine.equipment.base import Equipment
from engine.naming import natural
from engine.units import number
from engine.words import _

__all__ = ["Link", "class_words", "fitted", "fuses"]

_OTHER = "other"  # tells a reader nothing by itself


class Link(NamedTuple):
    """What makes two links the same to have in the locker. `""`, `None`: not known."""

    form: str
    rating_a: float | None
    volts: str
    part_number: str


def class_words(trip_form: str, record: Equipment) -> str:
    """A class as a reader knows it: where it is none of those named, what is noted of the form, as in the parts."""
    if trip_form != _OTHER:
        return _(trip_form) if trip_form else ""
    return form(record) or _("other, not said which")


def fuses(aboard: Aboard) -> Table:
    """One row a class and rating; what is to be removed is not counted."""
    wanted = aboard.job.options.parts
    notes = Notes(aboard)
    groups = fitted(aboard, notes)
    order = sorted(groups, key=lambda k: (not k.form, natural(k.form), k.rating_a is None, k.rating_a or 0.0, k))
    rows: list[tuple[Value, ...]] = []
    for link in order:
        count = sum(groups[link].values())
        rows.append(
            (
                link.form or None,
                link.rating_a,
                link.volts or None,
                link.part_number or None,
                count,
                spares(count, wanted) if link.rating_a is not None else None,
                ", ".join(aboard.name(item) for item in aboard.sorted(groups[link])),
                None,
            )
        )
    if not rows:
        notes.say(_("No fuse is drawn."))
    else:
        notes.say(
            _(
                "To carry: {percent} % of those fitted of each class and rating, rounded up, {least} at least "
                "({source}; the book names no number)."
            ).format(
                percent=number(wanted.spare_percent),
                least=wanted.spare_least,
                source=_("common practice, no source") if wanted == PartsWanted() else _("as asked for"),
            ),
            _("A blown fuse is replaced by one of the same class and rating only, once the reason is found."),
        )
    if short := list(_not_ordered(aboard, groups, order)):
        notes.say(
            _(
                "Still to be bought, unless they are found aboard: {links}. The list of parts orders spares only for "
                "fuses that are new."
            ).format(links="; ".join(short))
        )
    unknown = sum(sum(groups[link].values()) for link in order if link.rating_a is None)
    if unknown:
        notes.say(_("Of {n} the rating is not known: read it off aboard before spares are bought.").format(n=unknown))
    columns = (
        Column("class", _("Class"), width=44),
        Column("rating_a", _("Rating"), "A", "right"),
        Column("volts", _("Rated for"), width=30),
        Column("part_number", _("Part number"), width=34),
        Column("fitted", _("Fitted"), "", "right"),
        Column("carry", _("To carry"), "", "right"),
        Column("where", _("Fitted as"), width=100),
        Column("aboard", _("Aboard"), "", "right", blank=True, least=20),
    )
    return Table("fuses", _("Fuses to carry"), columns, tuple(rows), notes.texts())


def _not_ordered(aboard: Aboard, groups: dict[Link, dict[str, int]], order: list[Link]) -> Iterator[str]:
    """Spares that no list orders, the fuses being aboard already: *2 of blade, 15 A (F13)*."""
    wanted = aboard.job.options.parts
    for link in order:
        if link.rating_a is None:
            continue
        new = sum(n for item, n in groups[link].items() if aboard.snapshot.equipment[item].status == "new")
        short = spares(sum(groups[link].values()), wanted) - spares(new, wanted)
        if short > 0:
            kept = [item for item in groups[link] if aboard.snapshot.equipment[item].status != "new"]
            yield _("{n} of {form}, {rating} A ({names})").format(
                n=short,
                form=link.form or _("class not known"),
                rating=number(link.rating_a),
                names=", ".join(aboard.name(item) for item in aboard.sorted(kept)),
            )


def fitted(aboard: Aboard, notes: Notes) -> dict[Link, dict[str, int]]:
    """Links by class and rating: how many in each piece. By the contacts of what is drawn, whatever its kind."""
    groups: dict[Link, dict[str, int]] = {}
    for item in aboard.sorted(aboard.snapshot.equipment):
        record = aboard.snapshot.equipment[item]
        if record.status in ("to remove", "spare"):
            continue
        trip = record.trip()
        ways: dict[tuple[str, str], float | None] = {}
        for contact in record.contacts():
            if contact.protection is not None and contact.protection.kind == "fuse":
                ways[contact.a, contact.b] = contact.protection.rating_a
                if contact.protection.rating_a is None:
                    notes.lacks(item, contact.protection.missing)
        for rating in ways.values():
            is_told = trip is not None and trip.is_fuse and len(ways) == 1
            kind = class_words(trip.form, record) if trip is not None and is_told else ""
            if not kind and trip is not None and len(ways) == 1:
                notes.lacks(item, trip.form_field)
            volts = [
                f"{number(v)} V {_(kind)}" if kind else f"{number(v)} V"
                for v, kind in ((record.rated_dc_v, "DC"), (record.rated_ac_v, "AC"), (record.rated_bare_v, ""))
                if v is not None
            ]
            own = record.part_number if record.KIND == "fuse" else ""  # a holder's is the holder's
            link = Link(kind, rating, ", ".join(volts), own)
            into = groups.setdefault(link, {})
            into[item] = into.get(item, 0) + record.quantity
    return groups
