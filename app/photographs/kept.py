"""The photographs of a drawing as a list: what each shows, who uses it, whether its file is there and as it was."""

from __future__ import annotations

from pathlib import Path
from typing import NamedTuple

from app.photographs.store import Store, called
from engine.installation import Photograph
from engine.installation.model import Snapshot

__all__ = ["Kept", "kept", "strays"]


class Kept(NamedTuple):
    """One photograph of a drawing."""

    item: str
    record: Photograph
    name: str  # what it is called
    used_by: tuple[str, ...]  # ids of deficiencies
    state: str  # "there", "missing", "altered"
    path: Path | None  # its file, `None` where its checksum is none


def kept(snapshot: Snapshot, store: Store) -> tuple[Kept, ...]:
    """Every photograph a drawing records, in the order in which they were taken in."""
    made = []
    for item in sorted(snapshot.photographs, key=_order):
        record = snapshot.photographs[item]
        users = tuple(
            sorted(
                (d for d, each in snapshot.deficiencies.items()
                 if item in each.photographs or item in each.evidence_photographs),
                key=_order,
            )
        )  # fmt: skip
        state = store.state(record)
        made.append(
            Kept(item, record, called(record), users, state, store.path(record) if len(record.sha256) == 64 else None)
        )
    return tuple(made)


def strays(snapshot: Snapshot, store: Store) -> tuple[Path, ...]:
    """Files of the folder that no record names. They stay: undo, or another drawing beside it, may want them."""
    named = {f"{record.sha256}.jpg" for record in snapshot.photographs.values()}
    return tuple(path for path in store.files() if path.name not in named)


def _order(item: str) -> tuple[int, str]:
    return (int(item[1:]) if item[1:].isdecimal() else 0, item)
