"""What stands outside a card's cut: crop marks at its corners, a ruler of 100 mm to check the print by. In mm."""

from __future__ import annotations

from app.handover.panel_door.size import shown_size
from engine.picture import Path, Primitive, Text, line
from engine.words import _

__all__ = ["AROUND", "BLEED", "RULER", "outside"]

AROUND = 16.0  # from the cut to the edge of the page
BLEED = 3.0
RULER = 16.0  # more room below, for the ruler
_CAPTION = 2.5  # capitals, outside the card


def outside(width: float, height: float, film: bool) -> list[Primitive]:
    """Crop marks at the corners of the cut, and a ruler of 100 mm to check the print by."""
    made: list[Primitive] = []
    near, far = BLEED + 1.0, BLEED + 8.0
    for x, along in ((AROUND, -1), (AROUND + width, 1)):
        for y, down in ((AROUND, -1), (AROUND + height, 1)):
            made.append(line(x + along * near, y, x + along * far, y, 0.25))
            made.append(line(x, y + down * near, x, y + down * far, 0.25))
    middle = AROUND + width / 2
    left, y = middle - 50.0, height + 2 * AROUND + 1.0
    strokes: list[Path] = [line(left, y, left + 100.0, y, 0.35)]
    for n in range(11):
        tall = 4.0 if n % 5 == 0 else 2.5
        strokes.append(line(left + 10.0 * n, y, left + 10.0 * n, y - tall, 0.35))
    made.extend(strokes)
    told = _("This line is 100 mm long. Measure it: else the print is not true size.")
    cut = _("Cut to {size}.").format(size=shown_size((width, height)))
    if film:
        cut += " " + _("Film: mirrored, read from the back.")
    for n, text in enumerate((told, cut)):
        made.append(Text(middle, y + 4.5 + n * 4.2, text, _CAPTION, "middle"))
    return made
