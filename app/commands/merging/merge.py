"""`linewright merge BASE A B`: what two people changed apart, brought together; what meets is asked, one by one."""

from __future__ import annotations

import argparse
import json
import re
from pathlib import Path
from typing import TYPE_CHECKING, Any

from app.commands.opening import CommandError, changeable, output, say, write_drawing
from engine.words import N_, _, ngettext

if TYPE_CHECKING:
    from engine.installation import Installation, Snapshot
    from engine.merging import Choice, Conflict, Merged

__all__ = ["HELP", "NAME", "add_arguments", "run"]

NAME = "merge"
HELP = N_("two drawings made from one brought together; what both changed is listed and decided one by one")
_SIDES = ("a", "b", "base")
_NUMBER = re.compile(r"[0-9]{1,6}(\.[0-9]{1,6})*")


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
        help=_("decide conflicts by their numbers: 1=a,2=b,3=base; what one of them raises is 1.1, 1.2 and so on"),
    )
    parser.add_argument("--keep", choices=("a", "b"), help=_("whose is taken in all that is not decided by number"))
    parser.add_argument("--format", choices=("text", "json"), default="text", help=_("how it is told (text)"))


def run(arguments: argparse.Namespace) -> int:
    """0 merged, 1 something is left to decide."""
    from engine.files.drawing import sha256_at
    from engine.merging import MergeError

    target = _target(arguments)
    over = "" if target is None else sha256_at(target)
    files = [changeable(file) for file in (arguments.base, arguments.a, arguments.b)]
    base, a, _b = three = tuple(each.snapshot() for each in files)
    last_id = max(each.last_id for each in files)
    try:
        merged, numbers, idle = _decided(three, last_id, _takes(arguments.take), arguments.keep)
    except MergeError as fault:
        raise CommandError(str(fault)) from None
    merged = merged._replace(notices=(*merged.notices, *idle, *_not_known(arguments, files)))
    if arguments.format == "json":
        print(json.dumps(_as_json(merged, numbers, (base, a, merged.b)), ensure_ascii=False, indent=1))
    else:
        print(_as_text(arguments, merged, numbers, (base, a, merged.b)))
    if merged.open:
        if target is not None:
            say(_("nothing is written: there is something left to decide"))
        return 1
    if target is not None:
        _write(files[1], arguments, merged, target, over)
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


def _takes(text: str) -> list[tuple[str, Choice]]:
    """What `--take` says: numbers and sides, in the order of the numbers. Raises `CommandError`."""
    found: dict[tuple[int, ...], Choice] = {}
    for part in filter(None, (p.strip() for p in text.split(","))):
        number, _equals, side = (p.strip() for p in part.partition("="))
        if side not in _SIDES or not _NUMBER.fullmatch(number):
            told = _("--take: expected a number and a, b or base, as in 3=a, found {found!r}")
            raise CommandError(told.format(found=part))
        key = tuple(int(each) for each in number.split("."))
        if found.get(key, side) != side:
            raise CommandError(_("--take: conflict {number} is decided twice").format(number=number))
        found[key] = side  # type: ignore[assignment]  # one of three
    return [(".".join(map(str, key)), found[key]) for key in sorted(found)]


def _decided(
    three: tuple[Snapshot, ...], last_id: int, takes: list[tuple[str, Choice]], keep: Choice | None
) -> tuple[Merged, dict[str, str], list[str]]:
    """Merged by what was decided; the number of each conflict by its key; sentences on what had no effect.

    A conflict that only a decision raises has the number of that decision before its own, so that no number comes to
    mean another conflict. Raises `CommandError`, `MergeError`.
    """
    from engine.merging import merge

    base, a, b = three
    merged = merge(base, a, b, None, last_id)
    numbers = {conflict.key: str(n) for n, conflict in enumerate(merged.open, start=1)}
    found = {number: conflict for conflict, number in zip(merged.open, numbers.values(), strict=True)}
    chosen: dict[str, Choice] = {}

    def again(under: str) -> Merged:
        made = merge(base, a, b, chosen, last_id, strict=False)
        raised = [conflict for conflict in (*made.open, *made.settled) if conflict.key not in numbers]
        for n, conflict in enumerate(raised, start=1):
            numbers[conflict.key] = f"{under}.{n}" if under else "+"
            found[numbers[conflict.key]] = conflict
        return made

    for number, side in takes:
        conflict = found.get(number)
        if conflict is None:
            told = _("--take: there is no conflict {number}; the last is {n}")
            raise CommandError(told.format(number=number, n=list(numbers.values())[-1] if numbers else 0))
        if side not in conflict.choices:
            told = _("--take: in conflict {number} only {choices} can be taken")
            raise CommandError(told.format(number=number, choices=", ".join(conflict.choices)))
        chosen[conflict.key] = side
        merged = again(number)
    while keep and merged.open:  # what is decided may raise another
        chosen |= {conflict.key: keep for conflict in merged.open}
        merged = again("")
    asked = {conflict.key for conflict in (*merged.open, *merged.settled)}
    idle = _("Conflict {number} is none any more: what else was decided settles it.")
    return merged, numbers, [idle.format(number=numbers[key]) for key in chosen if key not in asked]


