"""What the window and the study process say to each other: length-prefixed msgpack, no Qt.

Every request carries a number that grows by one; an answer carries in `at` the number of the newest request it is true
for. What is big comes in parts, so that no part keeps the window from its next frame: judgements that were not passed
in lots of `LOT`, the picture of a sheet in lots of `STROKES` primitives.
"""

from __future__ import annotations

import functools
from collections.abc import Iterable, Iterator, Mapping, Sequence
from typing import Any, TypeAlias

import msgspec

from app.frames import Frames, framed
from app.help.examples import ExampleRequest, Examples
from app.judgement import FaultFigures, FlowFigures, Judgement, Layer, LiveParts, SheetPicture
from engine.check import CheckResult
from engine.circuit.energy.results import Energy
from engine.findings import NotJudged
from engine.picture import Box, Path, Primitive, Text
from engine.sizing.results import Answer as Sizing
from engine.why import Said

__all__ = [
    "Answer",
    "Begun",
    "Done",
    "Drawn",
    "EditRequest",
    "EnergyTold",
    "ExampleRequest",
    "Examples",
    "Explained",
    "Fault",
    "FaultsTold",
    "FigureAnswer",
    "FiguresStopped",
    "FlowTold",
    "Frames",
    "Gaps",
    "Judged",
    "Laid",
    "Lit",
    "Lost",
    "MendRequest",
    "Offered",
    "OpenRequest",
    "QuitRequest",
    "Ready",
    "Request",
    "SizeRequest",
    "Sized",
    "ViewRequest",
    "WhyRequest",
    "answer_of",
    "drawn_parts",
    "framed",
    "judged_parts",
    "judgement_of",
    "laid",
    "layer_of",
    "live_of",
    "merged",
    "packed",
    "primitives_of",
    "request_of",
]

LOT = 400  # judgements not passed in one message
STROKES = 500  # primitives in one message


# -- requests ---------------------------------------------------------------------------------------------------------
class OpenRequest(msgspec.Struct, frozen=True, tag="open"):
    """Begin anew with a whole drawing (`engine.files.edit_form.plain_snapshot`)."""

    number: int
    drawing: dict[str, Any]
    folder: str = ""  # where it is kept: a yard's own book stands there; "": not saved yet


class EditRequest(msgspec.Struct, frozen=True, tag="edit"):
    """An edit that was done (`engine.files.edit_form.plain_edit`)."""

    number: int
    edit: dict[str, Any]


class ViewRequest(msgspec.Struct, frozen=True, tag="view"):
    """What is looked at."""

    number: int
    sheet: str
    condition: str
    layer: str = ""  # of `app.judgement.LAYERS`: figures that are to lie over the sheet


class SizeRequest(msgspec.Struct, frozen=True, tag="size"):
    """What things need, by id; takes the place of an earlier one."""

    number: int
    items: tuple[str, ...]


class MendRequest(msgspec.Struct, frozen=True, tag="mend"):
    """The edits that put a finding right, by its key; takes the place of an earlier one."""

    number: int
    key: str


class WhyRequest(msgspec.Struct, frozen=True, tag="why"):
    """What every rule says of things, by id, and why it says nothing; takes the place of an earlier one."""

    number: int
    items: tuple[str, ...]


class QuitRequest(msgspec.Struct, frozen=True, tag="quit"):
    """End."""


Request: TypeAlias = (
    OpenRequest | EditRequest | ViewRequest | SizeRequest | ExampleRequest | MendRequest | WhyRequest | QuitRequest
)


# -- answers ----------------------------------------------------------------------------------------------------------
class Ready(msgspec.Struct, frozen=True, tag="ready"):
    """The process has started and listens."""


class Begun(msgspec.Struct, frozen=True, tag="begun"):
    """Whatever was being studied before is given up; this is studied now."""

    at: int


class Judged(msgspec.Struct, frozen=True, tag="judged"):
    """A judgement, `Gaps` that follow aside."""

    at: int
    result: CheckResult
    numbers: dict[str, int]
    homes: dict[str, str]
    more: int = 0  # messages of `Gaps` that follow


class Gaps(msgspec.Struct, frozen=True, tag="gaps"):
    """More of what was not judged."""

    at: int
    not_judged: tuple[NotJudged, ...]


_PlainPath: TypeAlias = tuple[
    tuple[tuple[str | float, ...], ...], float, str, str | None, str, str, str, str
]  # a `Path`, which the codec does not know how to make
_PlainText: TypeAlias = tuple[float, float, str, float, str, bool, str, int, str, str]


