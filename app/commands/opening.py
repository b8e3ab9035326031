"""Opening what a command names, and saying what there is to say about it."""

from __future__ import annotations

import argparse
import contextlib
import sys
from collections.abc import Iterator
from pathlib import Path

from engine.books import ENDING, book_names, load_beside, load_file
from engine.files.drawing import Opened, load
from engine.files.issues import home
from engine.installation.model import Installation, Snapshot
from engine.words import _

__all__ = [
    "CommandError",
    "a_book",
    "add_book",
    "add_copy",
    "book_for",
    "bring_along",
    "changeable",
    "copy_to",
    "held",
    "opened",
    "output",
    "say",
    "write_drawing",
]


class CommandError(ValueError):
    """A command that cannot be done as asked; the message is for the person."""


def opened(path: str) -> Opened:
    """A drawing; its notices go to the error stream. Raises `FileError`."""
    drawing = load(path)
    for notice in drawing.notices:
        say(f"{path}: {notice}")
    return drawing


def say(text: str) -> None:
    """One line beside the result: to the error stream."""
    print(text, file=sys.stderr)


def a_book(name: str) -> str:
    """The name of a rule book, or the file of a yard's own, as an argument."""
    if name.endswith(ENDING):
        return str(Path(name).absolute())
    if name not in book_names():
        raise argparse.ArgumentTypeError(
            _("there is no rule book {name!r}; there are: {books}").format(name=name, books=", ".join(book_names()))
        )
    return name


def add_book(parser: argparse.ArgumentParser) -> None:
    """`--book B`."""
    parser.add_argument(
        "--book",
        type=a_book,
        metavar="B",
        help=_("rule book to judge by, instead of the drawing's own: {books}, or the file of a yard's own").format(
            books=", ".join(book_names())
        ),
    )


def book_for(named: str | None, file: str, snapshot: Snapshot) -> str:
    """What a drawing is judged by: the book named in the command, else its own; a yard's own stands beside the drawing.

    Raises `BookError`.
    """
    if named:
        if named.endswith(ENDING):
            load_file(named)  # its faults are told before the drawing is judged
        return named
    own = snapshot.settings.book
    if not own.endswith(ENDING):
        return own
    folder = home(Path(file))
    load_beside(own, folder)
    return str(folder / own)


def output(path: str, endings: tuple[str, ...], source: str = "") -> Path:
    """A file to write, by its ending; never `source`, which is read. Raises `CommandError`."""
    target = Path(path)
    if source and target.exists() and Path(source).exists() and target.samefile(source):
        raise CommandError(_("{path} is the drawing itself; name another file to write").format(path=path))
    if target.suffix.lower() not in endings:
        raise CommandError(
            _("{path}: the ending is {found}, expected {endings}").format(
                path=path, found=target.suffix or _("missing"), endings=_(" or ").join(endings)
            )
        )
    if target.parent != Path() and not target.parent.is_dir():
        raise CommandError(_("{path}: there is no folder {folder}").format(path=path, folder=target.parent))
    return target


def add_copy(parser: argparse.ArgumentParser) -> None:
    """`FILE`, `-o OUT` and `--replace`: a drawing that stays as it is, and the copy to write."""
    parser.add_argument("file", metavar="FILE", help=_("drawing file; it stays as it is"))
    parser.add_argument("-o", "--output", required=True, metavar="OUT", help=_("drawing file to write"))
    parser.add_argument("--replace", action="store_true", help=_("write over OUT where it is there already"))


def copy_to(arguments: argparse.Namespace) -> Path:
    """Where `-o` has a copy of a drawing written; over what is there with `--replace` only. Raises `CommandError`."""
    target = output(arguments.output, (".linewright",), arguments.file)
    if target.exists() and not arguments.replace:
        raise CommandError(_("{path} is there already; --replace writes over it").format(path=target))
    return target


@contextlib.contextmanager
def held(target: Path, copies: bool = False) -> Iterator[None]:
    """Nobody else has a drawing's file open meanwhile. Raises `CommandError` where somebody has.

    `copies`: the command can write to another file, and says so.
    """
    from engine.files.lock import Held, take

    lock = take(target)
    if isinstance(lock, Held):
        told = _("{who} Nothing is written; -o writes a copy.") if copies else _("{who} Nothing is written.")
        raise CommandError(told.format(who=lock.sentence))
    try:
        yield
    finally:
        lock.release()


def write_drawing(installation: Installation, target: Path, over: str) -> None:
    """Save a drawing; `over` is what stood there when the command began (`engine.files.drawing.sha256_at`).

    What has been saved there since stays. Raises `CommandError` where somebody has it open, `FileError`.
    """
    from engine.files.drawing import save

    with held(target):
        save(installation, target, over)


def bring_along(source: str, target: Path, snapshot: Snapshot) -> None:
    """Photographs and frozen issues for a copy of a drawing that was written elsewhere; what is not there is told."""
    from app.photographs import carried_over, store_of
    from engine.files import issues

    folder = issues.home(Path(source))
    if issues.home(target) == folder or not (snapshot.photographs or snapshot.revisions):
        return
    for told in (
        *issues.carried_over(snapshot, (folder,), issues.home(target)),
        *carried_over(snapshot, store_of(Path(source)), store_of(target)),
    ):
        say(f"{target}: {told}")


def changeable(path: str) -> Installation:
    """A drawing that may be changed. Raises `FileError`, and `CommandError` for one that can only be read."""
    installation = opened(path).installation
    if installation.read_only:
        raise CommandError(_("{path} cannot be changed: {why}").format(path=path, why=installation.read_only))
    return installation
