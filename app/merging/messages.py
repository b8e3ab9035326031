"""What the window and the process that merges say to each other: length-prefixed msgpack, no Qt."""

from __future__ import annotations

from typing import Any, TypeAlias

import msgspec

from app.frames import framed
from engine.merging import Choice

__all__ = ["Answer", "Failed", "Merge", "Question", "Told", "answer_of", "packed", "request_of"]


class Merge(msgspec.Struct, frozen=True, tag="merge"):
    """Bring the open drawing (`engine.files.edit_form.plain_snapshot`) and the file `other` together.

    `mine` is `None` where it is as it was sent before. `base` is the file both were made from; `chosen`: key of a
    question -> whose is taken.
    """

    at: int
    base: str
    other: str
    mine: dict[str, Any] | None
    chosen: dict[str, Choice]
    last_id: int = 0  # of the open drawing


class Question(msgspec.Struct, frozen=True):
    """A conflict in words. `ids`: what to go to in the open drawing."""

    key: str
    words: str
    a: str
    b: str
    base: str
    choices: tuple[Choice, ...]
    chosen: Choice | None
    ids: tuple[str, ...]


class Told(msgspec.Struct, frozen=True, tag="told"):
    """All questions in their order, and where none is open the edit that makes the open drawing into the whole.

    `edit` (`engine.files.edit_form.plain_edit`) is `None` while something is open, or where nothing is to be changed.
    """

    at: int
    questions: tuple[Question, ...]
    notices: tuple[str, ...]
    mine: int  # things that the open drawing has other than the base
    theirs: int
    edit: dict[str, Any] | None = None
    told: tuple[str, ...] = ()  # what opening the files said


class Failed(msgspec.Struct, frozen=True, tag="failed"):
    """They cannot be brought together: why, one sentence."""

    at: int
    words: str


Request: TypeAlias = Merge
Answer: TypeAlias = Told | Failed
_requests = msgspec.msgpack.Decoder(Merge)
_answers = msgspec.msgpack.Decoder(Answer)


def packed(message: Request | Answer) -> bytes:
    """A message as a frame."""
    return framed(msgspec.msgpack.encode(message))


def request_of(body: bytes) -> Merge:
    """Raises `ValueError` (`msgspec.ValidationError`) for what is none."""
    return _requests.decode(body)


def answer_of(body: bytes) -> Answer:
    """Raises `ValueError` (`msgspec.ValidationError`) for what is none."""
    return _answers.decode(body)
