"""The sheet that is shown, kept in step with the document: at once by itself, then as the study process draws it."""

from __future__ import annotations

from typing import NamedTuple

from PySide6.QtCore import QObject, Signal
from PySide6.QtWidgets import QGraphicsScene

from app.canvas.finding import Finder
from app.canvas.redraw import FIND_STEPS, Of, dotted, first_picture, redrawn
from app.canvas.sheet_items import SheetItems
from app.drawing.changes import scene_of
from app.drawing.figures import FIGURE
from app.drawing.in_condition import State, in_condition
from app.drawing.placed import Scene, paper
from app.drawing.routes import find_missing
from app.drawing.sheets import grid_of
from app.drawing.whole.in_view import in_view
from app.judgement import SheetPicture
from app.window.document import Document
from engine.installation import Snapshot
from engine.picture import Box

__all__ = ["Shown"]

_MOST_ROUTES = 40  # found here where none are stored; more would be felt


class _Kept(NamedTuple):
    """A sheet as it was last shown or drawn, and the drawing it is true for."""

    snapshot: Snapshot
    of: Of
    note_boxes: dict[int, Box]


class Shown(QObject):
    """Items of the document's sheet. `stands` is emitted whenever what stands where may be another."""

    stands = Signal()

    def __init__(self, document: Document, scene: QGraphicsScene, parent: QObject) -> None:
        super().__init__(parent)
        self.document = document
        self.items = SheetItems(scene, self._is_run)
        self.note_boxes: dict[int, Box] = {}
        self.held = False  # while something is lifted nothing is drawn anew
        self._late = False  # something came meanwhile
        self._sheet = ""
        self._kept: dict[str, _Kept] = {}
        self._drawn: Scene | None = None  # what the items show
        self._scene: tuple[Snapshot, str, Scene] | None = None
        self._looked: tuple[Snapshot, str, State | None, str, Snapshot] | None = None
        self._finder: Finder | None = None
        document.changed.connect(self._changed)
        document.conditioned.connect(self._changed)
        document.viewed.connect(self._changed)
        document.turned_to.connect(self.turn)
        document.drawn.connect(self._picture)
        document.layered.connect(self._layered)

    def _is_run(self, owner: str) -> bool:
        return self.document.installation.get("runs", owner) is not None or owner[:1] == "r"

    # -- what is true now -------------------------------------------------------------------------------------------
    def snapshot(self) -> Snapshot:
        """The drawing as it is shown: with its switches in a condition or state, before the work, after it."""
        now, condition = self.document.snapshot(), self.document.condition
        state = None if self.document.state is None else self.document.state.state
        view = self.document.view
        kept = self._looked
        if kept is None or kept[0] is not now or kept[1:4] != (condition, state, view):
            made = in_view(in_condition(now, condition, state), view)
            kept = self._looked = (now, condition, state, view, made)
        return kept[4]

    def scene(self) -> Scene:
        """Placements and routes of the sheet; the same object until the next edit."""
        snapshot, sheet = self.snapshot(), self.document.sheet
        kept = self._scene
        if kept is None or kept[0] is not snapshot or kept[1] != sheet:
            kept = self._scene = (snapshot, sheet, _scene(snapshot, sheet))
        return kept[2]

    def finder(self) -> Finder:
        """Geometry of the sheet."""
        scene = self.scene()
        if self._finder is None or self._finder.scene is not scene:
            items = self.items
            self._finder = Finder(scene, self.document.sheet, items.of, self.note_boxes, items.text_boxes)
        return self._finder

    def size(self) -> tuple[float, float]:
        """The sheet's paper in mm; that of new sheets where there is none."""
        record = self.document.installation.get("sheets", self.document.sheet)
        made = paper(record.size if record is not None else self.document.snapshot().settings.sheet_size)
        return made.width, made.height

    # -- keeping in step ----------------------------------------------------------------------------------------------
    def turn(self) -> None:
        """Show the document's sheet."""
        self._keep()
        sheet = self._sheet = self.document.sheet
        kept = self._kept.get(sheet)
        self._finder = None
        if not sheet:
            self.items.clear()
            self.note_boxes, self._drawn = {}, None
            self.stands.emit()
            return
        now = self.scene()
        size = self.document.snapshot().sheets[sheet].size
        if kept is not None and kept.snapshot.sheets[sheet].size == size:
            self.note_boxes = kept.note_boxes
            of = dict(kept.of)
            if kept.snapshot is not self.snapshot():
                for owner, primitives in redrawn(of, _scene(kept.snapshot, sheet), now, sheet).items():
                    if primitives is None:
                        of.pop(owner, None)
                    else:
                        of[owner] = primitives
        else:
            self.note_boxes = {}
            of = dotted(first_picture(self.snapshot(), sheet))
        self.items.show(of)
        self._drawn = now
        self.stands.emit()

    def _keep(self) -> None:
        if self._sheet and self._drawn is not None:
            of = {owner: each for owner, each in self.items.of.items() if not owner.startswith(FIGURE)}
            self._kept[self._sheet] = _Kept(self._drawn_for, of, self.note_boxes)

    @property
    def _drawn_for(self) -> Snapshot:
        assert self._scene is not None
        return self._scene[0]

    def _changed(self, _change: object = None) -> None:
        if self.held:
            self._late = True
            return
        sheets = self.document.installation.tables["sheets"]
        for gone in self._kept.keys() - sheets.keys():
            del self._kept[gone]
        if self._sheet != self.document.sheet:
            return  # `turn` follows, or has been
        before = self._drawn
        if before is None or self._sheet not in sheets:
            self.turn()
            return
        if before.snapshot.sheets[self._sheet].size != sheets[self._sheet].size:
            self._drawn = None
            self._kept.pop(self._sheet, None)
            self.turn()
            return
        now = self.scene()
        if now is before:
            return
        for owner, primitives in redrawn(self.items.of, before, now, self._sheet, self.items.text_boxes).items():
            self.items.put(owner, primitives)
        self._drawn = now
        self._finder = None
        self.stands.emit()

    def _picture(self, picture: SheetPicture) -> None:
        if picture.sheet != self.document.sheet:
            self._kept[picture.sheet] = _Kept(self.snapshot(), dotted(picture.of), picture.note_boxes)
            return
        if self.held:
            self._late = True
            return
        self._sheet = picture.sheet
        self.items.show(dotted(picture.of) | self._figures())
        self.note_boxes = picture.note_boxes
        self._drawn = self.scene()
        self._finder = None
        self.stands.emit()

    def _figures(self) -> Of:
        """What lies over the sheet: nothing that the drawing has left behind."""
        layer = self.document.layer
        return {} if layer is None or layer.sheet != self.document.sheet else dict(layer.of)

    def _layered(self) -> None:
        """Put the layer over the sheet, owner by owner, or take off what is not true any more, even while held."""
        wanted = {} if self.held else self._figures()
        if self.held and self.document.layer is not None:
            self._late = True
        was = {owner: each for owner, each in self.items.of.items() if owner.startswith(FIGURE)}
        if wanted == was:
            return
        for owner in was.keys() | wanted.keys():
            if was.get(owner) != wanted.get(owner):
                self.items.put(owner, wanted.get(owner))
        self._finder = None
        self.stands.emit()

    def hold(self, held: bool) -> None:
        """While held nothing is drawn anew; what came meanwhile is drawn after."""
        self.held = held
        if not held and self._late:
            self._late = False
            self._changed()
            picture = self.document.pictures.get(self.document.sheet)
            if picture is not None:
                self._picture(picture)
            self._layered()


def _scene(snapshot: Snapshot, sheet: str) -> Scene:
    """The symbols and runs of a sheet; a run without a stored way is given one, as on paper."""
    scene = scene_of(snapshot, sheet)
    if scene.unrouted:
        scene.unrouted = scene.unrouted[:_MOST_ROUTES]
        find_missing(scene, {item: grid_of(record) for item, record in scene.sheets}, FIND_STEPS)
    return scene
