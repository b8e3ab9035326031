"""Reading a photograph or a page of a PDF, in a process of its own: it may be large, or no picture at all.

`python -m app.window.underlay.reader FILE PAGE FOLDER` writes the pixels (32 bits each, B G R x, row by row) as files
into FOLDER, each half as large as the one before, and one line of JSON to its output. Whatever the file is, it ends by
itself: the window gives it `PATIENCE_MS`.
"""

from __future__ import annotations

import hashlib
import json
import sys
from pathlib import Path
from typing import Any

from app.memory_held import hold_memory

__all__ = ["LONG_SIDE", "main"]

LONG_SIDE = 3000  # pixels of the largest picture that is shown
_SHORT = 400  # pixels of the long side below which no smaller one is made
_MOST_PIXELS = 400_000_000
_MOST_MB = 1200  # that Qt may ask for one picture
_MOST_BYTES = 500_000_000
_MEMORY = 3 << 30  # bytes of data: the picture, and what Qt and the pages of a PDF need beside it
PATIENCE_S = 60  # of the processor
_FORMS = {b"jpeg", b"jpg", b"png", b"webp", b"bmp", b"tiff", b"tif", b"gif", b"heic", b"heif", b"ppm", b"pgm"}


class _Fault(Exception):
    """Why it cannot be shown: one of the words `laying.FAULTS` has a sentence for."""


def main(arguments: list[str]) -> int:
    """Read, write, tell."""
    path, page, folder = Path(arguments[0]), int(arguments[1]), Path(arguments[2])
    hold_memory(_MEMORY, PATIENCE_S)
    try:
        told = _read(path, page, folder)
    except _Fault as fault:
        told = {"fault": str(fault)}
    except MemoryError:
        told = {"fault": "large"}
    except OSError:
        told = {"fault": "disk"}
    print(json.dumps(told))
    return 0


def _read(path: Path, page: int, folder: Path) -> dict[str, Any]:
    try:
        if not path.is_file():
            raise _Fault("missing")
        if path.stat().st_size > _MOST_BYTES:
            raise _Fault("large")
        digest = hashlib.sha256()
        with path.open("rb") as file:
            head = file.read(1024)
            file.seek(0)
            while block := file.read(1 << 20):
                digest.update(block)
    except OSError:
        raise _Fault("missing") from None
    told = _pdf(path, page) if b"%PDF-" in head else _photograph(path)
    image, told["sha256"] = told.pop("image"), digest.hexdigest()
    from PySide6.QtCore import Qt
    from PySide6.QtGui import QImage

    levels: list[list[Any]] = []
    while True:
        image = image.convertToFormat(QImage.Format.Format_RGB32)
        name = f"{len(levels)}.raw"
        with (folder / name).open("wb") as out:
            out.write(bytes(image.constBits()[: image.sizeInBytes()]))
        levels.append([name, image.width(), image.height(), image.bytesPerLine()])
        if max(image.width(), image.height()) < 2 * _SHORT:
            break
        image = image.scaled(
            max(1, image.width() // 2), max(1, image.height() // 2),
            Qt.AspectRatioMode.IgnoreAspectRatio, Qt.TransformationMode.SmoothTransformation,
        )  # fmt: skip
    return told | {"levels": levels}


def _photograph(path: Path) -> dict[str, Any]:
    """At reduced size where it is large, turned as the camera was held. Units are the pixels of the whole picture."""
    from PySide6.QtCore import QSize
    from PySide6.QtGui import QColor, QImage, QImageIOHandler, QImageReader, QPainter

    QImageReader.setAllocationLimit(_MOST_MB)
    reader = QImageReader(str(path))
    reader.setDecideFormatFromContent(True)
    reader.setAutoTransform(True)
    if not reader.canRead() or bytes(reader.format().data()) not in _FORMS:
        raise _Fault("unreadable")
    size = reader.size()
    if size.width() * size.height() > _MOST_PIXELS:
        raise _Fault("large")
    if size.isValid() and max(size.width(), size.height()) > LONG_SIDE:
        k = LONG_SIDE / max(size.width(), size.height())
        reader.setScaledSize(QSize(max(1, round(size.width() * k)), max(1, round(size.height() * k))))
    image = reader.read()
    if image.isNull():
        raise _Fault("large" if size.width() * size.height() * 4 > _MOST_MB << 20 else "unreadable")
    if not size.isValid():
        size = image.size()
    elif QImageIOHandler.Transformation.TransformationRotate90 & reader.transformation():
        size = size.transposed()
    if image.hasAlphaChannel():  # what can be seen through is paper
        paper = QImage(image.size(), QImage.Format.Format_RGB32)
        paper.fill(QColor("white"))
        painter = QPainter(paper)
        painter.drawImage(0, 0, image)
        painter.end()
        image = paper
    return {"kind": "photograph", "width": size.width(), "height": size.height(), "pages": 1, "image": image}


def _pdf(path: Path, page: int) -> dict[str, Any]:
    """A page as it looks. Units are points, 1/72 inch."""
    import ctypes

    import pypdfium2
    import pypdfium2.raw as raw
    from PySide6.QtGui import QImage

    try:
        book = pypdfium2.PdfDocument(path)
    except pypdfium2.PdfiumError as fault:
        raise _Fault("locked" if "assword" in str(fault) else "unreadable") from None
    try:
        pages = len(book)
        if not 1 <= page <= pages:
            raise _Fault("page")
        opened = book[page - 1]
        width, height = opened.get_size()
        if not (0 < width < 1e6 and 0 < height < 1e6):
            raise _Fault("unreadable")
        k = LONG_SIDE / max(width, height)
        image = QImage(max(1, round(width * k)), max(1, round(height * k)), QImage.Format.Format_RGB32)
        image.fill(0xFFFFFFFF)
        bits = image.bits()
        first = ctypes.c_ubyte.from_buffer(bits)
        bitmap = raw.FPDFBitmap_CreateEx(
            image.width(), image.height(), raw.FPDFBitmap_BGRx, ctypes.addressof(first), image.bytesPerLine()
        )
        raw.FPDF_RenderPageBitmap(bitmap, opened, 0, 0, image.width(), image.height(), 0, raw.FPDF_ANNOT)
        raw.FPDFBitmap_Destroy(bitmap)
        opened.close()
    except pypdfium2.PdfiumError:
        raise _Fault("unreadable") from None
    finally:
        book.close()
    return {"kind": "pdf", "width": width, "height": height, "pages": pages, "image": image}


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
