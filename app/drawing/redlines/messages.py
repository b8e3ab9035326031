"""What the window and the process that compares say to each other: length-prefixed msgpack, no Qt."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any, TypeAlias

import msgspec

from app.drawing.frame import Frame
from app.drawing.redlines.entries import Entry
from app.drawing.redlines.sheets import Redlined
from app.frames import framed
from app.judgement import Layer
from app.worker_messages import Laid
from app.worker_pictures import laid, layer_of
from engine.picture import Box, Primitive

__all__ = [
    "Answer",
    "Compared",
    "Done",
    "Failed",
    "Follow",
    "Marked",
    "More",
    "OlderSheet",
    "Open",
    "Request",
    "answer_of",
    "boxes_of",
    "compared_in_lots",
    "framed",
    "marked_of",
    "packed",
    "request_of",
    "strokes_of",
]

LOT = 400  # differences, or matches, in one message


# -- requests ---------------------------------------------------------------------------------------------------------
class Open(msgspec.Struct, frozen=True, tag="open"):
    """Compare the drawing in the file `older` with a whole one (`engine.files.edit_form.plain_snapshot`)."""

    at: int
    older: str
    match: str  # of `engine.comparing.Match`
    sheet: str  # that is looked at: its marks come first
    newer: dict[str, Any]


class Follow(msgspec.Struct, frozen=True, tag="follow"):
    """Compare anew after edits (`plain_edit`), or matched otherwise."""

    at: int
    match: str
    sheet: str
    edit: dict[str, Any] | None = None


Request: TypeAlias = Open | Follow


# -- answers ----------------------------------------------------------------------------------------------------------
class OlderSheet(msgspec.Struct, frozen=True):
    """A sheet of the older drawing, and the one of the newer over which it lies, "" for none."""

    item: str
    number: int
    title: str
    width: float
    height: float
    over: str = ""


class Compared(msgspec.Struct, frozen=True, tag="compared"):
    """What differs. `matches`: what was taken for what in words, with the id in the newer drawing."""

    at: int
    matched: str
    words: str
    entries: tuple[Entry, ...]
    matches: tuple[tuple[str, str], ...]
    older: tuple[OlderSheet, ...]
    sheets: int  # whose marks follow
    where: dict[int, str]  # number of a difference -> where it stands, in words; not for what stands on no sheet
    more: int = 0  # messages of `More` that follow
    name: str = ""  # what the older drawing says of itself
    notices: tuple[str, ...] = ()
    only_drawn: bool = False


class More(msgspec.Struct, frozen=True, tag="more"):
    """More of what differs: what `Compared` had no room for."""

    at: int
    entries: tuple[Entry, ...]
    matches: tuple[tuple[str, str], ...]
    where: dict[int, str]
    more: int  # messages that follow


class Marked(msgspec.Struct, frozen=True, tag="marked"):
    """Marks of a sheet, `over` and `under` what is drawn; of the older drawing with what is drawn.

    `strokes` stay packed until somebody looks at the sheet: of a large drawing most never are. `same`: they are those
    sent before.
    """

    at: int
    side: str
    sheet: str
    strokes: bytes
    boxes: dict[int, tuple[float, float, float, float]]
    same: bool = False


class Failed(msgspec.Struct, frozen=True, tag="failed"):
    """It could not be compared: why, one sentence."""

    at: int
    words: str


class Done(msgspec.Struct, frozen=True, tag="done"):
    """All is told."""

    at: int


Answer: TypeAlias = Compared | More | Marked | Failed | Done

_requests = msgspec.msgpack.Decoder(Request)
_answers = msgspec.msgpack.Decoder(Answer)
_layers = msgspec.msgpack.Decoder(Laid)


def packed(message: Request | Answer) -> bytes:
    """A message as a frame."""
    return framed(msgspec.msgpack.encode(message))


def request_of(body: bytes) -> Request:
    """Raises `ValueError` (`msgspec.ValidationError`) for what is none."""
    return _requests.decode(body)


def answer_of(body: bytes) -> Answer:
    """Raises `ValueError` (`msgspec.ValidationError`) for what is none."""
    return _answers.decode(body)


# -- marks ------------------------------------------------------------------------------------------------------------
def marked_of(at: int, made: Redlined, frame: Frame | None = None) -> Marked:
    """The marks of a sheet as a message; with a `frame`, that and all that is drawn too."""
    drawn = () if frame is None else (*frame.primitives, *made.body.primitives)
    layer = laid(Layer(0, made.sheet, "", made.side, {"under": made.under, "drawn": drawn, "over": made.over}))
    boxes = {number: tuple(box) for number, box in made.boxes.items()}
    return Marked(at, made.side, made.sheet, msgspec.msgpack.encode(layer), boxes)  # type: ignore[arg-type]  # of four


def strokes_of(packed_strokes: bytes) -> dict[str, tuple[Primitive, ...]]:
    """The primitives of a sheet by level: `under`, `drawn`, `over`. Raises `ValueError` for what is none."""
    return layer_of(_layers.decode(packed_strokes)).of


def boxes_of(message: Marked) -> dict[int, Box]:
    """Where each numbered difference stands."""
    return {number: Box(*box) for number, box in message.boxes.items()}


def compared_in_lots(whole: Compared) -> Iterator[Compared | More]:
    """What differs, in messages none of which keeps the window from its next frame."""
    count = max(len(whole.entries), len(whole.matches), 1)
    lots = range(0, count, LOT)
    for n in lots:
        entries, matches = whole.entries[n : n + LOT], whole.matches[n : n + LOT]
        where = {each.number: whole.where[each.number] for each in entries if each.number in whole.where}
        more = len(lots) - 1 - n // LOT
        if n:
            yield More(whole.at, entries, matches, where, more)
        else:
            yield msgspec.structs.replace(whole, entries=entries, matches=matches, where=where, more=more)
