"""Text that flows from page to page, A4 upright: headings, paragraphs, points; a foot under each. In mm."""

from __future__ import annotations

from engine.cautions import CAUTIONS
from engine.picture import Ink, Picture, Primitive, Text, line, wrap_text
from engine.words import _

__all__ = [
    "BODY",
    "BOTTOM",
    "HEADING",
    "LEFT",
    "PITCH",
    "RIGHT",
    "SMALL_HEADING",
    "TITLE",
    "TOP",
    "WIDE",
    "Flowing",
]

_PAGE = (210.0, 297.0)  # A4 upright, ISO 216
LEFT, RIGHT, TOP, BOTTOM = 20.0, 195.0, 15.0, 277.0
WIDE = RIGHT - LEFT
BODY, HEADING, TITLE = 2.5, 3.5, 5.0  # height of a capital, ISO 3098 series
SMALL_HEADING = 6.0
PITCH = 4.2  # base line to base line
_AFTER = 1.2  # under a paragraph
_FOOT = 285.0  # base line of the foot


class _Page:
    """A page being filled."""

    def __init__(self, title: str) -> None:
        self.title = title
        self.primitives: list[Primitive] = []
        self.anchors: list[tuple[str, float, float]] = []


class Flowing:
    """Puts one thing under the other. `y` is where the last one ended."""

    def __init__(self, foot: str) -> None:
        self.foot = foot
        self.pages: list[_Page] = []
        self.y = BOTTOM

    @staticmethod
    def broken(text: str, wide: float, bold: bool = False) -> tuple[str, ...]:
        """The lines of a text in a column."""
        return wrap_text(text, wide, BODY, bold)

    # -- pages ------------------------------------------------------------------------------------------------------
    def open(self, title: str) -> None:
        """A new page."""
        self.pages.append(_Page(title))
        self.y = TOP

    def keep(self, high: float) -> None:
        """Go on to the next page unless so much room is left on this one."""
        if not self.pages or self.y + high > BOTTOM:
            before = self.pages[-1].title if self.pages else self.foot
            told = _("{title} (continued)")
            is_on = self.pages and before.endswith(told.format(title=""))
            self.open(before if is_on else told.format(title=before))

    def anchor(self, name: str) -> None:
        """A place that links may lead to."""
        self.pages[-1].anchors.append((name, LEFT, self.y))

    def put(self, primitive: Primitive) -> None:
        """Something in its place on the present page."""
        self.pages[-1].primitives.append(primitive)

    def space(self, high: float) -> None:
        """Room below."""
        self.y += high

    # -- text -------------------------------------------------------------------------------------------------------
    def text(self, text: str, tall: float, *, bold: bool = False) -> None:
        """Lines of another height."""
        for each in wrap_text(text, WIDE, tall, bold):
            self.keep(tall * 1.6)
            self.y += tall * 1.6
            self.put(Text(LEFT, self.y - tall * 0.3, each, tall, bold=bold))
        self.y += tall * 0.3

    def heading(self, text: str) -> None:
        """A heading, never alone at the foot of a page."""
        self.keep(HEADING * 2.2 + 2 * PITCH)
        self.space(HEADING * 0.5)
        self.text(text, HEADING, bold=True)

    def paragraph(self, text: str, *, bold: bool = False, point: bool = False, ink: Ink = "black") -> None:
        """A paragraph, or a point of a list."""
        left = LEFT + (4.0 if point else 0.0)
        lines = self.broken(text, RIGHT - left, bold)
        for n, each in enumerate(lines):
            rest = len(lines) - n
            self.keep(2 * PITCH if n == 0 and rest > 1 else PITCH)  # no first line alone at the foot
            self.y += PITCH
            if point and n == 0:
                self.put(Text(LEFT + 1.0, self.y - 1.0, "–", BODY))
            self.put(Text(left, self.y - 1.0, each, BODY, bold=bold, ink=ink))
        self.y += _AFTER / 3 if point else _AFTER

    # -- the end ----------------------------------------------------------------------------------------------------
    def joined(self, other: Flowing) -> Flowing:
        """These pages, then those of another."""
        made = Flowing(self.foot)
        made.pages = [*self.pages, *other.pages]
        return made

    def finished(self) -> tuple[Picture, ...]:
        """The pages with their feet: what this is, the gravest caution, the number."""
        made = []
        for n, page in enumerate(self.pages, 1):
            number = _("page {n} of {pages}").format(n=n, pages=len(self.pages))
            foot = (
                line(LEFT, _FOOT - 5.0, RIGHT, _FOOT - 5.0, 0.18, "grey"),
                Text(LEFT, _FOOT, _(CAUTIONS[-1]), BODY, bold=True),
                Text(RIGHT, _FOOT, number, BODY, "end"),
            )
            made.append(Picture(*_PAGE, (*page.primitives, *foot), page.title, tuple(page.anchors)))
        return tuple(made)
