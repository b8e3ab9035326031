"""The report of a survey with 100 photographs, as PDF and as DOCX, by the command line in a process of its own.

50 deficiencies on a boat of 300 pieces, two photographs each of 1600 by 1200 dots and some 600 kB, as they are kept.
Seconds and most memory of each. Targets 10 s and 400 MB; fails above 20 s and 800 MB. Beside them, as a ratio, what
Pillow needs in the same run to make the same photographs as small as they are printed and nothing else.
"""

from __future__ import annotations

import hashlib
import io
import os
import random
import subprocess
import sys
import tempfile
import time
from pathlib import Path

from boats import boat
from PIL import Image

from engine.edits import Put, apply
from engine.files.drawing import save
from engine.installation import Deficiency, Photograph, Survey

PHOTOGRAPHS, DEFICIENCIES, PIECES = 100, 50, 300
SIZE = (1600, 1200)
TARGET_S, TARGET_MB = 10, 400
PRINTED = 787  # dots across, of 80 mm at 250 dpi


def photograph(number: int) -> bytes:
    """A JPEG as large as one is kept: grain makes it so."""
    dice = random.Random(number)
    grain = Image.frombytes("RGB", (SIZE[0] // 2, SIZE[1] // 2), dice.randbytes(SIZE[0] * SIZE[1] // 4 * 3))
    light = Image.linear_gradient("L").resize(SIZE)
    image = Image.blend(grain.resize(SIZE), Image.merge("RGB", (light, light, light)), 0.72)
    out = io.BytesIO()
    image.save(out, "JPEG", quality=82)
    return out.getvalue()


def make(folder: Path) -> Path:
    """A surveyed boat with its photographs."""
    installation = boat(PIECES)

    def put(table: str, record: object) -> str:
        item = installation.new_id(table)
        apply(installation, Put(table, item, record))
        return item

    survey = put("surveys", Survey(name="bench", date="2026-10-01", surveyor="A. Dunlin"))
    (folder / "photographs").mkdir()
    ids = []
    for n in range(PHOTOGRAPHS):
        data = photograph(n)
        sha256 = hashlib.sha256(data).hexdigest()
        (folder / "photographs" / f"{sha256}.jpg").write_bytes(data)
        ids.append(put("photographs", Photograph(sha256=sha256, caption=f"Photograph {n}", width=1600, height=1200)))
    pieces = sorted(installation.snapshot().equipment)
    each = PHOTOGRAPHS // DEFICIENCIES
    for n in range(DEFICIENCIES):
        record = Deficiency(
            number=n + 1,
            at=pieces[n * len(pieces) // DEFICIENCIES],
            grade="ABC"[n % 3],
            basis="good practice",
            observation="The lug is burnt at the crimp and its insulation is molten.",
            risk="It falls off.",
            recommendation="Cut back to sound copper and crimp a new one.",
            survey=survey,
            photographs=tuple(ids[n * each : (n + 1) * each]),
        )
        put("deficiencies", record)
    path = folder / "bench.linewright"
    save(installation, path)
    return path


def measured(drawing: Path, ending: str) -> tuple[float, float, int]:
    """Seconds, most MB and bytes written of one report."""
    out = drawing.with_suffix(ending)
    start = time.perf_counter()
    process = subprocess.Popen(
        [sys.executable, "-m", "app.cli", "survey", str(drawing), "-o", str(out)],
        stdout=subprocess.DEVNULL,
        stderr=subprocess.PIPE,
    )
    assert process.stderr is not None
    told = process.stderr.read()
    _pid, status, used = os.wait4(process.pid, 0)
    seconds = time.perf_counter() - start
    process.returncode = os.waitstatus_to_exitcode(status)
    assert process.returncode == 0, told
    assert b"missing" not in told, told
    return seconds, used.ru_maxrss / 1024, out.stat().st_size


def floor(folder: Path) -> float:
    """Seconds to read every photograph and pack it again as small as it is printed."""
    start = time.perf_counter()
    for path in sorted(folder.glob("*.jpg")):
        with Image.open(io.BytesIO(path.read_bytes())) as opened:
            opened.draft("RGB", (PRINTED, PRINTED))
            opened.thumbnail((PRINTED, PRINTED))
            opened.convert("RGB").save(io.BytesIO(), "JPEG", quality=85)
    return time.perf_counter() - start


def main() -> int:
    """Print both; 1 where one is beyond twice its target."""
    with tempfile.TemporaryDirectory() as there:
        drawing = make(Path(there))
        least = floor(drawing.parent / "photographs")
        kept = sum(path.stat().st_size for path in (drawing.parent / "photographs").iterdir()) / 1e6
        worst_s = worst_mb = 0.0
        for ending in (".pdf", ".docx"):
            seconds, most, size = measured(drawing, ending)
            print(
                f"survey report{ending}, {PHOTOGRAPHS} photographs ({kept:.0f} MB kept): {seconds:.1f} s = "
                f"{seconds / least:.1f} x the photographs alone ({least:.1f} s; target {TARGET_S} s), "
                f"{most:.0f} MB at most (target {TARGET_MB}), {size / 1e6:.1f} MB written"
            )
            worst_s, worst_mb = max(worst_s, seconds), max(worst_mb, most)
    return 1 if worst_s > 2 * TARGET_S or worst_mb > 2 * TARGET_MB else 0


if __name__ == "__main__":
    sys.exit(main())
