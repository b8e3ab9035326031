"""Rule books side by side, in a table that fits a terminal; where that is too narrow, one book below the other.

A cell that stands on a source nobody has read says *not confirmed*; a clause, the rule's or one that a value has of its
own, says whether it is law where the book binds or good practice there too. Without a clause a book is silent.
"""

from __future__ import annotations

import textwrap
from collections.abc import Iterator, Sequence

from app.help.page import BookSays, LimitLine, says_of
from engine.books import Book
from engine.rules import Rule
from engine.words import _

__all__ = ["books_text"]

NARROWEST = 15  # of a column; with less room the books stand below each other
BETWEEN = "  "


def books_text(books: Sequence[Book], rules: Sequence[Rule], width: int) -> str:
    """Whom each book binds, then a table for every rule."""
    parts = [_books(books, width)]
    for rule in rules:
        parts.append(_rule(rule, books, width))
    parts.append(
        textwrap.fill(
            _(
                "Law: for whom the book binds. Without a clause the book is silent: the rule runs all the same, and "
                "what it finds is good practice. Not confirmed: nobody has read it in the source itself."
            ),
            width,
        )
    )
    return "\n\n".join(parts)


def _books(books: Sequence[Book], width: int) -> str:
    lines = []
    for book in books:
        name = _("{slug}: {title}, edition {edition}").format(slug=book.slug, title=_(book.title), edition=book.edition)
        lines.append(textwrap.fill(name, width, subsequent_indent="  ", break_on_hyphens=False))
        lines.append(_wrapped(_("binds {whom}").format(whom=_(book.binds_text)), width))
        lines.append(_wrapped(_(book.basis), width))
        if book.own:
            lines.append(_wrapped(_("of its own: {keys}").format(keys=", ".join(book.own)), width))
    return "\n".join(lines)


def _wrapped(text: str, width: int, indent: str = "  ") -> str:
    return textwrap.fill(text, width, initial_indent=indent, subsequent_indent=indent, break_on_hyphens=False)


def _rule(rule: Rule, books: Sequence[Book], width: int) -> str:
    head = textwrap.fill(f"{rule.slug} ({_(rule.word)}): {_(rule.title)}", width, subsequent_indent="  ")
    every = [says_of(book, rule.slug) for book in books]
    rows = [(_("clause"), [_clause(one) for one in every])]
    for name in dict.fromkeys(limit.name for one in every for limit in one.limits):
        rows.append((name, [_limit(book, rule.slug, one, name) for book, one in zip(books, every, strict=True)]))
    if any(one.word for one in every):
        rows.insert(1, (_("word"), [_(one.word or rule.word) for one in every]))
    first = max(len(name) for name, _cells in rows)
    room = (width - min(first, 22) - len(BETWEEN) * len(books)) // len(books)
    if room < NARROWEST:
        return "\n".join((head, *_below(rows, books, width)))
    names = (("", [book.slug for book in books]), *rows)
    return "\n".join((head, *_beside(names, min(first, 22), room)))


def _clause(one: BookSays) -> str:
    if not one.clause:
        return _("no clause")
    told = [_(one.clause), _("law") if one.law_for else _("good practice")]
    if not one.confirmed and "not confirmed" not in one.clause:
        told.append(_("not confirmed"))
    return "; ".join(told)


def _limit(book: Book, rule: str, one: BookSays, name: str) -> str:
    limit: LimitLine | None = next((limit for limit in one.limits if limit.name == name), None)
    if limit is None:
        return "–"
    told = [limit.shown]
    own = book.rules.get(rule, {}).get(name, {})
    clause = own.get("clause", "") if isinstance(own, dict) else ""
    if clause and clause != one.clause:
        practice = bool(own.get("good_practice")) or not book.binds_when
        told += [clause, _("good practice") if practice else _("law")]
    if limit.confirmed is False and "not confirmed" not in clause:
        told.append(_("not confirmed"))
    return "; ".join(told)


def _beside(rows: Sequence[tuple[str, Sequence[str]]], first: int, room: int) -> Iterator[str]:
    for name, cells in rows:
        columns = [textwrap.wrap(name, first) or [""]]
        columns += [textwrap.wrap(cell, room, break_on_hyphens=False) or [""] for cell in cells]
        for n in range(max(map(len, columns))):
            texts = [column[n] if n < len(column) else "" for column in columns]
            sizes = (first, *(room for _cell in cells))
            yield BETWEEN.join(text.ljust(size) for text, size in zip(texts, sizes, strict=True)).rstrip()


def _below(rows: Sequence[tuple[str, Sequence[str]]], books: Sequence[Book], width: int) -> Iterator[str]:
    for n, book in enumerate(books):
        yield f"  {book.slug}"
        for name, cells in rows:
            if cells[n] != "–":
                yield textwrap.fill(f"{name}: {cells[n]}", width, initial_indent="    ", subsequent_indent="      ")
