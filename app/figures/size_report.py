"""Sizes as text: a line each, or the whole reasoning."""

from __future__ import annotations

from app.figures.lines import amount, section, table, wrapped
from app.text_report import cautions
from engine.sizing.results import Answer
from engine.study import Study
from engine.words import _

__all__ = ["size_report", "verdict"]


def verdict(answer: Answer) -> str:
    """Whether what is fitted will do, in a word or two."""
    if answer.suffices is None:
        return _("not known")
    return _("will do") if answer.suffices else _("too small")


def size_report(file: str, study: Study, answers: tuple[Answer, ...], width: int, whole: bool) -> str:
    """The whole report; with `whole` every reason of every answer."""
    vessel = study.snapshot.vessel.name
    parts = [f"{file} ({vessel})" if vessel else file]
    if not answers:
        parts.append(_("There is nothing here that a size could be worked out for."))
    elif whole:
        for answer in answers:
            parts += _whole(answer, width)
    else:
        rows = [
            (
                answer.designation,
                answer.what,
                answer.has or "–",
                answer.needs or "–",
                verdict(answer),
                "" if answer.device_a is None else amount(answer.device_a, "A"),
                answer.decided_by or ", ".join(answer.missing),
            )
            for answer in answers
        ]
        heads = (_("item"), _("what"), _("has"), _("needs"), "", _("device"), _("decided by, or not recorded"))
        parts.append(table(heads, rows, width, "lllllrl"))
    parts.append(cautions(width))
    return "\n\n".join(parts)


def _whole(answer: Answer, width: int) -> list[str]:
    rows = [
        (_("has"), answer.has or _("not recorded")),
        (_("needs"), answer.needs or _("cannot be told")),
        (_("so it"), verdict(answer)),
        (_("decided by"), answer.decided_by),
        (_("condition"), answer.condition),
        (_("device"), "" if answer.device_a is None else f"{amount(answer.device_a, 'A')} {answer.device_why}".strip()),
    ]
    shown = [row for row in rows if row[1]]
    parts = [section(f"{answer.designation}: {answer.what}"), table(("", ""), shown, width).lstrip("\n")]
    if answer.reasons:
        reasons = [(r.name, r.needs or "–", r.arithmetic or ", ".join(r.missing), r.clause) for r in answer.reasons]
        lines = []
        for name, needs, arithmetic, clause in reasons:
            lines.append(f"{name}: {needs}")
            for text in (arithmetic, clause):
                if text:
                    lines.append(wrapped(text, width, "  "))
        parts.append("\n".join(lines))
    if answer.missing:
        parts.append(wrapped(_("Not recorded: {fields}.").format(fields=", ".join(answer.missing)), width))
    if answer.assumed:
        parts.append(wrapped(_("Assumptions taken: {list}.").format(list="; ".join(answer.assumed)), width))
    return parts
