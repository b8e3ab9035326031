"""`linewright explain NAME`: a rule's page (what, why, what to do, limits, examples) or a kind's (terminals, facts)."""

from __future__ import annotations

import argparse
import inspect
import sys
import textwrap
from collections.abc import Iterator
from typing import Any

from app.kind_page import kind_list, kind_page
from app.text_report import width_of
from engine.words import N_, _

__all__ = ["HELP", "NAME", "add_arguments", "run"]

NAME = "explain"
HELP = N_("explain a rule (what it checks, why, what to do, its limits and sources) or a kind of equipment")


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """The rule."""
    parser.add_argument(
        "rule",
        metavar="NAME",
        help=_("rule (`linewright rules` lists them) or kind of equipment (`linewright explain kinds`)"),
    )


def run(arguments: argparse.Namespace) -> int:
    """Print the page of a rule or a kind. Raises `UnknownRule`."""
    from engine.books import book_names, load
    from engine.check import UnknownRule, rule_named
    from engine.equipment import kinds
    from engine.rules import rules

    width = width_of(sys.stdout)
    name = arguments.rule
    if name not in rules():
        wanted = name.strip().lower().replace(" ", "_").replace("-", "_")
        if wanted == "kinds":
            print(kind_list())
            return 0
        if wanted in kinds():
            print(kind_page(kinds()[wanted], width))
            return 0
        raise UnknownRule(
            _(
                "there is no rule or kind of equipment {name!r}; there are the rules {rules}; "
                "`linewright explain kinds` lists the kinds"
            ).format(name=name, rules=", ".join(sorted(rules())))
        )
    rule = rule_named(name)
    print(f"{rule.slug} ({_(rule.word)}): {_(rule.title)}\n")
    print(_flowed(inspect.cleandoc(_(rule.doc)), width))
    print("\n" + _("Limits in the books") + "\n" + "-" * len(_("Limits in the books")))
    for name in book_names():
        for line in _limits(load(name).rules.get(rule.slug, {}), load(name).title):
            print(textwrap.fill(line, width, subsequent_indent="    ", break_on_hyphens=False))
    print("\n" + _("Examples") + "\n" + "-" * len(_("Examples")))
    for title, examples in ((_("Passes: {name}"), rule.good), (_("Is found: {name}"), rule.bad)):
        for example in examples:
            print(title.format(name=example.name))
    return 0


def _flowed(text: str, width: int) -> str:
    """Paragraphs wrapped to the width; headings and lists keep their lines."""
    blocks = []
    for block in text.split("\n\n"):
        lines = block.splitlines()
        made = lines[:2] if len(lines) > 1 and set(lines[1]) == {"-"} else []
        rest = lines[len(made) :]
        items: list[list[str]] = []
        for line in rest:
            if line.startswith("* ") or not items:
                items.append([])
            items[-1].append(line.strip())
        for item in items:
            later = "  " if item[0].startswith("* ") else ""
            made.append(textwrap.fill(" ".join(item), width, subsequent_indent=later, break_on_hyphens=False))
        blocks.append("\n".join(made))
    return "\n\n".join(blocks)


def _limits(entry: dict[str, Any], title: str) -> Iterator[str]:
    """The book's clause and its word, then every value with its source and standing."""
    clause = entry.get("clause", "")
    if clause:
        yield f"{title}: {clause} ({_confirmed(entry.get('confirmed', False))})"
    else:
        yield _("{title}: no clause; good practice").format(title=title)
    if "word" in entry:
        yield "  " + _("word: {word}").format(word=_(entry["word"]))
    for name, value in entry.items():
        if isinstance(value, dict) and name != "options":
            shown = value.get("text") or f"{value['value']} {value.get('unit', '')}".rstrip()
            yield f"  {name}: {shown} ({value['source']}; {_confirmed(value['confirmed'])})"
    for name, option in entry.get("options", {}).items():
        yield f"  {name}: {_plain(option)}"


def _confirmed(confirmed: bool) -> str:
    return _("read in the source") if confirmed else _("not confirmed")


def _plain(option: Any) -> str:
    if isinstance(option, bool):
        return _("yes") if option else _("no")
    if isinstance(option, list):
        return ", ".join("–".join(f"{v:g}" for v in o) if isinstance(o, list) else str(o) for o in option)
    return str(option)
