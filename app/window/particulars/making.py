"""Which entry a field gets, by its shape alone."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from PySide6.QtWidgets import QWidget

from app.window.particulars.choosing import CheckEntry, ChecksEntry, ChoiceEntry
from app.window.particulars.lines import LineEntry
from app.window.particulars.offers import is_offered
from app.window.particulars.referring import RefersEntry
from engine.record import FieldSpec

__all__ = ["entry_sort", "make_entry"]


def entry_sort(cls: type, spec: FieldSpec) -> str:
    """The sort of entry for a field of records of `cls`: fields of one sort can share one widget."""
    if spec.shape in ("records", "record"):
        return spec.shape
    if is_offered(cls, spec) or (spec.shape == "words" and spec.choices):
        return "checks" if spec.shape == "words" else "choice"
    if spec.shape == "word" and spec.fact.refers:
        return "refers"
    if spec.shape == "yesno":
        return "choice" if spec.optional else "check"
    return "choice" if spec.shape == "choice" else "line"


def make_entry(sort: str) -> Any:
    """A new entry of that sort."""
    return _makers()[sort]()


def _makers() -> dict[str, Callable[[], QWidget]]:
    from app.window.particulars.rows import RecordEntry, RecordsEntry  # their cells are made here

    return {
        "line": LineEntry,
        "choice": ChoiceEntry,
        "check": CheckEntry,
        "checks": ChecksEntry,
        "refers": RefersEntry,
        "records": RecordsEntry,
        "record": RecordEntry,
    }
