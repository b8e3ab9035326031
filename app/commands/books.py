"""`linewright books [RULE]`: all rule books side by side."""

from __future__ import annotations

import argparse

from app.commands.opening import add_book
from engine.words import N_, _

__all__ = ["HELP", "NAME", "add_arguments", "run"]

NAME = "books"
HELP = N_("all rule books side by side: whom each binds, its clause and its limits for every rule, or for one")


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """The rule; a book to set beside the one it stands on."""
    parser.add_argument("rule", metavar="RULE", nargs="?", help=_("one rule (`linewright rules` lists them)"))
    add_book(parser)


def run(arguments: argparse.Namespace) -> int:
    """Print the table. Raises `BookError` and `UnknownRule`."""
    from app.books_table import books_text
    from app.text_report import output_width
    from engine.books import book_names, load
    from engine.check import rule_named
    from engine.rules import rules

    some = [rule_named(arguments.rule)] if arguments.rule else list(rules().values())
    books = [load(name) for name in book_names()]
    if arguments.book:
        one = load(arguments.book)
        books = [load(one.base), one] if one.base else [one]
    print(books_text(books, some, output_width()))
    return 0
