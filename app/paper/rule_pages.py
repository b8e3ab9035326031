"""The pages of rules as PDF: text, table of limits, examples drawn at their true size; contents before many of them.

A4 upright, the same font and display list as the sheets. Two runs give identical bytes.
"""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from app.help.examples import Shown, Told
from app.help.page import BookSays, RulePage, family_title, in_families, plain_text, rule_page
from app.help.pictures import shown_examples
from app.paper.flowing import BODY, BOTTOM, HEADING, LEFT, PITCH, RIGHT, SMALL_HEADING, TITLE, TOP, WIDE, Flowing
from app.paper.pdf import Written, write_pictures
from app.text_report import WORD_NAMES
from engine.cautions import CAUTIONS
from engine.picture import Ink, Picture, Text, cut_text, line, transformed
from engine.rules import rules
from engine.words import _

__all__ = ["catalogue_pictures", "rule_pictures", "write_rule_pages"]

_COLUMNS = (0.0, 53.0, 88.0, 147.5)  # of the table of limits, mm from the left: name, value, source, standing
_GAP = 3.0  # between columns
_BESIDE = 1.0  # mm, besides the air in them, between two pictures side by side


def write_rule_pages(slugs: Sequence[str], path: Path | str, *, whole: bool = False) -> Written:
    """Write the pages of rules; `whole`: the catalogue, contents first. Raises `UnknownRule`, `OSError`."""
    title = _("The rules of Linewright") if whole else _("Rule {rule}").format(rule=", ".join(slugs))
    pictures = catalogue_pictures(slugs) if whole else rule_pictures(slugs)
    return write_pictures(pictures, path, title=title, author="Linewright")


def rule_pictures(slugs: Sequence[str]) -> tuple[Picture, ...]:
    """The pages of some rules, one after the other, each beginning a page; the cautions at the end."""
    flow = Flowing(_("Rules of Linewright"))
    for slug in slugs:
        _rule(flow, rule_page(slug), shown_examples(slug))
    told = CAUTIONS[:-1]  # the last is at the foot of every page
    flow.space(2.0)
    flow.keep(sum(len(flow.broken(_(text), WIDE)) for text in told) * PITCH)
    for text in told:
        flow.paragraph(_(text))
    return flow.finished()


def catalogue_pictures(slugs: Sequence[str]) -> tuple[Picture, ...]:
    """Cautions and contents, then the page of every rule, by family."""
    families = in_families([rules()[slug] for slug in slugs])
    body = Flowing(_("Rules of Linewright"))
    at: dict[str, int] = {}
    for some in families.values():
        for rule in some:
            at[rule.slug] = len(body.pages)  # it begins on the next page
            _rule(body, rule_page(rule.slug), shown_examples(rule.slug))
    before = 1
    while True:  # how many pages the contents take decides which numbers stand in them
        front = Flowing(_("Rules of Linewright"))
        front.open(_("Contents"))
        front.text(_("The rules of Linewright"), TITLE, bold=True)
        front.space(2.0)
        _cautions(front)
        front.space(2.0)
        for family, some in families.items():
            front.keep(HEADING * 2 + 2 * PITCH)
            front.heading(family_title(family))
            for rule in some:
                _entry(front, rule.slug, _(WORD_NAMES[rule.word]), _(rule.title), at[rule.slug] + before + 1)
        if len(front.pages) == before:
            break
        before = len(front.pages)
    return front.joined(body).finished()


def _entry(flow: Flowing, slug: str, word: str, title: str, page: int) -> None:
    """A line of the contents, which leads to the rule."""
    lines = flow.broken(title, WIDE - 72.0 - 10.0)
    flow.keep(PITCH * len(lines))
    link = f"rule:{slug}"
    flow.put(Text(LEFT, flow.y + PITCH, slug, BODY, bold=True, link=link))
    flow.put(Text(LEFT + 52.0, flow.y + PITCH, word, BODY))
    flow.put(Text(RIGHT, flow.y + PITCH, str(page), BODY, "end", link=link))
    for text in lines:
        flow.y += PITCH
        flow.put(Text(LEFT + 72.0, flow.y, text, BODY))


def _cautions(flow: Flowing) -> None:
    for n, text in enumerate(CAUTIONS):
        flow.paragraph(_(text), bold=n == len(CAUTIONS) - 1)


# -- one rule ---------------------------------------------------------------------------------------------------------
def _rule(flow: Flowing, page: RulePage, shown: Sequence[Shown]) -> None:
    flow.open(page.slug)
    flow.anchor(f"rule:{page.slug}")
    flow.text(page.slug, TITLE, bold=True)
    flow.paragraph(f"{_(WORD_NAMES[page.word])}: {page.title}. {family_title(page.family)}.", bold=True)
    if page.looks_at:
        flow.paragraph(_("Looks at: {what}.").format(what=page.looks_at))
    for section in page.sections:
        if section.heading:
            flow.heading(section.heading)
        for block in section.blocks:
            for text in block.texts:
                flow.paragraph(plain_text(text), point=block.is_list)
    flow.heading(_("Limits in the books"))
    for book in page.books:
        _book(flow, book)
    flow.heading(_("Edits offered"))
    flow.paragraph(page.edits())
    _examples(flow, page, shown)


