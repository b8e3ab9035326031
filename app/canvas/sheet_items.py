"""The items of the sheet that is shown, by owner. They are made and thrown away here and never leave the board."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping

from PySide6.QtWidgets import QGraphicsItem, QGraphicsScene

from app.canvas.items import Style, make_item, merged
from app.canvas.redraw import DOTS
from app.drawing.figures import FIGURE
from engine.picture import Box, Primitive, Text, text_box

__all__ = ["FLAGS", "MARKS", "SheetItems"]

# what lies over what
_FRAME, _RUNS, _DOTS, _EQUIPMENT, _NOTES, FLAGS, _FIGURES, MARKS = 1.0, 2.0, 3.0, 4.0, 5.0, 6.0, 7.0, 10.0


class SheetItems:
    """One display list as items, changed owner by owner.

    `is_run` tells runs from equipment by id: runs lie under symbols. `dress` may change the pens of fresh items.
    """

    def __init__(self, scene: QGraphicsScene, is_run: Callable[[str], bool]) -> None:
        self._scene, self._is_run = scene, is_run
        self.of: dict[str, tuple[Primitive, ...]] = {}
        self.items: dict[str, list[tuple[QGraphicsItem, Style]]] = {}
        self._text_boxes: dict[str, list[Box]] = {}
        self.dress: Callable[[str, Iterable[tuple[QGraphicsItem, Style]]], None] | None = None

    def show(self, of: Mapping[str, tuple[Primitive, ...]]) -> set[str]:
        """Show a display list instead of the present one; returns the owners that differ."""
        changed = {owner for owner in self.of if owner not in of}
        changed |= {owner for owner, primitives in of.items() if self.of.get(owner) != primitives}
        for owner in changed:
            self.put(owner, of.get(owner))
        return changed

    def put(self, owner: str, primitives: tuple[Primitive, ...] | None) -> None:
        """Show these for an owner; `None` takes it off the sheet."""
        for item, _style in self.items.pop(owner, ()):
            self._scene.removeItem(item)
        self._text_boxes.pop(owner, None)
        if primitives is None:
            self.of.pop(owner, None)
            return
        self.of[owner] = primitives
        z = self.level(owner)
        made = []
        for strokes in merged(primitives):
            item = make_item(strokes, z)
            self._scene.addItem(item)
            made.append((item, strokes.style))
        self.items[owner] = made
        if self.dress is not None:
            self.dress(owner, made)

    def text_boxes(self, owner: str) -> list[Box]:
        """Where an owner's type stands, in mm."""
        if owner not in self._text_boxes:
            texts = (p for p in self.of.get(owner, ()) if isinstance(p, Text))
            self._text_boxes[owner] = [text_box(p) for p in texts]
        return self._text_boxes[owner]

    def clear(self) -> None:
        """Take everything off."""
        for owner in list(self.items):
            self.put(owner, None)
        self.of.clear()

    def shift(self, owners: Iterable[str], dx: float, dy: float) -> None:
        """Show owners somewhere else for a while, in mm from where they stand."""
        for owner in owners:
            for item, _style in self.items.get(owner, ()):
                item.setPos(dx, dy)

    def hide(self, owners: Iterable[str], hidden: bool) -> None:
        """Hide owners for a while."""
        for owner in owners:
            for item, _style in self.items.get(owner, ()):
                item.setVisible(not hidden)

    def dress_all(self) -> None:
        """Let `dress` go over everything."""
        if self.dress is not None:
            for owner, items in self.items.items():
                self.dress(owner, items)

    def level(self, owner: str) -> float:
        """What of an owner lies over what of another: the higher."""
        if not owner:
            return _FRAME
        if owner == DOTS:
            return _DOTS
        if owner.startswith("flag:"):
            return FLAGS
        if owner.startswith("note:"):
            return _NOTES
        if owner.startswith(FIGURE):
            return _FIGURES
        return _RUNS if self._is_run(owner) else _EQUIPMENT
