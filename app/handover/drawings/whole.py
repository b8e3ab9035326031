"""The whole drawing set of a job: cover, sheets, pages of notes."""

from __future__ import annotations

from app.drawing.placed import Scene, set_scene
from app.drawing.sheets import pictures
from app.handover.drawings.cover import Cover
from app.handover.job import Job
from app.paper.mono import in_mono
from engine.picture import Picture

__all__ = ["drawing_set"]


def drawing_set(job: Job) -> tuple[Picture, ...]:
    """The pages, the cover first; of a drawing without equipment the cover alone. Raises `KeyError` for its size."""
    snapshot, options = job.snapshot, job.options
    own = next((sheet.size for _item, sheet in Scene(snapshot).sheets), snapshot.settings.sheet_size)
    size = options.size or own
    index = None if job.before is None else snapshot.title_block.revision or "?"
    empty = not snapshot.sheets and not snapshot.equipment
    cover = Cover(snapshot, job.result, size, index, only=empty)
    if empty:
        scene = set_scene(snapshot)
        made = tuple(cover.pages(scene, cover.count(scene)))
    else:
        made = pictures(snapshot, job.result, size=options.size or None, before=job.before, front=cover)
    return tuple(map(in_mono, made)) if options.mono else made
