"""Drawing fast: the small line over the sheet, and doing again what was done last. One for each board, made when used.

Every way ends in one edit; what cannot be done is told in the line, and Escape leaves everything as it was.
"""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from typing import TYPE_CHECKING, Any

import msgspec
from PySide6.QtCore import QEvent, QObject, QPoint

from app.canvas.tool import Spot
from app.canvas.tools import acts
from app.canvas.tools.grid import is_on_line, parts_of
from app.drawing import changes
from app.drawing.changes import Grip, Made
from app.window.quick.line import Asked, QuickLine
from engine.edits import EditError
from engine.equipment.base import Equipment
from engine.installation import Run
from engine.naming import title_of
from engine.phrases import (
    Proposal,
    Read,
    joined_phrases,
    place_phrases,
    record_with,
    run_with,
    set_edit,
    set_phrases,
    split_run,
    template_phrases,
)
from engine.words import _, ngettext

if TYPE_CHECKING:
    from app.canvas.board import Board

__all__ = ["Fast", "fast_of"]

_PLACE_EXAMPLE = "class t 300 a"
_SET_RUN_EXAMPLE = "35 mm2 3.5 m"
_SET_RUN_EXAMPLE_US = "2/0 10 ft"


def fast_of(board: Board) -> Fast:
    """What draws fast on a board."""
    found = board.findChild(Fast)
    return found if isinstance(found, Fast) else Fast(board)


