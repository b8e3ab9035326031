"""Comparing in a process of its own: `python -m app.drawing.redlines.process`, requests on stdin, answers on stdout.

The window asks again when it was answered, so that nothing waits here; what it does not want any more it ends.
"""

from __future__ import annotations

import logging
import sys
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import msgspec

from app import words
from app.drawing.redlines.entries import entries_of, matched_words, pair_words, where_words
from app.drawing.redlines.messages import (
    Answer,
    Compared,
    Done,
    Failed,
    OlderSheet,
    Open,
    Request,
    compared_in_lots,
    marked_of,
    packed,
    request_of,
)
from app.drawing.redlines.sheets import Redlines, Side
from app.drawing.sheet import Body
from app.drawing.whereabouts import Whereabouts
from app.frames import serve
from engine.comparing import differences
from engine.files.drawing import FileError, load
from engine.files.edit_form import edit_of, snapshot_of
from engine.files.issues import as_issued
from engine.installation import Snapshot
from engine.words import _

__all__ = ["Comparer", "main"]

_UNTOLD = ("placements", "routes")  # matches of what is only drawn
log = logging.getLogger(__name__)


class Comparer:
    """Holds both drawings; answers one request after the other."""

    def __init__(self, send: Callable[[Answer], None]) -> None:
        self._send = send
        self._older: tuple[str, Snapshot, tuple[str, ...]] | None = None
        self._newer: Snapshot | None = None
        self._bodies: dict[str, Body] = {}  # of the older drawing's sheets: they stay as they are
        self._sent: dict[tuple[str, str], bytes] = {}  # strokes, by side and sheet

    def take(self, request: Request) -> None:
        """Compare and tell all of it. Raises nothing but what the stream raises."""
        try:
            self._compare(request)
        except FileError as fault:
            lines = str(fault).splitlines() or [_("the log tells why")]
            self._send(Failed(request.at, lines[0]))
        except BrokenPipeError:
            raise
        except Exception as fault:
            log.exception("comparison %d stopped", request.at)
            self._send(Failed(request.at, _("the comparison stopped ({kind})").format(kind=type(fault).__name__)))
        self._send(Done(request.at))

    def _compare(self, request: Request) -> None:
        if isinstance(request, Open):
            self._newer = snapshot_of(request.newer)
            if self._older is None or self._older[0] != request.older:
                path = Path(request.older)
                opened = load(path)
                issued, _whole = as_issued(path, opened)  # one that was altered since is told to be
                notices = tuple(text for text in (issued[:1].upper() + issued[1:], *opened.notices) if text)
                self._older = (request.older, opened.installation.snapshot(), notices)
        elif request.edit is not None and self._newer is not None:
            self._newer = _after(self._newer, request.edit)
        assert self._older is not None
        assert self._newer is not None
        _path, before, notices = self._older
        after = self._newer
        made = differences(before, after, request.match)  # type: ignore[arg-type]  # a `Match`
        entries = entries_of(before, after, made)
        redlines = Redlines(before, after, made, entries, bodies=self._bodies)
        old, new = Whereabouts(redlines.before), Whereabouts(redlines.after)
        wanted = list(_order(redlines, request.sheet))
        pairs = sorted(made.pairs, key=lambda pair: (not pair.unsure, pair.score))
        told = Compared(
            at=request.at,
            matched=made.matched,
            words=matched_words(made),
            entries=entries,
            matches=tuple((p.after, pair_words(before, after, p)) for p in pairs if p.table not in _UNTOLD),
            older=tuple(_older_sheets(redlines)),
            sheets=len(wanted),
            where={entry.number: text for entry in entries if (text := where_words(entry, old, new))},
            name=_name(before),
            notices=notices,
            only_drawn=made.only_drawn,
        )
        for part in compared_in_lots(told):
            self._send(part)
        for side, sheet in wanted:
            frame = redlines.whole_frame(side, sheet) if side == "older" else None
            marked = marked_of(request.at, redlines.redlined(side, sheet, labels_stay=True), frame)
            same = self._sent.get((side, sheet)) == marked.strokes
            self._sent[side, sheet] = marked.strokes
            self._send(msgspec.structs.replace(marked, strokes=b"", same=True) if same else marked)
        for key in self._sent.keys() - set(wanted):
            del self._sent[key]


def _after(snapshot: Snapshot, edit: dict[str, Any]) -> Snapshot:
    """A drawing after whole records were put."""
    tables = dict(snapshot.tables)
    lone = dict(snapshot.lone)
    fresh: set[str] = set()
    for put in edit_of(edit).edits:
        if put.table in lone:
            lone[put.table] = put.record
            continue
        if put.table not in fresh:
            tables[put.table] = dict(tables.get(put.table, {}))
            fresh.add(put.table)
        if put.record is None:
            tables[put.table].pop(put.id, None)
        else:
            tables[put.table][put.id] = put.record
    return Snapshot(tables=tables, lone=lone)


def _order(redlines: Redlines, looked_at: str) -> Iterator[tuple[Side, str]]:
    """Marked sheets, that which is looked at first; then every sheet of the older drawing, those that differ first."""
    marked = redlines.marked_sheets("newer")
    yield from (("newer", sheet) for sheet in sorted(marked, key=lambda sheet: sheet != looked_at))
    old = redlines.marked_sheets("older")
    yield from (("older", sheet) for sheet in sorted(redlines.sheets("older"), key=lambda sheet: sheet not in old))


def _older_sheets(redlines: Redlines) -> Iterator[OlderSheet]:
    from app.drawing.placed import paper

    for item, record in redlines.older.sheets:
        made = paper(record.size)
        number, over = redlines.older.number[item], redlines.over.get(item, "")
        yield OlderSheet(item, number, record.title, made.width, made.height, over)


def _name(snapshot: Snapshot) -> str:
    block = snapshot.title_block
    revision = _("revision {index}").format(index=block.revision) if block.revision else ""
    return ", ".join(part for part in (block.number, revision, block.date) if part)


# -- the process ------------------------------------------------------------------------------------------------------
def main() -> int:
    """Serve until the input ends."""
    words.load()

    def begin(send: Callable[[bytes], None]) -> Callable[[bytes], None]:
        comparer = Comparer(lambda answer: send(packed(answer)))
        return lambda body: comparer.take(request_of(body))

    return serve(begin)


if __name__ == "__main__":
    sys.exit(main())