def _book(flow: Flowing, book: BookSays) -> None:
    """What a book says, then its values under their columns."""
    rows = [_heads(), *(_cells(book, n) for n in range(len(book.limits)))] if book.limits else []
    flow.keep(4 * PITCH + sum(_row_height(cells) for cells in rows[:2]))
    flow.paragraph(f"{_(book.title)}, {_('edition {edition}').format(edition=book.edition)} ({book.slug})", bold=True)
    flow.paragraph(book.standing() + ".")
    if book.word:
        flow.paragraph(_("Signal word in this book: {word}.").format(word=_(WORD_NAMES[book.word])))  # type: ignore[index]  # a `Word`
    for n, cells in enumerate(rows):
        flow.keep(_row_height(cells) + (_row_height(rows[1]) if n == 0 else 0.0))
        if n:
            flow.put(line(LEFT, flow.y, RIGHT, flow.y, 0.18, "grey"))
        top, lowest = flow.y, flow.y
        for column, lines in zip(_COLUMNS, cells, strict=True):
            y = top + 1.0
            for text in lines:
                y += PITCH
                ink: Ink = "black" if n else "grey"
                flow.put(Text(LEFT + column, y - 1.0, text, BODY, bold=n > 0 and column == 0.0, ink=ink))
            lowest = max(lowest, y)
        flow.y = lowest + 0.6
    flow.space(2.0)


def _heads() -> tuple[tuple[str, ...], ...]:
    """What stands over the columns."""
    return ((_("Value"),), (_("Limit"),), (_("Source"),), (_("Standing"),))


def _cells(book: BookSays, n: int) -> tuple[tuple[str, ...], ...]:
    """The lines of a value's cells; a choice has no source, and may be long: it takes that column too."""
    limit = book.limits[n]
    ends = (*_COLUMNS[1:], WIDE + _GAP)
    if not limit.source:
        shown = Flowing.broken(limit.shown, _COLUMNS[3] - _COLUMNS[1] - _GAP)
        standing = Flowing.broken(_("choice of this book"), ends[3] - _COLUMNS[3] - _GAP)
        return Flowing.broken(limit.name, ends[0] - _GAP, True), shown, (), standing
    texts = (limit.name, limit.shown, limit.source, limit.standing())
    return tuple(
        Flowing.broken(text, end - start - _GAP, n == 0)
        for n, (text, start, end) in enumerate(zip(texts, _COLUMNS, ends, strict=True))
    )


def _row_height(cells: Sequence[Sequence[str]]) -> float:
    return max(len(lines) for lines in cells) * PITCH + 1.6


def _examples(flow: Flowing, page: RulePage, shown: Sequence[Shown]) -> None:
    if shown:
        sizes = [each.picture.width for each in shown]
        beside = len(shown) == 2 and sum(sizes) + _BESIDE <= WIDE and max(sizes) <= WIDE - 60.0
        first = _head_height(shown[0], WIDE) + shown[0].picture.height
        flow.keep(min(HEADING * 3 + first, BOTTOM - TOP))
        flow.heading(_("Examples"))
        if beside:
            _side_by_side(flow, shown)
        else:
            for each in shown:
                _alone(flow, each)
        for each in shown:
            for told in each.told:
                _told(flow, told)
            for note in each.notes:
                flow.paragraph(note)
    more = [(_("Is found: {name}"), page.bad[1:]), (_("Passes: {name}"), page.good[1:])]
    if any(names for _title, names in more):
        flow.keep(SMALL_HEADING + 2 * PITCH)
        flow.paragraph(_("Others that the rule is tried on:"), bold=True)
        for title, names in more:
            for name in names:
                flow.paragraph(title.format(name=name), point=True)


def _head_height(each: Shown, wide: float) -> float:
    return len(Flowing.broken(_head(each), wide, True)) * PITCH + PITCH + 2.0


def _head(each: Shown) -> str:
    return each.heading()


def _captioned(flow: Flowing, each: Shown, left: float, top: float, wide: float) -> float:
    """A picture under its heading; where it ends."""
    y = top
    for text in Flowing.broken(_head(each), wide, True):
        y += PITCH
        flow.put(Text(left, y, text, BODY, bold=True, ink="black" if each.passes else "red"))
    y += PITCH
    flow.put(Text(left, y, cut_text(_("judged by {book}").format(book=each.book), wide), BODY, ink="grey"))
    y += 2.0
    for primitive in transformed(each.picture.primitives, left, y):
        flow.put(primitive)
    return y + each.picture.height


def _side_by_side(flow: Flowing, shown: Sequence[Shown]) -> None:
    """Two pictures in columns; the wider has what the other leaves."""
    one, other = (each.picture.width for each in shown)
    first = max(one, min((WIDE - _BESIDE) / 2, WIDE - _BESIDE - other))
    flow.keep(
        max(
            _head_height(each, room) + each.picture.height
            for each, room in zip(shown, (first, WIDE - first - _BESIDE), strict=True)
        )
    )
    ends = [
        _captioned(flow, each, left, flow.y, room)
        for each, left, room in (
            (shown[0], LEFT, first),
            (shown[1], LEFT + first + _BESIDE, WIDE - first - _BESIDE),
        )
    ]
    flow.y = max(ends)


def _alone(flow: Flowing, each: Shown) -> None:
    flow.keep(_head_height(each, WIDE) + each.picture.height)
    flow.y = _captioned(flow, each, LEFT, flow.y, WIDE)
    flow.space(1.0)


def _told(flow: Flowing, told: Told) -> None:
    """What the rule says of it, with the number of its flag."""
    flow.keep(3 * PITCH)
    number = f"{told.number}. " if told.number else ""
    flow.paragraph(f"{number}{told.heading}", bold=True, ink="red")
    flow.paragraph(told.message)
    for text in told.more:
        flow.paragraph(text)
    if told.to_do:
        flow.paragraph(_("To put right: {fixes}").format(fixes="; ".join(told.to_do)))
    if told.edits:
        flow.paragraph(_("Edit offered: {edits}").format(edits="; ".join(told.edits)))
