"""Pictures and PDF files made to do harm, as bytes. Forms: PNG (W3C), TIFF 6.0, GIF89a, ISO 32000-1; from memory."""

from __future__ import annotations

import io
import struct
import zlib
from collections.abc import Iterable

from PIL import Image

__all__ = ["a_pdf", "fanned_pdf", "pages_pdf", "pictures", "png"]


def _chunk(name: bytes, data: bytes) -> bytes:
    return struct.pack(">I", len(data)) + name + data + struct.pack(">I", zlib.crc32(data, zlib.crc32(name)))


def png(width: int, height: int, rows: bytes, *more: tuple[bytes, bytes], depth: int = 8, colour: int = 0) -> bytes:
    """A PNG; `rows` as they are before they are packed, `more`: chunks before them."""
    head = struct.pack(">IIBBBBB", width, height, depth, colour, 0, 0, 0)
    chunks = [(b"IHDR", head), *more, (b"IDAT", zlib.compress(rows, 9)), (b"IEND", b"")]
    return b"\x89PNG\r\n\x1a\n" + b"".join(_chunk(name, data) for name, data in chunks)


def _saved(form: str, image: Image.Image | None = None, **options: object) -> bytes:
    out = io.BytesIO()
    (image or Image.radial_gradient("L").convert("RGB")).save(out, form, **options)
    return out.getvalue()


def _tiff(entries: Iterable[tuple[int, int, int, int]], after: int = 0) -> bytes:
    """One directory of tags (tag, type, count, value), then where the next stands."""
    made = [struct.pack("<HHII", *each) for each in entries]
    return b"II*\0" + struct.pack("<IH", 8, len(made)) + b"".join(made) + struct.pack("<I", after)


_PLAIN_TIFF = [(256, 4, 1, 4), (257, 4, 1, 4), (258, 3, 1, 8), (259, 3, 1, 1), (262, 3, 1, 1), (273, 4, 1, 8),
               (277, 3, 1, 1), (278, 4, 1, 4), (279, 4, 1, 16)]  # fmt: skip


def _jpeg_of(width: int, height: int) -> bytes:
    """A small JPEG that says it is so large."""
    data = bytearray(_saved("JPEG"))
    at = data.find(b"\xff\xc0")
    struct.pack_into(">HH", data, at + 5, height, width)
    return bytes(data)


def _exif(length: int, ring: bool = False) -> bytes:
    """A JPEG with `length` bytes where a camera writes, the directory of the place in a ring."""
    said = b"Exif\0\0II*\0\x08\0\0\0" + struct.pack("<HHHII", 1, 0x8825, 4, 1, 8 if ring else 26) + bytes(4)
    said = said.ljust(length, b"\xff")
    data = _saved("JPEG")
    return data[:2] + b"\xff\xe1" + struct.pack(">H", len(said) + 2) + said + data[2:]


