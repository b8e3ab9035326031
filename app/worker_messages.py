"""What the window and the study process say to each other: length-prefixed msgpack, no Qt.

Every request carries a number that grows by one; an answer carries in `at` the number of the newest request it is true
for. What is big comes in parts, so that no part keeps the window from its next frame: judgements that were not passed
in lots of `LOT`, pictures as `app.worker_pictures` parts them.
"""

from __future__ import annotations

import functools
from collections.abc import Iterable, Iterator, Sequence
from typing import Any, TypeAlias

import msgspec

from app.drawing.in_condition import State
from app.frames import Frames, framed
from app.help.examples import ExampleRequest, Examples
from app.judgement import FaultFigures, FlowFigures, Judgement, LiveParts
from app.measuring.messages import Measured, MeasureRequest
from app.switching_messages import Switched, SwitchingRequest
from app.tidying_messages import TidyAnswer, TidyRequest
from engine.check import CheckResult
from engine.circuit.energy.results import Energy
from engine.circuit.live_from import LiveFrom
from engine.findings import NotJudged
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
    "RuleStopped",
    "SizeRequest",
    "Sized",
    "ViewRequest",
    "WhyRequest",
    "Working",
    "answer_of",
    "framed",
    "judged_parts",
    "judgement_of",
    "lit_of",
    "live_of",
    "packed",
    "request_of",
]

LOT = 400  # judgements not passed in one message


# -- requests ---------------------------------------------------------------------------------------------------------
class OpenRequest(msgspec.Struct, frozen=True, tag="open"):
    """Begin anew with a whole drawing (`engine.files.edit_form.plain_snapshot`)."""

    number: int
    drawing: dict[str, Any]
    folder: str = ""  # where it is kept: a yard's own book stands there; "": not saved yet
    off: dict[str, str] = {}  # rules that are disabled, and why; no others are


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
    state: State | None = None  # shown in place of the condition
    shown: str = "all"  # of `app.drawing.whole.in_view.VIEWS`


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
    OpenRequest
    | EditRequest
    | ViewRequest
    | SizeRequest
    | ExampleRequest
    | MendRequest
    | WhyRequest
    | MeasureRequest
    | SwitchingRequest
    | TidyRequest
    | QuitRequest
)


# -- answers ----------------------------------------------------------------------------------------------------------
class Ready(msgspec.Struct, frozen=True, tag="ready"):
    """The process has started and listens."""


class Begun(msgspec.Struct, frozen=True, tag="begun"):
    """Whatever was being studied before is given up; this is studied now."""

    at: int


class Working(msgspec.Struct, frozen=True, tag="working"):
    """It goes on; `rule` runs, "" none."""

    rule: str


class RuleStopped(msgspec.Struct, frozen=True, tag="rule stopped"):
    """A fault of the program stopped a rule, which is disabled from now on; `words` say which."""

    at: int
    rule: str
    words: str


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


PlainPath: TypeAlias = tuple[
    tuple[tuple[str | float, ...], ...], float, str, str | None, str, str, str, str
]  # a `Path`, which the codec does not know how to make
PlainText: TypeAlias = tuple[float, float, str, float, str, bool, str, int, str, str]


class Drawn(msgspec.Struct, frozen=True, tag="drawn"):
    """What has changed in the picture of a sheet, or a part of that.

    `of`: owner -> one letter a primitive in the order of painting, "p" for the next of `paths`, "t" of `texts`.
    """

    at: int
    sheet: str
    of: dict[str, str]
    paths: tuple[PlainPath, ...]
    texts: tuple[PlainText, ...]
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
    groups: tuple[tuple[tuple[str, ...], tuple[str, ...]], ...] = ()  # what gives, what is (or may be) live from it
    fed: tuple[tuple[str, tuple[str, ...]], ...] = ()  # a converter that gives, what feeds it in the end
    together: tuple[str, ...] = ()
    still: tuple[str, ...] = ()
    way: tuple[str, ...] = ()


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
    paths: tuple[PlainPath, ...]
    texts: tuple[PlainText, ...]
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
    | Working
    | RuleStopped
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
    | Measured
    | Switched
    | TidyAnswer
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


def lit_of(at: int, condition: str, found: LiveFrom, way: Iterable[str] = ()) -> Lit:
    """The message of what is live."""
    groups: dict[tuple[str, ...], list[str]] = {}
    for item, givers in (*found.of.items(), *found.doubtful.items()):
        groups.setdefault(givers, []).append(item)
    return Lit(
        at,
        condition,
        tuple(sorted(found.of)),
        tuple(sorted(found.doubtful)),
        tuple((givers, tuple(sorted(items))) for givers, items in sorted(groups.items())),
        tuple(sorted(found.fed.items())),
        tuple(sorted(found.together)),
        found.still,
        tuple(sorted(way)),
    )


def live_of(lit: Lit) -> LiveParts:
    """What is live, of its message."""
    return LiveParts(
        lit.at,
        lit.condition,
        frozenset(lit.live),
        frozenset(lit.doubtful),
        frozenset(lit.way),
        {item: givers for givers, items in lit.groups for item in items},
        dict(lit.fed),
        frozenset(lit.together),
        lit.still,
    )
