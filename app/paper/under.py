"""The picture under a sheet on paper: read, turned as it was taken, as many dots as show, dimmed under the lines."""

from __future__ import annotations

import io
import json
import logging
import subprocess
import sys
from collections.abc import Sequence
from pathlib import Path
from typing import Any, NamedTuple

from app.drawing.added.underlay import path_of
from app.paper.under_reader import PATIENCE_S
from app.photographs.taking import surroundings
from engine.installation import Snapshot
from engine.picture import Picture, Under
from engine.words import _

__all__ = ["UnderFault", "Unders", "draw_under", "with_unders"]

ENDINGS = (".pdf", ".png")  # of files that carry a picture
_QUALITY = 88  # of the JPEG in the PDF
log = logging.getLogger(__name__)


class UnderFault(ValueError):
    """Why a picture cannot be printed, a sentence."""


class Unders(NamedTuple):
    """Pages with what lies under them, and sentences on pictures that could not be printed."""

    pictures: tuple[Picture, ...]
    told: tuple[str, ...]


def with_unders(
    pictures: Sequence[Picture],
    snapshot: Snapshot,
    folder: Path | None,
    ending: str = ".pdf",
    *,
    every: bool = False,
    grey: bool = False,
) -> Unders:
    """Lay under the sheets among `pictures` what is to be printed there; `every`: whatever lies under them.

    `folder` is the drawing's, `ending` that of the file to be written. A picture that cannot be printed is told and
    left out: the drawing prints without it.
    """
    wanted = {i for i, s in snapshot.sheets.items() if s.underlay is not None and (every or s.underlay.printed)}
    if not wanted:
        return Unders(tuple(pictures), ())
    if ending not in ENDINGS:
        return Unders(tuple(pictures), (_("pictures under the sheets are in PDF and PNG only; this is without them"),))
    made: list[Picture] = []
    told: list[str] = []
    for picture in pictures:
        sheet = next((name[6:] for name, _x, _y in picture.anchors[:1] if name.startswith("sheet:")), "")
        record = snapshot.sheets[sheet].underlay if sheet in wanted else None
        wanted.discard(sheet)
        if record is None:
            made.append(picture)
            continue
        path = path_of(record, folder)
        try:
            under = _under(path, record, max(picture.width, picture.height))
        except UnderFault as fault:
            told.append(str(fault))
            made.append(picture)
            continue
        made.append(picture._replace(under=under._replace(grey=grey)))
    if wanted:  # laid out anew on other paper: nothing stands where it was traced
        told.append(_("laid out on other paper, the sheets are without the pictures under them"))
    return Unders(tuple(made), tuple(told))


def _under(path: Path, record: Any, seen_mm: float) -> Under:
    """The picture as JPEG, read by a process that nothing in it can harm. Raises `UnderFault`."""
    try:
        is_there = path.is_file()
    except (OSError, ValueError):
        is_there = False
    if not is_there:
        raise UnderFault(_("{name}, which lies under a sheet, is not there; it is not printed").format(name=path.name))
    arguments = [
        "-P",
        "-m",
        "app.paper.under_reader",
        str(path),
        str(record.page),
        repr(record.mm_per_unit),
        repr(seen_mm),
    ]
    try:
        done = subprocess.run(  # noqa: S603  # this program itself
            [sys.executable, *arguments], capture_output=True, timeout=PATIENCE_S, check=False, env=surroundings(),
            stdin=subprocess.DEVNULL,
        )  # fmt: skip
        line, _end, jpeg = done.stdout.partition(b"\n")
        told = json.loads(line) if done.returncode == 0 else {}
        if done.returncode:
            log.info("%s is not read (%d): %s", path, done.returncode, done.stderr[-500:].decode("utf-8", "replace"))
    except subprocess.TimeoutExpired:
        told, jpeg = {"fault": "large"}, b""
    except (OSError, ValueError):
        told, jpeg = {}, b""
    if not jpeg:
        why = _("{name}, which lies under a sheet, cannot be read; it is not printed")
        if told.get("fault") == "large":
            why = _("{name}, which lies under a sheet, is too large or takes too long to read; it is not printed")
        raise UnderFault(why.format(name=path.name))
    width, height = float(told["width"]), float(told["height"])
    return Under(
        jpeg, width * record.mm_per_unit, height * record.mm_per_unit, record.left_mm, record.top_mm,
        record.turned_deg, record.strength_percent,
    )  # fmt: skip


def draw_under(canvas: Any, under: Under) -> None:
    """Paint it, the canvas being in mm with y down."""
    from PIL import Image

    data = under.jpeg
    if under.grey:
        out = io.BytesIO()
        with Image.open(io.BytesIO(data)) as colours:
            colours.convert("L").save(out, "JPEG", quality=_QUALITY)
        data = out.getvalue()
    canvas.saveState()
    canvas.setFillAlpha(under.strength_percent / 100.0)
    canvas.translate(under.left, under.top)
    canvas.rotate(under.turned_deg)
    canvas.transform(1, 0, 0, -1, 0, under.height)
    _draw_as_it_is(canvas, data, under.width, under.height)
    canvas.restoreState()


def _draw_as_it_is(canvas: Any, jpeg: bytes, width: float, height: float) -> None:
    """The JPEG itself goes into the PDF: reportlab would unfold it for its name and write it in letters, in seconds."""
    from reportlab import rl_config
    from reportlab.lib.utils import ImageReader

    class Packed(ImageReader):
        """Known apart from others by its bytes; a JPEG is nowhere clear."""

        _dataA = None

        def getRGBData(self) -> bytes:
            return jpeg

    in_letters, rl_config.useA85 = rl_config.useA85, 0
    try:
        canvas.drawImage(Packed(io.BytesIO(jpeg)), 0, 0, width, height)
    finally:
        rl_config.useA85 = in_letters
