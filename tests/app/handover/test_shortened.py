"""Texts too long to be printed whole: cut where it is seen, told where, and the drawing keeps them."""

from __future__ import annotations

import re
import subprocess
import sys
from pathlib import Path

import pypdf
import pytest

from app.handover.shortened import LONGEST, shortened, shortened_words
from engine.files.drawing import read_bytes

SAMPLES = Path(__file__).parents[3] / "samples"
MAIN = "import sys; sys.argv[0] = 'linewright'; from app.cli import main; sys.exit(main())"


def _launch(remark: str) -> bytes:
    data = (SAMPLES / "launch" / "launch.linewright").read_text("utf-8")
    changed, n = re.subn(r'("vessel":\s*\{[^}]*?"name":\s*)"[^"]*"', rf'\1"{remark}"', data)
    assert n == 1
    return changed.encode()


def test_what_fits_is_the_very_same() -> None:
    snapshot = read_bytes(_launch("n" * LONGEST)).installation.snapshot()
    assert shortened(snapshot) == (snapshot, ())


def test_what_is_longer_says_how_much_is_left_out() -> None:
    snapshot = read_bytes(_launch("n" * (LONGEST + 18_000))).installation.snapshot()
    short, cut = shortened(snapshot)
    assert short.vessel.name == "n" * LONGEST + "… (18000 characters more)"
    assert cut == ("vessel.name",)
    assert "vessel.name" in shortened_words(cut)
    assert short.equipment == snapshot.equipment


@pytest.mark.long
def test_a_paper_prints_the_beginning_and_the_terminal_tells(tmp_path: Path) -> None:
    boat, paper = tmp_path / "boat.linewright", tmp_path / "list.pdf"
    before = _launch("mess " * 4000)
    boat.write_bytes(before)
    ended = subprocess.run(
        [sys.executable, "-c", MAIN, "schedules", str(boat), "-o", str(paper)], capture_output=True, check=False
    )
    assert ended.returncode == 0, ended
    assert "vessel.name" in ended.stderr.decode()
    assert len(pypdf.PdfReader(paper).pages) < 60
    assert boat.read_bytes() == before
