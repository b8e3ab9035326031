"""Sentences about what is under the pointer or selected. No Qt."""

from __future__ import annotations

from app.canvas.hands import hand_of
from app.canvas.tool import Hit
from app.drawing.figures import owner_of
from app.drawing.texts import device_text, on_one_line, run_words, title_of
from app.judgement import Judgement, Layer, LiveParts
from engine.deficiencies import grade_name
from engine.installation import Snapshot
from engine.picture import Text
from engine.words import _, inward, ngettext

__all__ = ["told", "told_item", "told_selection", "with_figure"]


def told_item(snapshot: Snapshot, item: str, live: LiveParts | None = None) -> str:
    """Equipment, a run or a remark with what its label says, and whether it is live; "" for anything else."""
    if item in snapshot.equipment:
        text = device_text(snapshot, item)
    elif item in snapshot.runs:
        text = _run(snapshot, item)
    elif item in snapshot.remarks:
        return _("Remark: {text}").format(text=" ".join(snapshot.remarks[item].text.split()))
    else:
        return ""
    if live is None:
        return text
    text = _with_sources(snapshot, item, text, live)
    hand = hand_of(snapshot.equipment[item]) if item in snapshot.equipment else None
    return _("{text}; {hand}").format(text=text, hand=hand.words) if hand is not None else text


def _with_sources(snapshot: Snapshot, item: str, text: str, live: LiveParts) -> str:
    """The same, whether it is live, and from what."""
    names = [snapshot.name(i) for i in live.sources.get(item, ()) if i in snapshot.equipment and i != item]
    told = ", ".join(names)
    if item in live.together:
        made = _("{text} (live from {sources}, which are not recorded as built to run together)")
        return made.format(text=text, sources=told)
    if item in live.live:
        made = _("{text} (live from {sources})") if told else _("{text} (live)")
        return made.format(text=text, sources=told)
    if item in live.doubtful:
        made = _("{text} (may be live from {sources}: what feeds it is not recorded)")
        return (made if told else _("{text} (may be live: what feeds it is not recorded)")).format(
            text=text, sources=told
        )
    return _("{text} (dead)").format(text=text)


def _run(snapshot: Snapshot, item: str) -> str:
    run = snapshot.runs[item]
    ends = []
    for end in (run.from_end, run.to_end):
        record = snapshot.equipment[end.equipment]
        ends.append(
            title_of(record)
            if len(record.terminals()) < 2
            else _("{name}, terminal {terminal}").format(name=title_of(record), terminal=end.terminal)
        )
    words = run_words(snapshot, item)
    name = on_one_line(words).plain() if words.lines else _("A run without a designation")
    return _("{run}: from {start} to {end}").format(run=name, start=ends[0], end=ends[1])


def told(snapshot: Snapshot, hit: Hit, judgement: Judgement | None, live: LiveParts | None = None) -> str:
    """What is under the pointer, "" for nothing."""
    if hit.kind in ("note", "flag"):
        return _deficiency(-hit.number, snapshot) if hit.number < 0 else _finding(hit.number, judgement)
    text = told_item(snapshot, hit.item, live)
    if hit.kind == "terminal" and text:
        record = snapshot.equipment[hit.item]
        if len(record.terminals()) > 1:
            return _("Terminal {terminal} of {text}").format(terminal=hit.terminal, text=text)
    return text


def with_figure(text: str, item: str, layer: Layer | None) -> str:
    """The same, and the figure that stands over the sheet at it."""
    written = layer.of.get(owner_of(item), ()) if layer is not None and item else ()
    lines = [p.text for p in written if isinstance(p, Text)]
    return _("{text}; {figure}").format(text=text, figure=" ".join(lines)) if text and lines else text


def _deficiency(number: int, snapshot: Snapshot) -> str:
    for deficiency in snapshot.deficiencies.values():
        if deficiency.number == number:
            told = _("Deficiency {n}, {grade}: {seen} ({standing})")
            return told.format(
                n=number,
                grade=inward(grade_name(deficiency.grade)),
                seen=" ".join(deficiency.observation.split()),
                standing=_(deficiency.status),
            )
    return ""


def _finding(number: int, judgement: Judgement | None) -> str:
    if judgement is None:
        return ""
    for finding in judgement.result.findings:
        if judgement.numbers.get(finding.key) == number:
            return finding.message
    return ""


def told_selection(snapshot: Snapshot, items: tuple[str, ...]) -> str:
    """What is selected, in words for a screen reader: the first thing, and how many more."""
    rest = iter(items)
    first = next((text for item in rest if (text := told_item(snapshot, item))), "")
    if not first:
        return _("Nothing is selected.")
    told = (snapshot.equipment, snapshot.runs, snapshot.remarks)
    others = sum(any(item in table for table in told) for item in rest)
    if not others:
        return _("Selected: {text}").format(text=first)
    more = ngettext("and {n} more", "and {n} more", others).format(n=others)
    return _("Selected: {text} {more}").format(text=first, more=more)
