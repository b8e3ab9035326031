"""What to ask about, what is told of an answer, and the edit that fits it, as plain values. No Qt."""

from __future__ import annotations

import html

from app.figures.size_report import needed, verdict
from engine.conductor_sizes import show_size
from engine.edits import SetFields
from engine.findings import Finding
from engine.installation.model import Snapshot
from engine.sizing.results import Answer
from engine.units import show
from engine.words import _

__all__ = ["MOST", "asked", "fitting", "label", "sizable", "told"]

MOST = 12  # things sized at once: more are not read
# rules whose findings another size puts right
SIZED = frozenset(
    {
        "bank-too-small",
        "bus-overloaded",
        "dips-on-start",
        "drop-too-high",
        "overloaded",
        "rating-above-ampacity",
        "rating-below-load",
        "slow-to-clear",
        "switch-overloaded",
    }
)


def asked(snapshot: Snapshot, chosen: tuple[str, ...]) -> tuple[str, ...]:
    """What to size: runs and equipment among what is chosen; beside a run alone the devices at its ends."""
    items = [item for item in chosen if item in snapshot.runs or item in snapshot.equipment][:MOST]
    if len(items) == 1 and items[0] in snapshot.runs:
        run = snapshot.runs[items[0]]
        for end in (run.from_end.equipment, run.to_end.equipment):
            record = snapshot.equipment.get(end)
            if record is not None and record.trip() is not None:
                items.append(end)
    return tuple(dict.fromkeys(items))


def sizable(finding: Finding | None, snapshot: Snapshot) -> str:
    """The run, else the equipment, whose size would put a finding right; "" where a size is not what is wrong."""
    if finding is None or finding.rule not in SIZED:
        return ""
    runs = [item for item in finding.ids if item in snapshot.runs]
    return next((item for item in (*runs, *finding.ids) if item in snapshot.runs or item in snapshot.equipment), "")


def fitting(answer: Answer, snapshot: Snapshot) -> SetFields | None:
    """The edit that fits what is needed; `None` where nothing is to be changed or it cannot be told."""
    table = "runs" if answer.item in snapshot.runs else "equipment"
    record = snapshot.tables[table].get(answer.item)
    if record is None:
        return None
    values = tuple((name, value) for name, value in answer.fields if getattr(record, name, value) != value)
    if not values:
        return None
    return SetFields(table, answer.item, values, f"{snapshot.name(answer.item)}: {label(answer)}")


def label(answer: Answer) -> str:
    """What stands on the button: *Fit 4 AWG*."""
    values = dict(answer.fields)
    size = values.get("size")
    if isinstance(size, str):
        return _("Fit {size}").format(size=show_size(size))
    return _("Fit {size}").format(size=answer.needs)


def told(answer: Answer) -> str:
    """An answer as rich text. Every word of the drawing is escaped."""
    parts = [f"<p><b>{html.escape(f'{answer.designation}: {_(answer.what)}')}</b></p>"]
    parts.append(_named(_("Has"), answer.has or _("not recorded")))
    needs = needed(answer)
    if answer.decided_by:
        needs = _("{size}, decided by {reason}").format(size=needs, reason=_(answer.decided_by))
    parts.append(_named(_("Needs"), f"{needs} ({verdict(answer)})"))
    if answer.condition:
        parts.append(_named(_("When"), answer.condition))
    if answer.device_a is not None:
        parts.append(_named(_("Device"), f"{show(answer.device_a, 'A')}: {answer.device_why}".rstrip(": ")))
    points = []
    for reason in answer.reasons:
        point = f"<b>{html.escape(_(reason.name))}: {html.escape(reason.needs or '–')}</b>"
        if reason.arithmetic:
            point += f"<br>{html.escape(reason.arithmetic)}"
        if reason.missing:
            fields = _("not recorded: {fields}").format(fields=", ".join(reason.missing))
            point += f"<br>{html.escape(fields)}"
        if reason.clause:
            point += f"<br><i>{html.escape(_(reason.clause))}</i>"
        points.append(f"<li>{point}</li>")
    if points:
        parts.append(f"<ul>{''.join(points)}</ul>")
    if answer.missing:
        parts.append(_named(_("Not recorded"), ", ".join(answer.missing)))
    if answer.assumed:
        parts.append(_named(_("Assumptions taken"), "; ".join(answer.assumed)))
    return "".join(parts)


def _named(name: str, text: str) -> str:
    return f"<p><b>{html.escape(name)}:</b> {html.escape(text)}</p>"