class Drawn(msgspec.Struct, frozen=True, tag="drawn"):
    """What has changed in the picture of a sheet, or a part of that.

    `of`: owner -> one letter a primitive in the order of painting, "p" for the next of `paths`, "t" of `texts`.
    """

    at: int
    sheet: str
    of: dict[str, str]
    paths: tuple[_PlainPath, ...]
    texts: tuple[_PlainText, ...]
    more: int = 0  # parts that follow; what is below stands in the last one only
    width: float = 0.0
    height: float = 0.0
    order: tuple[str, ...] = ()  # every owner there is
    note_boxes: dict[int, tuple[float, float, float, float]] = {}
    whole: bool = False  # nothing of what was sent before holds


class Lit(msgspec.Struct, frozen=True, tag="lit"):
    """What is live in a condition."""

    at: int
    condition: str
    live: tuple[str, ...]
    doubtful: tuple[str, ...]


class FlowTold(msgspec.Struct, frozen=True, tag="flow"):
    """What flows in a condition."""

    at: int
    figures: FlowFigures


class FaultsTold(msgspec.Struct, frozen=True, tag="faults"):
    """Fault currents."""

    at: int
    figures: FaultFigures


class EnergyTold(msgspec.Struct, frozen=True, tag="energy"):
    """The energy of a condition."""

    at: int
    energy: Energy


class Sized(msgspec.Struct, frozen=True, tag="sized"):
    """What things need; `words`: what stopped it."""

    at: int
    items: tuple[str, ...]
    answers: tuple[Sizing, ...] = ()
    words: str = ""


class Offered(msgspec.Struct, frozen=True, tag="offered"):
    """Edits that put a finding right, each in words and as `plain_edit`, drawn; `words`: what stopped it."""

    at: int
    key: str
    edits: tuple[tuple[str, dict[str, Any]], ...] = ()
    words: str = ""


class Explained(msgspec.Struct, frozen=True, tag="explained"):
    """What every rule says of things, one tuple a thing; `words`: what stopped it."""

    at: int
    items: tuple[str, ...]
    says: tuple[tuple[Said, ...], ...] = ()
    words: str = ""


class FiguresStopped(msgspec.Struct, frozen=True, tag="figures stopped"):
    """A fault of the program stopped one of the three; the others are told all the same."""

    at: int
    what: str  # "flow", "faults", "energy"
    condition: str
    words: str


class Laid(msgspec.Struct, frozen=True, tag="laid"):
    """Figures over a sheet, told like the picture of it."""

    at: int
    sheet: str
    condition: str
    what: str
    of: dict[str, str]
    paths: tuple[_PlainPath, ...]
    texts: tuple[_PlainText, ...]
    unplaced: tuple[str, ...] = ()


class Done(msgspec.Struct, frozen=True, tag="done"):
    """Nothing is left to be told of this request."""

    at: int


class Fault(msgspec.Struct, frozen=True, tag="fault"):
    """A fault of the program stopped the study of this request."""

    at: int
    words: str


class Lost(msgspec.Struct, frozen=True, tag="lost"):
    """The process no longer has the drawing the window has: it must be sent whole."""

    at: int


FigureAnswer: TypeAlias = FlowTold | FaultsTold | EnergyTold | FiguresStopped
Answer: TypeAlias = (
    Ready
    | Begun
    | Judged
    | Gaps
    | Drawn
    | Lit
    | FigureAnswer
    | Laid
    | Sized
    | Examples
    | Offered
    | Explained
    | Done
    | Fault
    | Lost
)


# -- bytes ------------------------------------------------------------------------------------------------------------
_encoder = msgspec.msgpack.Encoder()


def packed(message: Request | Answer) -> bytes:
    """A message with its length before it."""
    return framed(_encoder.encode(message))


def request_of(body: bytes) -> Request:
    """The request of a frame. Raises `ValueError`."""
    return _decoder(Request).decode(body)  # type: ignore[no-any-return]


def answer_of(body: bytes) -> Answer:
    """The answer of a frame. Raises `ValueError`."""
    return _decoder(Answer).decode(body)  # type: ignore[no-any-return]


@functools.cache
def _decoder(of: Any) -> Any:
    return msgspec.msgpack.Decoder(of)


# -- judgements -------------------------------------------------------------------------------------------------------
def judged_parts(judgement: Judgement) -> Iterator[Judged | Gaps]:
    """A judgement as messages."""
    gaps = judgement.result.not_judged
    lots = [gaps[n : n + LOT] for n in range(0, len(gaps), LOT)]
    first = msgspec.structs.replace(judgement.result, not_judged=lots[0] if lots else ())
    yield Judged(judgement.at, first, judgement.numbers, judgement.homes, max(0, len(lots) - 1))
    for lot in lots[1:]:
        yield Gaps(judgement.at, lot)


