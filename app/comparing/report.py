"""What differs between two drawings: as text for a terminal, as JSON for machines."""

from __future__ import annotations

import textwrap
from collections.abc import Sequence
from typing import Any

import msgspec

from app.figures.lines import section, wrapped
from app.terminal import unbroken
from app.text_report import cautions
from engine.comparing import Differences, FieldChange, Line, Pair, Section, told
from engine.comparing.likeness import LEAST
from engine.installation.model import LONE, Snapshot
from engine.naming import title_of
from engine.record import to_builtins
from engine.units import number
from engine.words import N_, _, ngettext

__all__ = ["as_json", "as_text"]

_TOLD = ("equipment", "runs", "places", "enclosures", "conditions", "interlocks", "sheets")  # pairs worth reading
_HOW = {"removed": N_("removed"), "added": N_("added"), "changed": N_("changed")}


# -- text -------------------------------------------------------------------------------------------------------------
def as_text(
    files: tuple[str, str],
    before: Snapshot,
    after: Snapshot,
    made: Differences,
    *,
    pairs: bool = False,
    width: int = 100,
) -> str:
    """What was removed, added and changed, sort by sort. `pairs`: also what was taken for what, and why."""
    head = [
        _("Older drawing: {name}").format(name=_described(files[0], before)),
        _("Newer drawing: {name}").format(name=_described(files[1], after)),
        _how_matched(made),
    ]
    sections = told(before, after, made)
    if not sections:
        head.append(_("Nothing differs between the two."))
    elif made.only_drawn:
        head.append(_("What is aboard is the same in both; they are only drawn differently."))
    parts = ["\n".join(wrapped(text, width) for text in head)]
    parts += [_section(each, width) for each in sections]
    shown = [pair for pair in made.pairs if pair.table in _TOLD]
    if pairs and shown:
        parts.append(_pairs(_("What was taken for what"), before, after, shown, width))
    elif shown := [pair for pair in shown if pair.unsure]:
        parts.append(_pairs(_("Taken for the same, but not surely"), before, after, shown, width))
    parts.append(cautions(width))
    return "\n\n".join(parts)


def _described(file: str, snapshot: Snapshot) -> str:
    block = snapshot.title_block
    more = [snapshot.vessel.name]
    if block.revision:
        more.append(_("revision {index}").format(index=block.revision))
    more = [each for each in more if each]
    return unbroken(f"{file} ({', '.join(more)})" if more else file)


def _how_matched(made: Differences) -> str:
    if made.matched == "ids":
        return _("Both come from one drawing: things are matched by their ids.")
    unsure = sum(pair.unsure for pair in made.pairs)
    text = ngettext(
        "The two were made apart: {n} thing is matched by likeness.",
        "The two were made apart: {n} things are matched by likeness.",
        len(made.pairs),
    ).format(n=len(made.pairs))
    if unsure:
        text += " " + ngettext("{n} of them is not sure.", "{n} of them are not sure.", unsure).format(n=unsure)
    return text


def _section(each: Section, width: int) -> str:
    lines: list[str] = []
    for line in each.lines:
        lines += _line(line, width)
    return "\n".join((section(each.title), *lines))


def _line(line: Line, width: int) -> list[str]:
    if not line.item:
        return [wrapped(line.name, width)]
    made = [wrapped(f"{_(_HOW[line.how])}: {line.name}", width)]
    below = [*line.fields, *([f"({line.because})"] if line.because else [])]
    return [*made, *(textwrap.indent(wrapped(text, width - 2), "  ") for text in below)]


def _pairs(title: str, before: Snapshot, after: Snapshot, pairs: Sequence[Pair], width: int) -> str:
    lines = [
        wrapped(
            _("{before} is {after} ({score} of 1{doubt}): {why}").format(
                before=title_of(before, pair.table, pair.before),
                after=title_of(after, pair.table, pair.after),
                score=number(pair.score, 2),
                doubt=_(", not sure") if pair.unsure else "",
                why="; ".join(pair.why) or _("nothing else is as like"),
            ),
            width,
        )
        for pair in pairs
    ]
    return "\n".join((section(title), *lines))


# -- JSON -------------------------------------------------------------------------------------------------------------
def as_json(files: tuple[str, str], before: Snapshot, after: Snapshot, made: Differences) -> dict[str, Any]:
    """Everything, values as the file holds them; names of tables and fields are those of the file."""
    return {
        "before": files[0],
        "after": files[1],
        "same": not made,
        "only_drawn": made.only_drawn,
        "matched": made.matched,
        "least_likeness": LEAST if made.matched == "likeness" else None,
        "added": [_whole(after, t, i) for t, i in made.added],
        "removed": [_whole(before, t, i) for t, i in made.removed],
        "changed": [_change(before, after, change) for change in made.changed],
        "pairs": [
            {
                "table": pair.table,
                "before": pair.before,
                "after": pair.after,
                "score": pair.score,
                "sure": not pair.unsure,
                "why": list(pair.why),
            }
            for pair in made.pairs
        ],
    }


def _whole(snapshot: Snapshot, table: str, item: str) -> dict[str, Any]:
    record: Any = snapshot.tables[table][item]
    held = {"kind": record.KIND} if getattr(record, "KIND", "") else {}
    return {"table": table, "id": item, "name": title_of(snapshot, table, item), "record": held | to_builtins(record)}


def _change(before: Snapshot, after: Snapshot, change: FieldChange) -> dict[str, Any]:
    out: dict[str, Any] = {"table": change.table, "field": change.field}
    if change.table not in LONE:
        out |= {"id": change.item, "name": title_of(after, change.table, change.item)}
        if change.was != change.item:
            out["was"] = change.was
    return out | {"before": _plain(change.before), "after": _plain(change.after)}


def _plain(value: Any) -> Any:
    if isinstance(value, msgspec.Struct):
        return to_builtins(value)
    if isinstance(value, tuple):
        return [_plain(each) for each in value]
    return value
