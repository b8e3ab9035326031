"""The drawing set and the pack on paper.

1. 20 sheets: the time to write their pages as PDF, as a ratio to what reportlab needs for the same strokes and words
   in the same run (median of 5, taken in turn). Target 1.5; fails above 3.
2. 200 sheets, laid out and printed in a process of their own: most memory. Target 300 MB; fails above 600.
"""

from __future__ import annotations

import io
import resource
import statistics
import subprocess
import sys
import time
from pathlib import Path as FilePath

from boats import boat
from reportlab.pdfgen.canvas import Canvas

from app.drawing.sheets import laid_out, pictures
from app.paper.pdf import pdf_bytes
from engine.picture import CAP_HEIGHT, Path, Picture

SHEETS, TARGET, LIMIT = 20, 1.5, 3.0
MANY, MOST_MB, LIMIT_MB = 200, 300, 600
MM = 72 / 25.4


def set_of(sheets: int) -> tuple[Picture, ...]:
    """The drawing set of a boat that needs at least so many sheets."""
    pieces = 16 * sheets if sheets > SHEETS else 20 * sheets
    while True:
        made = pictures(laid_out(boat(pieces).snapshot(), "A4" if sheets > SHEETS else "A3"))
        if len(made) >= sheets:
            return made
        pieces = int(pieces * sheets / len(made) * 1.1)


def raw(made: tuple[Picture, ...]) -> bytes:
    """The same strokes and words by reportlab alone: no colours, no dashes, no links."""
    out = io.BytesIO()
    canvas = Canvas(out, pageCompression=1, invariant=1)
    for picture in made:
        canvas.setPageSize((picture.width * MM, picture.height * MM))
        canvas.saveState()
        canvas.transform(MM, 0, 0, -MM, 0, picture.height * MM)
        for p in picture.primitives:
            if isinstance(p, Path):
                path = canvas.beginPath()
                for letter, *at in p.segments:
                    if letter == "M":
                        path.moveTo(*at)
                    elif letter == "L":
                        path.lineTo(*at)
                    elif letter == "C":
                        path.curveTo(*at)
                    else:
                        path.close()
                canvas.setLineWidth(p.width)
                canvas.drawPath(path, stroke=int(p.width > 0), fill=int(p.fill is not None))
            else:
                words = canvas.beginText()
                words.setFont("sheet bold" if p.bold else "sheet", p.height / CAP_HEIGHT)
                words.setTextTransform(1, 0, 0, -1, p.x, p.y)
                words.textOut(p.text)
                canvas.drawText(words)
        canvas.restoreState()
        canvas.showPage()
    canvas.save()
    return out.getvalue()


def took(call: object) -> float:
    """Seconds of one call."""
    start = time.perf_counter()
    call()  # type: ignore[operator]  # a function without arguments
    return time.perf_counter() - start


def pages() -> float:
    """The ratio for a 20-sheet set."""
    made = set_of(SHEETS)

    def ours() -> None:
        pdf_bytes(made, title="bench", author="bench")

    ours(), raw(made)
    pairs = [(took(ours), took(lambda: raw(made))) for _ in range(5)]
    ours_s, floor_s = (statistics.median(pair[n] for pair in pairs) for n in (0, 1))
    count = sum(len(picture.primitives) for picture in made)
    print(
        f"{len(made)} sheets, {count} strokes and words: {ours_s * 1000:.0f} ms = {ours_s / floor_s:.2f} x reportlab "
        f"alone ({floor_s * 1000:.0f} ms; target {TARGET})"
    )
    return ours_s / floor_s


def memory() -> float:
    """Most memory of 200 sheets, MB."""
    here = str(FilePath(__file__).parent)
    code = f"import sys; sys.path.insert(0, {here!r}); import bench_paper; bench_paper.print_many()"
    ended = subprocess.run([sys.executable, "-c", code], check=True, stdout=subprocess.PIPE, text=True)
    sheets, seconds, most = ended.stdout.split()
    print(f"{sheets} sheets laid out and printed in {float(seconds):.1f} s: {most} MB at most (target {MOST_MB})")
    return float(most)


def print_many() -> None:
    """In a process of its own: sheets, seconds, MB."""
    start = time.perf_counter()
    made = set_of(MANY)
    data, _written = pdf_bytes(made, title="bench", author="bench")
    assert data.startswith(b"%PDF")
    most = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
    print(len(made), f"{time.perf_counter() - start:.1f}", f"{most:.0f}")


def main() -> int:
    """Print both; 1 where one is beyond its limit."""
    ratio, most = pages(), memory()
    return 1 if ratio > LIMIT or most > LIMIT_MB else 0


if __name__ == "__main__":
    sys.exit(main())
