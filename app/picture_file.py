"""One picture written to a file by a process of its own: `python -m app.picture_file PICKLED OUT`. The window asks."""

from __future__ import annotations

import pickle
import sys
from pathlib import Path

__all__ = ["main"]

DPI = 200


def main(arguments: list[str]) -> int:
    """Write it; 0 when it is written, 2 with a sentence where it is not."""
    from app.paper.files import About, page_files
    from app.paper.png import TooManyDots
    from engine.picture import Picture

    found = pickle.loads(Path(arguments[0]).read_bytes())  # noqa: S301  # written by the window that started this
    target = Path(arguments[1])
    if not isinstance(found, Picture):
        return 2
    about = About(title=found.title or "Linewright", author="")
    try:
        made = next(iter(page_files([found], target.suffix.lower(), target.stem, about, DPI)))
        target.write_bytes(made.data)
    except (OSError, TooManyDots) as fault:
        print(fault, file=sys.stderr)
        return 2
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
