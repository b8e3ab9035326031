"""What the notes of a drawing say: findings, what was not judged, waivers, the basis of the judgement.

A note belongs to the first sheet that shows what it speaks of. Findings carry the number that stands in a circle at
that place; numbers run through the whole set.
"""

from __future__ import annotations

import itertools
import re
from collections.abc import Callable, Collection, Iterable, Sequence
from typing import TYPE_CHECKING, Literal, NamedTuple, TypeVar

from app.drawing.placed import Scene
from app.text_report import WORD_NAMES, standing
from engine.findings import Finding, NotJudged
from engine.judged_by import head
from engine.picture import Ink, wrap_text
from engine.tracing.told import finding_rests, resting_lines
from engine.words import _

if TYPE_CHECKING:
    from engine.check import CheckResult

__all__ = [
    "HEADING_GAP",
    "TALL",
    "Note",
    "NoteLine",
    "Numbered",
    "basis",
    "collect",
    "height",
    "numbered",
    "plain",
    "told_elsewhere",
    "waived_dangers",
    "wrapped",
]

T = TypeVar("T", Finding, NotJudged)
TALL = 2.5  # height of a capital, mm
PITCH = 3.9  # base line to base line
HEADING_GAP = 2.6  # between notes


class NoteLine(NamedTuple):
    """A paragraph of a note before it is broken into lines."""

    text: str
    bold: bool = False
    ink: Ink = "black"


class Note(NamedTuple):
    """A note: its paragraphs, the number in its circle (0: none) or, below zero, in its square, what it points at."""

    lines: tuple[NoteLine, ...]
    number: int = 0
    at: tuple[str, ...] = ()  # ids, the one to point at first
    kind: Literal["finding", "deficiency", "heading", "text"] = "text"
    every: bool = False  # whether a flag stands at each of them, on whatever sheet
    link: str = ""  # anchor that it leads to: where the whole of it is told
    flagged: bool = True  # whether its number stands on the sheet
    settled: bool = False  # a deficiency that is closed


def plain(text: str, *, bold: bool = False) -> Note:
    """A note of one paragraph."""
    return Note((NoteLine(text, bold),), kind="heading" if bold else "text")


def wrapped(note: Note, width: float) -> list[NoteLine]:
    """The lines of a note in a column of so many mm."""
    return [line._replace(text=text) for line in note.lines for text in wrap_text(line.text, width, TALL, line.bold)]


def height(note: Note, width: float) -> float:
    """Room a note takes in a column of so many mm, without the gap to the next."""
    return len(wrapped(note, width)) * PITCH


class Numbered(NamedTuple):
    """An open finding with its number in the set and the sheet whose margin tells it, "" where there is none."""

    number: int
    sheet: str
    finding: Finding


def numbered(scene: Scene, result: CheckResult) -> list[Numbered]:
    """Every open finding in the order of the numbers: sheet by sheet, what is drawn on no sheet on the first."""
    every = [item for item, _sheet in scene.sheets]
    findings = _by_sheet(result.findings, _home(scene), every or [""])
    told = [(sheet, finding) for sheet, some in findings.items() for finding in some]
    return [Numbered(n, sheet, finding) for n, (sheet, finding) in enumerate(told, 1)]


def collect(scene: Scene, result: CheckResult | None) -> dict[str, list[Note]]:
    """Notes by sheet, in the order they are printed. What is drawn on no sheet stands on the first.

    Deficiencies first; without a `result` there are no others.
    """
    from app.drawing.squares.notes import heading_before, square_notes  # which is made of what stands here

    every = [item for item, _sheet in scene.sheets]
    told = _told(scene, result, every) if result is not None else {item: [] for item in every}
    squares = square_notes(scene.snapshot, every, _home(scene))
    return {item: heading_before(squares[item], told[item]) for item in every}


def _told(scene: Scene, result: CheckResult, every: list[str]) -> dict[str, list[Note]]:
    notes: dict[str, list[Note]] = {item: [] for item in every}
    if not every:
        return notes
    home = _home(scene)
    for number, sheet, finding in numbered(scene, result):
        notes[sheet].append(_finding(finding, number, finding_rests(result, finding.key)))
    gaps = _by_sheet(result.not_judged, home, every)
    for sheet in every:
        if gaps[sheet]:
            notes[sheet].append(plain(_("Not judged"), bold=True))
            notes[sheet].extend(_gaps(gaps[sheet]))
    waived = _by_sheet(result.waived, home, every)
    for sheet in every:
        if waived[sheet]:
            notes[sheet].append(plain(_("Waived"), bold=True))
            notes[sheet].extend(_waived(finding, result) for finding in waived[sheet])
    return notes


def _home(scene: Scene) -> Callable[[Sequence[str]], str]:
    """Which sheet tells of things: the first that shows one of them, else the first of all."""
    shown = _shown(scene)
    first = scene.sheets[0][0] if scene.sheets else ""

    def home(ids: Sequence[str]) -> str:
        return next((shown[i] for i in ids if i in shown), first)

    return home


def told_elsewhere(
    notes: dict[str, list[Note]], sheet: str, here: Collection[str], numbers: dict[str, int]
) -> list[Note]:
    """What is flagged on a sheet and told on another: where it is told. `here`: what the sheet shows."""
    made: list[Note] = []
    for other, some in notes.items():
        for note in some:
            if other != sheet and note.every and any(i in here for i in note.at):
                text = _("{what}: sheet {n}").format(what=note.lines[0].text, n=numbers[other])
                made.append(note._replace(lines=(NoteLine(text, True, "red"),), link=f"note:{note.number}"))
    return made


