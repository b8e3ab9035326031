"""The invented photographs of the surveyed workboat: plain pictures drawn by hand of rectangles and circles.

What a camera would add is put in so that taking them is tried too: the side it was held on, and where it was.
"""

from __future__ import annotations

import random
import tomllib
from pathlib import Path
from typing import Any

SIZE = (800, 600)


def kept(folder: Path) -> dict[str, dict[str, Any]]:
    """By name of the file they come from: checksums and size of the photographs that are kept in the folder."""
    return tomllib.loads(folder.with_suffix(".toml").read_text(encoding="utf-8"))


def draw_all(rows: list[dict[str, Any]], folder: Path) -> None:
    """Draw every photograph, take it as a person would, keep it; what was kept before goes."""
    import tempfile

    from app.photographs import Store, take

    store = Store(folder)
    for old in store.files():
        old.unlink()
    told = ["# The photographs that make_survey.py drew: what is kept of each.\n"]
    with tempfile.TemporaryDirectory() as there:
        for n, row in enumerate(rows):
            source = Path(there) / row["name"]
            _write(row["picture"], source, n)
            taken = take(source, longest=800, most_bytes=60_000)
            store.put(taken)
            record = taken.record
            told.append(f'\n["{row["name"]}"]\nsha256 = "{record.sha256}"\nsource_sha256 = "{record.source_sha256}"\n')
            told.append(f"width = {record.width}\nheight = {record.height}\n")
    folder.with_suffix(".toml").write_text("".join(told), encoding="utf-8")


def _write(picture: str, path: Path, number: int) -> None:
    from PIL import Image

    image = _drawn(picture, number)
    exif = Image.Exif()
    exif[0x0110] = "invented"
    if number % 2:  # held on its side
        image = image.transpose(Image.Transpose.ROTATE_90)
        exif[0x0112] = 6
    exif.get_ifd(0x8825)[1] = "N"
    image.save(path, "JPEG", quality=88, exif=exif.tobytes())


def _drawn(picture: str, number: int) -> Any:
    from PIL import Image, ImageDraw, ImageFilter

    chance = random.Random(number)
    ground = {"battery": (70, 72, 70), "post": (70, 72, 70), "inlet": (205, 208, 210), "panel": (60, 62, 66)}
    image = Image.new("RGB", SIZE, ground.get(picture, (150, 143, 130)))
    draw = ImageDraw.Draw(image)
    for _n in range(1500):  # paint that has seen years
        x, y = chance.randrange(SIZE[0]), chance.randrange(SIZE[1])
        shade = chance.randrange(-9, 10)
        r, g, b = image.getpixel((x, y))
        draw.ellipse((x, y, x + 14, y + 9), fill=(r + shade, g + shade, b + shade))
    _PICTURES[picture](draw)
    light = Image.linear_gradient("L").resize(SIZE).rotate(180)
    return Image.blend(image, Image.merge("RGB", (light, light, light)), 0.12).filter(ImageFilter.GaussianBlur(1.1))


