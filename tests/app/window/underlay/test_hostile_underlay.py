"""What is to lie under a sheet of the window may be anything: its reading process shows it, or tells why it cannot."""

from __future__ import annotations

import io
import json
import os
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest

pytest.importorskip("PySide6")

import pypdfium2  # noqa: F401
from harmful_pictures import fanned_pdf, pages_pdf, pictures

from app.window.underlay import reader
from app.window.underlay.laying import FAULTS

pytestmark = [pytest.mark.qt, pytest.mark.posix]
PICTURES = pictures()
FILES = PICTURES | {
    "a page beyond every size": pages_pdf(1, "0 0 99999999 99999999"),
    "a page of no size": pages_pdf(1, "0 0 0 0"),
    "a hundred thousand pages": pages_pdf(100_000),
    "a PDF that is cut short": pages_pdf(3)[:-400],
    "a PDF of nothing": b"%PDF-1.7\n" + bytes(5000),
}
NEVER = {"a PostScript file that starts programs", "an SVG", "nothing but zeros", "a bitmap of a program",
         "a PNG of no size", "a PNG of a million million dots", "a TIFF of 2^32 by 2^32"}  # fmt: skip


def asked(folder: Path, data: bytes) -> dict[str, Any]:
    """What the reading process would tell."""
    (folder / "photo.jpg").write_bytes(data)
    (folder / "made").mkdir()
    sys.stdout = out = io.StringIO()
    os.dup2(os.open(os.devnull, os.O_WRONLY), 2)  # Qt speaks of what it cannot read
    assert reader.main([str(folder / "photo.jpg"), "1", str(folder / "made")]) == 0
    return dict(json.loads(out.getvalue()))


@pytest.mark.parametrize("what", FILES)
def test_it_is_shown_or_refused_by_a_word_there_is_a_sentence_for(tmp_path: Path, what: str) -> None:
    from held_back import held_back

    held = held_back(lambda: asked(tmp_path, FILES[what]), seconds=5, mb=2000)
    assert (held.fault, held.ended) == (None, "")
    if "fault" in held.value:
        assert held.value["fault"] in FAULTS
        assert list((tmp_path / "made").iterdir()) == []
        return
    assert what not in NEVER
    name, width, height, row = held.value["levels"][0]
    assert max(width, height) <= reader.LONG_SIDE
    assert (tmp_path / "made" / name).stat().st_size == height * row
    assert held.mb < 300


def test_a_page_that_draws_for_ever_is_ended_though_nobody_waits(tmp_path: Path) -> None:
    (tmp_path / "plan.pdf").write_bytes(fanned_pdf())
    asked = (
        "import sys; from app.window.underlay import reader; reader.PATIENCE_S = 1;"
        "reader.main([sys.argv[1], '1', sys.argv[2]])"
    )
    done = subprocess.run(
        [sys.executable, "-c", asked, str(tmp_path / "plan.pdf"), str(tmp_path)], capture_output=True, check=False
    )
    assert done.returncode < 0
    assert done.stdout == b""
