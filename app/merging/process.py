"""Merging in a process of its own: `python -m app.merging.process`, requests on stdin, answers on stdout."""

from __future__ import annotations

import logging
import sys
from collections.abc import Callable
from pathlib import Path

from app import words
from app.frames import serve
from app.merging.messages import Answer, Failed, Merge, Question, Told, packed, request_of
from engine.comparing import differences
from engine.files.drawing import FileError, Opened, load
from engine.files.edit_form import plain_edit, snapshot_of
from engine.installation import Snapshot
from engine.merging import Conflict, MergeError, conflict_words, edit_to, merge, side_words
from engine.words import _

__all__ = ["Merger", "main"]

log = logging.getLogger(__name__)


class Merger:
    """Keeps the files it has read; answers one request after the other."""

    def __init__(self, send: Callable[[Answer], None]) -> None:
        self._send = send
        self._mine = Snapshot(tables={}, lone={})
        self._read: dict[tuple[str, int], tuple[Snapshot, int, tuple[str, ...]]] = {}

    def take(self, request: Merge) -> None:
        """Merge and tell. Raises nothing but what the stream raises."""
        try:
            self._send(self._merged(request))
        except (FileError, MergeError) as fault:
            lines = str(fault).splitlines() or [_("the log tells why")]
            self._send(Failed(request.at, lines[0]))
        except BrokenPipeError:
            raise
        except Exception as fault:
            log.exception("merge %d stopped", request.at)
            self._send(Failed(request.at, _("the merge stopped ({kind})").format(kind=type(fault).__name__)))

    def _merged(self, request: Merge) -> Told:
        if request.mine is not None:
            self._mine = snapshot_of(request.mine)
        mine = self._mine
        base, base_id, told = self._opened(request.base)
        other, other_id, more = self._opened(request.other)
        last_id = max(request.last_id, base_id, other_id)
        listed = merge(base, mine, other, None, last_id)
        made = merge(base, mine, other, request.chosen, last_id, strict=False)
        order = [conflict.key for conflict in (*listed.open, *listed.settled)]
        questions = sorted((*made.open, *made.settled), key=lambda conflict: _place(conflict.key, order))
        edit = None
        if not made.open:
            whole = edit_to(
                mine, made.snapshot, made.last_id, _("Bring in {name}").format(name=Path(request.other).name)
            )
            edit = plain_edit(whole) if whole.edits else None
        return Told(
            request.at,
            tuple(_question(c, base, mine, made.b) for c in questions),
            made.notices,
            _count(base, mine),
            _count(base, other),
            edit,
            (*told, *more),
        )

    def _opened(self, path: str) -> tuple[Snapshot, int, tuple[str, ...]]:
        key = path, Path(path).stat().st_mtime_ns if Path(path).exists() else 0
        if key not in self._read:
            opened = load(path)
            if opened.installation.read_only:
                raise FileError(path, opened.installation.read_only)
            self._read[key] = opened.installation.snapshot(), opened.installation.last_id, _told(opened, path)
        return self._read[key]


def _told(opened: Opened, path: str) -> tuple[str, ...]:
    names = ", ".join(name for name, _text in opened.installation.unknown)
    if not names:
        return tuple(opened.notices)
    told = _("{path} holds what this version does not know, which is not brought in: {names}.")
    return (*opened.notices, told.format(path=Path(path).name, names=names))


def _place(key: str, order: list[str]) -> tuple[int, str]:
    return (order.index(key), key) if key in order else (len(order), key)


def _count(base: Snapshot, side: Snapshot) -> int:
    made = differences(base, side, "ids")
    return len({*made.added, *made.removed, *((c.table, c.item) for c in made.changed)})


def _question(conflict: Conflict, base: Snapshot, a: Snapshot, b: Snapshot) -> Question:
    def side(which: str) -> str:
        return side_words(conflict, which, base, a, b)  # type: ignore[arg-type]  # one of three

    ids = (conflict.item, *(item for _table, item in conflict.others))
    return Question(
        conflict.key, conflict_words(conflict, base, a, b), side("a"), side("b"), side("base"), conflict.choices,
        conflict.chosen, ids,
    )  # fmt: skip


# -- the process ------------------------------------------------------------------------------------------------------
def main() -> int:
    """Serve until the input ends."""
    words.load()

    def begin(send: Callable[[bytes], None]) -> Callable[[bytes], None]:
        merger = Merger(lambda answer: send(packed(answer)))
        return lambda body: merger.take(request_of(body))

    return serve(begin)


if __name__ == "__main__":
    sys.exit(main())
