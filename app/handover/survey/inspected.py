"""What was not inspected: not seen, not accessible, never answered, not energised, on no sheet."""

from __future__ import annotations

from collections.abc import Iterator

from app.paper.blocks import Block, Heading, Paragraph, Points
from app.paper.table import Column, Table
from engine.survey.answers import NotInspected
from engine.words import _

__all__ = ["not_inspected_blocks"]


def not_inspected_blocks(found: NotInspected) -> list[Block]:
    """A survey must say it; where everything was seen that is said."""
    made: list[Block] = [Heading(_("What was not inspected")), Paragraph(found.words)]
    if found.is_nothing:
        if not found.counts.all:
            return made
        if not found.systems:
            made.append(Paragraph(_("Everything drawn was seen; no system of voltage is recorded.")))
            return made
        made.append(Paragraph(_("Everything drawn was seen, and every system was seen energised.")))
        return made
    made.extend(_points(found))
    made.extend(_systems(found))
    if found.on_no_sheet:
        made.append(Heading(_("On no sheet of the drawing"), 2))
        made.append(Points(tuple(item.told for item in found.on_no_sheet)))
    return made


def _points(found: NotInspected) -> Iterator[Block]:
    columns = (
        Column("what", _("What")),
        Column("place", _("Place"), width=45.0),
        Column("note", _("Note"), blank=True, width=60.0),
    )
    for name, title, some in (
        ("not accessible", _("Not accessible"), found.not_accessible),
        ("not seen", _("Not seen"), found.not_seen),
    ):
        if some:
            rows = tuple((each.item.told, each.heading, each.note or None) for each in some)
            yield Table(name, title, columns, rows)
    if found.unanswered:  # as a rule the most: a line a place
        places: dict[str, list[str]] = {}
        for each in found.unanswered:
            places.setdefault(each.heading, []).append(each.item.told)
        two = (Column("place", _("Place"), width=45.0), Column("what", _("What")))
        title = _("Nothing was said of these: they count as not inspected")
        yield Table("unanswered", title, two, tuple((place, "; ".join(told)) for place, told in places.items()))


def _systems(found: NotInspected) -> Iterator[Block]:
    columns = (Column("system", _("System")), Column("state", _("Seen")), Column("note", _("Note"), blank=True))
    rows = [
        *((system.words, _("not energised"), note or None) for system, note in found.not_energised),
        *((system.words, _("not tested"), note or None) for system, note in found.not_tested),
        *((system.words, _("nothing was said"), None) for system in found.systems_unanswered),
    ]
    if rows:
        yield Table("systems", _("Systems that were not seen energised"), columns, tuple(rows))
