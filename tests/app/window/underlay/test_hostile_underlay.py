"""What is to lie under a sheet of the window may be anything: its reading process shows it, or tells why it cannot."""

from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path

import pytest

pytest.importorskip("PySide6")

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


DEFAULT = ("a page beyond every size", "a PDF of nothing", "an SVG", "a PNG of a million million dots")
READ = """
import re, resource, sys
resource.setrlimit(resource.RLIMIT_CPU, (8, 9))
from app.window.underlay import reader
code = reader.main(sys.argv[1:])
with open("/proc/self/status") as status:
    print(int(re.search(r"VmHWM:\\s+(\\d+)", status.read())[1]) // 1024, file=sys.stderr)
sys.exit(code)
"""


@pytest.mark.parametrize("what", [pytest.param(w, marks=() if w in DEFAULT else pytest.mark.long) for w in FILES])
def test_it_is_shown_or_refused_by_a_word_there_is_a_sentence_for(tmp_path: Path, what: str) -> None:
    """In a program of its own, as the window has it: what Qt holds is of no use in a forked one."""
    (tmp_path / "photo.jpg").write_bytes(FILES[what])
    (tmp_path / "made").mkdir()
    ended = subprocess.run(
        [sys.executable, "-c", READ, str(tmp_path / "photo.jpg"), "1", str(tmp_path / "made")],
        capture_output=True,
        check=False,
    )
    assert ended.returncode == 0, ended.stderr
    told = json.loads(ended.stdout)
    if "fault" in told:
        assert told["fault"] in FAULTS
        assert list((tmp_path / "made").iterdir()) == []
        return
    assert what not in NEVER
    name, width, height, row = told["levels"][0]
    assert max(width, height) <= reader.LONG_SIDE
    assert (tmp_path / "made" / name).stat().st_size == height * row
    assert int(ended.stderr.split()[-1]) < 500


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
