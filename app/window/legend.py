"""Which sources are live on the sheet, above it, while live parts are told from dead ones."""

from __future__ import annotations

import html
from collections.abc import Collection
from typing import TYPE_CHECKING

from PySide6.QtCore import QSize, Qt
from PySide6.QtWidgets import QHBoxLayout, QLabel, QSizePolicy, QWidget

from app.canvas.inks import visible
from app.canvas.live_marks import SOURCE_COLOURS
from app.canvas.source_flags import order_of
from app.judgement import LiveParts
from engine.installation import Snapshot
from engine.words import _

if TYPE_CHECKING:
    from app.canvas.board import Board

__all__ = ["SourcesLegend", "legend_of"]

_MOST = 8  # told by name


class SourcesLegend(QWidget):
    """A line: every source that gives, with its colour and name; those that give nothing; where sources meet."""

    def __init__(self, board: Board, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setObjectName("legend")
        self.setAccessibleName(_("Sources that make something live"))
        self._board = board
        self.line = QLabel()
        self.line.setTextFormat(Qt.TextFormat.RichText)
        self.line.setWordWrap(True)
        self.line.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Preferred)
        row = QHBoxLayout(self)
        row.setContentsMargins(10, 3, 10, 3)
        row.addWidget(self.line, 1)
        board.live_told.connect(self._fill)
        board.shown.stands.connect(self._fill)
        self._fill()

    def minimumSizeHint(self) -> QSize:
        """It asks for no width."""
        return QSize(0, super().minimumSizeHint().height())

    def wear_inks(self) -> None:
        """The colours of sources are those the sheet shows."""
        self._fill()

    def _fill(self) -> None:
        live = self._board.live.live
        if live is None or not (live.sources or live.still):
            self.hide()
            return
        finder = self._board.finder()
        here = {piece.equipment for piece in finder.scene.on(finder.sheet)}
        here |= {part.run for part in finder.scene.parts_on(finder.sheet)}
        rich, plain = legend_of(self._board.document.snapshot(), live, here)
        if self.line.text() != rich:
            self.line.setText(rich)
            self.line.setAccessibleName(plain)
            self.line.setToolTip(plain)
        self.show()


def legend_of(snapshot: Snapshot, live: LiveParts, here: Collection[str]) -> tuple[str, str]:
    """The line as rich text, every word of the drawing escaped, and as plain text. `here`: what the sheet shows."""
    order = order_of(live)
    every = {source for item in live.live for source in live.sources.get(item, ())}
    giving = {source for item in here if item in live.live for source in live.sources.get(item, ())}
    rich: list[str] = []
    plain: list[str] = []
    named = [source for source in order if source in giving and source in snapshot.equipment]
    for source in named[:_MOST]:
        colour = visible(SOURCE_COLOURS[order.index(source) % len(SOURCE_COLOURS)]).name()
        name, more = snapshot.name(source), _more(snapshot, live, source)
        rich.append(
            f'<span style="background-color:{colour}">&nbsp;&nbsp;</span>&nbsp;<b>{html.escape(name)}</b>'
            + (f" {html.escape(more)}" if more else "")
        )
        plain.append(f"{name} {more}".rstrip())
    if len(named) > _MOST:
        more = _("and {n} more").format(n=len(named) - _MOST)
        rich.append(html.escape(more))
        plain.append(more)
    if not plain:
        rich, plain = [html.escape(_("nothing"))], [_("nothing")]
    parts = [(_("Live here from:"), " &nbsp; ".join(rich), "; ".join(plain))]
    away = [snapshot.name(item) for item in order if item in every - giving and item in snapshot.equipment]
    if away:
        told = ", ".join(away[:_MOST]) + ("…" if len(away) > _MOST else "")
        parts.append((_("On other sheets:"), html.escape(told), told))
    still = [snapshot.name(item) for item in live.still if item in snapshot.equipment]
    if still:
        told = ", ".join(still[:_MOST]) + ("…" if len(still) > _MOST else "")
        parts.append((_("Gives nothing:"), html.escape(told), told))
    if live.together:
        found = [(i, snapshot.equipment[i].ROLE == "bus") for i in live.together if i in snapshot.equipment]
        wide = sorted({snapshot.name(i) for i, is_bus in found if is_bus})  # where there is a bus it says enough
        some = wide or sorted({snapshot.name(i) for i, _is_bus in found})
        told = ", ".join(some[:_MOST]) + ("…" if len(some) > _MOST else "")
        told = _("! sources meet that are not recorded as built to run together: {where}").format(where=told)
        parts.append(("", f"<b>{html.escape(told)}</b>", told))
    spaced = (f"{html.escape(head)} {body}".strip() for head, body, _plain in parts)
    return " &nbsp;&nbsp; ".join(spaced), ". ".join(f"{head} {body}".strip() for head, _rich, body in parts)


def _more(snapshot: Snapshot, live: LiveParts, source: str) -> str:
    """What a source is called beside its designation, and what feeds it."""
    record = snapshot.equipment[source]
    title = record.label if record.designation else ""
    fed = [snapshot.name(item) for item in live.fed.get(source, ()) if item in snapshot.equipment]
    by = _("(fed from {sources})").format(sources=", ".join(fed)) if fed else ""
    return " ".join(part for part in (title, by) if part)
