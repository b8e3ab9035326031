"""The whole drawing set: cover, sheets, pages of notes."""

from __future__ import annotations

from app.drawing.placed import Scene, set_scene
from app.drawing.revisions import in_triangle
from app.drawing.sheets import pictures
from app.drawing.squares.which import drawn_with
from app.handover.drawings.cover import Cover
from app.paper.mono import in_mono
from engine.check import CheckResult
from engine.installation import Snapshot
from engine.picture import Picture

__all__ = ["drawing_set", "is_empty"]


def drawing_set(
    snapshot: Snapshot,
    result: CheckResult | None,
    *,
    size: str | None = None,
    before: Snapshot | None = None,
    mono: bool = False,
    view: str = "all",
    deficiencies: str = "all",
) -> tuple[Picture, ...]:
    """The pages, the cover first; of a drawing without equipment and sheets the cover alone.

    `size`: paper instead of each sheet's own; what has changed since `before` is clouded; `mono`: no colours;
    `view`: the drawing before or after the work; `deficiencies`: all of them, those that are open, none.
    Raises `KeyError` for a size there is no frame for.
    """
    snapshot = drawn_with(snapshot, deficiencies)
    own = next((sheet.size for _item, sheet in Scene(snapshot).sheets), snapshot.settings.sheet_size)
    index = None if before is None else in_triangle(snapshot.title_block.revision)
    cover = Cover(snapshot, result, size or own, index, only=is_empty(snapshot))
    if is_empty(snapshot):
        made = tuple(cover.pages(set_scene(snapshot), 0))
    else:
        made = pictures(snapshot, result, size=size, before=before, front=cover, view=view)
    return tuple(map(in_mono, made)) if mono else made


def is_empty(snapshot: Snapshot) -> bool:
    """Whether there is nothing to draw."""
    return not snapshot.sheets and not snapshot.equipment
