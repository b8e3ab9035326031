"""`linewright merge BASE A B`: what two people changed apart, brought together; what meets is asked, one by one."""

from __future__ import annotations

import argparse
import json
from pathlib import Path
from typing import TYPE_CHECKING, Any

from app.commands.opening import CommandError, changeable, output, say
from engine.words import N_, _, ngettext

if TYPE_CHECKING:
    from engine.installation import Snapshot
    from engine.merging import Choice, Conflict, Merged

__all__ = ["HELP", "NAME", "add_arguments", "run"]

NAME = "merge"
HELP = N_("two drawings made from one brought together; what both changed is listed and decided one by one")
_SIDES = ("a", "b", "base")


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """The three drawings, what is decided, where to write."""
    parser.add_argument("base", metavar="BASE", help=_("the drawing both were made from"))
    parser.add_argument("a", metavar="A", help=_("the first drawing"))
    parser.add_argument("b", metavar="B", help=_("the second drawing"))
    parser.add_argument("-o", "--output", metavar="OUT", help=_("drawing file to write once nothing is left to decide"))
    parser.add_argument("--replace", action="store_true", help=_("write over OUT where it is there already"))
    parser.add_argument(
        "--take",
        default="",
        metavar="N=SIDE,...",
        help=_("decide conflicts by their numbers: 1=a,2=b,3=base; the numbers are those of the list without it"),
    )
    parser.add_argument("--rest", choices=("a", "b"), help=_("whose is taken in all that is not decided by number"))
    parser.add_argument("--format", choices=("text", "json"), default="text", help=_("how it is told (text)"))


def run(arguments: argparse.Namespace) -> int:
    """0 merged, 1 something is left to decide."""
    from engine.merging import MergeError, merge

    target = _target(arguments)
    base, a, b = (changeable(file).snapshot() for file in (arguments.base, arguments.a, arguments.b))
    first = changeable(arguments.a)
    try:
        listed = merge(base, a, b)
        chosen = _chosen(arguments.take, listed)
        merged = merge(base, a, b, chosen)
        while arguments.rest and merged.open:  # what is decided may open another question
            chosen |= {c.key: arguments.rest for c in merged.open}
            merged = merge(base, a, b, chosen)
    except MergeError as fault:
        raise CommandError(str(fault)) from None
    if arguments.format == "json":
        print(json.dumps(_as_json(merged, listed, (base, a, b)), ensure_ascii=False, indent=1))
    else:
        print(_as_text(arguments, merged, listed, (base, a, b)))
    if merged.open:
        if target is not None:
            say(_("nothing is written: there is something left to decide"))
        return 1
    if target is not None:
        _write(first, a, merged, target)
        say(_("{path} written").format(path=target))
    return 0


def _target(arguments: argparse.Namespace) -> Path | None:
    if not arguments.output:
        return None
    target = output(arguments.output, (".linewright",))
    for source in (arguments.base, arguments.a, arguments.b):
        output(arguments.output, (".linewright",), source)
    if target.exists() and not arguments.replace:
        raise CommandError(_("{path} is there already; --replace writes over it").format(path=target))
    return target


def _chosen(text: str, listed: Merged) -> dict[str, Choice]:
    """What `--take` says, by key. Raises `CommandError`."""
    chosen: dict[str, Choice] = {}
    for part in filter(None, (p.strip() for p in text.split(","))):
        number, _equals, side = (p.strip() for p in part.partition("="))
        if side not in _SIDES or not number.isascii() or not number.isdecimal():
            told = _("--take: expected a number and a, b or base, as in 3=a, found {found!r}")
            raise CommandError(told.format(found=part))
        if not 0 < int(number) <= len(listed.open):
            count = len(listed.open)
            told = _("--take: there is no conflict {number}; the last is {n}")
            raise CommandError(told.format(number=number, n=count))
        conflict = listed.open[int(number) - 1]
        if side not in conflict.choices:
            told = _("--take: in conflict {number} only {choices} can be taken")
            raise CommandError(told.format(number=number, choices=", ".join(conflict.choices)))
        chosen[conflict.key] = side  # type: ignore[assignment]  # one of three
    return chosen


def _write(first: Any, a: Snapshot, merged: Merged, target: Path) -> None:
    from engine.edits import apply
    from engine.files.drawing import save
    from engine.merging import edit_to

    apply(first, edit_to(a, merged.snapshot, merged.last_id, _("Merge")), again=True)
    save(first, target)


# -- telling ----------------------------------------------------------------------------------------------------------
def _as_text(
    arguments: argparse.Namespace, merged: Merged, listed: Merged, three: tuple[Snapshot, Snapshot, Snapshot]
) -> str:
    from app.figures.lines import section, wrapped
    from app.text_report import cautions, output_width
    from engine.comparing import differences

    width = output_width()
    base, a, b = three
    counts = [len({(c.table, c.item) for c in d.changed} | set(d.added) | set(d.removed)) for d in (
        differences(base, a, "ids"), differences(base, b, "ids")
    )]  # fmt: skip
    lines = [
        _("Base: {name}").format(name=arguments.base),
        _("A: {name}, {n} things other than in the base").format(name=arguments.a, n=counts[0]),
        _("B: {name}, {n} things other than in the base").format(name=arguments.b, n=counts[1]),
        ngettext("{n} conflict.", "{n} conflicts.", len(listed.open)).format(n=len(listed.open))
        if listed.open
        else _("Nothing meets: all of both is taken."),
    ]
    parts = ["\n".join(wrapped(line, width) for line in lines)]
    numbers = {c.key: n for n, c in enumerate(listed.open, start=1)}
    for title, some in ((_("To be decided"), merged.open), (_("Decided"), merged.settled)):
        if some:
            told = [_conflict(c, numbers.get(c.key, 0), three, width) for c in some]
            parts.append("\n".join((section(title), *told)))
    if merged.notices:
        parts.append("\n".join((section(_("Also")), *(wrapped(each, width) for each in merged.notices))))
    parts.append(cautions(width))
    return "\n\n".join(parts)


def _conflict(conflict: Conflict, number: int, three: tuple[Snapshot, Snapshot, Snapshot], width: int) -> str:
    from app.figures.lines import wrapped
    from engine.merging import conflict_words, side_words

    head = conflict_words(conflict, *three)
    lines = [wrapped(f"{number}. {head}" if number else f"+ {head}", width)]
    for side in _SIDES:
        if side in conflict.choices or side == "base":
            mark = " *" if conflict.chosen == side else ""
            lines.append(wrapped(f"   {side}: {side_words(conflict, side, *three)}{mark}", width))  # type: ignore[arg-type]
    return "\n".join(lines)


def _as_json(merged: Merged, listed: Merged, three: tuple[Snapshot, Snapshot, Snapshot]) -> dict[str, Any]:
    from engine.merging import conflict_words, side_words

    numbers = {c.key: n for n, c in enumerate(listed.open, start=1)}

    def told(conflict: Conflict) -> dict[str, Any]:
        return {
            "number": numbers.get(conflict.key),
            "key": conflict.key,
            "sort": conflict.sort,
            "table": conflict.table,
            "id": conflict.item,
            "field": conflict.path,
            "words": conflict_words(conflict, *three),
            "choices": list(conflict.choices),
            "chosen": conflict.chosen,
            **{side: side_words(conflict, side, *three) for side in ("base", "a", "b")},  # type: ignore[arg-type]
        }

    return {
        "open": [told(c) for c in merged.open],
        "decided": [told(c) for c in merged.settled],
        "notices": list(merged.notices),
        "renamed": merged.renamed,
    }
