"""What is written beside equipment, runs and cross references, and how much room it takes. In mm."""

from __future__ import annotations

import re
from typing import Literal, NamedTuple

from engine.equipment.base import Equipment
from engine.installation import Run, Snapshot
from engine.picture import Box, Ink, Text, text_width, wrap_text
from engine.units import show, show_size
from engine.words import N_, _

__all__ = [
    "BODY",
    "HEAD",
    "WIDTHS",
    "Align",
    "Line",
    "Words",
    "conductors",
    "device_text",
    "device_words",
    "on_one_line",
    "reference_words",
    "run_words",
    "title_of",
]

HEAD, BODY = 3.5, 2.5  # heights of a capital: designations of equipment, everything else
_PITCH = 1.6  # base line to base line, in heights of a capital
_UP, _DOWN = 1.05, 0.35  # what `text_box` counts above and below the base line
WIDEST = 28.0  # a line beside a symbol is broken where it would be wider
WIDTHS = (WIDEST, 45.0, 20.0, 75.0)  # where that finds no room: other widths

_TAIL = 1.0  # between a line's bold beginning and the rest of it

Align = Literal["start", "middle", "end"]


class Line(NamedTuple):
    """One line of type; `tail` follows on it, not bold and in body height."""

    text: str
    height: float = BODY
    bold: bool = False
    tail: str = ""

    @property
    def width(self) -> float:
        """In mm."""
        head = text_width(self.text, self.height, self.bold)
        return head + (_TAIL + text_width(self.tail, BODY) if self.tail else 0.0)

    def plain(self) -> str:
        """All of it as one text."""
        return f"{self.text} {self.tail}" if self.tail else self.text


class Words(NamedTuple):
    """Lines that stand together."""

    lines: tuple[Line, ...] = ()

    @property
    def width(self) -> float:
        """Width of the widest line."""
        return max((line.width for line in self.lines), default=0.0)

    @property
    def height(self) -> float:
        """From above the first capital to below the last descender."""
        if not self.lines:
            return 0.0
        between = sum(line.height * _PITCH for line in self.lines[1:])
        return self.lines[0].height * _UP + between + self.lines[-1].height * _DOWN

    def box(self, left: float, top: float) -> Box:
        """The box with its upper left corner there."""
        return Box(left, top, left + self.width, top + self.height)

    def texts(
        self, box: Box, align: Align = "start", ink: Ink = "black", owner: str = "", link: str = ""
    ) -> list[Text]:
        """The lines set into `box`."""
        made: list[Text] = []
        y = box.top
        for n, line in enumerate(self.lines):
            y += line.height * (_PITCH if n else _UP)
            spare = box.right - box.left - line.width
            x = box.left + {"start": 0.0, "middle": spare / 2, "end": spare}[align]
            made.append(Text(x, y, line.text, line.height, "start", line.bold, ink, owner=owner, link=link))
            if line.tail:
                x += text_width(line.text, line.height, line.bold) + _TAIL
                made.append(Text(x, y, line.tail, BODY, "start", ink=ink, owner=owner, link=link))
        return made

    def upright(self, box: Box, ink: Ink = "black", owner: str = "", link: str = "") -> list[Text]:
        """The lines set into `box` reading upward, the first at the left."""
        made: list[Text] = []
        x = box.left
        for n, line in enumerate(self.lines):
            x += line.height * (_PITCH if n else _UP)
            y = box.bottom
            made.append(Text(x, y, line.text, line.height, "start", line.bold, ink, 90, owner, link))
            if line.tail:
                y -= text_width(line.text, line.height, line.bold) + _TAIL
                made.append(Text(x, y, line.tail, BODY, "start", False, ink, 90, owner, link))
        return made


def _wrapped(text: str, widest: float = WIDEST) -> list[Line]:
    """Lines beside a symbol; a number and its unit stay together."""
    joined = re.sub(r"(?<=\d) (?=[^\d\W]{1,3}\b)", "\u00a0", text)
    joined = re.sub(r"(?<=[^\W\d]) (?=\d+ / )|(?<=\d) (?=/)|(?<=/) (?=\w)", "\u00a0", joined)
    joined = re.sub(r" (?=[^\w\s]+(?: |$)|\w$)", "\u00a0", joined)  # a sign, a last letter: on no line of its own
    return [Line(part.replace("\u00a0", " ")) for part in wrap_text(joined, widest, BODY)]


