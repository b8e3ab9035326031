"""Open, save, check and print generated boats of 100, 1000 and 5000 pieces, as ratios to one pass over the graph.

One pass reads one attribute of every node and every edge of the networkx MultiGraph, in the same run. There is no
target yet for these four; the figures are printed so that a change for the worse is seen. Printing lays the boat out
first and is measured up to 1000 pieces.
"""

from __future__ import annotations

import sys
import tempfile
from pathlib import Path

from bench_rules import best, graph_pass
from boats import boat

from app.drawing.layout import lay_out
from app.drawing.sheets import pictures
from app.paper.pdf import pdf_bytes
from engine.check import check
from engine.edits import apply
from engine.files.drawing import load, save

SIZES = (100, 1000, 5000)
PRINTED = 1000


def measure(pieces: int, folder: Path) -> None:
    """Print the four ratios at one size."""
    installation = boat(pieces)
    path = folder / f"{pieces}.linewright"
    floor = best(lambda: graph_pass(installation), 10)
    save(installation, path)
    times = 5 if pieces <= 1000 else 2
    told = [
        ("open", best(lambda: load(path), times)),
        ("save", best(lambda: save(installation, path), times)),
        ("check", best(lambda: check(installation.snapshot()), times)),
    ]
    if pieces <= PRINTED:

        def printed() -> bytes:
            laid = load(path).installation
            apply(laid, lay_out(laid.snapshot()))
            snapshot = laid.snapshot()
            sheets = pictures(snapshot, check(snapshot))
            return pdf_bytes(sheets, title="bench", author="bench")[0]

        told.append(("lay out and print", best(printed, 1)))
    figures = ", ".join(f"{name} {seconds * 1000:.0f} ms = {seconds / floor:.0f}" for name, seconds in told)
    print(f"{pieces} pieces: pass {floor * 1000:.2f} ms; {figures} passes")


def main() -> int:
    """Measure every size."""
    with tempfile.TemporaryDirectory() as folder:
        for pieces in SIZES:
            measure(pieces, Path(folder))
    return 0


if __name__ == "__main__":
    sys.exit(main())
