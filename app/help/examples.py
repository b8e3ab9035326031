"""A drawn example of a rule as plain values, and the form in which the study process sends it. No drawing here."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any, NamedTuple, TypeAlias

import msgspec

from engine.picture import Path, Picture, Primitive, Text
from engine.words import _

__all__ = ["ExampleRequest", "Examples", "SentExample", "Shown", "Told", "received", "sent"]


class Told(NamedTuple):
    """What the rule says of the example: the number of its flag (0: none), a heading, sentences."""

    number: int
    heading: str
    message: str
    more: tuple[str, ...]  # condition, arithmetic, clause and its standing
    to_do: tuple[str, ...]  # what would put it right
    edits: tuple[str, ...]  # edits that the window offers for it


class Shown(NamedTuple):
    """One example, drawn."""

    passes: bool
    name: str
    book: str  # title of the book it is judged by
    told: tuple[Told, ...]
    notes: tuple[str, ...]  # what the picture could not show, in sentences
    picture: Picture

    def heading(self) -> str:
        """*Is found: a fuse ...* or *Passes: ...*."""
        return (_("Passes: {name}") if self.passes else _("Is found: {name}")).format(name=self.name)

    def description(self) -> str:
        """All of it in words, for whoever cannot see the picture."""
        told = " ".join(each.message for each in self.told)
        return f"{self.heading()}. {told}".strip()


_Plain: TypeAlias = tuple[Any, ...]


class SentExample(msgspec.Struct, frozen=True):
    """`Shown` as it is sent: of the picture one letter a primitive, "p" for the next of `paths`, "t" of `texts`."""

    passes: bool
    name: str
    book: str
    told: tuple[Told, ...]
    notes: tuple[str, ...]
    width: float
    height: float
    letters: str
    paths: tuple[_Plain, ...]
    texts: tuple[_Plain, ...]


class ExampleRequest(msgspec.Struct, frozen=True, tag="examples"):
    """The drawn examples of a rule; takes the place of an earlier one."""

    number: int
    rule: str


class Examples(msgspec.Struct, frozen=True, tag="examples"):
    """The drawn examples of a rule; `words`: what stopped it."""

    at: int
    rule: str
    shown: tuple[SentExample, ...] = ()
    words: str = ""


def sent(shown: Iterable[Shown]) -> tuple[SentExample, ...]:
    """Examples ready to be sent."""
    return tuple(
        SentExample(
            each.passes,
            each.name,
            each.book,
            each.told,
            each.notes,
            each.picture.width,
            each.picture.height,
            "".join("t" if isinstance(p, Text) else "p" for p in each.picture.primitives),
            tuple(p for p in each.picture.primitives if isinstance(p, Path)),
            tuple(p for p in each.picture.primitives if isinstance(p, Text)),
        )
        for each in shown
    )


def received(some: Iterable[SentExample]) -> tuple[Shown, ...]:
    """Examples as they were. Raises `ValueError` where one holds others than it tells of."""
    return tuple(
        Shown(e.passes, e.name, e.book, e.told, e.notes, Picture(e.width, e.height, _primitives(e), e.name))
        for e in some
    )


def _primitives(example: SentExample) -> tuple[Primitive, ...]:
    if example.letters.count("p") != len(example.paths) or len(example.letters) != len(example.paths) + len(
        example.texts
    ):
        raise ValueError(f"the picture of {example.name!r} is not what it says")
    paths, texts = iter(example.paths), iter(example.texts)
    return tuple(Path(*next(paths)) if letter == "p" else Text(*next(texts)) for letter in example.letters)