def judgement_of(judged: Judged, gaps: Sequence[Gaps]) -> Judgement:
    """The judgement of its messages."""
    result = judged.result
    if gaps:
        every = (*result.not_judged, *(gap for lot in gaps for gap in lot.not_judged))
        result = msgspec.structs.replace(result, not_judged=every)
    return Judgement(judged.at, result, judged.numbers, judged.homes)


def live_of(lit: Lit) -> LiveParts:
    """What is live, of its message."""
    return LiveParts(lit.at, lit.condition, frozenset(lit.live), frozenset(lit.doubtful))


# -- pictures ---------------------------------------------------------------------------------------------------------
def drawn_parts(picture: SheetPicture, before: Mapping[str, tuple[Primitive, ...]] | None) -> Iterator[Drawn]:
    """A picture as messages: of the owners only those that differ from `before`, all where that is `None`."""
    changed = [
        (owner, primitives)
        for owner, primitives in picture.of.items()
        if before is None or before.get(owner) != primitives
    ]
    lots = list(_lots(changed))
    for left, lot in zip(range(len(lots) - 1, -1, -1), lots, strict=True):
        made = Drawn(picture.at, picture.sheet, *_sorted(lot), left)
        if not left:
            made = msgspec.structs.replace(
                made,
                width=picture.width,
                height=picture.height,
                order=tuple(picture.of),
                note_boxes={number: tuple(box) for number, box in picture.note_boxes.items()},
                whole=before is None,
            )
        yield made


def _sorted(
    lot: Iterable[tuple[str, tuple[Primitive, ...]]],
) -> tuple[dict[str, str], tuple[Any, ...], tuple[Any, ...]]:
    """Letters by owner, paths, texts."""
    paths: list[Any] = []
    texts: list[Any] = []
    of: dict[str, str] = {}
    for owner, primitives in lot:
        letters = ""
        for primitive in primitives:
            is_text = isinstance(primitive, Text)
            (texts if is_text else paths).append(primitive)
            letters += "t" if is_text else "p"
        of[owner] = letters
    return of, tuple(paths), tuple(texts)


def _lots(
    changed: Iterable[tuple[str, tuple[Primitive, ...]]],
) -> Iterator[list[tuple[str, tuple[Primitive, ...]]]]:
    """Owners in lots; at least one lot, and an owner is never parted."""
    lot: list[tuple[str, tuple[Primitive, ...]]] = []
    count = 0
    for owner, primitives in changed:
        if lot and count + len(primitives) > STROKES:
            yield lot
            lot, count = [], 0
        lot.append((owner, primitives))
        count += len(primitives)
    yield lot


def laid(layer: Layer) -> Laid:
    """A layer as a message."""
    return Laid(layer.at, layer.sheet, layer.condition, layer.what, *_sorted(layer.of.items()), layer.unplaced)


def layer_of(message: Laid) -> Layer:
    """The layer of its message. Raises `ValueError` where it tells of others than it holds."""
    m = message
    return Layer(m.at, m.sheet, m.condition, m.what, primitives_of(m), m.unplaced)


def primitives_of(drawn: Drawn | Laid) -> dict[str, tuple[Primitive, ...]]:
    """The primitives of one message by owner. Raises `ValueError` where it tells of others than it holds."""
    every = "".join(drawn.of.values())
    if every.count("p") != len(drawn.paths) or len(every) != len(drawn.paths) + len(drawn.texts):
        raise ValueError(f"the picture of {drawn.sheet} is not what it says")
    paths, texts = iter(drawn.paths), iter(drawn.texts)
    made: dict[str, tuple[Primitive, ...]] = {}
    for owner, letters in drawn.of.items():
        made[owner] = tuple(Path._make(next(paths)) if letter == "p" else Text._make(next(texts)) for letter in letters)
    return made


def merged(parts: Sequence[Drawn], before: SheetPicture | None) -> SheetPicture:
    """The picture after the messages `parts`, the last of them the closing one, where `before` was shown.

    Raises `ValueError` where they speak of what was never sent.
    """
    last = parts[-1]
    known: dict[str, tuple[Primitive, ...]] = {} if last.whole or before is None else dict(before.of)
    for part in parts:
        known.update(primitives_of(part))
    try:
        of = {owner: known[owner] for owner in last.order}
    except KeyError as owner:
        raise ValueError(f"the picture of {last.sheet} lacks {owner}") from None
    boxes = {number: Box(*box) for number, box in last.note_boxes.items()}
    return SheetPicture(last.sheet, last.at, last.width, last.height, of, boxes)
