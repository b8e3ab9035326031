"""Designations for what is new: the lowest number that nothing on the drawing bears or bore."""

from __future__ import annotations

from engine.installation.model import Snapshot

__all__ = ["for_kind", "next_designation"]


def next_designation(snapshot: Snapshot, letter: str) -> str:
    """The next free designation of a letter, "F3"."""
    raise NotImplementedError


def for_kind(snapshot: Snapshot, kind: str) -> str:
    """The next free designation for a kind of equipment."""
    raise NotImplementedError
