"""Deficiencies as a list: text for a terminal, a table for a spreadsheet, JSON for machines."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any, TypeAlias

from app.commands.opening import CommandError
from app.figures.lines import section, titled, wrapped
from app.text_report import cautions
from engine.cautions import CAUTIONS
from engine.deficiencies import (
    basis_words,
    edition_year,
    grade_name,
    grade_words,
    in_order,
    is_breach,
    is_open,
    place_of,
    standing_words,
    status_words,
    told_at,
)
from engine.installation import Deficiency, Snapshot
from engine.naming import capital, natural, speaks_of, title_of
from engine.record import field_specs
from engine.words import _, ngettext

__all__ = ["as_json", "as_text", "csv_text", "listed"]

Rows: TypeAlias = Sequence[tuple[str, Deficiency]]


def listed(snapshot: Snapshot, status: str = "", grade: str = "", survey: str = "") -> list[tuple[str, Deficiency]]:
    """Those asked for, class A first. `survey`: its name or date. Raises `CommandError` where there is none such."""
    wanted = {i for i, s in snapshot.surveys.items() if survey in (s.name, s.date, i)}
    if survey and not wanted:
        names = ", ".join(sorted((title_of(snapshot, "surveys", i) for i in snapshot.surveys), key=natural))
        told = _("there is no survey {name!r}; there are: {names}") if names else _("there is no survey {name!r}")
        raise CommandError(told.format(name=survey, names=names))
    return [
        (item, d)
        for item, d in in_order(snapshot)
        if (not survey or d.survey in wanted)
        and (not grade or d.grade == grade)
        and (not status or d.status == status or (status == "not closed" and is_open(d)))
    ]


def as_text(file: str, snapshot: Snapshot, rows: Rows, width: int = 100) -> str:
    """One file's list for a terminal."""
    still = sum(is_open(d) for _i, d in rows)
    count = ngettext("{n} deficiency, {still} not closed.", "{n} deficiencies, {still} not closed.", len(rows))
    parts = [titled(file, snapshot, count.format(n=len(rows), still=still), width)]
    for grade in dict.fromkeys(d.grade for _i, d in rows):
        some = [d for _i, d in rows if d.grade == grade]
        words = {grade_words(snapshot.surveys.get(d.survey), grade) for d in some}
        meaning = words.pop() if len(words) == 1 else ""
        head = f"{grade_name(grade)}: {meaning}" if meaning else grade_name(grade)
        parts.append("\n\n".join((section(head), *(_text(snapshot, d, width) for d in some))))
    parts.append(cautions(width))
    return "\n\n".join(parts)


def _text(snapshot: Snapshot, d: Deficiency, width: int) -> str:
    at, seen = capital(told_at(snapshot, d)), " ".join(d.observation.split())
    number = "–" if d.number is None else str(d.number)
    first = _("{at}: {seen}").format(at=at, seen=seen) if at else seen
    lines = [f"{number:>3}  {first}"]
    for told, words in ((d.risk, _("Risk: {text}")), (d.recommendation, _("To do: {text}"))):
        if told.strip():
            lines.append(words.format(text=" ".join(told.split())))
    if d.arithmetic:
        lines.append(d.arithmetic)
    lines.append(standing_words(d, snapshot.vessel))
    last = [f"{status_words(d)[:1].upper()}{status_words(d)[1:].rstrip('.')}."]
    if d.due and is_open(d):
        last.append(_("By {day}.").format(day=d.due))
    noted = ", ".join(part for part in (d.who, d.date) if part)
    if noted:
        last.append(_("Noted by {who}.").format(who=noted))
    shots = len(d.photographs) + len(d.evidence_photographs)
    if shots:
        last.append(ngettext("{n} photograph.", "{n} photographs.", shots).format(n=shots))
    lines.append(" ".join(last))
    return "\n".join(wrapped(text, width, "" if n == 0 else " " * 5, " " * 5) for n, text in enumerate(lines))


def csv_text(snapshot: Snapshot, rows: Rows) -> str:
    """The list as CSV."""
    from app.paper.csvfile import csv_bytes
    from app.paper.table import Column, Table

    columns = tuple(
        Column(name, title)
        for name, title in (
            ("number", _("Number")), ("class", _("Class")), ("at", _("At")), ("place", _("Place")),
            ("observation", _("Seen")), ("risk", _("Risk")), ("recommendation", _("To do")), ("basis", _("Basis")),
            ("standing", _("What it rests on")), ("status", _("How it stands")), ("due", _("By")),
            ("who", _("Noted by")), ("date", _("Date")), ("survey", _("Survey")), ("photographs", _("Photographs")),
        )
    )  # fmt: skip
    made = []
    for _item, d in rows:
        place = place_of(snapshot, d)
        made.append((
            d.number, d.grade, speaks_of(snapshot, d.at), title_of(snapshot, "places", place) if place else "",
            d.observation, d.risk, d.recommendation, basis_words(d.basis), standing_words(d, snapshot.vessel),
            status_words(d), d.due, d.who, d.date, title_of(snapshot, "surveys", d.survey) if d.survey else "",
            len(d.photographs) + len(d.evidence_photographs),
        ))  # fmt: skip
    return csv_bytes((Table("deficiencies", _("Deficiencies"), columns, tuple(made)),)).decode("utf-8-sig")


def as_json(file: str, snapshot: Snapshot, rows: Rows) -> dict[str, Any]:
    """One file's list. Keys and words are for ever; what the record holds stands under its own names."""
    return {
        "file": file,
        "vessel": snapshot.vessel.name,
        "build_year": snapshot.vessel.build_year,
        "deficiencies": [
            {
                **_fields(d),
                "id": item,
                "at_name": speaks_of(snapshot, d.at),
                "place_name": title_of(snapshot, "places", place) if (place := place_of(snapshot, d)) else "",
                "edition_year": edition_year(d),
                "is_breach": is_breach(d, snapshot.vessel),
                "is_open": is_open(d),
            }
            for item, d in rows
        ],
        "cautions": list(CAUTIONS),
    }


def _fields(d: Deficiency) -> dict[str, Any]:
    """Every field, unknown ones as they are."""
    names = (spec for spec in field_specs(Deficiency) if spec.name not in ("origins", "unknown"))
    return {
        spec.file_name: list(value) if isinstance(value := getattr(d, spec.name), tuple) else value for spec in names
    }