def _cable(draw: Any, points: list[tuple[int, int]], colour: tuple[int, int, int], width: int = 34) -> None:
    dark = tuple(max(c - 35, 0) for c in colour)
    draw.line(points, fill=dark, width=width + 6, joint="curve")
    draw.line(points, fill=colour, width=width, joint="curve")
    draw.line([(x, y - width // 5) for x, y in points], fill=tuple(min(c + 45, 255) for c in colour), width=5)


def _screw(draw: Any, x: int, y: int, r: int = 26) -> None:
    draw.ellipse((x - r, y - r, x + r, y + r), fill=(176, 170, 150), outline=(90, 85, 70), width=4)
    draw.regular_polygon((x, y, r * 0.62), 6, fill=(200, 196, 180), outline=(110, 105, 90))


def _fuse(draw: Any, is_new: bool = False) -> None:
    _cable(draw, [(0, 320), (220, 320)], (165, 30, 30))
    _cable(draw, [(580, 320), (800, 340)], (165, 30, 30))
    draw.rounded_rectangle((190, 210, 610, 430), 26, fill=(38, 38, 40), outline=(15, 15, 15), width=6)
    draw.rectangle((280, 280, 520, 360), fill=(222, 214, 196), outline=(120, 110, 90), width=4)
    _screw(draw, 240, 320)
    _screw(draw, 560, 320)
    if not is_new:
        for n, shade in enumerate((90, 62, 36)):
            draw.ellipse((430 + 18 * n, 240 + 14 * n, 600 - 14 * n, 400 - 12 * n), fill=(shade + 30, shade, shade - 20))


def _post(draw: Any) -> None:
    _battery(draw)
    _cable(draw, [(250, 250), (330, 120), (560, 60), (800, 40)], (200, 120, 40), 16)


def _battery(draw: Any) -> None:
    draw.rectangle((60, 200, 740, 580), fill=(30, 32, 36), outline=(10, 10, 10), width=8)
    draw.rectangle((60, 200, 740, 270), fill=(48, 50, 56))
    for n in range(6):
        x = 140 + 104 * n
        draw.ellipse((x - 24, 300, x + 24, 348), fill=(180, 40, 36), outline=(70, 12, 12), width=4)
    for x, colour in ((250, (165, 30, 30)), (560, (25, 25, 28))):
        _cable(draw, [(x, 236), (x, 60), (x + 50, 0)], colour)
        draw.ellipse((x - 44, 206, x + 44, 266), fill=(150, 152, 150), outline=(60, 60, 60), width=4)
        _screw(draw, x, 234, 20)


def _lug(draw: Any) -> None:
    _cable(draw, [(0, 420), (240, 360), (360, 320)], (165, 30, 30), 60)
    draw.polygon(((350, 268), (520, 252), (560, 300), (540, 350), (360, 372)), fill=(70, 48, 34))
    draw.ellipse((500, 210, 690, 390), fill=(104, 74, 46), outline=(40, 26, 16), width=6)
    _screw(draw, 598, 300, 46)
    for n in range(5):
        draw.ellipse((250 + 34 * n, 290 + 6 * n, 320 + 34 * n, 380 - 6 * n), fill=(34 + 5 * n, 24 + 3 * n, 20))


def _studs(draw: Any, is_covered: bool = False) -> None:
    draw.rounded_rectangle((240, 140, 560, 470), 20, fill=(190, 190, 184), outline=(70, 70, 66), width=6)
    draw.rectangle((300, 330, 500, 430), fill=(236, 236, 228), outline=(120, 120, 110), width=3)
    for x, side in ((240, 0), (560, 800)):
        _cable(draw, [(side, 260), (x, 230)], (165, 30, 30))
        if is_covered:
            draw.rounded_rectangle((x - 62, 170, x + 62, 292), 24, fill=(150, 20, 20), outline=(70, 8, 8), width=5)
        else:
            _screw(draw, x, 230, 44)


def _panel(draw: Any) -> None:
    draw.rectangle((70, 90, 730, 510), fill=(34, 36, 40), outline=(120, 122, 126), width=6)
    for n in range(8):
        x, y = 130 + 160 * (n % 4), 160 + 190 * (n // 4)
        draw.rounded_rectangle((x, y, x + 66, y + 96), 8, fill=(16, 16, 18), outline=(90, 92, 96), width=4)
        draw.rectangle((x + 20, y + 14, x + 46, y + 50), fill=(205, 205, 205))
        if n in (4, 5):
            draw.rectangle((x - 20, y + 110, x + 90, y + 140), fill=(96, 88, 70))
        else:
            draw.rectangle((x - 20, y + 110, x + 90, y + 140), fill=(226, 226, 220))
            for k in range(5):
                draw.rectangle((x - 12 + 20 * k, y + 119, x + 1 + 20 * k, y + 131), fill=(60, 60, 60))


def _inlet(draw: Any) -> None:
    draw.ellipse((230, 130, 570, 470), fill=(40, 70, 150), outline=(18, 34, 84), width=10)
    draw.ellipse((290, 190, 510, 410), fill=(24, 26, 30))
    for x, y in ((400, 235), (345, 340), (455, 340)):
        draw.ellipse((x - 20, y - 20, x + 20, y + 20), fill=(110, 140, 96), outline=(50, 66, 40), width=4)
    for x, y in ((250, 150), (550, 150), (250, 450), (550, 450)):
        _screw(draw, x, y, 16)


_PICTURES: dict[str, Any] = {
    "fuse": _fuse,
    "fuse new": lambda draw: _fuse(draw, is_new=True),
    "post": _post,
    "battery": _battery,
    "lug": _lug,
    "studs": _studs,
    "studs covered": lambda draw: _studs(draw, is_covered=True),
    "panel": _panel,
    "inlet": _inlet,
}
