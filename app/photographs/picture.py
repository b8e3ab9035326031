"""A photograph as it is kept: turned as the camera was held, sRGB, no larger than asked, JPEG, nothing told beside it.

Only `reader.py` calls this, in a process of its own. The same file gives the same bytes, whoever reads it and when.
"""

from __future__ import annotations

import contextlib
import io
import math
import re
from typing import Any

from PIL import (  # the forms that are read, and no other; of JPEG come those that hold several views too
    BmpImagePlugin,
    ExifTags,
    GifImagePlugin,
    Image,
    ImageCms,
    JpegImagePlugin,
    PngImagePlugin,
    TiffImagePlugin,
    WebPImagePlugin,
)

__all__ = ["Refused", "as_kept"]

_FORMS = tuple(
    form.format
    for form in (
        BmpImagePlugin.BmpImageFile,
        GifImagePlugin.GifImageFile,
        JpegImagePlugin.JpegImageFile,
        PngImagePlugin.PngImageFile,
        TiffImagePlugin.TiffImageFile,
        WebPImagePlugin.WebPImageFile,
    )
)
_MOST_DOTS = 250_000_000
_QUALITIES = (88, 82, 75, 66, 56)  # of JPEG, the best first that is small enough
_SMALLER = 0.8  # where none is
_SMALLEST = 64  # dots of the long side below which it is no photograph any more
_DEEP = {"I", "F", "I;16", "I;16B", "I;16L", "I;16N"}  # more than 8 bits a dot
_TRANSPARENT = {"LA", "La", "PA", "RGBA", "RGBa"}
_WAYS = {  # EXIF orientation -> what puts it upright
    2: Image.Transpose.FLIP_LEFT_RIGHT,
    3: Image.Transpose.ROTATE_180,
    4: Image.Transpose.FLIP_TOP_BOTTOM,
    5: Image.Transpose.TRANSPOSE,
    6: Image.Transpose.ROTATE_270,
    7: Image.Transpose.TRANSVERSE,
    8: Image.Transpose.ROTATE_90,
}
_WHEN = re.compile(r"(\d{4}):(\d\d):(\d\d) (\d\d:\d\d(?::\d\d)?)")  # as EXIF writes it, JEITA CP-3451


class Refused(Exception):
    """It is no photograph that can be kept: a word of `faults.FAULTS`, and what stands in its sentence."""

    def __init__(self, word: str, **values: object) -> None:
        super().__init__(word)
        self.word, self.values = word, values


def as_kept(data: bytes, longest: int, most_bytes: int, keep_location: bool) -> tuple[bytes, dict[str, Any]]:
    """The JPEG, and what there is to record of it. Raises `Refused` and `MemoryError`."""
    Image.MAX_IMAGE_PIXELS = None  # its size is looked at here, before anything of it is decoded
    try:
        return _as_kept(data, longest, most_bytes, keep_location)
    except (Refused, MemoryError):
        raise
    except Exception as fault:  # decoders raise what they like over what is damaged
        raise Refused("cut short" if "truncated" in str(fault) else "unreadable") from None


def _as_kept(data: bytes, longest: int, most_bytes: int, keep_location: bool) -> tuple[bytes, dict[str, Any]]:
    image: Image.Image = Image.open(io.BytesIO(data), formats=_FORMS)
    width, height = image.size
    if width * height > _MOST_DOTS:
        raise Refused("large", width=width, height=height)
    if image.format != "MPO" and getattr(image, "is_animated", False):  # several views in one are usual of cameras
        if image.format == "TIFF":
            raise Refused("pages", pages=int(getattr(image, "n_frames", 2)))
        raise Refused("moving")
    exif = _exif(image)
    image.draft(None, (2 * longest, 2 * longest))  # JPEG is decoded small where it is much too large
    image.load()
    scale = longest / max(image.size)
    if scale < 1:
        image = _deep_as_shallow(image)
        if image.mode in ("P", "PA", "1"):
            image = image.convert("RGBA" if "transparency" in image.info or image.mode == "PA" else "RGB")
        size = (max(1, round(image.width * scale)), max(1, round(image.height * scale)))
        image = _sized(image, size)
    if exif is not None:
        image = _turned(image, exif)
    image = _in_rgb(image)
    where = _where(exif)
    facts = {"taken": _when(exif), "location": _told(where) if keep_location and where else ""}
    kept = _gps(where) if facts["location"] and where else b""
    return _encoded(image, most_bytes, kept, facts)


def _sized(image: Image.Image, size: tuple[int, int]) -> Image.Image:
    """Smaller; what makes it fit stays with it."""
    made = image.resize(size, Image.Resampling.LANCZOS, reducing_gap=3.0)
    made.info = dict(image.info)
    return made


def _encoded(image: Image.Image, most_bytes: int, exif: bytes, facts: dict[str, Any]) -> tuple[bytes, dict[str, Any]]:
    while True:
        for quality in _QUALITIES:
            out = io.BytesIO()
            image.save(out, "JPEG", quality=quality, optimize=True, exif=exif)
            if out.tell() <= most_bytes:
                return out.getvalue(), facts | {"width": image.width, "height": image.height}
        if max(image.size) <= _SMALLEST:
            raise Refused("heavy")
        image = image.resize(
            (max(1, round(image.width * _SMALLER)), max(1, round(image.height * _SMALLER))), Image.Resampling.LANCZOS
        )


