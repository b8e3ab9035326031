"""What lies under a sheet may be anything: on paper it is drawn or told, nothing of it is run, nothing fetched."""

from __future__ import annotations

import io
import json
import os
import socket
import sys
from pathlib import Path
from typing import Any

import pypdfium2  # noqa: F401  # once, before processes are made of this one
import pytest
from harmful_pictures import a_pdf, fanned_pdf, pages_pdf, pictures
from PIL import Image

from app.paper import under, under_reader
from engine.installation import Underlay

PICTURES = pictures()
DRAWN = {  # what is a picture all the same: of several the first
    "64 kB from the camera", "places of the camera in a ring", "100 000 chunks of words", "a GIF of 2000 pictures",
    "a WebP of 20 pictures", "rows of a PNG that go on for ever", "a TIFF in a ring",
    "a TIFF with four thousand million values",
}  # fmt: skip
LOOP = a_pdf([b"<</Type /Catalog /Pages 2 0 R>>", b"<</Type /Pages /Count 9 /Kids [2 0 R 2 0 R]>>"])


def asked(path: Path, data: bytes, page: int = 1) -> tuple[dict[str, Any], bytes]:
    """What the reading process would tell, and the picture."""
    path.write_bytes(data)
    out = io.BytesIO()
    sys.stdout = io.TextIOWrapper(out, write_through=True)
    os.dup2(os.open(os.devnull, os.O_WRONLY), 2)
    assert under_reader.main([str(path), str(page), "0.25", "420"]) == 0
    line, _end, jpeg = out.getvalue().partition(b"\n")
    return json.loads(line), jpeg


@pytest.mark.posix
@pytest.mark.parametrize("what", PICTURES)
def test_a_picture_is_drawn_or_refused(tmp_path: Path, what: str) -> None:
    from held_back import held_back

    held = held_back(lambda: asked(tmp_path / "photo.jpg", PICTURES[what]), seconds=4, mb=1000)
    assert (held.fault, held.ended) == (None, "")
    told, jpeg = held.value
    assert bool(jpeg) == ("fault" not in told)
    if jpeg:
        assert what in DRAWN
        with Image.open(io.BytesIO(jpeg)) as image:
            assert image.format == "JPEG"
    else:
        assert told["fault"] in ("unreadable", "large")
    assert sorted(path.name for path in tmp_path.iterdir()) == ["photo.jpg"]
    assert held.mb < 500


PAGES = {
    "a page beyond every size": (pages_pdf(1, "0 0 99999999 99999999"), 1),
    "a page of no size": (pages_pdf(1, "0 0 0 0"), 1),
    "pages in a ring": (LOOP, 1),
    "a page that is not there": (pages_pdf(3), 4),
    "cut short": (pages_pdf(3)[:-200], 9),
    "no PDF": (b"%PDF-1.7\n" + bytes(5000), 1),
}


@pytest.mark.posix
@pytest.mark.parametrize("what", PAGES)
def test_a_page_that_is_none_is_refused_or_drawn_as_far_as_it_is_one(tmp_path: Path, what: str) -> None:
    from held_back import held_back

    data, page = PAGES[what]
    held = held_back(lambda: asked(tmp_path / "plan.pdf", data, page), seconds=4, mb=1000)
    assert (held.fault, held.ended) == (None, "")
    told, jpeg = held.value
    assert told.get("fault", "") in ("unreadable", "large") or jpeg.startswith(b"\xff\xd8")


@pytest.mark.posix
def test_of_a_hundred_thousand_pages_the_last_is_drawn(tmp_path: Path) -> None:
    from held_back import held_back

    held = held_back(lambda: asked(tmp_path / "plan.pdf", pages_pdf(100_000), 100_000), seconds=8, mb=1000)
    assert (held.fault, held.ended) == (None, "")
    told, jpeg = held.value
    assert told == {"width": 200.0, "height": 100.0}
    with Image.open(io.BytesIO(jpeg)) as image:
        assert image.convert("L").getpixel((3, image.height // 2)) == 0


@pytest.mark.posix
def test_nothing_in_a_pdf_is_run_and_no_address_asked(tmp_path: Path) -> None:
    """Every way ISO 32000-1 has to act when a file or a page is opened; each would knock at a door."""
    from held_back import held_back

    with socket.create_server(("127.0.0.1", 0)) as door:
        door.setblocking(False)
        address = f"http://127.0.0.1:{door.getsockname()[1]}/"
        script = f"<</S /JavaScript /JS (app.launchURL('{address}'); this.submitForm('{address}');)>>"
        acts = [script, f"<</S /URI /URI ({address})>>", f"<</S /Launch /F ({tmp_path}/run.sh)>>",
                f"<</S /SubmitForm /F ({address})>>", f"<</S /GoToR /F ({address}) /D [0 /Fit]>>"]  # fmt: skip
        (tmp_path / "run.sh").write_text(f"#!/bin/sh\ntouch {tmp_path}/ran\n")
        (tmp_path / "run.sh").chmod(0o755)
        for act in acts:
            link = f"<</Type /Annot /Subtype /Link /Rect [0 0 200 100] /A {act} /AA <</PV {act} /PO {act}>>>>"
            data = pages_pdf(
                1,
                catalogue=f"/OpenAction {act} /AA <</WC {act}>> /Names <</JavaScript <</Names [(a) {script}]>>>>",
                page=f"/AA <</O {act}>> /Annots [{link}]",
            )
            held = held_back(lambda data=data: asked(tmp_path / "plan.pdf", data), seconds=4, mb=1000)
            assert held.value[0] == {"width": 200.0, "height": 100.0}
        with pytest.raises(BlockingIOError):
            door.accept()
    assert not (tmp_path / "ran").exists()


@pytest.mark.posix
def test_a_page_that_draws_for_ever_is_given_up_and_told(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """The process is ended by whoever waits, and by itself where nobody does."""
    from held_back import held_back

    (tmp_path / "plan.pdf").write_bytes(fanned_pdf())
    monkeypatch.setattr(under, "PATIENCE_S", 1)
    with pytest.raises(under.UnderFault) as told:
        under._under(tmp_path / "plan.pdf", Underlay(file="plan.pdf", mm_per_unit=0.25), 420)
    assert str(told.value) == (
        "plan.pdf, which lies under a sheet, is too large or takes too long to read; it is not printed"
    )
    monkeypatch.setattr(under_reader, "PATIENCE_S", 1)
    held = held_back(lambda: asked(tmp_path / "plan.pdf", fanned_pdf()), seconds=20, mb=1000)
    assert held.ended == "SIGXCPU"
