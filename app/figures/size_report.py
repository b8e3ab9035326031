"""Sizes as text: a line each, or the whole reasoning."""

from __future__ import annotations

from app.figures.lines import amount, assumptions, gaps, section, table, titled, wrapped
from app.text_report import cautions
from engine.sizing.results import Answer
from engine.study import Study
from engine.words import _

__all__ = ["needed", "size_report", "verdict"]


def verdict(answer: Answer) -> str:
    """Whether what is fitted will do, in a word or two."""
    if answer.suffices is None:
        return _("not known")
    if answer.suffices:
        return _("will do")
    # a protective device may be too large as well
    return _("does not suit") if not answer.needs or answer.what == "protective device" else _("too small")


def needed(answer: Answer) -> str:
    """What it needs, or why no such thing is named."""
    if answer.needs:
        return answer.needs
    return _("nothing fits: {why}").format(why=answer.device_why) if answer.device_why else _("cannot be told")


def size_report(file: str, study: Study, answers: tuple[Answer, ...], width: int, whole: bool) -> str:
    """The whole report; with `whole` every reason of every answer."""
    told = _("The least that the rules of {title} ask for, and what decides.").format(title=_(study.book.title))
    parts = [titled(file, study.snapshot, told, width)]
    if not answers:
        parts.append(_("There is nothing here that a size could be worked out for."))
    elif whole:
        for answer in answers:
            parts += _whole(answer, width)
    else:
        rows = [
            (
                answer.designation,
                _(answer.what),
                answer.has or "–",
                answer.needs or "–",
                verdict(answer),
                "" if answer.device_a is None else amount(answer.device_a, "A"),
                _decided(answer),
            )
            for answer in answers
        ]
        heads = (_("item"), _("what"), _("has"), _("needs"), "", _("device"), _("decided by"))
        parts.append(table(heads, rows, width, "lwlwwrw"))
        parts.append(
            wrapped(
                _(
                    "– is not known, or nothing suits: `linewright size FILE DESIGNATION` tells the whole of it. A "
                    "conductor marked not known may have to be larger."
                ),
                width,
            )
        )
    parts.append(cautions(width))
    return "\n\n".join(part for part in parts if part)


def _decided(answer: Answer) -> str:
    parts = [_(answer.decided_by)] if answer.decided_by else []
    if answer.missing and answer.suffices is None:
        parts.append(_("not recorded: {fields}").format(fields=", ".join(answer.missing)))
    return "; ".join(parts)


def _whole(answer: Answer, width: int) -> list[str]:
    rows = [
        (_("has"), answer.has or _("not recorded")),
        (_("needs"), needed(answer)),
        (_("so it"), verdict(answer)),
        (_("decided by"), _(answer.decided_by)),
        (_("condition"), answer.condition),
        (
            _("device"),
            "" if answer.device_a is None else f"{amount(answer.device_a, 'A')}: {answer.device_why}".strip(),
        ),
    ]
    shown = [row for row in rows if row[1]]
    parts = [section(f"{answer.designation}: {_(answer.what)}"), table(("", ""), shown, width, "lw")]
    lines = []
    for reason in answer.reasons:
        lines.append(wrapped(f"{_(reason.name)}: {reason.needs or '–'}", width, "", "  "))
        if reason.arithmetic:
            lines.append(wrapped(reason.arithmetic, width, "  "))
        if reason.missing:
            lines.append(wrapped(_("not recorded: {fields}").format(fields=", ".join(reason.missing)), width, "  "))
        if reason.clause:
            lines.append(wrapped(_(reason.clause), width, "  "))
    parts.append("\n".join(lines))
    parts += gaps(answer.missing, width)
    parts += assumptions(answer.assumed, width)
    return parts
