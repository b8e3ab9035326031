"""The calculation sheets, in the order in which 46 CFR 110.25-1(a) and 177.202(b)(4) ask for them."""

from __future__ import annotations

import argparse
from collections.abc import Iterator

from app.handover.calculations.beside import beside_blocks, finding_text
from app.handover.calculations.block import anchor_of, block, legend_signs
from app.handover.calculations.loads import load_blocks, load_table, source_table
from app.handover.calculations.tables import check_table, clause_table, summary
from app.handover.calculations.words import LETTERS, SECTION_TITLES, titled
from app.handover.document import Document
from app.handover.job import Job, Options
from app.paper.blocks import Block, Gap, Heading, PageBreak, Paragraph, Points, Signatures
from app.paper.setting import room_of, set_blocks
from app.paper.table import Table
from engine.calculations.faults import methods
from engine.calculations.load import Stage, stages
from engine.calculations.results import SECTIONS, Calculation, Section
from engine.calculations.sheets import calculations, worst_first
from engine.check import CheckResult
from engine.findings import Finding
from engine.naming import inside, natural
from engine.pausing import pause
from engine.picture import Picture
from engine.tracing.told import finding_rests, resting_lines
from engine.words import N_, _, ngettext

__all__ = ["FOR", "NAME", "ORDER", "PURPOSE", "TITLE", "add_only", "asked", "make"]

NAME = "calculations"
TITLE = N_("Calculation sheets")
PURPOSE = N_("Shows how every circuit was judged: what was put in, the formula, the result, the limit and the margin.")
FOR = N_("surveyor, insurer and whoever checks the design")
ORDER = 70

_SHOWN_NAMES = 3
_SHOWN = 12  # missing fields named in a gap of the document; every block names its own


def add_only(parser: argparse.ArgumentParser) -> None:
    """`--only`, of the command that writes nothing else."""
    parser.add_argument(
        "--only",
        dest="calculation_sections",
        nargs="+",
        choices=SECTIONS,
        metavar=_("SECTION"),
        default=(),
        help=_("only these sections: {names}").format(names=", ".join(SECTIONS)),
    )


def asked(arguments: argparse.Namespace, options: Options) -> Options:
    """Which sections were asked for."""
    return options._replace(calculations=tuple(getattr(arguments, "calculation_sections", ()) or ()))


def make(job: Job) -> Document:
    """All sections or those asked for, a summary in front, lines to sign at the end of it."""
    study = job.study
    only = tuple(section for section in SECTIONS if section in (job.options.calculations or SECTIONS))
    made = calculations(study, job.result, only, pause)
    of_loads = stages(study) if "load-analysis" in only else ()
    gaps = (*_not_shown(job, made, only), *_gaps(made, only))
    tables = _tables(job, made, of_loads, only)
    return Document(NAME, _(TITLE), _pages(job, made, of_loads, gaps, only), tables, gaps)


# -- pages ----------------------------------------------------------------------------------------------------------
def _pages(
    job: Job,
    made: tuple[Calculation, ...],
    of_loads: tuple[Stage, ...],
    gaps: tuple[str, ...],
    only: tuple[Section, ...],
) -> tuple[Picture, ...]:
    """Set until the pages that the summary names are those on which the blocks stand."""
    ordered = worst_first(made)
    places = {id(one): n for n, one in enumerate(made)}
    fields = job.fields(_(TITLE), _("Calculation"))
    room = room_of(job.text_size, upright=True)
    body = tuple(_body(job, made, of_loads, only, room))
    pages: dict[int, int] = {}
    pictures: tuple[Picture, ...] = ()
    for _attempt in range(4):
        pause()
        front = _front(job, made, ordered, pages, gaps, room)
        pictures = set_blocks((*front, *body), size=job.text_size, fields=fields, upright=True)
        at = {name: n for n, picture in enumerate(pictures, 1) for name, _x, _y in picture.anchors}
        found = {n: at[anchor_of(one, places[id(one)])] for n, one in enumerate(ordered)}
        if found == pages:
            break
        pages = found
    return pictures