def title_of(record: Equipment) -> str:
    """How a piece is called where only one word fits: designation, else label, else what it is."""
    return record.designation or record.label or _(record.NAME)


_MARKED = {"to remove": N_("to remove"), "by others": N_("by others"), "spare": N_("spare")}


def device_words(
    snapshot: Snapshot, item: str, *, repeated: bool = False, also: str = "", widest: float = WIDEST
) -> Words:
    """Designation, label, ratings, drawn position, status; of a repeated symbol only its name.

    `also` says where its other symbols stand; lines are broken where they would be wider than `widest`, in mm.
    """
    lines = [Line(title_of(snapshot.equipment[item]), HEAD, True)]
    lines.extend(line for text in _body(snapshot, item, repeated, also) for line in _wrapped(text, widest))
    return Words(tuple(lines))


def device_text(snapshot: Snapshot, item: str, *, repeated: bool = False, also: str = "") -> str:
    """The same as one text."""
    name, body = title_of(snapshot.equipment[item]), _body(snapshot, item, repeated, also)
    return _("{name}: {text}").format(name=name, text="; ".join(body)) if body else name


def _body(snapshot: Snapshot, item: str, repeated: bool, also: str) -> list[str]:
    """What stands under the name of a piece."""
    record = snapshot.equipment[item]
    body: list[str] = []
    if record.designation and record.label:
        body.append(record.label)
    if not repeated:
        body.extend(_ratings(record))
        if record.quantity > 1:
            body.append(_("{n} pieces").format(n=record.quantity))
        if record.status in _MARKED:
            body.append(_(_MARKED[record.status]))
        if record.old_marking and record.old_marking != record.designation:
            body.append(_("formerly {marking}").format(marking=record.old_marking))
    if also:
        body.append(also)
    return body


def _ratings(record: Equipment) -> list[str]:
    """The kind's own short lines, the position the drawing shows added to the first."""
    lines = list(record.summary())
    position = record.drawn_position()
    worth_it = record.ROLE != "protection" or position != record.normal_position() or record.used_as_switch
    if position and worth_it:
        told = _("position {position}").format(position=position) if len(position) < 3 else _(position)
        if lines:
            lines[0] = _("{ratings}, {position}").format(ratings=lines[0], position=told)
        else:
            lines.append(told)
    return lines


def conductors(run: Run) -> str:
    """The conductors of an AC run as its oblique strokes are named: *L N PE*; of every other run ""."""
    if not run.is_ac():
        return ""
    names = run.conductors()
    return " ".join("L" if name == "L1" and "L2" not in names else name for name in names)


def run_words(snapshot: Snapshot, item: str, *, whole: bool = True) -> Words:
    """Designation, size and length, conductors of an AC run; not `whole`: the designation alone."""
    run = snapshot.runs[item]
    lines = [Line(run.designation, BODY, True)] if run.designation else []
    if whole:
        size = show_size(run.size) if run.size else ""
        if size and run.parallel > 1:
            size = f"{run.parallel} × {size}"
        length = "" if run.length_m is None else show(run.length_m, "m", snapshot.settings.units)
        measures = " ".join(part for part in (size, length) if part)
        texts = [measures] if measures else []
        if run.status in _MARKED:
            texts.append(_(_MARKED[run.status]))
        if run.old_marking and run.old_marking != run.designation:
            texts.append(_("formerly {marking}").format(marking=run.old_marking))
        lines.extend(line for text in texts for line in _wrapped(text))
        if conductors(run):
            lines.append(Line(conductors(run)))
    return Words(tuple(lines))


def reference_words(snapshot: Snapshot, item: str, sheet: int, zone: str, *, label: bool = True) -> Words:
    """What an arrow says of the far end: *Q10, sheet 2 / B3*; of a bus also its label."""
    record = snapshot.equipment[item]
    lines: list[Line] = []
    told = _("{name}, sheet {sheet} / {zone}") if zone else _("{name}, sheet {sheet}")
    where = told.format(name=title_of(record), sheet=sheet, zone=zone)
    if label and record.ROLE == "bus" and record.label and record.designation:
        lines.extend(_wrapped(record.label))
    lines.extend(_wrapped(where))
    return Words(tuple(lines))


def on_one_line(words: Words) -> Line:
    """A label on one line, its designation bold."""
    first, *rest = words.lines
    tail = " ".join([*([first.tail] if first.tail else []), *(line.plain() for line in rest)])
    return first._replace(tail=tail) if first.bold else Line(" ".join(line.plain() for line in words.lines))
