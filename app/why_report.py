"""Why each rule says something of a thing or nothing: text for a terminal, data for a machine."""

from __future__ import annotations

import textwrap
from collections.abc import Iterable, Sequence
from typing import Any

from app.text_report import WORD_NAMES
from engine.findings import Figure, Passed
from engine.installation.model import Snapshot
from engine.report import passed_json
from engine.unit_table import UNITS
from engine.units import number, show, spelled
from engine.why import VERDICTS, Said
from engine.words import N_, _, inward

__all__ = ["HEADINGS", "as_json", "as_text", "figures_text", "margin_text", "said_text"]

HEADINGS = {
    "found": N_("Found"),
    "waived": N_("Waived"),
    "not judged": N_("Not judged"),
    "passed": N_("Passed, nearest to its limit first"),
    "not applicable": N_("Not applicable"),
}


def as_text(file: str, snapshot: Snapshot, told: Iterable[tuple[str, Sequence[Said]]], width: int = 100) -> str:
    """Thing by thing, grouped by verdict: pairs of (id, what is said of it)."""
    return "\n\n".join(_thing(file, snapshot, item, said, width) for item, said in told)


def _thing(file: str, snapshot: Snapshot, item: str, every: Sequence[Said], width: int) -> str:
    parts = [f"{file}: {name_of(snapshot, item)}"]
    for verdict in VERDICTS:
        some = [said for said in every if said.verdict == verdict]
        if some:
            parts.append("\n".join((f"{_(HEADINGS[verdict])}:", *(_line(said, snapshot, width) for said in some))))
    return "\n\n".join(parts)


def name_of(snapshot: Snapshot, item: str) -> str:
    """*F1 (main fuse)*, *W3 (run from F1 to E1)*: what tells apart several with one designation."""
    name = snapshot.name(item)
    if item in snapshot.runs:
        run = snapshot.runs[item]
        ends = (snapshot.name(run.from_end.equipment), snapshot.name(run.to_end.equipment))
        return _("{name} (run from {start} to {end})").format(name=name, start=ends[0], end=ends[1])
    if item in snapshot.equipment:
        record = snapshot.equipment[item]
        return f"{name} ({record.label or inward(_(record.NAME))})"
    return name


def _line(said: Said, snapshot: Snapshot, width: int) -> str:
    if said.verdict == "passed":
        head = f"  {margin_text(said):>6}  {said.rule}: "
        later = " " * 10
    elif said.word is not None:
        head, later = f"  {_(WORD_NAMES[said.word])}  {said.rule}: ", " " * 4
    else:
        head, later = f"  {said.rule}: ", " " * 4
    text = said_text(said, snapshot)
    return textwrap.fill(text, width, initial_indent=head, subsequent_indent=later, break_on_hyphens=False)


def said_text(said: Said, snapshot: Snapshot) -> str:
    """What is said, with figures, missing fields and the condition."""
    parts = [figures_text(said.passed, snapshot.settings.units)] if said.passed is not None else []
    parts.append(said.text)
    if said.missing:
        parts.append(_("Missing: {fields}.").format(fields=", ".join(said.missing)))
    if said.condition:
        parts.append(f"({said.condition})")
    return " ".join(part for part in parts if part)


def margin_text(said: Said) -> str:
    """*14 %*, *0.3 %*; a dash where no figures are compared."""
    if said.margin is None:
        return "–"
    percent = 100 * said.margin
    return spelled(f"{percent:.1f} %") if 0 < percent < 0.95 else f"{percent:.0f} %"


def figures_text(passed: Passed, units: str) -> str:
    """*feed 30 A, at most 90 A (allowed): 10 AWG 105 °C, 60 A*; nothing where no figures are compared."""
    if passed.found is None or passed.limit is None:
        return ""
    bound = _("{found}, at least {limit} ({name})") if passed.at_least else _("{found}, at most {limit} ({name})")
    text = bound.format(
        found=f"{_named(passed.found)} {_figure(passed.found, units)}",
        limit=_figure(passed.limit, units),
        name=_named(passed.limit),
    )
    return f"{text}: {passed.arithmetic}." if passed.arithmetic else f"{text}."


def _named(figure: Figure) -> str:
    return figure.name.replace("_", " ")


def _figure(figure: Figure, units: str) -> str:
    if figure.value is None:
        return _("without limit")
    if figure.unit in UNITS:
        return show(figure.value, figure.unit, units, digits=4)
    return f"{number(figure.value, 4)} {figure.unit}".rstrip()


def as_json(snapshot: Snapshot, told: Iterable[tuple[str, Sequence[Said]]]) -> list[dict[str, Any]]:
    """The same as data; words are for ever."""
    return [
        {"designation": snapshot.name(item), "id": item, "says": [_said_json(said) for said in every]}
        for item, every in told
    ]


def _said_json(said: Said) -> dict[str, Any]:
    made: dict[str, Any] = {"rule": said.rule, "verdict": said.verdict, "text": said.text}
    if said.word is not None:
        made["word" if said.verdict in ("found", "waived") else "would_be"] = said.word
    if said.missing:
        made["missing"] = list(said.missing)
    if said.condition:
        made["condition"] = said.condition
    if said.passed is not None:
        passed = passed_json(said.passed)
        made |= {key: passed[key] for key in ("found", "limit", "unit", "margin", "at_least", "arithmetic")}
    return made
