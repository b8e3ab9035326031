"""`linewright check` on the ketch, as a ratio to `python -c 'import networkx, numpy'` in the same run.

Target 2.5 (median of 5, taken in turn), missed: with 74 rules it is some 4.5 to 5.5. Fails above 8, so that it does not
grow.
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
TARGET, LIMIT = 2.5, 8.0


def seconds(code: str, *arguments: str) -> float:
    """Wall clock of a fresh interpreter."""
    with tempfile.TemporaryDirectory() as home:
        environment = {**os.environ, "HOME": home, "XDG_DATA_HOME": home}
        start = time.perf_counter()
        subprocess.run(
            [sys.executable, "-c", code, *arguments],
            stdout=subprocess.DEVNULL,
            check=False,
            env=environment,
        )
        return time.perf_counter() - start


def main() -> int:
    """Print the ratio; 1 when it is above twice the target."""
    floor_code = "import networkx, numpy"
    check_code = "import sys; from app.cli import main; sys.exit(main(['check', sys.argv[1]]))"
    seconds(floor_code), seconds(check_code, str(KETCH))  # warm the disk
    pairs = [(seconds(floor_code), seconds(check_code, str(KETCH))) for _ in range(5)]
    floor = statistics.median(p[0] for p in pairs)
    check = statistics.median(p[1] for p in pairs)
    ratio = check / floor
    print(f"check on the ketch: {check * 1000:.0f} ms = {ratio:.2f} x importing networkx and numpy (target {TARGET})")
    return 1 if ratio > LIMIT else 0


if __name__ == "__main__":
    sys.exit(main())
