"""The picture under a sheet on paper: read, turned as it was taken, as many dots as show, dimmed under the lines."""

from __future__ import annotations

import io
from collections.abc import Sequence
from pathlib import Path
from typing import Any, NamedTuple

from app.drawing.added.underlay import path_of
from engine.installation import Snapshot
from engine.picture import Picture, Under
from engine.words import _

__all__ = ["UnderFault", "Unders", "draw_under", "with_unders"]

ENDINGS = (".pdf", ".png")  # of files that carry a picture
_DPI = 200  # of the largest picture on paper
_MOST_PIXELS = 400_000_000
_QUALITY = 88  # of the JPEG in the PDF


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
    """The picture as JPEG. Raises `UnderFault`."""
    from PIL import Image, UnidentifiedImageError

    try:
        if not path.is_file():
            raise UnderFault(
                _("{name}, which lies under a sheet, is not there; it is not printed").format(name=path.name)
            )
        with path.open("rb") as file:
            is_pdf = b"%PDF-" in file.read(1024)
        image, width, height = _pdf_page(path, record.page) if is_pdf else _photograph(path)
    except (OSError, ValueError, UnidentifiedImageError, Image.DecompressionBombError, SyntaxError) as fault:
        if isinstance(fault, UnderFault):
            raise
        told = _("{name}, which lies under a sheet, cannot be read; it is not printed")
        raise UnderFault(told.format(name=path.name)) from None
    long_mm = max(width, height) * record.mm_per_unit
    most = max(64, round(max(min(long_mm, 4 * seen_mm), 1.0) / 25.4 * _DPI))
    image.thumbnail((most, most))
    out = io.BytesIO()
    image.convert("RGB").save(out, "JPEG", quality=_QUALITY)
    return Under(
        out.getvalue(), width * record.mm_per_unit, height * record.mm_per_unit, record.left_mm, record.top_mm,
        record.turned_deg, record.strength_percent,
    )  # fmt: skip


def _photograph(path: Path) -> tuple[Any, float, float]:
    from PIL import Image, ImageOps

    Image.MAX_IMAGE_PIXELS = _MOST_PIXELS
    with Image.open(path) as opened:
        if opened.width * opened.height > _MOST_PIXELS:
            raise ValueError("too many pixels")
        size = opened.size
        opened.draft("RGB", (4000, 4000))  # a large JPEG is read at reduced size
        turned = ImageOps.exif_transpose(opened)
        if opened.getexif().get(0x0112, 1) in (5, 6, 7, 8):
            size = size[::-1]
        if turned.mode in ("RGBA", "LA", "PA") or "transparency" in turned.info:
            clear = turned.convert("RGBA")
            paper = Image.new("RGB", clear.size, "white")
            paper.paste(clear, mask=clear.getchannel("A"))
            turned = paper
        return turned.convert("RGB"), float(size[0]), float(size[1])


def _pdf_page(path: Path, page: int) -> tuple[Any, float, float]:
    import pypdfium2

    try:
        with pypdfium2.PdfDocument(path) as book:
            if not 1 <= page <= len(book):
                raise ValueError("no such page")
            opened = book[page - 1]
            width, height = opened.get_size()
            if not (width > 0 and height > 0):
                raise ValueError("no size")
            image = opened.render(scale=4000 / max(width, height)).to_pil()
            opened.close()
    except pypdfium2.PdfiumError as fault:
        raise ValueError(str(fault)) from None
    return image, width, height


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
