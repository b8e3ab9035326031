"""`linewright place TEMPLATE FILE [name=value ...] [-o OUT]`: a template put into a drawing and onto its sheets."""

from __future__ import annotations

import argparse
from pathlib import Path

from app.commands.opening import CommandError, add_book, book_for, bring_along, changeable, copy_to, held
from engine.words import N_, _

__all__ = ["HELP", "NAME", "add_arguments", "run"]

NAME = "place"
HELP = N_("put a template into a drawing: equipment, runs, interlocks, drawn on its sheets")


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Template, file, answers, where to write."""
    parser.add_argument("template", metavar="TEMPLATE", help=_("its name, as `linewright templates` tells it"))
    parser.add_argument("file", metavar="FILE", help=_("drawing file; with -o it stays as it is"))
    parser.add_argument(
        "answers", nargs="*", type=_answer, metavar="NAME=VALUE", help=_("answers; the usual one where none is given")
    )
    parser.add_argument("-o", "--output", metavar="OUT", help=_("drawing file to write instead of FILE"))
    parser.add_argument("--replace", action="store_true", help=_("write over OUT where it is there already"))
    parser.add_argument("--sheet", type=int, metavar="N", help=_("number of the sheet it is to stand on"))
    add_book(parser)


def _answer(text: str) -> tuple[str, str]:
    name, equals, value = text.partition("=")
    if not equals or not name.strip():
        raise argparse.ArgumentTypeError(_("expected an answer like volts=24, found {text!r}").format(text=text))
    return name.strip(), value.strip()


def run(arguments: argparse.Namespace) -> int:
    """Place it; nothing is written where it cannot be."""
    from app.drawing.changes import draw_template
    from engine.books import load
    from engine.edits import apply
    from engine.files.drawing import save, sha256_at
    from engine.templates import fit, template_named

    template = template_named(arguments.template)
    source = Path(arguments.file)
    target = source
    if arguments.output:
        target = copy_to(arguments)
    given = dict(arguments.answers)
    if len(given) < len(arguments.answers):
        raise CommandError(_("a question is answered twice"))
    with held(target, copies=target == source):
        over = sha256_at(target)
        installation = changeable(arguments.file)
        snapshot = installation.snapshot()
        sheet = _sheet(arguments, snapshot.sheets)
        book = load(book_for(arguments.book, arguments.file, snapshot))
        fitted = fit(snapshot, installation.last_id, template, given, book)
        made = draw_template(snapshot, fitted, sheet)
        apply(installation, made.edit)
        save(installation, target, over)
        bring_along(str(source), target, installation.snapshot())
    names = ", ".join(installation.get("equipment", item).designation for item in made.items)
    print(_("{path} written; placed: {names}").format(path=target, names=names))
    return 0


def _sheet(arguments: argparse.Namespace, sheets: dict[str, object]) -> str:
    if arguments.sheet is None:
        return ""
    for item, sheet in sheets.items():
        if getattr(sheet, "number", None) == arguments.sheet:
            return item
    raise CommandError(_("{path} has no sheet {number}").format(path=arguments.file, number=arguments.sheet))
