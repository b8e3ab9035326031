"""A typed line cut into atoms: words, figures, texts in quotes, `field=value`, where a value comes from."""

from __future__ import annotations

import re
from typing import Literal, NamedTuple

from engine.record import ORIGINS
from engine.words import _

__all__ = ["Atom", "atoms_of", "is_figure"]

_CUT = re.compile(
    r"""\s*(?:
      (?<!\d)["“„](?P<quote>[^"”“]*)["”“]
    | ~(?P<origin>\w+)
    | (?P<field>[^\W\d]\w*)=(?:["“„](?P<quoted>[^"”“]*)["”“]|(?P<bare>\S*))
    | (?P<word>[^\s,;]+(?:,\d[^\s,;]*)*)
    | (?P<comma>[,;])
    )""",
    re.VERBOSE,
)
_FIGURE = re.compile(r"[+-]?(?:\d[\d.,/]*|[.,]\d+)", re.ASCII)


class Atom(NamedTuple):
    """A piece of what is typed; `text` as it was written."""

    sort: Literal["word", "quote", "named", "origin"]
    text: str
    field: str = ""
    is_last: bool = False  # nothing comes after it: it may be half typed


def is_figure(text: str) -> bool:
    """Whether a text is a number, or a size such as 2/0, and nothing else."""
    return _FIGURE.fullmatch(text) is not None


def atoms_of(text: str) -> list[Atom]:
    """The atoms of a line. Never fails: what cannot be cut otherwise is a word."""
    found: list[Atom] = []
    at = 0
    while at < len(text):
        cut = _CUT.match(text, at)
        if cut is None or cut.end() == at:
            break
        at = cut.end()
        if cut["quote"] is not None:
            found.append(Atom("quote", cut["quote"].strip()))
        elif cut["origin"] is not None:
            found.append(Atom("origin", _origin(cut["origin"])))
        elif cut["field"] is not None:
            value = cut["quoted"] if cut["quoted"] is not None else cut["bare"]
            found.append(Atom("named", value.strip(), cut["field"]))
        elif cut["word"] is not None:
            found.append(Atom("word", cut["word"]))
    rest = text[at:].strip()
    if rest:
        found.append(Atom("word", rest))
    if found and found[-1].sort == "word" and not text[-1:].isspace():
        found[-1] = found[-1]._replace(is_last=True)
    return found


def _origin(word: str) -> str:
    """The origin a person named, as stored; the word itself where there is none such."""
    low = word.casefold()
    return next((o for o in ORIGINS if low in (o, _(o).casefold())), word)