# -- colours ----------------------------------------------------------------------------------------------------------
def _deep_as_shallow(image: Image.Image) -> Image.Image:
    """Shades of grey in more than 8 bits, in 8."""
    if image.mode not in _DEEP:
        return image
    plain = image.convert("F")
    _low, high = plain.getextrema()
    top = 65535.0 if image.mode != "F" else 1.0
    if not isinstance(high, int | float) or not math.isfinite(high):
        raise Refused("unreadable")
    if high > top:
        top = float(high)
    made = plain.point(lambda shade: shade * (255.0 / top) + 0.0).convert("L")
    made.info = {}  # a profile of what it was is none of what it is
    return made


def _in_rgb(image: Image.Image) -> Image.Image:
    """In sRGB, on white where it can be seen through. A profile that cannot be read is none."""
    image = _deep_as_shallow(image)
    if image.mode in _TRANSPARENT or "transparency" in image.info:
        clear = image.convert("RGBA")
        paper = Image.new("RGBA", clear.size, "white")
        paper.alpha_composite(clear)
        solid = paper.convert("RGB")
        solid.info = dict(image.info)
        image = solid
    elif image.mode in ("P", "1"):
        image = image.convert("RGB")
    profile = image.info.get("icc_profile")
    if profile and image.mode in ("RGB", "CMYK", "L"):
        with contextlib.suppress(Exception):  # a profile that is damaged or meant for other colours
            made = ImageCms.profileToProfile(
                image, ImageCms.ImageCmsProfile(io.BytesIO(profile)), ImageCms.createProfile("sRGB"), outputMode="RGB"
            )
            if made is not None:
                image = made
    if image.mode != "RGB":
        image = image.convert("RGB")
    clean = Image.new("RGB", image.size)  # nothing goes along but the dots
    clean.paste(image)
    return clean


# -- what the camera says ---------------------------------------------------------------------------------------------
def _exif(image: Image.Image) -> Image.Exif | None:
    try:
        return image.getexif()
    except Exception:  # damaged: the picture itself may be whole
        return None


def _turned(image: Image.Image, exif: Image.Exif) -> Image.Image:
    """As the camera was held. EXIF orientation 1 to 8, JEITA CP-3451."""
    try:
        way = int(exif.get(ExifTags.Base.Orientation, 1))
    except (TypeError, ValueError):
        return image
    return image.transpose(_WAYS[way]) if way in _WAYS else image


def _when(exif: Image.Exif | None) -> str:
    """When it was taken, as "2026-05-03 10:11:12"; "" where it is not told."""
    if exif is None:
        return ""
    found: list[object] = []
    with contextlib.suppress(Exception):
        found.append(exif.get_ifd(ExifTags.IFD.Exif).get(ExifTags.Base.DateTimeOriginal))
    with contextlib.suppress(Exception):
        found.append(exif.get(ExifTags.Base.DateTime))
    for text in found:
        match = _WHEN.match(str(text or "").strip())
        if match and match[1] != "0000":
            return f"{match[1]}-{match[2]}-{match[3]} {match[4]}"
    return ""


def _where(exif: Image.Exif | None) -> tuple[float, float] | None:
    """Latitude and longitude in degrees, north and east positive."""
    if exif is None:
        return None
    with contextlib.suppress(Exception):
        gps = exif.get_ifd(ExifTags.IFD.GPSInfo)
        north = _degrees(gps[ExifTags.GPS.GPSLatitude], str(gps[ExifTags.GPS.GPSLatitudeRef]), "NS")
        east = _degrees(gps[ExifTags.GPS.GPSLongitude], str(gps[ExifTags.GPS.GPSLongitudeRef]), "EW")
        if abs(north) <= 90 and abs(east) <= 180:
            return north, east
    return None


def _degrees(parts: Any, side: str, sides: str) -> float:
    """Degrees out of degrees, minutes and seconds. Raises where it is none."""
    degrees, minutes, seconds = (float(part) for part in parts)
    made = degrees + minutes / 60 + seconds / 3600
    if not math.isfinite(made) or min(degrees, minutes, seconds) < 0:
        raise ValueError(parts)
    return -made if sides.index(side.strip("\0 ").upper()[:1]) else made


def _told(where: tuple[float, float]) -> str:
    """To a metre or so: "57.70887, 11.97456", as any map takes it."""
    return f"{where[0]:.5f}, {where[1]:.5f}"


def _gps(where: tuple[float, float]) -> bytes:
    """EXIF that tells the place and nothing else, to a metre or so."""
    exif = Image.Exif()
    gps = exif.get_ifd(ExifTags.IFD.GPSInfo)
    gps[ExifTags.GPS.GPSLatitudeRef] = "S" if where[0] < 0 else "N"
    gps[ExifTags.GPS.GPSLatitude] = _parts(where[0])
    gps[ExifTags.GPS.GPSLongitudeRef] = "W" if where[1] < 0 else "E"
    gps[ExifTags.GPS.GPSLongitude] = _parts(where[1])
    return exif.tobytes()


def _parts(degrees: float) -> tuple[float, float, float]:
    """Degrees, minutes and seconds, these to a hundredth."""
    hundredths = round(abs(degrees) * 360_000)
    whole, rest = divmod(hundredths, 360_000)
    minutes, seconds = divmod(rest, 6_000)
    return float(whole), float(minutes), seconds / 100
