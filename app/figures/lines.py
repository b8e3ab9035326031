"""Tables and figures in a terminal: columns as wide as they need, the last one wrapped."""

from __future__ import annotations

import math
import textwrap
from collections.abc import Sequence

from engine.units import number, show
from engine.words import _

__all__ = ["amount", "hours", "section", "table", "wrapped"]

Cell = str


def amount(value: float | None, unit: str, at_least: bool = False) -> str:
    """A figure of three digits with its unit; ≥ for a least one, a dash for what is not known."""
    if value is None:
        return "–"
    sign = "≥ " if at_least else ""
    if not math.isfinite(value):
        return _("no limit")
    if unit in ("V", "W") and abs(value) < 1:
        return f"{sign}{number(round(value, 3), 8)} {unit}"
    if unit in ("%", "Wh", "h"):
        return f"{sign}{number(round(value, 1 if abs(value) >= 10 else 2), 8)} {unit}"
    return sign + show(float(f"{value:.3g}"), unit)


def hours(value: float | None, bound: str = "") -> str:
    """Hours, days beyond three of them; *never* or *for ever* where there is no end."""
    if value is None:
        return "–"
    if math.isinf(value):
        return _("without end")
    text = amount(value, "h")
    if value >= 72:
        text += _(" ({days} days)").format(days=number(round(value / 24, 1), 6))
    return bound + text


def section(title: str) -> str:
    """A heading."""
    return f"{title}\n{'-' * len(title)}"


def wrapped(text: str, width: int, indent: str = "") -> str:
    """A paragraph."""
    return textwrap.fill(
        text, width, initial_indent=indent, subsequent_indent=indent, break_long_words=False, break_on_hyphens=False
    )


def table(heads: Sequence[str], rows: Sequence[Sequence[Cell]], width: int, right: str = "") -> str:
    """Rows under heads; `right` has an "r" for every column of figures. What is empty all the way down is left out."""
    keep = [c for c in range(len(heads)) if any(row[c] for row in rows)]
    sizes = [max(len(heads[c]), *(len(row[c]) for row in rows)) for c in keep]
    last = width - sum(sizes[:-1]) - 2 * (len(keep) - 1)
    if last >= 12:
        sizes[-1] = min(sizes[-1], last)
    lines = []
    for row in (heads, *rows):
        cells = [row[c] for c in keep]
        parts = textwrap.wrap(cells[-1], max(sizes[-1], 12), break_on_hyphens=False) or [""]
        if len(right) > keep[-1] and right[keep[-1]] == "r":
            parts = [part.rjust(sizes[-1]) for part in parts]
        start = "".join(
            (cell.rjust(size) if len(right) > c and right[c] == "r" else cell.ljust(size)) + "  "
            for cell, size, c in zip(cells[:-1], sizes, keep, strict=False)
        )
        lines.append((start + parts[0]).rstrip())
        lines += [(" " * len(start) + part).rstrip() for part in parts[1:]]
    return "\n".join(lines)
