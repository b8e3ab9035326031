"""`linewright fix FILE N[,N...] -o OUT`: a copy of a drawing with edits of `check --fix-list` done."""

from __future__ import annotations

import argparse
import re
from typing import TYPE_CHECKING

from app.commands.opening import (
    CommandError,
    add_book,
    book_for,
    bring_along,
    changeable,
    copy_to,
    say,
    write_drawing,
)
from engine.edits import Several
from engine.words import N_, _

if TYPE_CHECKING:
    from engine.findings import Finding
    from engine.fixes import Fix
    from engine.installation import Installation
    from engine.study import Study

__all__ = ["HELP", "NAME", "add_arguments", "run"]

NAME = "fix"
HELP = N_("write a copy of a drawing with edits of `check --fix-list` done")


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """File, numbers of edits, the copy to write."""
    parser.add_argument("file", metavar="FILE", help=_("drawing file; it stays as it is"))
    parser.add_argument(
        "numbers", type=_numbers, metavar="N[,N...]", help=_("numbers of edits, as `check --fix-list` tells them")
    )
    parser.add_argument("-o", "--output", required=True, metavar="OUT", help=_("drawing file to write"))
    parser.add_argument("--replace", action="store_true", help=_("write over a drawing that is there already"))
    add_book(parser)


def _numbers(text: str) -> tuple[int, ...]:
    parts = [part.strip() for part in text.split(",")]
    if not all(part.isdecimal() and int(part) > 0 for part in parts):
        raise argparse.ArgumentTypeError(
            _("expected numbers like 3 or 1,4 of `check --fix-list`, found {text!r}").format(text=text)
        )
    return tuple(dict.fromkeys(int(part) for part in parts))


def run(arguments: argparse.Namespace) -> int:
    """Do the edits one after the other; each is tried anew on what those before it have left."""
    from app.fix_report import offers
    from engine.check import check
    from engine.files.drawing import sha256_at

    target = copy_to(arguments)
    over = sha256_at(target)
    installation = changeable(arguments.file)
    study = _study(installation, arguments)
    listed = offers(study, check(study.snapshot, study=study))
    chosen: list[tuple[Finding, Fix]] = []
    for number in arguments.numbers:
        offer = next((o for o in listed if o.first <= number < o.first + len(o.fixes)), None)
        if offer is None:
            raise CommandError(
                _("there is no edit {number}; `linewright check --fix-list {path}` tells {count}").format(
                    number=number, path=arguments.file, count=sum(len(o.fixes) for o in listed)
                )
            )
        chosen.append((offer.finding, offer.fixes[number - offer.first]))
    for finding, fix in chosen:
        _do(installation, arguments, finding, fix)
    write_drawing(installation, target, over)
    bring_along(arguments.file, target, installation.snapshot())
    print(_("{path} written").format(path=target))
    return 0


def _study(installation: Installation, arguments: argparse.Namespace) -> Study:
    from app.own_rules import heard
    from engine.books import load
    from engine.study import Study

    snapshot = installation.snapshot()
    book = book_for(arguments.book, arguments.file, snapshot)
    study, own = Study(snapshot, load(book)), heard(snapshot, book)
    if own is not None:  # what `check --fix-list` counted rests on them too: a waiver may name one
        study.hear_own(own.outcomes, own.is_complete)
    return study


def _do(installation: Installation, arguments: argparse.Namespace, finding: Finding, wanted: Fix) -> None:
    """Do one edit. Raises `CommandError` where what was done before has left no room for it."""
    from app.drawing.changes import drawn
    from engine.edits import apply
    from engine.findings import Finding
    from engine.fixes import offered

    study, text = _study(installation, arguments), wanted.text
    remarks = study.outcome(finding.rule).remarks
    now = next((r for r in remarks if isinstance(r, Finding) and r.key == finding.key), None)
    names = ", ".join(finding.designations)
    if now is None:
        say(
            _("{rule} at {names} is put right already; “{text}” is not done").format(
                rule=finding.rule, names=names, text=text
            )
        )
        return
    fix = next((fix for fix in offered(study, now) if _nameless(fix) == _nameless(wanted)), None)
    if fix is None:
        raise CommandError(
            _("“{text}” no longer puts {rule} at {names} right after the edits before it; nothing is written").format(
                text=text, rule=finding.rule, names=names
            )
        )
    apply(installation, drawn(installation.snapshot(), installation.last_id, fix.edit))
    print(_("{rule} at {names}: {text}").format(rule=finding.rule, names=names, text=fix.text))


def _nameless(fix: Fix) -> str:
    """What it says without the designations of what it makes anew: an edit done before may have taken them."""
    text = fix.text
    for put in fix.edit.edits if isinstance(fix.edit, Several) else ():
        if put.table == "equipment" and put.record is not None and put.record.designation:
            text = re.sub(rf"\b{re.escape(put.record.designation)}\b", "…", text)
    return text
