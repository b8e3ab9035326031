"""`linewright find FILE WORDS`: what is called so, rated so, stands there; where it is drawn."""

from __future__ import annotations

import argparse
import json

from app.commands.opening import opened, say
from engine.words import N_, _

__all__ = ["HELP", "NAME", "add_arguments", "run"]

NAME = "find"
HELP = N_("find things by designation, label, rating, size, place, enclosure, kind, status, part number, note")


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """The drawing and the words."""
    parser.add_argument("file", metavar="FILE", help=_("drawing file"))
    parser.add_argument("words", nargs="+", metavar="WORD", help=_("words that must all be found in a thing"))
    parser.add_argument("--format", choices=("text", "json"), default="text", help=_("how it is told (text)"))


def run(arguments: argparse.Namespace) -> int:
    """One line a thing: where it is drawn, what it is called, what was found."""
    from app.drawing.whereabouts import Whereabouts
    from app.terminal import unbroken
    from engine.finding_things import Index

    snapshot = opened(arguments.file).installation.snapshot()
    words = " ".join(arguments.words)
    hits = Index(snapshot).find(words).hits
    where = Whereabouts(snapshot)
    if arguments.format == "json":
        told = [
            {
                "table": hit.table, "id": hit.item, "name": hit.name, "what": hit.what, "found_in": hit.fact,
                "drawn": [{"sheet": where.number[s.sheet], "x": s.x, "y": s.y} for s in where.spots(hit.item)],
            }
            for hit in hits
        ]  # fmt: skip
        print(json.dumps(told, ensure_ascii=False, indent=1))
    elif hits:
        rows = [[unbroken(cell) for cell in (where.told(hit.item), hit.name, hit.what, hit.fact)] for hit in hits]
        wide = [max(len(row[n]) for row in rows) for n in range(3)]
        for row in rows:
            print("  ".join([*(cell.ljust(w) for cell, w in zip(row, wide, strict=False)), row[3]]).rstrip())
    else:
        say(_("Nothing in {path} has all of “{words}”.").format(path=arguments.file, words=words))
    return 0 if hits else 1
