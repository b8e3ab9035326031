"""Reading what lies under a sheet for paper, in a process of its own: the file may be anything, and made to do harm.

`python -P -m app.paper.under_reader FILE PAGE MM_PER_UNIT SEEN_MM` writes a line of JSON to its output, and behind it
the picture as JPEG. Memory and time it holds itself to where the system can; whoever starts it gives it `PATIENCE_S`
besides. Of a PDF the page is drawn, no form filled, no script run, no link followed.
"""

from __future__ import annotations

import io
import json
import sys
from pathlib import Path
from typing import Any

from app.memory_held import hold_memory

__all__ = ["PATIENCE_S", "main"]

PATIENCE_S = 60
_MEMORY = 2 << 30  # bytes of data
_MOST_BYTES = 500_000_000
_MOST_PIXELS = 200_000_000
_MOST_PIXELS_JPEG = 400_000_000  # which is decoded at reduced size
_FORMS = ("JPEG", "PNG", "WEBP", "BMP", "TIFF", "GIF", "PPM")  # and none that another program would have to read
_DPI = 200  # of the largest picture on paper
_LONG_SIDE = 4_000  # pixels a page is drawn with
_QUALITY = 88  # of the JPEG in the PDF


class _Fault(Exception):
    """Why there is no picture, a word: "unreadable" or "large"."""


def main(arguments: list[str]) -> int:
    """Read, draw, tell."""
    hold_memory(_MEMORY, PATIENCE_S)
    path, page = Path(arguments[0]), int(arguments[1])
    mm_per_unit, seen_mm = float(arguments[2]), float(arguments[3])
    jpeg = b""
    told: dict[str, Any]
    try:
        jpeg, told = _read(path, page, mm_per_unit, seen_mm)
    except _Fault as fault:
        told = {"fault": str(fault)}
    except MemoryError:
        told = {"fault": "large"}
    except Exception:  # decoders raise what they like over what is damaged
        told = {"fault": "unreadable"}
    sys.stdout.buffer.write(json.dumps(told).encode() + b"\n" + jpeg)
    return 0


def _read(path: Path, page: int, mm_per_unit: float, seen_mm: float) -> tuple[bytes, dict[str, Any]]:
    if not path.is_file() or path.stat().st_size > _MOST_BYTES:
        raise _Fault("large" if path.is_file() else "unreadable")
    with path.open("rb") as file:
        is_pdf = b"%PDF-" in file.read(1024)

    def most(width: float, height: float) -> int:
        """Dots of the long side that show."""
        long_mm = max(width, height) * mm_per_unit
        return max(64, round(max(min(long_mm, 4 * seen_mm), 1.0) / 25.4 * _DPI))

    image, width, height = _pdf_page(path, page) if is_pdf else _photograph(path, most)
    image.thumbnail((most(width, height),) * 2)
    out = io.BytesIO()
    image.convert("RGB").save(out, "JPEG", quality=_QUALITY)
    return out.getvalue(), {"width": width, "height": height}


def _photograph(path: Path, most: Any) -> tuple[Any, float, float]:
    from PIL import Image, ImageOps

    Image.MAX_IMAGE_PIXELS = None  # its size is looked at here, before anything of it is decoded
    with Image.open(path, formats=_FORMS) as opened:
        if opened.width * opened.height > (_MOST_PIXELS_JPEG if opened.format == "JPEG" else _MOST_PIXELS):
            raise _Fault("large")
        size = opened.size
        opened.draft("RGB", (_LONG_SIDE, _LONG_SIDE))
        orientation = opened.getexif().get(0x0112, 1)
        opened.load()
        if opened.mode in ("P", "PA", "1"):
            opened = opened.convert("RGBA" if "transparency" in opened.info or opened.mode == "PA" else "RGB")
        opened.thumbnail((most(*size),) * 2)  # before anything else makes a copy of it
        turned = ImageOps.exif_transpose(opened)
        if orientation in (5, 6, 7, 8):
            size = size[::-1]
        if turned.mode in ("RGBA", "LA", "PA") or "transparency" in turned.info:
            clear = turned.convert("RGBA")
            paper = Image.new("RGB", clear.size, "white")
            paper.paste(clear, mask=clear.getchannel("A"))
            turned = paper
        return turned.convert("RGB"), float(size[0]), float(size[1])


def _pdf_page(path: Path, page: int) -> tuple[Any, float, float]:
    import pypdfium2

    with pypdfium2.PdfDocument(path) as book:
        if not 1 <= page <= len(book):
            raise _Fault("unreadable")
        opened = book[page - 1]
        width, height = opened.get_size()
        if not (0 < width < 1e6 and 0 < height < 1e6):
            raise _Fault("unreadable")
        image = opened.render(scale=_LONG_SIDE / max(width, height)).to_pil()
        opened.close()
    return image, width, height


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