def pictures() -> dict[str, bytes]:
    """What is done -> the bytes."""
    bomb = zlib.compress(bytes(80 << 20), 9)
    frames = [Image.new("RGB", (4, 4), (n % 250, 255 - n % 200, 0)) for n in range(2_000)]
    whole = _saved("JPEG")
    return {
        "a PNG of a million million dots": png(1_000_000, 1_000_000, b""),
        "a PNG of 30 000 by 30 000": png(30_000, 30_000, bytes(1000), depth=1),
        "a PNG of 2^31 by 1": png(2**31 - 1, 1, b""),
        "a PNG of no size": png(0, 0, b""),
        "a JPEG of 65 500 by 65 500": _jpeg_of(65_500, 65_500),
        "words of a PNG that unfold": png(8, 8, bytes(72), (b"zTXt", b"a\0\0" + bomb)),
        "words of a PNG in many languages that unfold": png(8, 8, bytes(72), (b"iTXt", b"a\0\1\0\0\0" + bomb)),
        "a profile of colours that unfolds": png(8, 8, bytes(72), (b"iCCP", b"a\0\0" + bomb)),
        "rows of a PNG that go on for ever": png(8, 8, bytes(200 << 20)),
        "100 000 chunks of words": png(8, 8, bytes(72), *[(b"tEXt", b"a\0" + b"x" * 60)] * 100_000),
        "64 kB from the camera": _exif(65_000),
        "places of the camera in a ring": _exif(200, ring=True),
        "a TIFF in a ring": _tiff(_PLAIN_TIFF, after=8),
        "a TIFF with four thousand million values": _tiff([*_PLAIN_TIFF, (700, 1, 2**32 - 1, 8)]),
        "a TIFF of 2^32 by 2^32": _tiff([(256, 4, 1, 2**32 - 1), (257, 4, 1, 2**32 - 1), *_PLAIN_TIFF[2:]]),
        "a GIF of 2000 pictures": _saved("GIF", frames[0], save_all=True, append_images=frames[1:]),
        "a WebP of 20 pictures": _saved("WEBP", frames[0], save_all=True, append_images=frames[1:20]),
        "a JPEG that is cut short": whole[: len(whole) // 2],
        "a PostScript file that starts programs": b"%!PS-Adobe-3.0 EPSF-3.0\n%%BoundingBox: 0 0 9 9\n%pipe%touch x\n",
        "a bitmap of a program": b"\0\0\1\0\1\0\x10\x10\0\0\1\0\x20\0" + bytes(200),
        "an SVG": b'<svg xmlns="http://www.w3.org/2000/svg"><image href="file:///etc/passwd"/></svg>',
        "nothing but zeros": bytes(100_000),
    }  # fmt: skip


# -- PDF --------------------------------------------------------------------------------------------------------------
def a_pdf(objects: list[bytes]) -> bytes:
    """Objects, the first the catalogue, with their table."""
    out = bytearray(b"%PDF-1.7\n")
    places = []
    for number, body in enumerate(objects, 1):
        places.append(len(out))
        out += b"%d 0 obj\n%b\nendobj\n" % (number, body)
    at = len(out)
    out += b"xref\n0 %d\n0000000000 65535 f \n" % (len(objects) + 1)
    out += b"".join(b"%010d 00000 n \n" % place for place in places)
    out += b"trailer <</Size %d /Root 1 0 R>>\nstartxref\n%d\n%%%%EOF\n" % (len(objects) + 1, at)
    return bytes(out)


def pages_pdf(
    count: int, box: str = "0 0 200 100", catalogue: str = "", page: str = "", more: Iterable[bytes] = ()
) -> bytes:
    """So many pages, each black in its left half."""
    drawn = b"0 0 100 100 re f"
    kids = b" ".join(b"%d 0 R" % (n + 4) for n in range(count))
    pages = [
        f"<</Type /Page /Parent 2 0 R /MediaBox [{box}] /Contents 3 0 R {page}>>".encode() for _each in range(count)
    ]
    return a_pdf([
        f"<</Type /Catalog /Pages 2 0 R {catalogue}>>".encode(),
        b"<</Type /Pages /Count %d /Kids [%b]>>" % (count, kids),
        b"<</Length %d>>\nstream\n%b\nendstream" % (len(drawn), drawn),
        *pages,
        *more,
    ])  # fmt: skip


def fanned_pdf(levels: int = 12, each: int = 10) -> bytes:
    """A page that draws a form ten times, which draws another ten times, and so on: 10^12 in all."""
    forms = []
    for n in range(levels):
        drawn = b"/F Do " * each if n < levels - 1 else b"0 0 9 9 re f"
        inner = b"/Resources <</XObject <</F %d 0 R>>>>" % (n + 5) if n < levels - 1 else b""
        forms.append(
            b"<</Type /XObject /Subtype /Form /BBox [0 0 200 100] %b /Length %d>>\nstream\n%b\nendstream"
            % (inner, len(drawn), drawn)
        )
    drawn = b"/F Do"
    return a_pdf([
        b"<</Type /Catalog /Pages 2 0 R>>",
        b"<</Type /Pages /Count 1 /Kids [3 0 R]>>",
        b"<</Type /Page /Parent 2 0 R /MediaBox [0 0 200 100] /Contents %d 0 R /Resources <</XObject <</F 4 0 R>>>>>>"
        % (levels + 4),
        *forms,
        b"<</Length %d>>\nstream\n%b\nendstream" % (len(drawn), drawn),
    ])  # fmt: skip