def _front(
    job: Job,
    made: tuple[Calculation, ...],
    ordered: tuple[Calculation, ...],
    pages: dict[int, int],
    gaps: tuple[str, ...],
    room: tuple[float, float],
) -> Iterator[Block]:
    result = job.result
    yield Heading(_("Calculations: {boat}").format(boat=titled(job.boat)))
    if titled(job.boat) != job.boat:
        yield Paragraph(_("Vessel: {boat}").format(boat=job.boat))
    yield Paragraph(
        _(
            "In the order of 46 CFR 110.25-1(a) and 177.202(b)(4): load analysis, short circuit, ratings and breaking "
            "capacities of protective devices, cables. Judged by {book}, edition {edition}."
        ).format(book=_(result.title), edition=result.edition)
    )
    yield Paragraph(_("Nothing on these sheets certifies anything."), bold=True)
    if not made:
        yield Gap(_("Nothing is drawn that could be calculated: no source, no load, no device, no cable."))
    for gap in gaps:
        yield Gap(gap)
    yield Signatures((_("Prepared by"), _("Checked by"), _("Accepted by")))
    if made:
        places = {id(one): n for n, one in enumerate(made)}
        yield summary(ordered, pages, tuple(anchor_of(one, places[id(one)]) for one in ordered))
    beside = beside_blocks(job.result, made)
    if beside:
        yield Heading(_("Open findings that no block shows"))
        yield Points(tuple(finding_text(finding) for finding in beside))
    yield Heading(_("How to read a block"))
    letters = {
        "m": _("measured"),
        "p": _("from the nameplate"),
        "t": _("typed"),
        "r": _("recorded, nobody said from where"),
        "a": _("assumed"),
        "w": _("worked out"),
        "?": _("not known"),
    }
    told = "; ".join(f"[{letter}] {letters[letter]}" for letter in LETTERS.values())
    yield Paragraph(_("Behind everything given stands where it comes from: {letters}.").format(letters=told))
    yield Paragraph(
        _(
            "A formula is printed with its symbols, then with its numbers, then with its result; the symbols stand "
            "under Given, in the units named there. It: ampacity by the table; kb: factor of the bundle; kp: of the "
            "hottest place; p: conductors in parallel; Iz: ampacity; m: multiple that the book allows one device; n: "
            "conductors that the current passes on its way there and back; r: resistance of a metre at 20 °C, Ω/m; a: "
            "what a kelvin adds; T: the temperature of the conductor, °C; X: reactance, Ω; L: length, one way; CM: "
            "area in circular mils; K: Ω·cmil/ft of copper at T, k at 20 °C; 46 CFR 183.340(p) has its own formula, "
            "with K = 10.75 and L there and back; "
            "s: share of its rating that a device carries for hours. Rating, load: the current that flows for hours in "
            "the condition named, or that one load or source takes by itself, batteries at their nominal volts; where "
            "more flows with everything on at once, that stands beside it, and is what hot spots are computed from. "
            "Voltage drop: from the terminals of the source named under Given to the terminals of the load. "
            "Margin: what is left of the limit. An asterisk "
            "behind a clause: its own text was not read; the list below says from where it is known."
        )
    )
    yield legend_signs(
        (
            ("in order", _("in order: within the limit")),
            ("fails", _("fails: beyond the limit")),
            ("not judged", _("not judged: what is missing stands beside it")),
            ("waived", _("waived: beyond the limit and accepted in writing on the drawing")),
            ("not compared", _("worked out: a figure that no clause limits")),
        ),
        room[0],
    )
    clauses = clause_table(job.study.book, made)
    if clauses.rows:
        yield clauses
    if result.assumptions:
        yield Heading(_("Taken for granted"))
        yield Points(result.assumptions)
    rests = resting_lines(result)
    if rests:
        yield Heading(_("What rests on assumed values"))
        yield Points((*rests, *_rest_of_findings(result)))


def _rest_of_findings(result: CheckResult) -> tuple[str, ...]:
    """Each finding that rests on assumed values, with these."""
    told = ((f, finding_rests(result, f.key)) for f in (*result.findings, *result.waived))
    return tuple(
        _("{rule} on {items}: {why}").format(rule=f.rule, items=", ".join(f.designations), why=inside(rests))
        for f, rests in told
        if rests
    )


def _body(
    job: Job,
    made: tuple[Calculation, ...],
    of_loads: tuple[Stage, ...],
    only: tuple[Section, ...],
    room: tuple[float, float],
) -> Iterator[Block]:
    for section in only:
        mine = [(n, one) for n, one in enumerate(made) if one.section == section]
        yield PageBreak()
        yield Heading(_(SECTION_TITLES[section]))
        if section == "load-analysis":
            yield from load_blocks(job.study, of_loads)
        elif section == "short-circuit":
            yield from _sources(job)
        if not mine:
            yield Gap(_NOTHING[section]())
        for n, one in mine:
            yield from block(one, n, room)
            if n % 50 == 0:
                pause()


