"""What a calculation says, in words and figures short enough for one line of a sheet."""

from __future__ import annotations

import re

from engine.calculations.results import Check, Input, Mark, Section, Verdict, figure
from engine.unit_table import UNITS
from engine.units import spelled
from engine.words import N_, _

__all__ = [
    "LETTERS",
    "SECTION_TITLES",
    "SIGNS",
    "VERDICT_WORDS",
    "clause_of",
    "given",
    "lacking",
    "percent",
    "relation",
    "titled",
    "told",
]

_LONG = 90  # characters of a name in a title

SECTION_TITLES: dict[Section, str] = {
    "load-analysis": N_("1  Load analysis"),
    "short-circuit": N_("2  Short circuit"),
    "devices": N_("3  Protective devices: ratings and breaking capacities"),
    "cables": N_("4  Cables and voltage drop"),
}
VERDICT_WORDS: dict[Verdict, str] = {
    "fails": N_("fails"),
    "not judged": N_("not judged"),
    "waived": N_("waived"),
    "in order": N_("in order"),
    "not compared": N_("worked out"),
}
# in tables, where a sign is a character
SIGNS: dict[Verdict, str] = {"fails": "×", "not judged": "?", "waived": "•", "in order": "+", "not compared": "="}
LETTERS: dict[Mark, str] = {
    "measured": "m",
    "nameplate": "p",
    "typed": "t",
    "recorded": "r",
    "assumed": "a",
    "worked out": "w",
    "not known": "?",
}
_BRACKETS = re.compile(r"\s+\([^()]*\)")  # a remark in brackets; the (c) and (1) of a clause have no space before


def titled(name: str) -> str:
    """A name for a title: on one line, its beginning where it is longer than a title may be."""
    flat = " ".join(name.split())
    return flat if len(flat) <= _LONG else flat[: _LONG - 1] + "…"


def percent(margin: float | None) -> str:
    """*+12 %*, *-3.1 %*; `""` where nothing is compared. Beyond ten times the limit no figure."""
    if margin is None:
        return ""
    if margin > 9.995:
        return "> 999 %"
    value = 100 * margin
    text = f"{value:.0f}" if abs(value) >= 9.95 else f"{value:.1f}"
    if value == 0:
        return "0 %"
    if float(text) == 0:  # next to nothing is left, or it is just passed: the sign must be seen
        text = f"{value:.2f}" if abs(value) >= 0.005 else "0.01" if value > 0 else "-0.01"
    return f"{'+' if value > 0 else '−'}{spelled(text.lstrip('-'))} %"


def given(inputs: tuple[Input, ...]) -> str:
    """Everything put in, one after the other, each with the letter of where it comes from."""
    parts = []
    for one in inputs:
        words = one.name if one.symbol == "" else f"{one.symbol} {one.name}".strip()
        value = one.text or _("not known")
        joined = f"{one.symbol} = {value}" if one.symbol else f"{one.name} {value}".strip()
        if one.symbol and one.name:
            joined = f"{joined} {one.name}" if one.text else f"{words} {value}"
        if one.symbol or len(joined) < 24:
            joined = joined.replace(" ", "\u00a0")  # a short one is not parted
        parts.append(f"{joined}\u00a0[{LETTERS[one.mark]}]")
    return "; ".join(parts)


def relation(check: Check) -> str:
    """*80 A ≤ 280.5 A*; what was found alone where nothing limits it; `""` where nothing was found."""
    if check.found is None:
        return ""
    sign = UNITS[check.unit].sign if check.unit in UNITS else check.unit
    found = f"{figure(check.found)} {sign}".strip()
    if check.limit is None:
        return "" if check.formulas else found
    limit = f"{figure(check.limit)} {sign}".strip()
    # just at a limit, both read alike: the verdict decides the sign
    is_good = check.verdict == "in order"
    signs = ("≥", "<") if check.at_least else ("≤", ">")
    beside = f"{check.beside}: " if check.beside else ""
    return f"{beside}{found} {signs[0] if is_good else signs[1]} {limit}"


def clause_of(check: Check) -> str:
    """The clause without its remarks, an asterisk where its own text was not read; the list in front has it whole."""
    if not check.rule:
        return ""
    if not check.clause:
        return _("good practice")
    text = check.clause
    if text.startswith(("common practice", _("common practice"))):
        return _("common practice")
    short = _BRACKETS.sub("", _(text)).strip() or _(text)
    return short if check.confirmed else f"{short}*"


def told(check: Check) -> str:
    """Formulas, what was compared, in which condition, by which clause; what is missing."""
    parts = [formula.text for formula in check.formulas]
    compared = relation(check)
    if compared:
        parts.append(compared)
    if check.condition:
        if check.condition == _("in every switch position"):  # says "in" itself
            parts.append(check.condition)
        elif parts:
            parts[-1] += _(" in {condition}").format(condition=check.condition)
        else:
            parts.append(_("In {condition}").format(condition=check.condition))
    parts += [note.rstrip(".") for note in _notes(check)]
    text = "; ".join(parts)
    clause = clause_of(check)
    if clause:
        text += f" [{clause}]"
    if check.missing:
        text += _("; missing: {fields}").format(fields=lacking(check))
    return text


def lacking(check: Check) -> str:
    """The fields that would tell; of a question left open for many things not all of theirs."""
    fields = ", ".join(check.missing)
    return _("{fields} and {n} more").format(fields=fields, n=check.more_missing) if check.more_missing else fields


def _notes(check: Check) -> tuple[str, ...]:
    """What the figures do not say already."""
    if check.verdict in ("fails", "waived") and check.margin is not None:
        return check.notes[1:]  # the sentence of the finding, whose figures stand beside it
    return check.notes
