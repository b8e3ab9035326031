"""`linewright rules`: every rule, its word, and what the books say about it."""

from __future__ import annotations

import argparse

from app.commands.opening import add_book
from engine.words import N_, _

__all__ = ["HELP", "NAME", "add_arguments", "run"]

NAME = "rules"
HELP = N_("list every rule")


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """The book whose clauses are shown."""
    add_book(parser)


def run(arguments: argparse.Namespace) -> int:
    """A table: rule, signal word, title, clause in each book."""
    from engine.books import book_names, load
    from engine.rules import rules

    books = [load(name) for name in ((arguments.book,) if arguments.book else book_names())]
    rows = [(_("rule"), _("word"), _("what it finds"), *(book.slug for book in books))]
    for rule in rules().values():
        clauses = (_short(book.clause(rule.slug)) for book in books)
        rows.append((rule.slug, _(rule.word), _(rule.title), *clauses))
    sizes = [max(len(row[c]) for row in rows) for c in range(len(rows[0]))]
    for row in rows:
        print("  ".join(text.ljust(size) for text, size in zip(row, sizes, strict=True)).rstrip())
    return 0


def _short(clause: str) -> str:
    """The clause without its remarks; `linewright explain` has the whole of it."""
    if not clause:
        return _("no clause")
    return clause.partition(" (")[0].partition(": ")[0]
