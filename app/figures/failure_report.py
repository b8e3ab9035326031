"""What can still be fed when something fails: as text for a terminal, as tables for paper and lists.

Failures that no essential load notices are told together. What a float switch does by itself is left out of the
positions: its pump is meant.
"""

from __future__ import annotations

from collections.abc import Iterable
from pathlib import Path
from typing import NamedTuple

from app.figures.lines import section, titled, wrapped
from app.paper.table import Column, Table, Value, with_cautions
from app.text_report import cautions
from engine.circuit.switching.results import Cell, Failure, FailureTable, Way
from engine.installation.model import Snapshot
from engine.rules.wording import Namer, listed, positions_in_words
from engine.study import Study
from engine.words import N_, _, ngettext

__all__ = ["Said", "as_text", "called", "failure_words", "fed_words", "sheets", "told", "way_words", "write_failures"]

KINDS = {
    "unit": N_("{name} fails"),
    "bank": N_("{name} shuts itself off, or is flat"),
    "device": N_("{name} stays open"),
    "control": N_("The control of {name} is lost"),
    "network": N_("The network that commands {name} is lost"),
}


class Said(NamedTuple):
    """One failure in words: loads that go dark, and what feeds the others, (loads, from what)."""

    failure: Failure
    dark: tuple[str, ...]
    fed: tuple[tuple[tuple[str, ...], str], ...]
    unnoticed: bool


def called(study: Namer, item: str) -> str:
    """*T3 24/12 V converter*: designation and what it is."""
    record = study.snapshot.equipment[item]
    what = record.label or _(record.NAME)
    name = study.name(item)
    return f"{name} {what}" if what and what != name else name


def failure_words(study: Namer, failure: Failure) -> str:
    """*T3 24/12 V converter fails*."""
    if failure.kind == "network":
        modules = dict.fromkeys(item for item, _terminal in sorted(failure.shut)) or {failure.item: None}
        return _(KINDS["network"]).format(name=listed([called(study, item) for item in modules]))
    return _(KINDS[failure.kind]).format(name=called(study, failure.item))


def way_words(study: Namer, way: Way) -> str:
    """*G10 Shore supply with Q10 closed, Q13 closed*."""
    equipment = study.snapshot.equipment
    positions = [(item, every) for item, every in way.positions if not equipment[item].CLOSES_ON_NEED]
    source = called(study, way.source)
    if not positions:
        return source
    return _("{source} with {positions}").format(
        source=source, positions=positions_in_words(study, positions, way.automatic)
    )


def fed_words(study: Namer, ways: Iterable[Way], undecided: Iterable[str] = ()) -> str:
    """From what something can be fed, each source on a line of its own."""
    lines = [way_words(study, way) for way in ways]
    lines += [_("{source}: not decided").format(source=called(study, item)) for item in undecided]
    return "\n".join(lines)


def told(study: Namer, table: FailureTable) -> list[Said]:
    """Every failure in words."""
    made = []
    for j, failure in enumerate(table.failures):
        cells = [row[j] for row in table.cells]
        dark = tuple(cell.load for cell in cells if cell.is_dark and not _was_dark(table, cell))
        groups: dict[str, list[str]] = {}
        for cell in cells:
            if not cell.is_dark and not cell.unchanged:
                groups.setdefault(fed_words(study, cell.ways, cell.fed.undecided), []).append(cell.load)
        fed = tuple((tuple(loads), words) for words, loads in groups.items())
        made.append(Said(failure, dark, fed, not dark and not fed))
    return made


def _was_dark(table: FailureTable, cell: Cell) -> bool:
    before = table.normal[table.loads.index(cell.load)]
    return not before.undecided and not any(way.stands_alone for way in before.ways)


# -- text -----------------------------------------------------------------------------------------------------------
def as_text(file: str, study: Study, table: FailureTable, width: int = 100) -> str:
    """One file's table for a terminal."""
    n = len(table.loads)
    head = ngettext(
        "What {n} essential load can still be fed from", "What {n} essential loads can still be fed from", n
    )
    text = _("{head} when one thing at a time fails: {failures} failures looked at.").format(
        head=head.format(n=n), failures=len(table.failures)
    )
    parts = [titled(file, study.snapshot, text, width)]
    parts += ["\n".join(wrapped(note, width) for note in _notes(study, table))] if _notes(study, table) else []
    rows = [section(_("Nothing has failed"))]
    for load, fed, own in zip(table.loads, table.normal, table.own, strict=True):
        ways = tuple(way for way in fed.ways if way.stands_alone)
        words = fed_words(study, ways, fed.undecided) or _("nothing feeds it by itself")
        rows.append(wrapped(called(study, load), width, "  ", "    "))
        rows += [wrapped(line, width, "    ", "      ") for line in words.split("\n")]
        if own:
            alone = _("its own circuit: {items}").format(items=listed([study.name(item) for item in own]))
            rows.append(wrapped(alone, width, "    ", "      "))
    parts.append("\n".join(rows))
    said = told(study, table)
    for each in said:
        if not each.unnoticed:
            parts.append("\n".join(_text(study, each, width)))
    quiet = [failure_words(study, each.failure) for each in said if each.unnoticed]
    if quiet:
        parts.append(
            "\n".join((section(_("No essential load notices")), *(wrapped(q, width, "  ", "    ") for q in quiet)))
        )
    parts.append(cautions(width))
    return "\n\n".join(parts)


