"""The calculations as tables: the summary in front, and every check as a row for a spreadsheet."""

from __future__ import annotations

from app.handover.calculations.words import (
    SECTION_TITLES,
    SIGNS,
    VERDICT_WORDS,
    given,
    lacking,
    percent,
)
from app.paper.table import Column, Table, Value
from engine.books import Book
from engine.calculations.judged import WHAT
from engine.calculations.results import Calculation, Section
from engine.unit_table import UNITS
from engine.words import _

__all__ = ["check_table", "clause_table", "summary"]


def summary(made: tuple[Calculation, ...], pages: dict[int, int], anchors: tuple[str, ...] = ()) -> Table:
    """Every circuit, the worst first. `pages`: the page of each by its place in `made`; `anchors`: where it stands."""
    columns = (
        Column("circuit", _("Circuit"), width=30.0),
        Column("what", _("What it is"), width=75.0),
        Column("section", _("Section"), align="right", least=14.0),
        Column("margin", _("Least margin"), align="right", least=22.0),
        Column("verdict", _("Verdict"), least=30.0),
        Column("page", _("Page"), align="right", least=14.0),
    )
    rows: list[tuple[Value, ...]] = []
    for n, one in enumerate(made):
        left = percent(one.margin)
        rows.append(
            (
                one.designation,
                " ".join(one.title.split()),
                list(SECTION_TITLES).index(one.section) + 1,
                left or ("–" if one.verdict in ("fails", "waived") else _("no limit")),
                f"{SIGNS[one.verdict]} {_(VERDICT_WORDS[one.verdict])}",
                pages.get(n, 0),
            )
        )
    notes = (
        _(
            "Least margin: of what fails, where something does. –: what fails is no figure against a limit; its block "
            "tells what it is."
        ),
    )
    return Table("summary", _("Summary, what fails first"), columns, tuple(rows), notes if rows else (), anchors)


def check_table(section: Section, made: tuple[Calculation, ...]) -> Table:
    """Every check of a section as a row, figures as numbers."""
    columns = (
        Column("circuit", _("Circuit")),
        Column("title", _("What it is")),
        Column("given", _("Given")),
        Column("check", _("Check")),
        Column("formulas", _("Formula with its numbers")),
        Column("found", _("Found"), align="right", decimals=None),
        Column("relation", _("At most or at least")),
        Column("limit", _("Limit"), align="right"),
        Column("unit", _("Unit")),
        Column("clause", _("Clause")),
        Column("clause_read", _("Clause read")),
        Column("margin", _("Margin"), "%", "right"),
        Column("verdict", _("Verdict")),
        Column("condition", _("Condition")),
        Column("missing", _("Missing")),
        Column("notes", _("Notes")),
    )
    rows: list[tuple[Value, ...]] = []
    for one in made:
        if one.section != section:
            continue
        for check in one.checks:
            margin = check.margin
            is_limited = check.limit is not None
            rows.append(
                (
                    one.designation,
                    one.title,
                    given(one.inputs),
                    check.what,
                    "\n".join(formula.text for formula in check.formulas),
                    "" if check.found is None else check.found,
                    "" if not is_limited else _("at least") if check.at_least else _("at most"),
                    "" if check.limit is None else check.limit,
                    UNITS[check.unit].sign if check.unit in UNITS else check.unit,
                    _(check.clause)
                    if check.clause
                    else (_("no clause in this book: good practice") if check.rule else ""),
                    check.confirmed if check.clause else "",
                    "" if margin is None else round(100 * margin, 2),
                    _(VERDICT_WORDS[check.verdict]),
                    check.condition,
                    lacking(check),
                    " ".join(check.notes),
                )
            )
    return Table(section, _(SECTION_TITLES[section]), columns, tuple(rows))


def clause_table(book: Book, made: tuple[Calculation, ...]) -> Table:
    """What every check was judged by, in full, and whether the text of it was read."""
    used = dict.fromkeys((check.what, check.rule) for one in made for check in one.checks if check.rule)
    columns = (
        Column("check", _("Check"), width=40.0),
        Column("clause", _("Judged by")),
        Column("read", _("Text read")),
    )
    rows: list[tuple[Value, ...]] = []
    for rule in WHAT:
        for what, slug in used:
            if slug == rule:
                clause = book.clause(rule)
                rows.append(
                    (
                        what,
                        _(clause) if clause else _("no clause in this book: good practice"),
                        bool(clause) and book.confirmed(rule),
                    )
                )
    table = book.ampacity
    if "overloaded" in {rule for _what, rule in used}:
        rows.append((_("Ampacity table"), _(table.source), table.confirmed))
        if table.bundle_source:
            is_read = table.confirmed and not any(w in table.bundle_source for w in ("secondary copy", "from memory"))
            rows.append((_("Factors of bundles"), _(table.bundle_source), is_read))
    return Table("clauses", _("Clauses and tables applied"), columns, tuple(rows))