def _shown(scene: Scene) -> dict[str, str]:
    """Equipment and runs, with the first sheet that shows them."""
    shown: dict[str, str] = {}
    for item, _sheet in scene.sheets:
        for piece in scene.on(item):
            shown.setdefault(piece.equipment, item)
        for part in scene.parts_on(item):
            shown.setdefault(part.run, item)
    return shown


def _by_sheet(remarks: Iterable[T], home: Callable[[Sequence[str]], str], every: list[str]) -> dict[str, list[T]]:
    made: dict[str, list[T]] = {item: [] for item in every}
    for remark in remarks:
        made[home(remark.ids)].append(remark)
    return made


def _finding(finding: Finding, number: int, rests: str) -> Note:
    first, rest = _sentences(finding.message)
    lines = [
        NoteLine(f"{_(WORD_NAMES[finding.word])} {finding.rule}", True, "red"),
        NoteLine(first, True),
    ]
    if rest:
        lines.append(NoteLine(rest))
    if finding.undecided:
        lines.append(NoteLine(_("Not decided: it counts as found.")))
    if finding.condition:
        lines.append(NoteLine(_("When: {condition}").format(condition=finding.condition)))
    if finding.arithmetic:
        lines.append(NoteLine(finding.arithmetic))
    if finding.fixes:
        lines.append(NoteLine(_("To put right: {fixes}").format(fixes="; ".join(finding.fixes))))
    lines.append(NoteLine(standing(finding.clause, finding.confirmed, finding.law_here)))
    if rests:
        lines.append(NoteLine(rests))
    if finding.waiver_note:
        lines.append(NoteLine(_("Its waiver does not hold: {why}").format(why=finding.waiver_note)))
    alike = len(set(finding.designations)) < len(finding.designations)  # their names do not tell one from the other
    return Note(tuple(lines), number, finding.ids, "finding", alike)


def _sentences(message: str) -> tuple[str, str]:
    """The first sentence, and the rest. A point inside a number or name ends none."""
    found = re.search(r"[.!?](?=\s+[^\s\d])", message)
    if found is None:
        return message, ""
    return message[: found.end()], message[found.end() :].strip()


def _gaps(gaps: list[NotJudged]) -> list[Note]:
    """What one rule could not judge for one reason, in one paragraph."""
    made: list[Note] = []
    alike = itertools.groupby(
        sorted(gaps, key=lambda g: (g.rule, g.would_be, g.why)), key=lambda g: (g.rule, g.would_be, g.why)
    )
    for (rule, would_be, why), group in alike:
        some = list(group)
        names = list(dict.fromkeys(n for g in some for n in g.designations))
        missing = list(dict.fromkeys(n for g in some for n in g.missing))
        text = _("{rule} (would be {word})").format(rule=rule, word=_(WORD_NAMES[would_be]))
        if names:
            text = _("{what} at {names}").format(what=text, names=", ".join(names))
        told = [
            part for part in (why.rstrip("."), _("missing {m}").format(m=", ".join(missing)) if missing else "") if part
        ]
        text = f"{text}: {'; '.join(told)}." if told else f"{text}."
        made.append(Note((NoteLine(text),), at=tuple(i for g in some for i in g.ids)))
    return made


def _waived(finding: Finding, result: CheckResult) -> Note:
    first, _rest = _sentences(finding.message)
    waiver = result.waivers.get(finding.waived)
    parts: list[str] = []
    if waiver is not None:
        parts = [
            waiver.reason,
            _("by {who}").format(who=waiver.who) if waiver.who else "",
            waiver.date,
            _(waiver.intent),
            _("to be looked at again by {date}").format(date=waiver.review) if waiver.review else "",
            waiver.clause,
        ]
    lines = [NoteLine(f"{_(WORD_NAMES[finding.word])} {finding.rule}", True), NoteLine(first)]
    told = ", ".join(part for part in parts if part)
    if told:
        lines.append(NoteLine(told))
    return Note(tuple(lines), at=finding.ids)


def waived_dangers(result: CheckResult) -> list[Note]:
    """The dangers that somebody answers for, in one note: it stands on the first sheet whatever else there is."""
    lines = [NoteLine(_("Waived dangers"), True, "red")]
    for finding in result.waived:
        waiver = result.waivers.get(finding.waived)
        if finding.word != "danger" or waiver is None:
            continue
        told = _("{rule} on {items}: {intent} by {who}, to be looked at again by {review}.")
        lines.append(
            NoteLine(
                told.format(
                    rule=finding.rule,
                    items=", ".join(finding.designations),
                    intent=_(waiver.intent),
                    who=waiver.who,
                    review=waiver.review,
                )
            )
        )
    return [Note(tuple(lines))] if len(lines) > 1 else []


def basis(result: CheckResult) -> list[Note]:
    """By which book, whom it binds, which rules did not run, for which it has no clause, what was taken for granted."""
    lines = [NoteLine(_("Basis"), True), NoteLine(" ".join(head(result)))]
    lines += [NoteLine(fault.told()) for fault in result.disabled]
    if result.faulted:
        lines.append(
            NoteLine(
                _("Stopped by a fault of the program, not judged: {rules}.").format(rules=", ".join(result.faulted))
            )
        )
    if result.no_clause:
        lines.append(
            NoteLine(_("No clause in this book, good practice: {rules}.").format(rules=", ".join(result.no_clause)))
        )
    if result.assumptions:
        lines.append(NoteLine(_("Assumptions taken: {assumptions}.").format(assumptions="; ".join(result.assumptions))))
    lines += [NoteLine(text) for text in resting_lines(result)]
    return [Note(tuple(lines))]
