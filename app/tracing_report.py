"""The list of ends to be traced: as text for a terminal, as a table to take along, as JSON for machines."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import Any

from app.figures.lines import headed, section, table, wrapped
from app.paper.table import Column, Table, Value, with_cautions
from app.text_report import cautions
from engine.cautions import CAUTIONS
from engine.installation.model import Snapshot
from engine.tracing import EndToTrace, TracePlace, count_ends
from engine.tracing.ends import WHY
from engine.words import _, ngettext

__all__ = ["as_json", "as_text", "count_words", "csv_text", "write_list"]

BOX = "[ ]"
LINE = "_" * 18  # to write on


def count_words(snapshot: Snapshot, places: Sequence[TracePlace]) -> str:
    """*3 ends are to be traced. Of 12 runs both ends of 10 were seen; of 2 nobody said.*"""
    n = sum(len(place.ends) for place in places)
    told = [
        ngettext("{n} end is to be traced.", "{n} ends are to be traced.", n).format(n=n)
        if n
        else _("By what is recorded nothing is to be traced.")
    ]
    count = count_ends(snapshot)
    if count.runs:
        both = _("Of {runs} runs {seen} were seen at both ends; of {unsaid} nobody said whether their ends were seen.")
        told.append(both.format(runs=count.runs, seen=count.seen, unsaid=count.unsaid))
    else:
        told.append(_("No run is recorded."))
    return " ".join(told)


def as_text(file: str, snapshot: Snapshot, places: Sequence[TracePlace], width: int = 100) -> str:
    """One file's list for a terminal."""
    parts = ["\n".join((headed(file, snapshot), wrapped(count_words(snapshot, places), width)))]
    for place in places:
        heads = ("", _("where"), _("run or terminal"), _("from"), _("why"), _("noted"))
        rows = [(BOX, end.where, end.name, end.known, _(WHY[end.why]), end.hint) for end in place.ends]
        parts.append("\n".join((section(place.heading), table(heads, rows, width, "lwwwww"))))
    parts.append(cautions(width))
    return "\n\n".join(parts)


def _columns(with_place: bool) -> tuple[Column, ...]:
    place = (Column("place", _("Place"), width=34),) if with_place else ()
    return (
        Column("done", _("Done")),
        *place,
        Column("where", _("Where"), width=32),
        Column("name", _("Run or terminal"), width=44),
        Column("known", _("From"), width=34),
        Column("why", _("Why"), width=52),
        Column("hint", _("Noted"), width=44),
        Column("found", _("Found aboard")),
    )


def _row(end: EndToTrace) -> tuple[Value, ...]:
    return (BOX, end.where, end.name, end.known, _(WHY[end.why]), end.hint, LINE)


def _flat(places: Sequence[TracePlace]) -> Table:
    rows = []
    for place in places:
        for end in place.ends:
            box, *rest = _row(end)
            rows.append((box, place.heading, *rest[:-1], ""))
    return Table("to be traced", _("To be traced"), _columns(True), tuple(rows))


def csv_text(places: Sequence[TracePlace]) -> str:
    """The list as CSV."""
    from app.paper.csvfile import csv_bytes

    return csv_bytes((_flat(places),)).decode("utf-8-sig")


def write_list(snapshot: Snapshot, places: Sequence[TracePlace], path: Path) -> str:
    """Write the list by the ending: PDF, XLSX, CSV, JSON; returns characters drawn as boxes. Raises `OSError`."""
    ending, block = path.suffix.lower(), snapshot.title_block
    if ending == ".pdf":
        from app.drawing.frame import text_size
        from app.drawing.title_block import title_fields
        from app.paper.pages import write_tables

        base = title_fields(snapshot)
        fields = base._replace(title=_("To be traced"), supplementary_title=base.title, document_type=_("Work list"))
        notes = (count_words(snapshot, places),)
        made = [
            Table(f"place {n}", place.heading, _columns(False), tuple(map(_row, place.ends)))
            for n, place in enumerate(places, 1)
        ] or [Table("none", _("To be traced"), _columns(False), ())]
        made[-1] = made[-1]._replace(notes=notes)
        size = text_size(snapshot.settings.sheet_size)
        return write_tables(tuple(made), path, size=size, fields=fields, language=block.language).missing_characters
    if ending == ".xlsx":
        from app.paper.xlsx import write_xlsx

        write_xlsx(with_cautions((_flat(places),)), path, title=_("To be traced"), author=block.creator)
    elif ending == ".csv":
        from app.paper.csvfile import write_csv

        write_csv((_flat(places),), path)
    else:
        from engine.files.atomic import write_bytes
        from engine.report import dumps

        write_bytes(path, dumps(as_json("", snapshot, places)))
    return ""


def as_json(file: str, snapshot: Snapshot, places: Sequence[TracePlace]) -> dict[str, Any]:
    """One file's list, in walking order. Keys and words are for ever."""
    count = count_ends(snapshot)
    return {
        "file": file,
        "to_be_traced": [
            {
                "why": end.why,
                "run": end.run,
                "end": end.end,
                "equipment": end.equipment,
                "terminal": end.terminal,
                "name": end.name,
                "from": end.known,
                "noted": end.hint,
                "place": end.place_name,
                "where": end.where,
            }
            for place in places
            for end in place.ends
        ],
        "cautions": list(CAUTIONS),
        "summary": {
            "to_be_traced": sum(len(place.ends) for place in places),
            "runs": count.runs,
            "both_ends_seen": count.seen,
            "not_said": count.unsaid,
        },
    }
