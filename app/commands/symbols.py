"""`linewright symbols`: every symbol as a list, as JSON or on printed sheets; a yard's own from a folder."""

from __future__ import annotations

import argparse
import json
from pathlib import Path
from typing import TYPE_CHECKING

from app.commands.opening import CommandError, output, say
from engine.words import N_, _, ngettext

if TYPE_CHECKING:
    from collections.abc import Sequence

    from app.symbol_list import Listed
    from symbols.catalogue import Standard

__all__ = ["HELP", "NAME", "add_arguments", "run"]

NAME = "symbols"
HELP = N_("list every symbol, or print them all on sheets; check symbols of your own")

_STANDARDS = {"IEC": "IEC 60617", "IEEE": "IEEE 315"}


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """What to write, which standard, where own symbols are."""
    from app.drawing.frame import SIZES

    parser.add_argument("-o", "--output", metavar="OUT", help=_("PDF file to write: all symbols on sheets"))
    parser.add_argument("--standard", choices=tuple(_STANDARDS), help=_("only the shapes of this standard"))
    parser.add_argument("--size", choices=tuple(SIZES), default="A3", help=_("paper size (default: A3)"))
    parser.add_argument("--format", choices=("text", "json"), default="text", help=_("text (default) or json"))
    parser.add_argument(
        "--folder",
        metavar="DIR",
        help=_("from now on the TOML and SVG files in this folder are symbols of your own; '' for none"),
    )
    parser.add_argument("--check", metavar="DIR", help=_("check the symbols in a folder, and change nothing"))


def run(arguments: argparse.Namespace) -> int:
    """List, print or check. 1 where a symbol of one's own is wrong. Raises `CommandError`."""
    from app.own_symbols import refreshed
    from app.symbol_list import listed

    if arguments.check is not None:
        return _check(arguments.check)
    if arguments.folder is not None:
        _remember(arguments.folder)
    own = refreshed()
    every = listed(own.symbols)
    standard: Standard | None = _STANDARDS.get(arguments.standard)  # type: ignore[assignment]  # of the two
    if arguments.output:
        _write(every, output(arguments.output, (".pdf",)), arguments.size, standard)
    elif arguments.format == "json":
        from app.symbol_list import as_object

        print(json.dumps([as_object(each) for each in every], ensure_ascii=False, indent=2))
    else:
        _print(every, standard)
    for fault in own.faults:
        say(fault.why)
    return 1 if own.faults else 0


def _remember(folder: str) -> None:
    """In the person's settings. Raises `CommandError`."""
    from app.settings import Settings

    path = Path(folder).expanduser().absolute()
    if folder and not path.is_dir():
        raise CommandError(_("there is no folder {folder}").format(folder=folder))
    settings = Settings()
    settings.set("symbols_folder", str(path) if folder else "")
    if not settings.save():
        raise CommandError(_("the settings cannot be written: {path}").format(path=settings.path))


def _check(folder: str) -> int:
    """Every symbol of a folder, right or wrong."""
    from symbols.own import read_folder

    path = Path(folder).expanduser()
    if not path.is_dir():
        raise CommandError(_("there is no folder {folder}").format(folder=folder))
    symbols, faults = read_folder(path)
    for symbol in symbols.values():
        print(
            _("{file}: {title}, a symbol for {kind}: in order").format(
                file=symbol.told, title=symbol.name, kind=symbol.kind
            )
        )
    for fault in faults:
        say(fault.why)
    right = ngettext("{n} symbol in order", "{n} symbols in order", len(symbols)).format(n=len(symbols))
    wrong = ngettext("{n} fault", "{n} faults", len(faults)).format(n=len(faults))
    print(_("{right}; {wrong}").format(right=right, wrong=wrong))
    return 1 if faults else 0


def _print(every: Sequence[Listed], standard: Standard | None) -> None:
    from app.symbol_list import chosen_by

    rows = [(_("symbol"), _("kind"), _("name"), _("letters"), _("clause"))]
    for each in every:
        kind = each.symbol.kind if each.family != "marks" else _("sign")
        clause = each.symbol.faces[standard or "IEC 60617"].clause or _("your own")
        by = chosen_by(each.symbol)
        title = _("{title}; taken where {fields}").format(title=each.title, fields=by) if by else each.title
        rows.append((each.name, kind, title, " ".join(each.letters), clause))
    sizes = [max(len(row[c]) for row in rows) for c in range(len(rows[0]))]
    sizes[2] = min(sizes[2], 44)
    for row in rows:
        print("  ".join(text.ljust(size) for text, size in zip(row, sizes, strict=True)).rstrip())


def _write(every: Sequence[Listed], target: Path, size: str, standard: Standard | None) -> None:
    from app.paper.files import lacking
    from app.paper.pdf import write_pictures
    from app.paper.symbol_sheet import symbol_pictures
    from engine.phrases import FAMILY_NAMES

    names = {family: _(name) for family, name in FAMILY_NAMES.items()}
    pictures = symbol_pictures(every, names, size=size, standard=standard)
    written = write_pictures(pictures, target, title=pictures[0].title, author="Linewright")
    told = ngettext("{path} written: {n} page", "{path} written: {n} pages", written.pages)
    print(told.format(path=target, n=written.pages))
    if written.missing_characters:
        say(lacking(target, written.missing_characters))
