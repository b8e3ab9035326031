"""What lies on the board: the document's sheet, what is selected on it, previews, live parts. No events."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence

from PySide6.QtCore import QPoint, QPointF, Signal
from PySide6.QtWidgets import QWidget

from app.canvas.dragging import Drag
from app.canvas.finding import Finder
from app.canvas.live_marks import LiveMarks
from app.canvas.marks import Marks
from app.canvas.shown import Shown
from app.canvas.telling import told_selection
from app.canvas.tool import Hit, Spot
from app.canvas.view import SheetView
from app.drawing.looks import STEP
from app.drawing.placed import Scene
from app.judgement import LiveParts
from app.window.document import Document
from engine.edits import Edit, EditError
from engine.picture import Box, Primitive
from engine.words import _

__all__ = ["Surface"]


class Surface(SheetView):
    """The sheet of a document with everything that is shown over it. What it tells are ids, numbers and sentences."""

    refused = Signal(str)  # why an edit could not be done
    revealing = Signal(str)  # this id is about to be shown on its sheet
    live_told = Signal()  # what is told of live parts is another

    def __init__(self, document: Document, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.document = document
        self._grasped: tuple[str, ...] = ()
        self._drag: Drag | None = None
        self._operating = False
        self._note = 0  # number of the note that is marked
        self._ringed: str | tuple[str, ...] = "none"
        self._crossed: frozenset[tuple[str, str]] = frozenset()
        self.shown = Shown(document, self.scene(), self)
        self.marks = Marks(self.scene(), self)
        self.live = LiveMarks(self.scene())
        self.shown.items.dress = self.live.dress
        self.shown.stands.connect(self._stands)
        document.selected.connect(self._selected)
        document.lit.connect(self._lit)
        document.conditioned.connect(self._lit)
        document.conditioned.connect(self._name)
        document.turned_to.connect(self._turned)
        document.layered.connect(self._name)
        self.shown.turn()
        self._turned()
        self._selected()

    def try_edit(self, edit: Edit | Callable[[], object]) -> bool:
        """Do an edit, or what a function makes (an edit, or something with an `edit`); what cannot be done is told."""
        try:
            made = edit() if callable(edit) else edit
            made = getattr(made, "edit", made)
            if made is not None:
                self.document.do(made)  # type: ignore[arg-type]  # an `Edit`
        except EditError as fault:
            self.refused.emit(str(fault))
            return False
        return True

    # -- what is where ---------------------------------------------------------------------------------------
    def scene_now(self) -> Scene:
        """Placements and routes of the sheet that is shown; the same object until the next edit."""
        return self.shown.scene()

    def finder(self) -> Finder:
        """Geometry of the sheet that is shown."""
        return self.shown.finder()

    def spot(self, viewport_point: QPoint | QPointF) -> Spot:
        """A point of the viewport on the sheet."""
        at = self.to_sheet(viewport_point)
        return self.spot_mm(at.x(), at.y())

    def spot_mm(self, x: float, y: float) -> Spot:
        """A point of the sheet with the nearest point of the grid."""
        sight = self.finder().sight
        return Spot(x, y, round((x - sight.left) / STEP), round((y - sight.top) / STEP))

    def spot_at(self, column: int, row: int) -> Spot:
        """A point of the grid."""
        x, y = self.finder().sight.at((column, row))
        return Spot(x, y, column, row)

    def hit(self, spot: Spot) -> Hit:
        """What is there, the smallest thing first."""
        return self.finder().at(spot.x, spot.y, 1.0 / self.pixels_per_mm)

    def within(self, box: Box) -> tuple[tuple[str, ...], tuple[str, ...]]:
        """Placements, and runs and remarks, that lie in a box, in mm."""
        return self.finder().within(box)

    # -- what is selected ------------------------------------------------------------------------------------
    @property
    def grasped(self) -> tuple[str, ...]:
        """Placements of the selection on this sheet."""
        return self._grasped

    def grasp(self, placements: Iterable[str], runs: Iterable[str] = (), add: bool = False) -> None:
        """Select symbols, and runs and remarks (by id), of this sheet; `add`: besides what is selected."""
        pieces = self.scene_now().pieces
        held = dict.fromkeys(p for p in placements if p in pieces)
        kept: tuple[str, ...] = ()
        if add:
            held |= dict.fromkeys(self._grasped)
            kept = self.document.selection
        self._grasped = tuple(held)
        self.document.select(*dict.fromkeys((*(pieces[p].equipment for p in held), *runs, *kept)))
        self._mark()

    def _selected(self) -> None:
        """Keep in step with the document: placements that are held stay, others of the selection are added."""
        self.setAccessibleDescription(told_selection(self.document.snapshot(), self.document.selection))
        self._follow()
        self._mark()

    def _follow(self) -> None:
        scene, sheet = self.scene_now(), self.document.sheet
        held = []
        for item in self.document.selection:
            here = [p.id for p in scene.of.get(item, ()) if p.placement.sheet == sheet]
            held += [p for p in here if p in self._grasped] or here
        self._grasped = tuple(held)

    def _mark(self) -> None:
        finder = self.finder()
        boxes = [box for p in self._grasped if (box := finder.box_of(p)) is not None]
        boxes += [finder.remark_boxes[i] for i in self.document.selection if i in finder.remark_boxes]
        chosen = set(self.document.selection) & self.document.snapshot().runs.keys()
        lines = []
        if chosen:
            parts = finder.scene.parts_on(finder.sheet)
            lines = [[finder.sight.at(p) for p in part.points] for part in parts if part.run in chosen]
        self.marks.select(boxes, lines)

    def _stands(self) -> None:
        """What stands where may be another: all that is shown over it follows."""
        self.set_paper(*self.shown.size())
        self._follow()
        self._mark()
        if self._note:
            self.show_note(self._note)
        if self._ringed != "none":
            self.mark_terminals(self._ringed, self._crossed)
        if self.live.live is not None:
            self.live.set_signs(self.finder())
        self._show_way()

    def _turned(self) -> None:
        self.settle()
        self.clear_preview()
        self.marks.end_flash()
        self.show_note(0)
        self._name()

    def _name(self) -> None:
        """What a screen reader calls the sheet, and what lies over it."""
        sheets = self.document.sheets()
        record = self.document.installation.get("sheets", self.document.sheet)
        if record is None:
            self.setAccessibleName(_("No sheet"))
            return
        number = sheets.index(self.document.sheet) + 1
        name = _("Sheet {n}: {title}") if record.title else _("Sheet {n}")
        text = name.format(n=number, title=record.title)
        layer = self.document.layer
        if layer is not None:
            over = _("currents and drops") if layer.what == "flow" else _("fault currents")
            text = _("{sheet}, with {figures}").format(sheet=text, figures=over)
        if self.document.state is not None:
            text = _("{sheet}, in a state that is not stored: {title}").format(
                sheet=text, title=self.document.state.title
            )
        self.setAccessibleName(text)

    def wear_inks(self) -> None:
        """Everything on the sheet anew, in the inks of the screen as they are now."""
        self.colour_desk()
        self.marks.wear_inks()
        self.live.wear_inks()
        self.shown.items.dress_all()

    # -- previews --------------------------------------------------------------------------------------------
    def lift(self, placements: Iterable[str], dx: float, dy: float, remarks: tuple[str, ...] = ()) -> None:
        """Show symbols and remarks so many grid steps from where they stand, runs following; nothing is changed."""
        wanted = tuple(placements)
        if self._drag is None or (self._drag.placements, self._drag.remarks) != (wanted, remarks):
            self.settle()
            self.shown.hold(True)
            self._drag = Drag(self.scene(), self.shown.items, self.scene_now(), self.document.sheet, wanted, remarks)
        self._drag.move(dx, dy)
        if set(wanted) == set(self._grasped):
            self.marks.shift_selection(dx * STEP, dy * STEP)

    def settle(self) -> None:
        """Take that preview away."""
        if self._drag is not None:
            self._drag.end()
            self._drag = None
            self.shown.hold(False)
            self._mark()

    def show_ghost(self, primitives: Iterable[Primitive]) -> None:
        """Strokes in mm of what would be placed."""
        self.marks.show_ghost(primitives)

    def show_rubber(self, points: Sequence[tuple[float, float]], ok: bool = True) -> None:
        """A line in mm that would be drawn; `ok`: it would do. Closed, it is the rectangle one selects by."""
        if len(points) == 5 and points[0] == points[-1]:
            (left, top), (right, bottom) = points[0], points[2]
            self.show_band(Box(left, top, right, bottom))
        else:
            self.marks.show_rubber(points, ok)

    def show_band(self, box: Box | None) -> None:
        """The rectangle one selects by, in mm."""
        self.marks.show_band(box)

    def show_insert(self, x: float, y: float, upright: bool) -> None:
        """Where on a run (`upright` there or level) something would be inserted, in mm."""
        self.marks.show_insert(x, y, upright)

    def clear_preview(self) -> None:
        """Take ghost, lines and rectangle away."""
        self.marks.clear_preview()

    def mark_terminals(self, which: str | Iterable[str], crossed: Iterable[tuple[str, str]] = ()) -> None:
        """Rings at the terminals of all symbols ("all"), of some placements, or of none ("none").

        Those `crossed` out (placement, terminal) will not do; a bus that will not is left out.
        """
        self._ringed = which if isinstance(which, str) else tuple(which)
        self._crossed = frozenset(crossed)
        if which == "none":
            self.marks.ring_terminals((), ())
            return
        crosses: list[tuple[float, float]] = []
        finder = self.finder()
        rings: list[tuple[float, float]] = []
        bars: list[Box] = []
        for piece in finder.scene.on(finder.sheet):
            if which != "all" and piece.id not in self._ringed:
                continue
            names = [name for name in piece.look.ports if piece.shows(name)]
            fit = [name for name in names if (piece.id, name) not in self._crossed]
            if not piece.is_bar:
                rings += [finder.port(piece, name) for name in fit]
                crosses += [finder.port(piece, name) for name in names if name not in fit]
            elif fit:
                (ax, ay), (bx, by) = (finder.sight.at(p) for p in piece.ends())
                bars.append(Box(ax, ay, bx, by).grown(1.4))
        self.marks.ring_terminals(rings, bars, crosses)

    @property
    def note(self) -> int:
        """The note that is marked, 0 for none."""
        return self._note

    def show_note(self, number: int) -> None:
        """Mark a note in the margin and its flags; 0 for none."""
        finder = self.finder()
        boxes = [of[number] for of in (self.shown.note_boxes, finder.flag_boxes) if number in of]
        self._note = number
        self.marks.point_at(boxes)

    # -- what is live ----------------------------------------------------------------------------------------
    @property
    def operating(self) -> bool:
        """Whether live parts are told from dead ones."""
        return self._operating

    @operating.setter
    def operating(self, on: bool) -> None:
        if on != self._operating:
            self._operating = on
            self._lit()

    def _lit(self, _live: LiveParts | None = None) -> None:
        live = self.document.live if self._operating or self.document.state is not None else None
        self._show_way()
        if live is self.live.live:
            return
        self.live.live = live
        self.shown.items.dress_all()
        self.live.set_signs(self.finder() if live is not None else None)
        self.live_told.emit()

    def _show_way(self) -> None:
        """Mark what the state that is shown is about."""
        state, live = self.document.state, self.document.live
        wanted = set() if state is None else {*state.state.about, *(live.way if live is not None else ())}
        if not wanted:
            self.marks.show_way((), ())
            return
        finder = self.finder()
        boxes = [finder.boxes[p.id] for p in finder.scene.on(finder.sheet) if p.equipment in wanted]
        parts = finder.scene.parts_on(finder.sheet)
        self.marks.show_way(boxes, [[finder.sight.at(p) for p in part.points] for part in parts if part.run in wanted])

    # -- going to things -------------------------------------------------------------------------------------
    def reveal(self, item: str) -> bool:
        """Turn to the sheet that shows a thing, bring it into view, ring it for a moment; whether it is drawn."""
        self.revealing.emit(item)
        tables = self.document.installation.tables
        if item in tables["sheets"]:
            self.document.turn_to(item)
            return True
        if self.finder().box_of(item) is None:
            sheet = self._sheet_of(item)
            if sheet:
                self.document.turn_to(sheet)
        box = self.finder().box_of(item)
        if box is None:
            return False
        self.show_box(box)
        self.marks.flash(box)
        return True

    def flash(self, items: Iterable[str]) -> None:
        """Ring things of this sheet for a moment."""
        finder = self.finder()
        boxes = [box for item in items if (box := finder.box_of(item)) is not None]
        if boxes:
            self.marks.flash(*boxes)

    def _sheet_of(self, item: str) -> str:
        snapshot = self.document.snapshot()
        if item in snapshot.placements:
            return snapshot.placements[item].sheet
        if item in snapshot.remarks:
            return snapshot.remarks[item].sheet
        run = snapshot.runs.get(item)
        routed = {route.sheet for route in snapshot.routes.values() if route.run == item}
        ends = {item} if run is None else {run.from_end.equipment, run.to_end.equipment}
        placed = {p.sheet for p in snapshot.placements.values() if p.equipment in ends}
        return next((s for wanted in (routed, placed) for s in self.document.sheets() if s in wanted), "")
