"""Photographs out of any file: what is kept is read back by Pillow; files that would do harm are told, nothing else."""

from __future__ import annotations

import hashlib
import io
import os
import struct
import zlib
from pathlib import Path

import pytest
from PIL import ExifTags, Image

from app.photographs import PhotographFault, take

RED, GREEN, BLUE, WHITE = (220, 30, 30), (30, 180, 40), (40, 50, 210), (255, 255, 255)


def corners() -> Image.Image:
    """Upright: red at the upper left, green at the upper right, blue at the lower left, white at the lower right."""
    image = Image.new("RGB", (120, 80), WHITE)
    image.paste(RED, (0, 0, 60, 40))
    image.paste(GREEN, (60, 0, 120, 40))
    image.paste(BLUE, (0, 40, 60, 80))
    return image


def seen(data: bytes) -> tuple[str, ...]:
    """What stands in the corners of a JPEG, from the upper left clockwise."""
    image = Image.open(io.BytesIO(data)).convert("RGB")
    names = {"red": RED, "green": GREEN, "blue": BLUE, "white": WHITE}

    def nearest(x: float, y: float) -> str:
        dot = image.getpixel((round(x * image.width), round(y * image.height)))
        return min(names, key=lambda name: sum((a - b) ** 2 for a, b in zip(names[name], dot, strict=True)))

    return nearest(0.2, 0.2), nearest(0.8, 0.2), nearest(0.8, 0.8), nearest(0.2, 0.8)


UPRIGHT = ("red", "green", "white", "blue")
# what a camera held otherwise stores, so that EXIF orientation n puts it upright: JEITA CP-3451, table of 4.6.4 A
STORED = {
    1: lambda i: i,
    2: lambda i: i.transpose(Image.Transpose.FLIP_LEFT_RIGHT),
    3: lambda i: i.rotate(180),
    4: lambda i: i.transpose(Image.Transpose.FLIP_TOP_BOTTOM),
    5: lambda i: i.transpose(Image.Transpose.TRANSPOSE),
    6: lambda i: i.rotate(90, expand=True),
    7: lambda i: i.transpose(Image.Transpose.TRANSVERSE),
    8: lambda i: i.rotate(-90, expand=True),
}


def exif(orientation: int = 1) -> Image.Exif:
    made = Image.Exif()
    made[ExifTags.Base.Orientation] = orientation
    made[ExifTags.Base.Artist] = "A. Person"
    made.get_ifd(ExifTags.IFD.Exif)[ExifTags.Base.DateTimeOriginal] = "2026:05:03 10:11:12"
    gps = made.get_ifd(ExifTags.IFD.GPSInfo)
    gps[ExifTags.GPS.GPSLatitudeRef], gps[ExifTags.GPS.GPSLatitude] = "N", (57.0, 42.0, 31.5)
    gps[ExifTags.GPS.GPSLongitudeRef], gps[ExifTags.GPS.GPSLongitude] = "W", (11.0, 58.0, 0.0)
    return made


@pytest.mark.parametrize("way", range(1, 9))
def test_it_stands_as_the_camera_was_held(tmp_path: Path, way: int) -> None:
    STORED[way](corners()).save(tmp_path / "a.jpg", exif=exif(way), quality=95)
    taken = take(tmp_path / "a.jpg")
    assert seen(taken.data) == UPRIGHT
    assert (taken.record.width, taken.record.height) == (120, 80)
    assert Image.open(io.BytesIO(taken.data)).getexif().get(ExifTags.Base.Orientation) is None


def test_where_it_was_taken_goes_unless_asked_for(tmp_path: Path) -> None:
    path = tmp_path / "a.jpg"
    corners().save(path, exif=exif(), comment=b"the owner's berth")
    plain, kept = take(path), take(path, keep_location=True)
    stripped = Image.open(io.BytesIO(plain.data))
    assert dict(stripped.getexif()) == {}
    assert not {"exif", "comment", "icc_profile", "xmp"} & stripped.info.keys()
    assert (plain.record.location, plain.record.taken) == ("", "2026-05-03 10:11:12")
    gps = Image.open(io.BytesIO(kept.data)).getexif().get_ifd(ExifTags.IFD.GPSInfo)
    assert gps[ExifTags.GPS.GPSLatitude] == (57.0, 42.0, 31.5)
    assert (gps[ExifTags.GPS.GPSLongitudeRef], gps[ExifTags.GPS.GPSLongitude]) == ("W", (11.0, 58.0, 0.0))
    assert kept.record.location == "57.70875, -11.96667"
    assert b"A. Person" not in kept.data


