"""Designations for what is new: the lowest number that nothing on the drawing bears."""

from __future__ import annotations

import re
from collections.abc import Iterator

from engine.edits.edit import EditError
from engine.equipment import kind_named
from engine.installation.model import Snapshot
from engine.words import _

__all__ = ["for_kind", "is_borne", "letters_of", "next_designation"]

_NAME = re.compile(r"([^\W\d_]+)([0-9]+)")  # "WC5", also each part of "=A1-F3"; what follows the number does not count


def next_designation(snapshot: Snapshot, letter: str) -> str:
    """The next free designation of a letter (or letters), "F3".

    The lowest number that no equipment, no run and no waiver names: a waiver must not come to speak of something else.
    """
    taken = {
        int(number) for text in _borne(snapshot) for of, number in _NAME.findall(text) if of.upper() == letter.upper()
    }
    number = 1
    while number in taken:
        number += 1
    return f"{letter}{number}"


def for_kind(snapshot: Snapshot, kind: str) -> str:
    """The next free designation for a kind of equipment. Raises `EditError` where there is no such kind."""
    cls = kind_named(kind)
    if cls is None:
        raise EditError(_("There is no kind of equipment “{kind}”.").format(kind=kind))
    return next_designation(snapshot, cls.LETTERS[0] if cls.LETTERS else "A")


def is_borne(snapshot: Snapshot, designation: str) -> bool:
    """Whether equipment or a run bears a designation, or a waiver names it; small letters are no difference."""
    return designation.casefold() in {text.casefold() for text in _borne(snapshot)}


def letters_of(designation: str) -> str:
    """The letters a designation counts under: "WC" of "WC5", "" of one without a number at its end."""
    found = re.fullmatch(r".*?([^\W\d_]+)[0-9]+", designation)
    return found.group(1) if found else ""


def _borne(snapshot: Snapshot) -> Iterator[str]:
    for record in snapshot.equipment.values():
        yield record.designation
    for run in snapshot.runs.values():
        yield run.designation
    for waiver in snapshot.waivers.values():
        yield from waiver.designations
