"""What an entry is told and what it gives back. Plain values."""

from __future__ import annotations

from typing import Any, NamedTuple, Protocol

from PySide6.QtWidgets import QWidget

from app.window.entries import Reading
from engine.record import FieldSpec

__all__ = ["MIXED", "Entry", "Given", "NewRecord", "State"]


class _Mixed:
    """Several things are chosen and they differ."""

    def __repr__(self) -> str:
        return "MIXED"


MIXED = _Mixed()


class State(NamedTuple):
    """A field as it stands: whose, which, its value (or `MIXED`)."""

    reading: Reading
    owner: Any  # the record, or the struct in it, that has the field
    spec: FieldSpec
    value: Any
    run: str = ""  # the run an end belongs to

    def text(self) -> str:
        """The value as it stands in an entry."""
        return "" if self.value is MIXED else self.reading.text(self.spec, self.value)


class Given(NamedTuple):
    """What a person gave: a value, and where it comes from when that was typed too."""

    value: Any
    origin: str = ""


class NewRecord(NamedTuple):
    """Stands in a value for the id of a record that is made in the same edit."""

    table: str
    name: str


class Entry(Protocol):
    """What every entry can do. Its signals: `given(Given)`, `refused(str)`, `onward()`, `wanted(str, str)`."""

    def stand(self, state: State, fresh: bool) -> None:
        """Show a field; unless `fresh`, what is half typed stays."""

    def typing(self) -> bool:
        """Whether something stands in it that is not in the drawing."""

    def finish(self) -> None:
        """Give what is typed, as if it were left."""

    def lock(self, locked: bool) -> None:
        """Whether it may be changed."""

    def call_it(self, name: str, description: str) -> None:
        """Its name and description for a screen reader."""

    def stops(self) -> list[QWidget]:
        """The widgets the Tab key visits, in order; the first takes the focus."""