def test_it_is_made_no_larger_than_asked_and_the_same_each_time(tmp_path: Path) -> None:
    path = tmp_path / "a.png"
    Image.effect_noise((3000, 2000), 90).convert("RGB").save(path)
    one, two = take(path), take(path)
    assert one == two
    assert (one.record.width, one.record.height) == (1600, 1067)
    assert len(one.data) <= 600_000
    small = take(path, longest=400, most_bytes=12_000)
    assert len(small.data) <= 12_000
    assert Image.open(io.BytesIO(small.data)).size == (small.record.width, small.record.height)
    assert one.record.source_sha256 == small.record.source_sha256 == hashlib.sha256(path.read_bytes()).hexdigest()
    assert one.record.sha256 == hashlib.sha256(one.data).hexdigest()


def _deep(image: Image.Image) -> Image.Image:
    grey = image.convert("L")
    made = Image.new("I;16", grey.size)
    made.putdata([dot * 257 for dot in grey.tobytes()])
    return made


@pytest.mark.parametrize(
    ("name", "make"),
    [
        ("a.jpg", lambda i: i.convert("CMYK")),
        ("a.png", lambda i: i.convert("P", palette=Image.Palette.ADAPTIVE)),
        ("a.png", lambda i: i.convert("RGBA")),
        ("a.webp", lambda i: i),
        ("a.tif", lambda i: i.convert("CMYK")),
        ("a.tif", lambda i: i.convert("YCbCr")),
        ("a.bmp", lambda i: i),
        ("a.gif", lambda i: i),
        ("a.HEIC.jpeg", lambda i: i),
    ],
)
def test_every_form_is_read_in_its_colours(tmp_path: Path, name: str, make) -> None:
    make(corners()).save(tmp_path / name)
    assert seen(take(tmp_path / name).data) == UPRIGHT


@pytest.mark.parametrize("ending", ["png", "tif"])
@pytest.mark.parametrize("longest", [1600, 60])
def test_sixteen_bits_of_grey_are_neither_black_nor_white(tmp_path: Path, ending: str, longest: int) -> None:
    _deep(corners()).save(tmp_path / f"a.{ending}")
    kept = Image.open(io.BytesIO(take(tmp_path / f"a.{ending}", longest=longest).data)).convert("L")
    wanted = corners().convert("L").resize(kept.size)
    for at in ((0.2, 0.2), (0.8, 0.2), (0.2, 0.8), (0.8, 0.8)):
        spot = (round(at[0] * kept.width), round(at[1] * kept.height))
        assert abs(kept.getpixel(spot) - wanted.getpixel(spot)) < 6


def test_what_can_be_seen_through_is_paper(tmp_path: Path) -> None:
    image = corners().convert("RGBA")
    image.putalpha(Image.new("L", image.size, 0))
    image.save(tmp_path / "a.png")
    assert seen(take(tmp_path / "a.png").data) == ("white",) * 4


def test_colours_of_another_space_become_those_of_screens(tmp_path: Path) -> None:
    from PIL import ImageCms

    profile = ImageCms.ImageCmsProfile(ImageCms.createProfile("LAB"))
    corners().save(tmp_path / "lab.jpg", icc_profile=profile.tobytes())  # a profile that does not fit
    assert seen(take(tmp_path / "lab.jpg").data) == UPRIGHT
    corners().save(tmp_path / "bad.jpg", icc_profile=b"no profile at all" * 50)
    assert seen(take(tmp_path / "bad.jpg").data) == UPRIGHT


