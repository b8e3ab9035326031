"""What the program and the process of own rules say to each other: length-prefixed msgpack, one answer a request."""

from __future__ import annotations

from typing import Any, TypeAlias

import msgspec

from app.frames import framed
from engine.books import Book
from engine.rules.own import OwnRule, Said

__all__ = [
    "Answer",
    "Broken",
    "DrawingRequest",
    "JudgeRequest",
    "LoadRequest",
    "Loaded",
    "Ready",
    "Request",
    "Spoken",
    "Taken",
    "answer_of",
    "packed",
    "request_of",
]


class LoadRequest(msgspec.Struct, frozen=True, tag="load"):
    """Run the file or import the module of a rule (a `Source`)."""

    where: str
    module: str
    file: str
    limit_s: float


class DrawingRequest(msgspec.Struct, frozen=True, tag="drawing"):
    """What is judged from now on (`engine.files.edit_form.plain_snapshot`), and by what."""

    drawing: dict[str, Any]
    book: Book
    proving: bool


class JudgeRequest(msgspec.Struct, frozen=True, tag="judge"):
    """Have the rule of a source judge the drawing."""

    where: str
    limit_s: float


Request: TypeAlias = LoadRequest | DrawingRequest | JudgeRequest


class Ready(msgspec.Struct, frozen=True, tag="ready"):
    """The process has started and listens."""


class Loaded(msgspec.Struct, frozen=True, tag="loaded"):
    """What the rule is."""

    rule: OwnRule


class Taken(msgspec.Struct, frozen=True, tag="taken"):
    """The drawing has arrived."""


class Spoken(msgspec.Struct, frozen=True, tag="spoken"):
    """What the rule said."""

    said: Said


class Broken(msgspec.Struct, frozen=True, tag="broken"):
    """What is wrong with the rule; `is_spoilt`: the process is of no use to other rules any more."""

    why: str
    is_spoilt: bool = False


Answer: TypeAlias = Ready | Loaded | Taken | Spoken | Broken

_encoder = msgspec.msgpack.Encoder()
_requests: msgspec.msgpack.Decoder[Request] = msgspec.msgpack.Decoder(Request)
_answers: msgspec.msgpack.Decoder[Answer] = msgspec.msgpack.Decoder(Answer)


def packed(message: Request | Answer) -> bytes:
    """A message with its length before it."""
    return framed(_encoder.encode(message))


def request_of(body: bytes) -> Request:
    """The request of a frame. Raises `ValueError`."""
    return _requests.decode(body)


def answer_of(body: bytes) -> Answer:
    """The answer of a frame. Raises `ValueError`."""
    return _answers.decode(body)
