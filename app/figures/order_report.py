"""An order of switching in a terminal; the words for its steps, which the card uses too."""

from __future__ import annotations

from app.figures.lines import assumptions, gaps, titled, wrapped
from engine.circuit.switching.results import Order, Step
from engine.installation.model import Snapshot
from engine.words import _

__all__ = ["called", "condition_name", "deed", "order_report", "what", "where"]


def condition_name(snapshot: Snapshot, condition: str) -> str:
    """The name of a condition, *as drawn* for none."""
    record = snapshot.conditions.get(condition)
    return record.name if record is not None else _("as drawn")


def called(snapshot: Snapshot, item: str) -> str:
    """What is written at it aboard; else its designation."""
    record = snapshot.equipment[item]
    return record.marking.strip() or snapshot.name(item)


def what(snapshot: Snapshot, item: str) -> str:
    """Designation and label, as far as they say more than the marking."""
    record = snapshot.equipment[item]
    marking = record.marking.strip()
    parts = [snapshot.name(item)] if marking else []
    label = record.label or _(record.NAME)
    if label.casefold() != marking.casefold():
        parts.append(label)
    return ", ".join(parts)


def where(snapshot: Snapshot, item: str) -> str:
    """Panel and place aboard, `""` where neither is recorded."""
    record = snapshot.equipment[item]
    enclosure, place = snapshot.enclosures.get(record.enclosure), record.place
    parts = []
    if enclosure is not None:
        parts.append(enclosure.name)
        place = place or enclosure.place
    if place in snapshot.places:
        parts.append(snapshot.places[place].name)
    return ", ".join(parts)


def deed(snapshot: Snapshot, step: Step) -> str:
    """What is done, in a few words: *open*, *to 1*, *start*, *plug in*."""
    record = snapshot.equipment[step.item]
    if step.kind == "switch":
        if step.after in ("open", "closed"):
            return _("open") if step.after == "open" else _("close")
        return _("to {position}").format(position=step.after)
    if record.ashore() is not None:
        return _("plug in") if step.kind == "start" else _("unplug")
    if step.after in ("on", "off"):
        return _("switch on") if step.after == "on" else _("switch off")
    return _("start") if step.kind == "start" else _("stop")


def order_report(file: str, snapshot: Snapshot, order: Order, width: int) -> str:
    """The whole report."""
    names = {"start": condition_name(snapshot, order.start), "stop": condition_name(snapshot, order.stop)}
    parts = [titled(file, snapshot, _("From “{start}” to “{stop}”.").format(**names), width)]
    if not order.found:
        parts.append(wrapped(order.reason, width))
        if order.undecided:
            parts.append(wrapped(_("--budget N lets the search go on longer."), width))
    elif not order.steps:
        parts.append(wrapped(_("Nothing is to be done: everything stands as it should already."), width))
    else:
        parts.append(_steps(snapshot, order, width))
        parts.append(wrapped(_("Each step only when the one before has been seen to be done."), width))
    if order.kept and order.found:
        parts.append(wrapped(_("Fed all the time: {loads}.").format(loads=_names(snapshot, order.kept)), width))
    if order.dark:
        text = _("Essential loads without supply for part of it: {loads}.")
        parts.append(wrapped(text.format(loads=_names(snapshot, order.dark)), width))
    parts += gaps(order.missing, width)
    parts += assumptions(order.taken, width)
    return "\n\n".join(parts)


def _names(snapshot: Snapshot, items: tuple[str, ...]) -> str:
    return ", ".join(
        f"{snapshot.name(item)} ({record.label})" if (record := snapshot.equipment[item]).label else snapshot.name(item)
        for item in items
    )


def _steps(snapshot: Snapshot, order: Order, width: int) -> str:
    lines = []
    size = len(str(len(order.steps)))
    indent = " " * (size + 2)
    for number, step in enumerate(order.steps, 1):
        about = "; ".join(text for text in (what(snapshot, step.item), where(snapshot, step.item)) if text)
        head = f"{number:>{size}}. {called(snapshot, step.item)}: {deed(snapshot, step)}"
        lines.append(wrapped(f"{head}  ({about})" if about else head, width, later=indent))
        if step.why:
            lines.append(wrapped(step.why, width, indent))
        if step.see:
            lines.append(wrapped(_("see: {what}").format(what="; ".join(step.see)), width, indent))
    return "\n".join(lines)
