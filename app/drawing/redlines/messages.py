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
    "OlderSheet",
    "Open",
    "Request",
    "answer_of",
    "boxes_of",
    "framed",
    "marked_of",
    "packed",
    "request_of",
    "strokes_of",
]

STROKES = 400  # primitives in one message


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
    name: str = ""  # what the older drawing says of itself
    notices: tuple[str, ...] = ()
    only_drawn: bool = False


class Marked(msgspec.Struct, frozen=True, tag="marked"):
    """Marks of a sheet, `over` and `under` what is drawn; of the older drawing with what is drawn. Comes in parts."""

    at: int
    side: str
    sheet: str
    layer: Laid
    boxes: dict[int, tuple[float, float, float, float]]
    first: bool
    more: int  # parts that follow


class Failed(msgspec.Struct, frozen=True, tag="failed"):
    """It could not be compared: why, one sentence."""

    at: int
    words: str


class Done(msgspec.Struct, frozen=True, tag="done"):
    """All is told."""

    at: int


Answer: TypeAlias = Compared | Marked | Failed | Done

_requests = msgspec.msgpack.Decoder(Request)
_answers = msgspec.msgpack.Decoder(Answer)


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
def marked_of(at: int, made: Redlined, frame: Frame | None = None) -> Iterator[Marked]:
    """The marks of a sheet as messages; with a `frame`, that and all that is drawn too."""
    strokes: list[tuple[str, Primitive]] = [("under", p) for p in made.under]
    if frame is not None:
        strokes.extend(("drawn", p) for p in (*frame.primitives, *made.body.primitives))
    strokes.extend(("over", p) for p in made.over)
    boxes = {number: tuple(box) for number, box in made.boxes.items()}
    lots = [strokes[n : n + STROKES] for n in range(0, len(strokes), STROKES)] or [[]]
    for n, lot in enumerate(lots):
        of: dict[str, tuple[Primitive, ...]] = {}
        for level in ("under", "drawn", "over"):
            some = tuple(p for name, p in lot if name == level)
            if some:
                of[level] = some
        layer = laid(Layer(at, made.sheet, "", made.side, of))
        yield Marked(at, made.side, made.sheet, layer, boxes if not n else {}, n == 0, len(lots) - 1 - n)


def strokes_of(message: Marked) -> dict[str, tuple[Primitive, ...]]:
    """The primitives of one message by level. Raises `ValueError` where it tells of others than it holds."""
    return layer_of(message.layer).of


def boxes_of(message: Marked) -> dict[int, Box]:
    """Where each numbered difference stands."""
    return {number: Box(*box) for number, box in message.boxes.items()}
