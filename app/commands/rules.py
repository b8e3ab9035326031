"""`linewright rules`: every rule, its word, and what a book says about it."""

from __future__ import annotations

import argparse
from collections.abc import Iterable, Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from app.commands.opening import CommandError, add_book, say
from engine.words import N_, _

if TYPE_CHECKING:
    from engine.books import Book
    from engine.rules import Rule

__all__ = ["HELP", "NAME", "add_arguments", "run"]

NAME = "rules"
HELP = N_("list every rule")


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """The book whose clauses are shown; where own rules are."""
    add_book(parser)
    parser.add_argument(
        "--folder",
        metavar="DIR",
        help=_("from now on the Python files in this folder are rules of your own; '' for none"),
    )


def run(arguments: argparse.Namespace) -> int:
    """A table: rule, word, title, its clause where a book is named; the person's own rules in one of their own."""
    from app.own_rules import described
    from engine.books import load
    from engine.rules import rules
    from engine.rules.own import as_rule

    if arguments.folder is not None:
        _remember(arguments.folder)
    own = described()
    books = [load(arguments.book)] if arguments.book else []  # all of them side by side: `linewright books`
    _print(_("rule"), rules().values(), books)
    if own.rules:
        print()
        _print(_("yours"), map(as_rule, own.rules), books)
    if not books:
        print("\n" + _("`linewright books` shows what each book says about them."))
    for fault in own.faults:
        say(fault.told())
    return 0


def _remember(folder: str) -> None:
    """In the person's settings. Raises `CommandError`."""
    from app.settings import Settings

    path = Path(folder).expanduser().absolute()
    if folder and not path.is_dir():
        raise CommandError(_("there is no folder {folder}").format(folder=folder))
    settings = Settings()
    settings.set("rules_folder", str(path) if folder else "")
    if not settings.save():
        raise CommandError(_("the settings cannot be written: {path}").format(path=settings.path))


def _print(head: str, some: Iterable[Rule], books: Sequence[Book]) -> None:
    rows = [(head, _("word"), _("what it finds"), *(book.slug for book in books))]
    for rule in some:
        clauses = (_short(book.clause(rule.slug)) for book in books)
        rows.append((rule.slug, _(rule.word), _(rule.title), *clauses))
    sizes = [max(len(row[c]) for row in rows) for c in range(len(rows[0]))]
    for row in rows:
        print("  ".join(text.ljust(size) for text, size in zip(row, sizes, strict=True)).rstrip())


def _short(clause: str) -> str:
    """The clause without its remarks; `linewright explain` has the whole of it."""
    if not clause:
        return _("no clause")
    return clause.partition(" (")[0].partition(": ")[0]
