"""A comparison as files: one PDF, or one SVG, PNG or DXF a page."""

from __future__ import annotations

from pathlib import Path
from typing import NamedTuple

from app.handover.redlines.pages import redlined_set
from engine.comparing import Differences
from engine.installation import Snapshot
from engine.words import _

__all__ = ["ENDINGS", "Written", "write_redlines"]

ENDINGS = (".pdf", ".svg", ".png", ".dxf")


class Written(NamedTuple):
    """How many pages, the files in order, sentences for the person beside them."""

    pages: int
    files: tuple[Path, ...]
    told: tuple[str, ...]


def write_redlines(
    before: Snapshot,
    after: Snapshot,
    made: Differences,
    target: Path,
    *,
    named: tuple[str, str] = ("", ""),
    dpi: int = 150,
    tile: str = "",
    mono: bool = False,
) -> Written:
    """Write the list of changes and the marked sheets in the form of `target`, one of `ENDINGS`.

    `named`: what the older and the newer file are called; `tile`: the printer's paper that larger sheets are cut to;
    `mono`: black and grey. Everything is made before the first file is written. Raises `OSError` and `TooManyDots`
    (`app.paper.png`), a `ValueError`.
    """
    from app.paper.files import about_of, lacking, not_of_this_set, page_files, write_files

    older, newer = (Path(name).name for name in named)
    pictures = redlined_set(before, after, made, named=(older, newer), mono=mono)
    if tile:
        from app.paper.tiling import tiled

        pictures = tuple(tiled(pictures, tile))
    about = about_of(after, _("Comparison of two drawings"))
    written, missing = write_files(page_files(pictures, target.suffix.lower(), target.stem, about, dpi), target)
    told = [lacking(target, missing)] if missing else []
    if others := not_of_this_set(target, written):
        told.append(others)
    return Written(len(pictures), written, tuple(told))