def _text(study: Study, each: Said, width: int) -> list[str]:
    rows = [section(failure_words(study, each.failure))]
    if each.failure.taken:
        rows.append(wrapped(each.failure.taken, width, "  ", "    "))
    if each.dark:
        names = ", ".join(called(study, load) for load in each.dark)
        rows.append(wrapped(_("DARK: {loads}").format(loads=names), width, "  ", "    "))
    for loads, words in each.fed:
        names = ", ".join(called(study, load) for load in loads)
        rows.append(wrapped(_("{loads}: only from").format(loads=names), width, "  ", "    "))
        rows += [wrapped(line, width, "    ", "      ") for line in words.split("\n")]
    return rows


def _notes(study: Study, table: FailureTable) -> list[str]:
    notes = []
    if not table.loads:
        notes.append(_("No load is recorded as essential: nothing is told here."))
    if table.not_recorded:
        names = ", ".join(study.name(item) for item in table.not_recorded)
        notes.append(_("Not recorded whether essential, and so not looked at: {names}.").format(names=names))
    if table.is_undecided:
        notes.append(
            _(
                "Where it says “not decided” a search was stopped before it could tell, and what that leaves dark is "
                "not known either: give it more with --budget."
            )
        )
    if study.feeding.forbidden.always:
        notes.append(_("Two AC sources can meet in every state: see sources-meet. That was not minded here."))
    assumed = [f.item for f in table.normal if any(way.assumed_return and way.stands_alone for way in f.ways)]
    if assumed:
        names = ", ".join(study.name(item) for item in assumed)
        notes.append(_("The way back is not drawn, and taken as there: {names}.").format(names=names))
    return notes


# -- paper ----------------------------------------------------------------------------------------------------------
def sheets(study: Study, table: FailureTable) -> tuple[Table, ...]:
    """What feeds each load; what each failure leaves."""
    normal: list[tuple[Value, ...]] = []
    for load, fed, own in zip(table.loads, table.normal, table.own, strict=True):
        ways = tuple(way for way in fed.ways if way.stands_alone)
        words = fed_words(study, ways, fed.undecided) or _("nothing feeds it by itself")
        normal.append((called(study, load), words, ", ".join(study.name(item) for item in own)))
    said = told(study, table)
    rows: list[tuple[Value, ...]] = []
    for each in said:
        if each.unnoticed:
            continue
        dark = "\n".join(called(study, load) for load in each.dark)
        fed_text = "\n".join(
            _("{loads}: {words}").format(
                loads=", ".join(study.name(load) for load in loads), words=words.replace("\n", _("; or "))
            )
            for loads, words in each.fed
        )
        what = failure_words(study, each.failure)
        rows.append((f"{what} ({each.failure.taken})" if each.failure.taken else what, dark, fed_text))
    quiet = tuple(failure_words(study, each.failure) for each in said if each.unnoticed)
    notes = (_("No essential load notices: {failures}.").format(failures="; ".join(quiet)),) if quiet else ()
    return (
        Table(
            "supply",
            _("What can feed each essential load"),
            (
                Column("load", _("Load"), width=50),
                Column("fed", _("Can be fed from, in which positions")),
                Column("own", _("Its own circuit"), width=34),
            ),
            tuple(normal),
            tuple(_notes(study, table)),
        ),
        Table(
            "failures",
            _("What each failure leaves"),
            (
                Column("what", _("What fails"), width=52),
                Column("dark", _("DARK"), width=46),
                Column("fed", _("Only from")),
            ),
            tuple(rows),
            notes,
        ),
    )


def write_failures(study: Study, table: FailureTable, path: Path) -> str:
    """Write the table by the ending: PDF, XLSX, CSV, JSON; returns characters drawn as boxes. Raises `OSError`."""
    snapshot, ending = study.snapshot, path.suffix.lower()
    made = sheets(study, table)
    if ending == ".pdf":
        from app.drawing.title_block import title_fields
        from app.paper.pages import write_tables

        base = title_fields(snapshot)
        fields = base._replace(
            title=_("When something fails"), supplementary_title=base.title, document_type=_("Failure table")
        )
        language = snapshot.title_block.language
        return write_tables(made, path, size=_size(snapshot), fields=fields, language=language).missing_characters
    if ending == ".xlsx":
        from app.paper.xlsx import write_xlsx

        write_xlsx(with_cautions(made), path, title=_("When something fails"), author=snapshot.title_block.creator)
    elif ending == ".csv":
        from app.paper.csvfile import write_csv

        write_csv(made, path)
    else:
        from engine.figures_json import failures_object
        from engine.files.atomic import write_bytes
        from engine.report import dumps

        write_bytes(path, dumps(failures_object(table)))
    return ""


def _size(snapshot: Snapshot) -> str:
    from app.drawing.frame import text_size

    return text_size(snapshot.settings.sheet_size)
