"""By which book a drawing was judged: whom it binds, what is law here, which edition the drawing records; in sentences.

A drawing records the book and edition it was last judged by (`settings.book_edition`, `recorded_as`) when somebody asks
for it and never by itself; where what it records is not what it is judged by now, every report says so at its head.
"""

from __future__ import annotations

from engine.check import CheckResult
from engine.words import _, ngettext

__all__ = ["edition_note", "head", "no_clause_note", "recorded_as", "standing_of_book"]


def recorded_as(result: CheckResult) -> str:
    """What a drawing records of the book it was judged by: *trade-na 1*."""
    return f"{result.book} {result.edition}"


def edition_note(result: CheckResult) -> str:
    """One sentence where the drawing records another book or edition than the one it is judged by now, else nothing."""
    if result.recorded in ("", result.edition, recorded_as(result)):
        return ""
    return _("The drawing records that it was last judged by {recorded}; now it is judged by {now}.").format(
        recorded=result.recorded, now=recorded_as(result)
    )


def standing_of_book(result: CheckResult) -> str:
    """Whom the book binds, and whether it is law for this boat."""
    law = {
        True: _("It is law for this boat."),
        False: _("It is not law for this boat; its clauses are good practice here."),
        None: _("The vessel record does not say enough to tell whether it is law for this boat."),
    }[result.law]
    return _("It binds {binds}. {law}").format(binds=_(result.binds), law=law)


def no_clause_note(result: CheckResult) -> str:
    """The rules the book has no clause for; nothing where it has one for every rule."""
    if not result.no_clause:
        return ""
    return _(
        "This book has no clause for these rules, and is silent about what they find or pass; they are good practice: "
        "{rules}."
    ).format(rules=", ".join(result.no_clause))


def head(result: CheckResult) -> list[str]:
    """By which book and edition, whom it binds, what a yard changed in it, what the drawing records."""
    lines = [
        _("Judged by {title}, edition {edition} ({book}).").format(
            title=_(result.title), edition=result.edition, book=result.book
        ),
        edition_note(result),
        standing_of_book(result),
    ]
    if result.changed:
        lines.append(
            ngettext(
                "{n} value is the yard's own, good practice and no law: {keys}.",
                "{n} values are the yard's own, good practice and no law: {keys}.",
                len(result.changed),
            ).format(n=len(result.changed), keys=", ".join(result.changed))
        )
    return [line for line in lines if line]
