"""`linewright ketch.linewright` until her sheet is painted, as a ratio to importing QtWidgets, networkx and numpy.

Target 2.5 (median of 5, taken in turn); fails above twice the target. Offscreen unless QT_QPA_PLATFORM says otherwise.
"""

from __future__ import annotations

import os
import statistics
import subprocess
import sys
import tempfile
import time
from pathlib import Path

KETCH = Path(__file__).parents[2] / "samples/ketch/ketch.linewright"
TARGET = 2.5
FLOOR = "import PySide6.QtWidgets, networkx, numpy"
# the command line itself; once the sheet is on the screen the process is gone
OPEN = """
import os, sys
from app import cli
import app.window.start as start
start.begin_work = lambda window: os._exit(7)
sys.exit(cli.main([sys.argv[1]]))
"""


def seconds(code: str, expected: int, *arguments: str) -> float:
    """Wall clock of a fresh interpreter."""
    with tempfile.TemporaryDirectory() as home:
        environment = {
            "QT_QPA_PLATFORM": "offscreen",
            **os.environ,
            "HOME": home,
            "XDG_DATA_HOME": home,
            "XDG_CONFIG_HOME": home,
        }
        start = time.perf_counter()
        done = subprocess.run(
            [sys.executable, "-c", code, *arguments], stderr=subprocess.DEVNULL, check=False, env=environment
        )
        taken = time.perf_counter() - start
    assert done.returncode == expected, done.returncode
    return taken


def main() -> int:
    """Print the ratio; 1 when it is above twice the target."""
    with tempfile.TemporaryDirectory() as folder:
        ketch = Path(folder) / KETCH.name
        ketch.write_bytes(KETCH.read_bytes())
        seconds(FLOOR, 0), seconds(OPEN, 7, str(ketch))  # warm the disk
        pairs = [(seconds(FLOOR, 0), seconds(OPEN, 7, str(ketch))) for _ in range(5)]
    floor = statistics.median(p[0] for p in pairs)
    opened = statistics.median(p[1] for p in pairs)
    ratio = opened / floor
    print(
        f"the ketch opened to her first paint: {opened * 1000:.0f} ms = {ratio:.2f} x importing QtWidgets, networkx "
        f"and numpy ({floor * 1000:.0f} ms; target {TARGET})"
    )
    return 1 if ratio > 2 * TARGET else 0


if __name__ == "__main__":
    sys.exit(main())