def _not_known(arguments: argparse.Namespace, files: list[Installation]) -> list[str]:
    """Members of the second file that this version does not know: they cannot be brought together."""
    had = {*files[0].unknown, *files[1].unknown}
    names = ", ".join(name for name, text in files[2].unknown if (name, text) not in had)
    told = _("{path} holds what this version does not know, which is not brought in: {names}.")
    return [told.format(path=arguments.b, names=names)] if names else []


def _write(first: Installation, arguments: argparse.Namespace, merged: Merged, target: Path, over: str) -> None:
    """The drawing, and beside it the photographs and copies of issues of both. Raises `CommandError`, `FileError`."""
    from app.photographs import Store, carried_over, store_of
    from engine.edits import EditError, apply
    from engine.files import issues
    from engine.merging import edit_to

    try:  # as in the window: what is issued in the first drawing stays as others hold it
        apply(first, edit_to(first.snapshot(), merged.snapshot, merged.last_id, _("Merge")))
    except EditError as fault:
        raise CommandError(str(fault)) from None
    first.last_id = max(first.last_id, merged.last_id)
    write_drawing(first, target, over)
    whole = first.snapshot()
    homes = tuple(issues.home(Path(file)) for file in (arguments.a, arguments.b, arguments.base))
    source = Store(
        store_of(Path(arguments.a)).folder, [store_of(Path(f)).folder for f in (arguments.b, arguments.base)]
    )
    for told in (
        *carried_over(whole, source, store_of(target)),
        *issues.carried_over(whole, homes, issues.home(target)),
    ):
        say(f"{target}: {told}")


# -- telling ----------------------------------------------------------------------------------------------------------
def _as_text(
    arguments: argparse.Namespace, merged: Merged, numbers: dict[str, str], three: tuple[Snapshot, Snapshot, Snapshot]
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
        ngettext("{n} conflict.", "{n} conflicts.", len(numbers)).format(n=len(numbers))
        if numbers
        else _("Nothing meets: all of both is taken."),
    ]
    parts = ["\n".join(wrapped(line, width) for line in lines)]
    for title, some in ((_("To be decided"), merged.open), (_("Decided"), merged.settled)):
        if some:
            told = [_conflict(c, numbers[c.key], three, width) for c in some]
            parts.append("\n".join((section(title), *told)))
    if merged.notices:
        parts.append("\n".join((section(_("Also")), *(wrapped(each, width) for each in merged.notices))))
    parts.append(cautions(width))
    return "\n\n".join(parts)


def _conflict(conflict: Conflict, number: str, three: tuple[Snapshot, Snapshot, Snapshot], width: int) -> str:
    from app.figures.lines import wrapped
    from engine.merging import conflict_words, side_words

    head = conflict_words(conflict, *three)
    lines = [wrapped(f"{number}. {head}" if number != "+" else f"+ {head}", width)]
    for side in _SIDES:
        if side in conflict.choices or side == "base":
            mark = " *" if conflict.chosen == side else ""
            lines.append(wrapped(f"   {side}: {side_words(conflict, side, *three)}{mark}", width))  # type: ignore[arg-type]
    return "\n".join(lines)


def _as_json(merged: Merged, numbers: dict[str, str], three: tuple[Snapshot, Snapshot, Snapshot]) -> dict[str, Any]:
    from engine.merging import conflict_words, side_words

    def told(conflict: Conflict) -> dict[str, Any]:
        return {
            "number": numbers[conflict.key],
            "key": conflict.key,
            "sort": conflict.sort,
            "table": conflict.table,
            "id": conflict.item,
            "field": conflict.path,
            "words": conflict_words(conflict, *three),
            "choices": list(conflict.choices),
            "chosen": conflict.chosen,
            "values": {side: _value(getattr(conflict, side)) for side in ("base", "a", "b")},
            **{side: side_words(conflict, side, *three) for side in ("base", "a", "b")},  # type: ignore[arg-type]
        }

    return {
        "open": [told(c) for c in merged.open],
        "decided": [told(c) for c in merged.settled],
        "notices": list(merged.notices),
        "renamed": merged.renamed,
    }


def _value(value: Any) -> Any:
    """As the file has it."""
    from engine.record import to_builtins

    if isinstance(value, tuple):
        return [_value(each) for each in value]
    if not hasattr(value, "__struct_fields__"):
        return value
    return ({"kind": value.KIND} if hasattr(value, "KIND") else {}) | to_builtins(value)