class Fast(QObject):
    """Opens the line for one thing after the other."""

    def __init__(self, board: Board) -> None:
        super().__init__(board)
        self.board = board
        self._line: QuickLine | None = None
        board.document.turned_to.connect(self._close)

    # -- the line -------------------------------------------------------------------------------------------------
    @property
    def line(self) -> QuickLine:
        """The line, made when it is first wanted."""
        if self._line is None:
            self._line = QuickLine(self.board.window())
            self._line.closed.connect(self._closed)
            self.board.viewport().installEventFilter(self)
        return self._line

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        """A press on the board gives the line up, in a window that is not active too, where no focus is lost."""
        if event.type() == QEvent.Type.MouseButtonPress:
            self._close()
        return super().eventFilter(watched, event)

    @property
    def is_open(self) -> bool:
        """Whether a line is open."""
        return self._line is not None and self._line.is_open

    def _close(self) -> None:
        if self._line is not None:
            self._line.close_line()

    def _closed(self) -> None:
        self.board.setFocus()

    def _open(self, spot: Spot, asked: Asked) -> None:
        if self.board.document.read_only:
            self.board.refused.emit(
                _("The drawing is open to read only: {why}").format(why=self.board.document.read_only)
            )
            return
        self.line.open_at(self._point(spot), asked)

    def ask(self, spot: Spot, asked: Asked) -> None:
        """Open the line near a point of the sheet for something of another part of the window."""
        self._open(spot, asked)

    def _point(self, spot: Spot) -> QPoint:
        """A point of the sheet in the window; the middle of the board where it is out of sight."""
        board = self.board
        at = board.to_viewport(spot.x, spot.y).toPoint()
        if not board.viewport().rect().contains(at):
            at = board.viewport().rect().center()
        return board.viewport().mapTo(board.window(), at)

    @property
    def _recent(self) -> tuple[str, ...]:
        desk = getattr(self.board.window(), "desk", None)
        used = [] if desk is None else desk.settings.get("kinds_used")
        return tuple(kind for kind in used if isinstance(kind, str))

    def _used(self, kind: str) -> None:
        """It is among those lately used from now on."""
        window: Any = self.board.window()
        if hasattr(window, "pages"):
            page = window.pages.kinds_list()
            page.set_recent((kind, *page.recent))
            window.desk.settings.set("kinds_used", list(page.recent))

    @property
    def origin(self) -> str:
        """Where values that are typed come from, as on the page of particulars."""
        pages = getattr(self.board.window(), "pages", None)
        return "typed" if pages is None else pages.typed_from()

    # -- placing --------------------------------------------------------------------------------------------------
    def place(self, text: str = "") -> None:
        """Type what is to be placed; while a run is being drawn it is joined to that."""
        from app.canvas.tools.running import Running

        board = self.board
        if not board.document.sheet:
            board.refused.emit(_("There is no sheet to place it on; add one first."))
            return
        tool = board.tool
        spot = acts.cursor_spot(board)
        if isinstance(tool, Running) and tool.open_onward(spot):
            return
        self._open(spot, Asked(_("Place equipment"), _PLACE_EXAMPLE, self._read_place, self.take_in_hand, text))

    def _read_place(self, text: str) -> Read:
        first, second = split_run(text)
        if second:
            return Read((), _("What follows “;” is for a run, and none is drawn here."))
        read = place_phrases(first, self.board.document.snapshot(), self._recent)
        named = tuple(Proposal("", (), title, name) for name, title, _purpose in template_phrases(first))
        why = read.why or (_("No kind of equipment answers to “{text}”.").format(text=first) if first else "")
        return Read((*read.proposals, *named), why)

    def take_in_hand(self, proposal: Proposal) -> str:
        """Take what was typed in hand, to be put on the sheet; why it cannot be, "" where it is."""
        from app.canvas.tools.placing import Placing

        board = self.board
        if proposal.template:
            return self._take_template(proposal.template)
        try:
            record = record_with(proposal.kind, proposal.given, self.origin, board.document.snapshot())
        except EditError as fault:
            return str(fault)
        self._used(proposal.kind)
        board.take_up(Placing(board, proposal.kind, record=record))
        board.setFocus()
        return ""

    def _take_template(self, name: str) -> str:
        window: Any = self.board.window()
        if not hasattr(window, "pages"):
            return _("Templates are placed from their page.")
        page = window.pages.templates()
        page.which.setCurrentIndex(page.which.findData(name))
        page.place_by_click()
        return "" if self.board.tool.NAME == "set" else _("The template cannot be placed here; its page tells why.")

    # -- setting --------------------------------------------------------------------------------------------------
    @property
    def settable(self) -> tuple[str, ...]:
        """Equipment and runs among what is chosen."""
        snapshot = self.board.document.snapshot()
        return tuple(i for i in self.board.document.selection if i in snapshot.equipment or i in snapshot.runs)

    def set(self, text: str = "") -> None:
        """Type values of what is chosen."""
        board, items = self.board, self.settable
        snapshot = board.document.snapshot()
        if not items:
            board.refused.emit(_("Nothing is chosen that values could be set on."))
            return
        name = title_of(snapshot, "equipment" if items[0] in snapshot.equipment else "runs", items[0])
        if len(items) > 1:
            more = len(items) - 1
            name = ngettext("{first} and {more} more", "{first} and {more} more", more).format(first=name, more=more)
        run_example = _SET_RUN_EXAMPLE_US if snapshot.settings.units == "US" else _SET_RUN_EXAMPLE
        self._open(
            self._spot_of(items[0]),
            Asked(
                _("Set on {name}").format(name=name),
                run_example if items[0] in snapshot.runs else _PLACE_EXAMPLE,
                partial(self._read_set, items),
                partial(self._take_set, items),
                text,
            ),
        )

    def _spot_of(self, item: str) -> Spot:
        """Where the line opens: at the pointer where that is on the thing, else beside the thing."""
        board = self.board
        here = acts.cursor_spot(board)
        if board.hit(here).item == item:
            return here
        box = board.finder().box_of(item)
        return here if box is None else board.spot_mm(box.right, (box.top + box.bottom) / 2)

    def _read_set(self, items: tuple[str, ...], text: str) -> Read:
        return set_phrases(text, self.board.document.snapshot(), items)

    def _take_set(self, items: tuple[str, ...], proposal: Proposal) -> str:
        document = self.board.document
        return self._try(lambda: set_edit(document.snapshot(), items, proposal.given, self.origin))

    def _try(self, make: Callable[[], Any]) -> str:
        """One edit; why it cannot be done, "" where it was."""
        try:
            made = make()
            self.board.document.do(getattr(made, "edit", made))
        except EditError as fault:
            return str(fault)
        return ""

    # -- into a run -----------------------------------------------------------------------------------------------
    def insert(self, text: str = "") -> None:
        """Type what is put into the chosen run."""
        board = self.board
        runs = [run for run in acts.chosen_runs(board) if parts_of(board, run)]
        if len(runs) != 1 or board.grasped:
            board.refused.emit(_("Choose one run of this sheet to put something into."))
            return
        run = runs[0]
        spot = self._spot_in(run)
        title = _("Insert into {run}; the lengths of its two parts are unknown then, unless told after “;”").format(
            run=board.document.snapshot().name(run)
        )
        self._open(spot, Asked(title, _PLACE_EXAMPLE, self._read_joined, partial(self._take_insert, run, spot), text))

    def _spot_in(self, run: str) -> Spot:
        """The pointer where it is on the run, else the middle of its longest stretch."""
        board = self.board
        here = acts.cursor_spot(board)
        if is_on_line(board, here, run):
            return here
        lines = [
            (part.points[n], part.points[n + 1]) for part in parts_of(board, run) for n in range(len(part.points) - 1)
        ]
        (ax, ay), (bx, by) = max(lines, key=lambda s: abs(s[0][0] - s[1][0]) + abs(s[0][1] - s[1][1]))
        return board.spot_at((ax + bx) // 2, (ay + by) // 2)

    def _take_insert(self, run: str, spot: Spot, proposal: Proposal) -> str:
        document = self.board.document

        def make() -> Made:
            snapshot = document.snapshot()
            record = record_with(proposal.kind, proposal.given, self.origin, snapshot)
            one = changes.place(
                snapshot,
                document.installation.last_id,
                proposal.kind,
                document.sheet,
                spot.column,
                spot.row,
                on_run=run,
                record=record,
            )
            if proposal.run:
                one = changes.parted_known(snapshot, one, run, self._run_change(proposal))
            return one

        return self._place(proposal.kind, make)

    def _place(self, kind: str, make: Callable[[], Made], done: Callable[[], None] = lambda: None) -> str:
        """Do what makes equipment and choose it; why it cannot be done, "" where it was."""
        made: list[Made] = []

        def once() -> Made:
            made.append(make())
            return made[-1]

        why = self._try(once)
        if not why:
            self._used(kind)
            done()
            acts.grasp_items(self.board, made[0].items[:1])
        return why

    def _run_change(self, proposal: Proposal) -> Callable[[Run], Run]:
        origin = self.origin
        return lambda run: run_with(run, proposal.run, origin)

    # -- on from the end of a run -----------------------------------------------------------------------------------
    def join(
        self,
        spot: Spot,
        start: Grip,
        corners: tuple[tuple[int, int], ...],
        done: Callable[[], None],
        leave: Callable[[], None],
    ) -> None:
        """Type what comes next at the end of a run that is being drawn: it is placed and joined."""
        self._open(
            spot,
            Asked(
                _("What comes next, joined by this run"),
                _PLACE_EXAMPLE,
                self._read_joined,
                partial(self._take_joined, spot, start, corners, done),
                leave=leave,
            ),
        )

    def _read_joined(self, text: str) -> Read:
        read = joined_phrases(text, self.board.document.snapshot(), self._recent)
        if read.proposals or read.why or not text.strip():
            return read
        return Read((), _("No kind of equipment answers to “{text}”.").format(text=split_run(text)[0]))

    def _take_joined(
        self,
        spot: Spot,
        start: Grip,
        corners: tuple[tuple[int, int], ...],
        done: Callable[[], None],
        proposal: Proposal,
    ) -> str:
        document = self.board.document

        def make() -> Made:
            snapshot = document.snapshot()
            record = record_with(proposal.kind, proposal.given, self.origin, snapshot)
            return changes.place_joined(
                snapshot,
                document.installation.last_id,
                record,
                document.sheet,
                spot.column,
                spot.row,
                start,
                corners=corners,
                change=self._run_change(proposal) if proposal.run else None,
            )

        return self._place(proposal.kind, make, done)

    # -- again ------------------------------------------------------------------------------------------------------
    def repeat(self) -> None:
        """Do again what was done last: set the same values on what is chosen, or take the same equipment in hand."""
        from app.window.quick.again import again

        found = again(self.board)
        if found is None:
            self.board.refused.emit(_("Nothing was placed or set yet that could be repeated."))
        elif found.record is not None:
            self.take_again(found.record)
        else:
            document = self.board.document
            why = self._try(lambda: set_edit(document.snapshot(), found.items, found.given, ""))
            if why:
                self.board.refused.emit(why)

    def take_again(self, record: Equipment) -> None:
        """Take equipment in hand that is as another one."""
        from app.canvas.tools.placing import Placing

        self.board.take_up(Placing(self.board, record.KIND, record=msgspec.structs.replace(record)))
        self.board.setFocus()
