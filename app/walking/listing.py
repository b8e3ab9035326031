"""The checklist of a walk, place by place: all of it to take along, or what a survey still leaves open."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from pathlib import Path
from typing import Any, NamedTuple

from app.figures.lines import headed, section, table, wrapped
from app.paper.table import Column, Table, Value, with_cautions
from app.text_report import cautions
from engine.cautions import CAUTIONS
from engine.installation import Snapshot
from engine.naming import title_of
from engine.survey.aboard import System
from engine.survey.answers import Counts, State
from engine.survey.checklist import Item, Point, Walk
from engine.words import _, ngettext

__all__ = ["Listed", "as_json", "as_text", "csv_text", "listed", "write_list"]

BOX = "[ ]"


class Row(NamedTuple):
    """A point of the list and what was said of it."""

    item: Item
    seen: str
    note: str


class Listed(NamedTuple):
    """What is listed. `survey` is "" where the whole walk is, whatever was said of it."""

    snapshot: Snapshot
    survey: str
    places: tuple[tuple[str, tuple[Row, ...]], ...]  # heading, rows
    systems: tuple[tuple[System, str, str], ...]  # with what was said and noted
    counts: Counts

    @property
    def points(self) -> int:
        """How many points are listed."""
        return sum(len(rows) for _heading, rows in self.places)

    @property
    def is_open(self) -> bool:
        """Whether anything is left to do in the survey."""
        return bool(self.survey and (self.points or self.systems))


def listed(snapshot: Snapshot, survey: str = "") -> Listed:
    """The whole walk, or what is not seen, not accessible, not answered, not energised in a survey."""
    walk, said = Walk(snapshot), State(snapshot, survey)
    places = []
    every: list[Point] = []
    for group in walk.groups:
        every += group.points
        rows = tuple(
            Row(walk.item(point), said.seen(point) if survey else "", said.note(point) if survey else "")
            for point in group.points
            if not survey or said.seen(point) != "seen"
        )
        if rows:
            places.append((group.heading, rows))
    systems = tuple(
        (system, said.energised(system) if survey else "", said.note(system) if survey else "")
        for system in walk.systems
        if not survey or said.energised(system) != "energised"
    )
    return Listed(snapshot, survey, tuple(places), systems, said.counts(every))


def count_words(made: Listed) -> str:
    """How much there is to do."""
    if made.survey:
        words = _("Survey {survey}: {counts}.").format(
            survey=title_of(made.snapshot, "surveys", made.survey), counts=made.counts.words
        )
        return words if made.is_open else f"{words} {_('Nothing is left open.')}"
    return ngettext(
        "{n} thing to look at, place by place.", "{n} things to look at, place by place.", made.points
    ).format(n=made.points)


def _answer(seen: str, note: str) -> str:
    return ": ".join(part for part in (_(seen) if seen else "", note) if part)


# -- text -----------------------------------------------------------------------------------------------------------
def as_text(file: str, made: Listed, width: int = 100) -> str:
    """One file's list for a terminal."""
    parts = [f"{headed(file, made.snapshot)}\n{wrapped(count_words(made), width)}"]
    for heading, rows in made.places:
        parts.append("\n".join((section(heading), *_lines(rows, width))))
    if made.systems:
        rows_of = [(BOX, system.words, _answer(said, note)) for system, said, note in made.systems]
        heads = ("", _("system of voltage"), _("seen energised"))
        parts.append("\n".join((section(_("Systems of voltage")), table(heads, rows_of, width, "lww"))))
    parts.append(cautions(width))
    return "\n\n".join(parts)


def _lines(rows: Iterable[Row], width: int) -> Iterator[str]:
    for row in rows:
        where = _("{thing}, {where}").format(thing=row.item.told, where=row.item.where) if row.item.where else ""
        answer = _answer(row.seen, row.note)
        head = f"{BOX} {where or row.item.told}" + (f" ({answer})" if answer else "")
        yield wrapped(head, width, "", " " * 6)
        if row.item.look:
            yield wrapped("; ".join(row.item.look), width, " " * 4, " " * 4)