_NOTHING = {
    "load-analysis": lambda: _("No source and no bank is drawn of which anything could be said."),
    "short-circuit": lambda: _("No protective device and no bus is drawn that a source could feed."),
    "devices": lambda: _("No protective device is drawn."),
    "cables": lambda: _("No run that carries current is drawn."),
}


def _sources(job: Job) -> Iterator[Block]:
    yield Paragraph(
        _(
            "Largest: every source at its most, conductors at 20 °C, in the permitted state of the switches that gives "
            "most; the whole network is solved at once and each source's part told. Smallest: Ik = U / Z, the weakest "
            "source by itself at its lowest volts U, Z the whole loop in Ω with conductors as hot as their insulation "
            "allows. Arcs are not counted."
        )
    )
    found = methods(job.study)
    if found:
        yield Paragraph(_("What stands behind each source, at its own terminals:"), bold=True)
        yield Points(tuple(f"{one.name}: {one.text} [{LETTERS[one.mark]}]" for one in found))
    if job.study.faults.assumed:
        yield Paragraph(_("Assumed:"), bold=True)
        yield Points(job.study.faults.assumed)


# -- what is not here, and tables -----------------------------------------------------------------------------------
def _not_shown(job: Job, made: tuple[Calculation, ...], only: tuple[Section, ...]) -> Iterator[str]:
    """How many findings are open, which of them stand in no block, and which loads have none."""
    findings = job.result.findings
    beside = beside_blocks(job.result, made)
    if findings:
        dangers = sum(finding.word == "danger" for finding in findings)
        words = ngettext("{n} finding is open", "{n} findings are open", len(findings)).format(n=len(findings))
        words += ngettext(", {n} of them a danger.", ", {n} of them dangers.", dangers).format(n=dangers)
        if beside:
            names = "; ".join(_named(finding) for finding in beside)
            words += " " + _("In no block of these sheets: {names}. Their sentences stand below.").format(names=names)
        yield words
    if "cables" not in only:
        return
    told = {one.item for one in made if one.section == "cables"}
    names = [
        job.study.name(item)
        for item, record in job.snapshot.equipment.items()
        if record.use() is not None and item not in told
    ]
    if names:
        yield _(
            "No voltage drop is judged of {names}: started by themselves only, without a recorded draw, or without "
            "anything that feeds them."
        ).format(names=", ".join(sorted(names, key=natural)))


def _named(finding: Finding) -> str:
    """*danger, G3 and Q1: alternator cut off ...* in a few words."""
    shown = finding.designations[:_SHOWN_NAMES]
    names = ", ".join(dict.fromkeys(shown)) or _("the whole boat")
    if len(finding.designations) > len(shown):
        names = _("{names} and {n} more").format(names=names, n=len(finding.designations) - len(shown))
    return f"{names} ({_(finding.word)})"


def _gaps(made: tuple[Calculation, ...], only: tuple[Section, ...]) -> Iterator[str]:
    """What could not be judged, section by section, with the fields that would tell."""
    for section in only:
        lacking = [one for one in made if one.section == section and one.verdict == "not judged"]
        open_ones = [one for one in made if one.section == section and any(c.missing for c in one.checks)]
        fields = tuple(dict.fromkeys(field for one in open_ones for check in one.checks for field in check.missing))
        if not open_ones and not lacking:
            continue
        shown = ", ".join(fields[:_SHOWN])
        if len(fields) > _SHOWN:
            shown += _(" and {n} more").format(n=len(fields) - _SHOWN)
        words = ngettext(
            "{section}: {n} circuit is not judged in full. Missing: {fields}.",
            "{section}: {n} circuits are not judged in full. Missing: {fields}.",
            len({one.item for one in (*open_ones, *lacking)}),
        )
        yield words.format(
            section=_(SECTION_TITLES[section]),
            n=len({one.item for one in (*open_ones, *lacking)}),
            fields=shown or _("what the blocks tell"),
        )


def _tables(
    job: Job, made: tuple[Calculation, ...], of_loads: tuple[Stage, ...], only: tuple[Section, ...]
) -> tuple[Table, ...]:
    tables = []
    for n, stage in enumerate(of_loads):
        tables += [load_table(job.study, stage, n), source_table(stage, n)]
    tables += [check_table(section, made) for section in only]
    return (*tables, clause_table(job.study.book, made))
