"""Photographs and issues of a drawing that was saved elsewhere, copied beside it.

`python -P -m app.photographs.carrying FILE FOLDER...` looks in each FOLDER of
photographs in turn, for issues beside that; writes to its output a JSON
list of sentences, one for each that is not there afterwards.
"""

from __future__ import annotations

import json
import sys
from pathlib import Path

from app.photographs.store import Store, carried_over, store_of
from engine.files import issues
from engine.files.drawing import FileError, load

__all__ = ["main"]


def main(arguments: list[str]) -> int:
    """Copy, tell."""
    drawing, folders = Path(arguments[0]), [Path(each) for each in arguments[1:]]
    try:
        snapshot = load(drawing).installation.snapshot()
    except FileError as fault:
        print(fault, file=sys.stderr)
        return 2
    target = store_of(drawing)
    source = Store(folders[0], folders[1:]) if folders else target
    told = carried_over(snapshot, source, target)
    homes = tuple(folder.parent for folder in folders)
    print(json.dumps([*told, *issues.carried_over(snapshot, homes, issues.home(drawing))]))
    return 0


if __name__ == "__main__":
    from app import words

    words.load()
    sys.exit(main(sys.argv[1:]))