# -- what would do harm -----------------------------------------------------------------------------------------------
def told(path: Path, **options) -> str:
    with pytest.raises(PhotographFault) as fault:
        take(path, **options)
    text = str(fault.value)
    assert path.name in text
    assert "\n" not in text
    assert "Traceback" not in text
    return text


def jpeg(image: Image.Image, **options) -> bytes:
    out = io.BytesIO()
    image.save(out, "JPEG", **options)
    return out.getvalue()


def chunk(name: bytes, body: bytes) -> bytes:
    return struct.pack(">I", len(body)) + name + body + struct.pack(">I", zlib.crc32(name + body))


def png(width: int, height: int, *more: bytes) -> bytes:
    """A PNG of one colour, as few bytes as there can be. ISO/IEC 15948."""
    rows = zlib.compressobj(9)
    body = b"".join(rows.compress(b"\0" * (width // 8 + 1)) for _n in range(height)) + rows.flush()
    head = chunk(b"IHDR", struct.pack(">IIBBBBB", width, height, 1, 0, 0, 0, 0))
    return b"\x89PNG\r\n\x1a\n" + head + b"".join(more) + chunk(b"IDAT", body) + chunk(b"IEND", b"")


def test_one_that_is_cut_short_is_told(tmp_path: Path) -> None:
    whole = jpeg(Image.effect_noise((600, 400), 90).convert("RGB"))
    for part in (0.999, 0.7, 0.3):
        path = tmp_path / "cut.jpg"
        path.write_bytes(whole[: int(len(whole) * part)])
        assert "cut short" in told(path)
    out = io.BytesIO()
    Image.effect_noise((600, 400), 90).save(out, "PNG")
    (tmp_path / "cut.png").write_bytes(out.getvalue()[:20_000])
    assert "cut short" in told(tmp_path / "cut.png")


@pytest.mark.parametrize("at", [1, 2, 20, 200, 623])
def test_a_head_alone_is_told(tmp_path: Path, at: int) -> None:
    (tmp_path / "head.jpg").write_bytes(jpeg(corners(), quality=95)[:at])
    assert told(tmp_path / "head.jpg")


def test_dots_beyond_all_measure_are_told_before_they_are_unfolded(tmp_path: Path) -> None:
    path = tmp_path / "wide.png"
    path.write_bytes(png(30_000, 30_000))
    assert path.stat().st_size < 600_000
    text = told(path)
    assert "30000 × 30000" in text.replace(" 000", "000").replace(",", "")
    Image.MAX_IMAGE_PIXELS, before = None, Image.MAX_IMAGE_PIXELS
    try:
        Image.new("1", (30_000, 30_000)).save(tmp_path / "wide.tif", compression="group4")
    finally:
        Image.MAX_IMAGE_PIXELS = before
    assert (tmp_path / "wide.tif").stat().st_size < 100_000
    assert "more than are read" in told(tmp_path / "wide.tif")
    claimed = jpeg(corners()).replace(struct.pack(">HH", 80, 120), struct.pack(">HH", 65_000, 65_000), 1)
    (tmp_path / "claimed.jpg").write_bytes(claimed)
    assert "more than are read" in told(tmp_path / "claimed.jpg")


def test_text_that_unfolds_in_a_picture_is_no_harm(tmp_path: Path) -> None:
    bomb = zlib.compress(b"x" * 200_000_000, 9)
    (tmp_path / "a.png").write_bytes(png(64, 64, chunk(b"zTXt", b"Comment\0\0" + bomb)))
    assert told(tmp_path / "a.png")
    (tmp_path / "b.png").write_bytes(png(64, 64, chunk(b"iCCP", b"profile\0\0" + bomb)))
    assert told(tmp_path / "b.png")


@pytest.mark.parametrize(
    ("data", "word"),
    [
        (b"%PDF-1.7\n%\xe2\xe3\xcf\xd3\n1 0 obj", "PDF"),
        (b"<!doctype html><html><body>Not found</body></html>", "text"),
        ("Überprüfung der Batterie\n".encode(), "text"),
        (b"", "empty"),
        (b"\0" * 5000, "no photograph"),
        (os.urandom(64) + b"\0\1\2", "no photograph"),
        (b"PK\x03\x04\0\0\0\0" + b"\0" * 100, "no photograph"),
        (b"%!PS-Adobe-3.0 EPSF-3.0\n%%BoundingBox: 0 0 9 9\n", "text"),
        (b"\0\0\0\x20ftypheic\0\0\0\0mif1heic" + b"\0" * 500, "HEIC"),
    ],
)
def test_what_is_no_photograph_is_told_by_what_it_is(tmp_path: Path, data: bytes, word: str) -> None:
    path = tmp_path / "IMG_0001.jpg"
    path.write_bytes(data)
    assert word in told(path)


def test_what_moves_is_told(tmp_path: Path) -> None:
    frames = [corners(), corners().rotate(180), corners().rotate(90)]
    for name in ("a.gif", "a.png", "a.webp"):
        frames[0].save(tmp_path / name, save_all=True, append_images=frames[1:], duration=100)
        assert "moving picture" in told(tmp_path / name)
    frames[0].save(tmp_path / "a.tif", save_all=True, append_images=frames[1:])
    assert "3 pages" in told(tmp_path / "a.tif")


def test_several_views_of_one_camera_are_one_photograph(tmp_path: Path) -> None:
    corners().save(tmp_path / "a.jpg", "MPO", save_all=True, append_images=[corners().resize((60, 40))])
    assert seen(take(tmp_path / "a.jpg").data) == UPRIGHT


@pytest.mark.posix
def test_what_is_no_file_is_never_waited_for(tmp_path: Path) -> None:
    (tmp_path / "folder.jpg").mkdir()
    assert "folder" in told(tmp_path / "folder.jpg")
    os.mkfifo(tmp_path / "pipe.jpg")
    assert "no file" in told(tmp_path / "pipe.jpg")
    (tmp_path / "device.jpg").symlink_to("/dev/zero")
    assert "no file" in told(tmp_path / "device.jpg")
    assert "not there" in told(tmp_path / "gone.jpg")
    (tmp_path / "nowhere.jpg").symlink_to(tmp_path / "vanished.jpg")
    assert "not there" in told(tmp_path / "nowhere.jpg")


def test_what_a_camera_says_may_be_anything(tmp_path: Path) -> None:
    for raw in (b"Exif\0\0" + os.urandom(900), b"Exif\0\0MM\0*\0\0\0\x08\xff\xff", b"Exif\0\0" + b"\xff" * 60_000):
        corners().save(tmp_path / "a.jpg", exif=raw)
        taken = take(tmp_path / "a.jpg", keep_location=True)
        assert (seen(taken.data), taken.record.location) == (UPRIGHT, "")
    for way in (0, 9, 65_535):
        corners().save(tmp_path / "b.jpg", exif=exif(way))
        assert seen(take(tmp_path / "b.jpg").data) == UPRIGHT
    odd = exif()
    odd.get_ifd(ExifTags.IFD.GPSInfo)[ExifTags.GPS.GPSLatitude] = (9e9, 0.0, 0.0)
    odd.get_ifd(ExifTags.IFD.Exif)[ExifTags.Base.DateTimeOriginal] = "yesterday\x00\x07"
    corners().save(tmp_path / "c.jpg", exif=odd)
    taken = take(tmp_path / "c.jpg", keep_location=True)
    assert (taken.record.location, taken.record.taken) == ("", "")


def test_one_dot_in_a_row_is_a_photograph_too(tmp_path: Path) -> None:
    Image.new("RGB", (40_000, 1), RED).save(tmp_path / "a.png")
    assert (take(tmp_path / "a.png").record.width, take(tmp_path / "a.png").record.height) == (1600, 1)


@pytest.mark.byte_names
def test_a_name_that_is_no_text_is_told_as_it_can_be(tmp_path: Path) -> None:
    path = tmp_path / os.fsdecode(b"anl\xe4ggning.jpg")
    corners().save(path)
    assert take(path).record.name == "anl?ggning.jpg"
