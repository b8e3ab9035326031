"""Photographs for a page: read from where they are kept, as many dots as show, told where they are missing."""

from __future__ import annotations

import io
from collections.abc import Iterable, Sequence
from pathlib import Path

from app.paper.blocks import Gap, Photo
from app.photographs import PhotographFault, Store
from app.photographs.store import called
from engine.installation import Photograph, Snapshot
from engine.words import _

__all__ = ["Photographs"]

WIDE, HIGH = 80.0, 62.0  # mm at most
_DPI = 250
_QUALITY = 85
_MOST = 12_000  # dots along a side, and
_MOST_DOTS = 40_000_000  # of all of it: what is kept is far smaller, what is larger was not put there by this program


class Photographs:
    """The photographs of one drawing, each made ready once. `folders`: where they are kept.

    `grey`: without their colours.
    """

    def __init__(self, snapshot: Snapshot, folders: Sequence[str], *, grey: bool = False) -> None:
        self._snapshot, self._grey = snapshot, grey
        self._store = Store(Path(folders[0]), map(Path, folders[1:])) if folders else None
        self._made: dict[str, Photo | Gap] = {}

    def blocks(self, ids: Iterable[str]) -> list[Photo | Gap]:
        """Photographs, and a frame that tells of it for each that is missing or is not what was kept."""
        made = [self._of(item) for item in ids]
        return [*(each for each in made if isinstance(each, Photo)), *(each for each in made if isinstance(each, Gap))]

    def _of(self, item: str) -> Photo | Gap:
        if item not in self._made:
            self._made[item] = self._read(item)
        return self._made[item]

    def _read(self, item: str) -> Photo | Gap:
        record = self._snapshot.photographs.get(item)
        if record is None:
            return Gap(_("A photograph ({name}) is not in this drawing.").format(name=item))
        name = called(record)
        if self._store is None:
            return Gap(_("Photograph “{name}”: where it is kept is not known.").format(name=name))
        try:
            data = self._store.read(record)
        except PhotographFault:
            told = {
                "missing": _("Photograph “{name}” is missing: its file is not in the folder of the photographs."),
                "altered": _("Photograph “{name}” is left out: its file is not as it was taken, it was altered since."),
            }.get(self._store.state(record), _("Photograph “{name}” cannot be read."))
            return Gap(told.format(name=name))
        return self._ready(data, record) or Gap(_("Photograph “{name}” cannot be read.").format(name=name))

    def _ready(self, data: bytes, record: Photograph) -> Photo | None:
        """As a small JPEG without anything beside the picture; `None` where it cannot be read."""
        from PIL import Image, UnidentifiedImageError

        try:
            with Image.open(io.BytesIO(data), formats=("JPEG",)) as opened:
                if max(opened.size) > _MOST or opened.width * opened.height > _MOST_DOTS:
                    return None
                scale = min(WIDE / opened.width, HIGH / opened.height)
                width, height = opened.width * scale, opened.height * scale
                most = max(1, round(width / 25.4 * _DPI)), max(1, round(height / 25.4 * _DPI))
                opened.draft("RGB", most)
                opened.thumbnail(most)
                image = opened.convert("L" if self._grey else "RGB")
        except (OSError, ValueError, SyntaxError, UnidentifiedImageError, Image.DecompressionBombError):
            return None
        out = io.BytesIO()
        image.save(out, "JPEG", quality=_QUALITY)
        return Photo(out.getvalue(), width, height, _caption(record))


def _caption(record: Photograph) -> str:
    taken = record.taken[:10]
    made = ", ".join(part for part in (record.by, taken) if part)
    if record.caption and made:
        return _("{caption} ({who_and_when})").format(caption=record.caption, who_and_when=made)
    return record.caption or made
