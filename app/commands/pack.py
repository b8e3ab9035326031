"""`linewright pack FILE -o FOLDER|x.zip`: everything that is handed over, with a manifest and checksums."""

from __future__ import annotations

import argparse
from pathlib import Path

from app.commands.documents import add_common, add_options, job_for
from app.commands.opening import CommandError, say
from engine.files.errors import reason
from engine.words import N_, _, ngettext

__all__ = ["HELP", "NAME", "add_arguments", "run"]

NAME = "pack"
HELP = N_("write the whole hand-over pack into a folder or a zip file")


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """File, place, which documents, and what each may be asked."""
    from app.handover.documents import documents

    names = ", ".join(documents())
    add_common(parser, _("folder, made where it is not there, or a file that ends in .zip"))
    parser.add_argument(
        "--only",
        action="append",
        default=[],
        metavar="NAME",
        help=_("only this document, may be given again: {names}").format(names=names),
    )
    for name in documents():
        add_options(parser, name)
    parser.epilog = _(
        "What stood there stays until all of it is written. Exit code: 0, 1 where a document could not be made, 2 bad "
        "input or a disk that refuses."
    )


def run(arguments: argparse.Namespace) -> int:
    """Judge once, make everything, tell how far it is."""
    from app.handover.pack import chosen, pack
    from app.handover.placing import PlaceError, place_for

    try:
        makers = chosen(arguments.only)
    except KeyError as unknown:
        from app.handover.documents import documents

        raise CommandError(
            _("there is no document {name!r}; there are: {names}").format(
                name=unknown.args[0], names=", ".join(documents())
            )
        ) from None
    try:
        place_for(arguments.output)  # before anything is worked out
        job = job_for(arguments, [maker.name for maker in makers])
        made = pack(job, arguments.output, Path(arguments.file).read_bytes(), makers, _far)
    except PlaceError as fault:
        raise CommandError(str(fault)) from None
    except OSError as fault:
        # names of files on the way mean nothing to the person; the place does
        why = _("{reason}; nothing is written, what stood there is as it was").format(reason=reason(fault))
        raise CommandError(f"{arguments.output}: {why}") from None
    for line in made.told:
        say(line)
    told = ngettext("{path} written: {n} file", "{path} written: {n} files", made.files)
    print(f"{told.format(path=arguments.output, n=made.files)} ({job.result.summary()})")
    for title in made.failed:
        say(_("{title} is missing: a fault of the program stopped it; the log tells more").format(title=title))
    return 1 if made.failed else 0


def _far(n: int, of: int, title: str) -> None:
    say(_("{n} of {of}: {title}").format(n=n, of=of, title=title))