# -- to take along --------------------------------------------------------------------------------------------------
def sheets(made: Listed) -> tuple[Table, ...]:
    """A table a place with a box for each answer, and the systems of voltage."""
    columns = (
        Column("seen", _("Seen"), tick=True),
        Column("not_seen", _("Not seen"), tick=True),
        Column("not_accessible", _("Not accessible"), tick=True),
        Column("where", _("Where"), width=30),
        Column("what", _("What"), width=58),
        Column("look", _("To look at"), width=92),
        Column("note", _("Note"), blank=True, least=46.0),
    )
    tables = [
        Table(
            f"place {n}",
            heading,
            columns,
            tuple(
                (
                    None,
                    None,
                    None,
                    row.item.where,
                    row.item.told,
                    "; ".join(row.item.look),
                    _answer(row.seen, row.note) or None,
                )
                for row in rows
            ),
        )
        for n, (heading, rows) in enumerate(made.places, 1)
    ]
    if made.systems or not tables:
        own = (
            Column("energised", _("Energised"), tick=True),
            Column("not_energised", _("Not energised"), tick=True),
            Column("not_tested", _("Not tested"), tick=True),
            Column("system", _("System of voltage"), width=70),
            Column("note", _("Note"), blank=True, least=60.0),
        )
        rows_of = tuple((None, None, None, s.words, _answer(said, note) or None) for s, said, note in made.systems)
        tables.append(Table("systems", _("Systems of voltage"), own, rows_of, (count_words(made),)))
    return tuple(tables)


def _cells(row: Row) -> tuple[Value, ...]:
    item = row.item
    return None, None, None, item.where, item.told, "; ".join(item.look), _answer(row.seen, row.note) or None


def _flat(made: Listed) -> Table:
    columns = (
        Column("place", _("Place")),
        Column("where", _("Where")),
        Column("name", _("Designation")),
        Column("what", _("What")),
        Column("label", _("Label")),
        Column("look", _("To look at")),
        Column("answer", _("Seen, not seen or not accessible"), blank=True),
        Column("note", _("Note"), blank=True),
    )
    rows: list[tuple[Value, ...]] = [
        (heading, i.where, i.name, i.what, i.label, "; ".join(i.look), _(seen) if seen else None, note or None)
        for heading, some in made.places
        for i, seen, note in some
    ]
    for system, said, note in made.systems:
        energised = _("Energised, not energised or not tested")
        rows.append(
            (_("Systems of voltage"), "", system.words, "", "", energised, _(said) if said else None, note or None)
        )
    return Table("walk", _("Walk aboard"), columns, tuple(rows))


def csv_text(made: Listed) -> str:
    """The list as CSV."""
    from app.paper.csvfile import csv_bytes

    return csv_bytes((_flat(made),)).decode("utf-8-sig")


def write_list(made: Listed, path: Path) -> str:
    """Write the list by the ending: PDF, XLSX, CSV, JSON; returns characters drawn as boxes. Raises `OSError`."""
    ending, block = path.suffix.lower(), made.snapshot.title_block
    if ending == ".pdf":
        from app.drawing.frame import text_size
        from app.drawing.title_block import title_fields
        from app.paper.pages import write_tables

        base = title_fields(made.snapshot)
        fields = base._replace(title=_("Walk aboard"), supplementary_title=base.title, document_type=_("Work list"))
        size = text_size(made.snapshot.settings.sheet_size)
        return write_tables(sheets(made), path, size=size, fields=fields, language=block.language).missing_characters
    if ending == ".xlsx":
        from app.paper.xlsx import write_xlsx

        write_xlsx(with_cautions((_flat(made),)), path, title=_("Walk aboard"), author=block.creator)
    elif ending == ".csv":
        from app.paper.csvfile import write_csv

        write_csv((_flat(made),), path)
    else:
        from engine.files.atomic import write_bytes
        from engine.report import dumps

        write_bytes(path, dumps(as_json("", made)))
    return ""


# -- JSON -----------------------------------------------------------------------------------------------------------
def as_json(file: str, made: Listed) -> dict[str, Any]:
    """One file's list, in walking order. Keys and words are for ever."""
    return {
        "file": file,
        "survey": made.survey,
        "points": [
            {
                "place": heading,
                "table": row.item.point.table,
                "id": row.item.point.item,
                "designation": row.item.name,
                "what": row.item.what,
                "label": row.item.label,
                "where": row.item.where,
                "look": list(row.item.look),
                "on_a_sheet": row.item.drawn,
                "seen": row.seen,
                "note": row.note,
            }
            for heading, rows in made.places
            for row in rows
        ],
        "systems": [
            {"system": system.key, "kind": system.kind, "nominal_v": system.nominal_v, "energised": said, "note": note}
            for system, said, note in made.systems
        ],
        "cautions": list(CAUTIONS),
        "summary": made.counts._asdict(),
    }
