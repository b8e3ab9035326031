"""What the margin says of deficiencies: class in bold, what was seen, the risk, what to do, on what that rests."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from app.drawing.notes import Note, NoteLine
from engine.deficiencies import (
    grade_name,
    grade_words,
    in_order,
    is_open,
    standing_words,
    status_words,
    told_at,
)
from engine.installation import Deficiency, Snapshot
from engine.words import _, ngettext

__all__ = ["heading_before", "square_notes", "targets"]


def square_notes(
    snapshot: Snapshot, sheets: Sequence[str], home: Callable[[Sequence[str]], str]
) -> dict[str, list[Note]]:
    """Notes by sheet, class A first; what is on no sheet, on the first. `home`: the sheet that tells of ids."""
    made: dict[str, list[Note]] = {sheet: [] for sheet in sheets}
    for item, deficiency in in_order(snapshot):
        if sheets:
            made[_sheet(snapshot, deficiency, sheets, home)].append(_note(snapshot, item, deficiency))
    return made


def heading_before(squares: list[Note], findings: list[Note]) -> list[Note]:
    """Both in their order, each under its heading; the findings alone have none."""
    if not squares:
        return findings
    head = Note((NoteLine(_("Deficiencies"), True),), kind="heading")
    other = Note((NoteLine(_("Findings"), True),), kind="heading")
    numbered = bool(findings) and findings[0].kind == "finding"
    return [head, *squares, *([other] if numbered else []), *findings]


def targets(snapshot: Snapshot, deficiency: Deficiency) -> tuple[str, ...]:
    """Ids of what its flag may stand at, the first that a sheet shows."""
    at = deficiency.at
    if at in snapshot.enclosures:
        return tuple(i for i, record in snapshot.equipment.items() if record.enclosure == at)
    return (at,) if at in snapshot.equipment or at in snapshot.runs else ()


def _sheet(
    snapshot: Snapshot, deficiency: Deficiency, sheets: Sequence[str], home: Callable[[Sequence[str]], str]
) -> str:
    if deficiency.at in sheets:
        return deficiency.at
    aimed = targets(snapshot, deficiency)
    if not aimed and deficiency.sheet in sheets:
        return deficiency.sheet
    return home(aimed)


def _is_somewhere(deficiency: Deficiency) -> bool:
    """Whether it speaks of more than the sheet it stands on."""
    return bool(deficiency.at or deficiency.place)


def _note(snapshot: Snapshot, item: str, deficiency: Deficiency) -> Note:
    survey = snapshot.surveys.get(deficiency.survey)
    done = not is_open(deficiency)
    ink = "grey" if done else "red"
    grade = grade_name(deficiency.grade)
    meaning = grade_words(survey, deficiency.grade)
    head = _("{grade}, {meaning}").format(grade=grade, meaning=meaning) if meaning else grade
    at = told_at(snapshot, deficiency) if deficiency.at not in snapshot.sheets and _is_somewhere(deficiency) else ""
    lines = [NoteLine(head, True, ink)]  # type: ignore[arg-type]  # one of two inks
    seen = " ".join(deficiency.observation.split())
    lines.append(NoteLine(_("{at}: {seen}").format(at=at, seen=seen) if at else seen, True))
    for text, words in (
        (deficiency.risk, _("Risk: {text}")),
        (deficiency.recommendation, _("To do: {text}")),
    ):
        if text.strip():
            lines.append(NoteLine(words.format(text=" ".join(text.split()))))
    if deficiency.arithmetic:
        lines.append(NoteLine(deficiency.arithmetic))
    if deficiency.basis or deficiency.clause or deficiency.standard:
        lines.append(NoteLine(standing_words(deficiency, snapshot.vessel)))
    last = []
    if deficiency.status != "open":
        told = status_words(deficiency)
        last.append(f"{told[:1].upper()}{told[1:].rstrip('.')}.")
    if deficiency.due and not done:
        last.append(_("By {day}.").format(day=deficiency.due))
    shots = len(deficiency.photographs) + len(deficiency.evidence_photographs)
    if shots:
        last.append(ngettext("{n} photograph.", "{n} photographs.", shots).format(n=shots))
    if last:
        lines.append(NoteLine(" ".join(last)))
    here = (*targets(snapshot, deficiency), item)
    return Note(tuple(lines), -(deficiency.number or 0), here, "deficiency", settled=done)
