"""Tables and figures in a terminal: columns as wide as they need, those of words wrapped where the room ends."""

from __future__ import annotations

import math
import re
import textwrap
from collections.abc import Iterable, Iterator, Sequence

from app.terminal import unbroken
from engine.installation.model import Snapshot
from engine.units import number, show
from engine.words import _

__all__ = [
    "amount",
    "assumptions",
    "gaps",
    "headed",
    "hours",
    "names",
    "section",
    "signs",
    "table",
    "titled",
    "wrapped",
]

NOTHING = {
    "A": 1e-6,
    "W": 5e-4,
    "V": 5e-4,
    "%": 5e-4,
    "Wh": 0.0,
    "Ah": 0.0,
    "h": 0.0,
}  # below this it is what arithmetic leaves over
NARROWEST = 10  # columns of words
TIGHT = "\u00a0"  # between a figure and its unit: never broken
_UNIT = re.compile(r"(?<=\d) (?=(?:[kMmµ]?(?:A|V|W|Wh|Ah|Ω|VA)|%|h|AWG|mm²)(?![\w]))")


def amount(value: float | None, unit: str, at_least: bool = False) -> str:
    """A figure of three digits with its unit; ≥ for a least one, a dash for what is not known."""
    if value is None:
        return "–"
    sign = "≥ " if at_least else ""
    if not math.isfinite(value):
        return _("no limit")
    if abs(value) <= NOTHING.get(unit, 0.0):
        return "–" if at_least else f"0 {unit}"
    if unit in ("V", "W") and abs(value) < 1:
        return f"{sign}{number(round(value, 3), 8)} {unit}"
    if unit in ("%", "Wh", "Ah", "h"):
        return f"{sign}{number(round(value, 1 if abs(value) >= 10 else 2), 8)} {unit}"
    return sign + show(float(f"{value:.3g}"), unit)


def hours(value: float | None, bound: str = "") -> str:
    """Hours, days beyond three of them; *without end* where there is none."""
    if value is None:
        return "–"
    if math.isinf(value):
        return _("without end")
    text = amount(value, "h")
    if value >= 72:
        text += _(" ({days} days)").format(days=number(round(value / 24, 1), 6))
    return bound + text


def names(snapshot: Snapshot, item: str) -> str:
    """What equipment is called besides its designation: its label, else nothing."""
    record = snapshot.equipment.get(item)
    return record.label if record is not None else ""


def titled(file: str, snapshot: Snapshot, told: str, width: int) -> str:
    """The head of a report: file, vessel, what is told."""
    return "\n".join((headed(file, snapshot), wrapped(told, width)))


def headed(file: str, snapshot: Snapshot) -> str:
    """The first line of a report: file and vessel."""
    vessel = snapshot.vessel.name
    return unbroken(f"{file} ({vessel})" if vessel else file)


def section(title: str) -> str:
    """A heading."""
    title = unbroken(title)
    return f"{title}\n{'-' * len(title)}"


def signs(width: int) -> str:
    """What the signs in the tables mean."""
    return wrapped(_("– is not known; ≥ is a least value, because something that adds to it is not recorded."), width)


def gaps(fields: Iterable[str], width: int) -> list[str]:
    """A paragraph of fields not recorded, if there are any."""
    every = sorted(set(fields), key=_natural)
    return [wrapped(_("Not recorded: {fields}.").format(fields=", ".join(every)), width)] if every else []


def assumptions(taken: Iterable[str], width: int) -> list[str]:
    """A paragraph of what was taken as so, if anything was."""
    every = "; ".join(dict.fromkeys(taken))
    return [wrapped(_("Assumptions taken: {list}.").format(list=every), width)] if every else []


def _natural(text: str) -> list[tuple[int, str]]:
    return [(int(part), "") if part.isdigit() else (0, part) for part in re.split(r"(\d+)", text)]


def wrapped(text: str, width: int, indent: str = "", later: str | None = None) -> str:
    """A paragraph; a figure keeps its unit beside it."""
    made = textwrap.fill(
        _UNIT.sub(TIGHT, text),
        width,
        initial_indent=indent,
        subsequent_indent=indent if later is None else later,
        break_on_hyphens=False,
    )
    return made.replace(TIGHT, " ")


def table(heads: Sequence[str], rows: Sequence[Sequence[str]], width: int, form: str) -> str:
    """Rows under heads. `form`: a letter a column: "r" figures, "l" short words, "w" words that may be wrapped.

    Columns that are empty all the way down are left out; without any head there is no line of heads.
    """
    rows = [[unbroken(cell) for cell in row] for row in rows]
    keep = [c for c in range(len(heads)) if any(row[c] for row in rows)]
    if not keep:
        return ""
    sizes = {c: max(len(heads[c]), *(len(row[c]) for row in rows)) for c in keep}
    words = [c for c in keep if form[c] == "w"]
    over = sum(sizes.values()) + 2 * (len(keep) - 1) - width
    while over > 0 and any(sizes[c] > NARROWEST for c in words):
        widest = max(words, key=lambda c: sizes[c])
        sizes[widest] -= 1
        over -= 1
    lines: list[str] = []
    for row in (heads, *rows) if any(heads[c] for c in keep) else rows:
        lines += _row(row, keep, sizes, form)
    return "\n".join(lines)


def _row(row: Sequence[str], keep: list[int], sizes: dict[int, int], form: str) -> Iterator[str]:
    cells = {
        c: wrapped(row[c], sizes[c]).split("\n") if form[c] == "w" and len(row[c]) > sizes[c] else [row[c]]
        for c in keep
    }
    for n in range(max(len(cell) for cell in cells.values())):
        parts = []
        for c in keep:
            text = cells[c][n] if n < len(cells[c]) else ""
            parts.append(text.rjust(sizes[c]) if form[c] == "r" else text.ljust(sizes[c]))
        yield "  ".join(parts).rstrip()
