"""The command line: reads arguments, calls a command or opens the window, turns what goes wrong into one sentence.

Exit codes: 0 nothing found, 1 found or not judged, 2 bad input or usage. Whatever is heavy is imported by the command
that needs it.
"""

from __future__ import annotations

import argparse
import contextlib
import logging
import os
import sys
from collections.abc import Sequence

from app import log as log_file
from app import words
from app.commands import every
from app.commands.opening import CommandError
from app.screen import NoWindow, why_no_window
from app.terminal import Plain
from engine.books import BookError
from engine.edits import EditError
from engine.files.atomic import parted
from engine.files.errors import FileError, reason
from engine.rules import UnknownRule, own
from engine.units import UnitError
from engine.version import version
from engine.words import _

__all__ = ["main", "open_window"]

log = logging.getLogger(__name__)

# what these say is meant for the person, word for word
TOLD = (BookError, CommandError, EditError, FileError, NoWindow, UnitError, UnknownRule)


class Parser(argparse.ArgumentParser):
    """Says what was expected and found in one line."""

    def error(self, message: str) -> None:  # type: ignore[override]
        """One line on the error stream, exit code 2."""
        hint = _("`{command} --help` tells more").format(command=self.prog)
        self.exit(2, f"{self.prog}: {message}; {hint}\n")

    def _check_value(self, action: argparse.Action, value: object) -> None:
        """One of several: what there is and what was given."""
        if action.choices is not None and value not in action.choices:
            every = ", ".join(str(choice) for choice in action.choices)
            told = _("expected one of {choices}, found {value!r}").format(choices=every, value=value)
            raise argparse.ArgumentError(action, told)


def main(arguments: Sequence[str] | None = None) -> int:
    """Run the command line; returns the exit code."""
    _speak_utf8()
    before = sys.stdout, sys.stderr
    sys.stdout, sys.stderr = (stream if stream is None else Plain(stream) for stream in before)
    try:
        return _main(arguments)
    finally:
        sys.stdout, sys.stderr = before


def _main(arguments: Sequence[str] | None) -> int:
    words.load()
    own.ask_by(_own_rules)
    where = log_file.start()
    try:
        code = _run(list(sys.argv[1:] if arguments is None else arguments))
        if sys.stdout is not None:  # closed by whoever started us
            sys.stdout.flush()
    except TOLD as fault:
        _say(f"linewright: {fault}")
        return 2
    except BrokenPipeError:
        # whoever read our output has enough; nothing more to say, not even at exit
        with contextlib.suppress(OSError, ValueError):
            os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return 2
    except OSError as fault:
        name = fault.filename if isinstance(fault.filename, str) else ""
        _say(f"linewright: {name}: {reason(fault)}" if name else f"linewright: {reason(fault)}")
        return 2
    except KeyboardInterrupt:
        return 130
    except Exception as fault:
        log.exception("stopped by a fault of the program")
        told = _("a fault of the program stopped it ({fault})").format(fault=type(fault).__name__)
        if where is not None:
            told += "; " + _("the log tells more: {path}").format(path=where)
        _say(f"linewright: {told}")
        return 2
    return code


def _run(given: list[str]) -> int:
    if not given:
        return open_window()
    asked = next((text for text in given if not text.startswith("-")), "")
    parser, names = _parser(asked)
    if asked and asked not in names and _is_drawing(asked):
        options = [text for text in given if text.startswith("-")]
        if options:
            parser.print_usage(sys.stderr)
            _say("linewright: " + _("{option} means nothing where a drawing is opened").format(option=options[0]))
            return 2
        return open_window(given)
    if asked and asked not in names:
        _say(
            "linewright: "
            + _("there is no command {name!r}; there are: {names}").format(name=asked, names=", ".join(names))
        )
        return 2
    try:
        arguments = parser.parse_args(given)
    except SystemExit as leave:
        return leave.code if isinstance(leave.code, int) else 2
    parted()  # of a run before, in the same process
    code: int = arguments.run(arguments)
    for told in parted():
        _say(f"linewright: {told}")
    return code


def _own_rules() -> object:
    from app.own_rules import described

    return described()


def _is_drawing(name: str) -> bool:
    return name.endswith(".linewright") or os.path.isfile(name)


def open_window(paths: Sequence[str] = ()) -> int:
    """Open the window on drawings, or on an empty one, until it is closed. Raises `NoWindow`."""
    why = why_no_window()
    if why:
        raise NoWindow(why)
    from app.window.start import run  # the one door to Qt

    return run(paths)


def _parser(asked: str) -> tuple[argparse.ArgumentParser, list[str]]:
    """The arguments of the command asked for, the names of all: what the others ask is not read from the books."""
    parser = Parser(
        prog="linewright",
        description=_("Single-line wiring diagrams of boats, proved, printed and kept true."),
        epilog=_("`linewright` alone opens the window on an empty drawing, `linewright FILE` on that drawing."),
        allow_abbrev=False,
    )
    parser.add_argument("--version", action="version", version=f"linewright {version()}")
    sub = parser.add_subparsers(title=_("commands"), metavar=_("COMMAND"), required=True)
    names = []
    for command in every():
        page = sub.add_parser(command.NAME, help=_(command.HELP), description=_(command.HELP), allow_abbrev=False)
        if asked == command.NAME:
            command.add_arguments(page)
        page.set_defaults(run=command.run)
        names.append(command.NAME)
    return parser, names


def _say(text: str) -> None:
    """To the error stream, if there still is one."""
    with contextlib.suppress(OSError, ValueError):
        print(text, file=sys.stderr)


def _speak_utf8() -> None:
    """The trade writes Ω, × and mm²: a file or pipe gets UTF-8, a terminal that cannot show one a mark in its place."""
    for stream in (sys.stdout, sys.stderr):
        reconfigure = getattr(stream, "reconfigure", None)
        if reconfigure is not None:
            with contextlib.suppress(OSError, ValueError):
                if stream.isatty():
                    reconfigure(errors="replace")
                else:
                    reconfigure(encoding="utf-8", errors="replace")


if __name__ == "__main__":
    sys.exit(main())
