"""Whatever bytes a photograph is: it is kept as a JPEG that Pillow reads back, or refused by a word there is for it."""

from __future__ import annotations

import io
from functools import cache

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from PIL import Image

from app.photographs.faults import FAULTS, sentence
from app.photographs.picture import Refused, as_kept


@cache
def whole(form: str) -> bytes:
    out = io.BytesIO()
    image = Image.radial_gradient("L").convert("RGB").resize((96, 64))
    exif = Image.Exif()
    exif[0x0112] = 6
    exif.get_ifd(0x8825)[1] = "N"
    image.save(out, form, **({"exif": exif} if form in ("JPEG", "WEBP", "PNG") else {}))
    return out.getvalue()


changes = st.lists(st.tuples(st.floats(0, 1, exclude_max=True), st.integers(0, 255)), max_size=12)


@pytest.fixture(autouse=True)
def _limit(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(Image, "MAX_IMAGE_PIXELS", Image.MAX_IMAGE_PIXELS)  # the reading process lifts it
    monkeypatch.setattr("app.photographs.picture._MOST_DOTS", 4_000_000)  # here there is no process to end


@pytest.mark.filterwarnings("ignore")  # decoders warn of what they mend; the process that reads has nobody to tell
@pytest.mark.parametrize("form", ["JPEG", "PNG", "WEBP", "TIFF", "GIF", "BMP"])
@settings(max_examples=60, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(changes=changes, end=st.floats(0.01, 1), keep=st.booleans())
def test_it_is_kept_or_refused(form: str, changes: list[tuple[float, int]], end: float, keep: bool) -> None:
    data = bytearray(whole(form))
    for at, byte in changes:
        data[int(at * len(data))] = byte
    data = data[: max(int(end * len(data)), 1)]
    fault: Refused | None = None
    try:
        image, facts = as_kept(bytes(data), 64, 20_000, keep)
    except Refused as refused:
        fault = refused
    if fault is not None:
        assert fault.word in FAULTS
        told = sentence(fault.word, "IMG.jpg", **fault.values)
        assert told.startswith("IMG.jpg ")
        assert "{" not in told
        return
    with Image.open(io.BytesIO(image)) as read:
        assert (read.format, read.mode) == ("JPEG", "RGB")
        assert read.size == (facts["width"], facts["height"])
        assert max(read.size) <= 64
        read.load()
    assert len(image) <= 20_000


def test_every_fault_is_a_sentence_of_its_own() -> None:
    told = {word: sentence(word, "IMG.jpg", width=30_000, height=30_000, pages=3, folder="x", why="y", seconds=60)
            for word in FAULTS}  # fmt: skip
    assert len(set(told.values())) == len(told)
    assert all(
        text.startswith("IMG.jpg ") and text.endswith((".", "can.")) and "?" not in text for text in told.values()
    )
