"""The page of a rule for a terminal, wrapped to its width."""

from __future__ import annotations

import textwrap
from collections.abc import Iterator

from app.help.page import Block, BookSays, RulePage
from engine.words import _

__all__ = ["page_text"]


def page_text(page: RulePage, width: int = 100) -> str:
    """Everything but the pictures."""
    parts = [f"{page.slug} ({_(page.word)}): {page.title}"]
    for section in page.sections:
        blocks = "\n\n".join(_block(block, width) for block in section.blocks)
        parts.append(f"{_heading(section.heading)}\n{blocks}" if section.heading else blocks)
    parts.append(_heading(_("Limits in the books")))
    for book in page.books:
        parts[-1] += "".join(f"\n{line}" for line in _book(book, width))
    parts.append(f"{_heading(_('Edits offered'))}\n{_wrap(page.edits(), width)}")
    examples = [_heading(_("Examples"))]
    for title, names in ((_("Passes: {name}"), page.good), (_("Is found: {name}"), page.bad)):
        examples.extend(_wrap(title.format(name=name), width, "    ") for name in names)
    if page.good or page.bad:
        parts.append("\n".join(examples))
    return "\n\n".join(parts)


def _heading(text: str) -> str:
    return f"{text}\n{'-' * len(text)}"


def _block(block: Block, width: int) -> str:
    if block.is_list:
        return "\n".join(_wrap(f"* {text}", width, "  ") for text in block.texts)
    return _wrap(block.texts[0], width)


def _wrap(text: str, width: int, later: str = "") -> str:
    return textwrap.fill(text, width, subsequent_indent=later, break_on_hyphens=False)


def _book(book: BookSays, width: int) -> Iterator[str]:
    """The book's clause and its word, then every value with its source and standing."""
    yield _wrap(f"{_(book.title)}: {book.standing()}", width, "    ")
    if book.word:
        yield "  " + _("word: {word}").format(word=_(book.word))
    for limit in book.limits:
        told = "; ".join(each for each in (limit.source, limit.standing()) if each)
        yield _wrap(f"  {limit.name}: {limit.shown}" + (f" ({told})" if told else ""), width, "    ")
