"""When a waiver hides a finding: rule and designations, who, until when, and which figures.

A waiver names a rule and the designations it speaks of. It holds while its review date has not passed and every figure
written down with it is still the figure found, to the digits written down. A waived *danger* needs a named person and a
review date as well.
"""

from __future__ import annotations

import datetime
import re
from decimal import Decimal

from engine.findings import Figure, Finding
from engine.installation.records import Waiver
from engine.words import _

__all__ = ["figure_text", "matches", "why_not"]

FIGURE = re.compile(r"(?P<name>[^=]+)=(?P<value>[-+]?[0-9.]+(?:e[-+]?[0-9]+)?|without limit)(?: (?P<unit>.+))?")
NO_LIMIT = "without limit"


def figure_text(figure: Figure) -> str:
    """A figure as a waiver writes it down: `name=value unit`."""
    value = NO_LIMIT if figure.value is None else f"{figure.value:.6g}"
    return f"{figure.name}={value} {figure.unit}".rstrip()


def matches(waiver: Waiver, finding: Finding) -> bool:
    """Whether a waiver speaks of a finding: same rule, same set of designations."""
    return waiver.rule == finding.rule and set(waiver.designations) == set(finding.designations)


def why_not(waiver: Waiver, finding: Finding, today: datetime.date) -> str:
    """Why a waiver that names this finding does not hold, `""` when it does."""
    if finding.word == "danger":
        if not waiver.who.strip():
            return _("the waiver of a danger names nobody who decided")
        if not waiver.review.strip():
            return _("the waiver of a danger has no review date")
    if waiver.review.strip():
        try:
            review = datetime.date.fromisoformat(waiver.review.strip())
        except ValueError:
            return _("its review date {date!r} is not a date like 2026-03-31").format(date=waiver.review)
        if review < today:
            return _("its review date {date} has passed").format(date=review.isoformat())
    found = {figure.name: figure for figure in finding.figures}
    for text in waiver.figures:
        read = FIGURE.fullmatch(text.strip())
        if read is None:
            return _("the figure {text!r} written down with it is not of the form name=value unit").format(text=text)
        figure = found.get(read["name"].strip())
        if figure is None:
            return _("the finding no longer has the figure {name}").format(name=read["name"].strip())
        if not _same(read["value"], read["unit"] or "", figure):
            return _("{then} was waived, {now} is found").format(then=text.strip(), now=figure_text(figure))
    return ""


def _same(value: str, unit: str, figure: Figure) -> bool:
    """Equal to the last digit written down."""
    if unit.strip() != figure.unit:
        return False
    if value == NO_LIMIT or figure.value is None:
        return value == NO_LIMIT and figure.value is None
    try:
        written = Decimal(value)
    except ArithmeticError:
        return False
    exponent = written.as_tuple().exponent
    half = 0.5 * 10.0**exponent if isinstance(exponent, int) else 0.0
    return abs(figure.value - float(written)) <= half * (1 + 1e-9)
