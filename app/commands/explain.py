"""`linewright explain NAME`: a rule's page (what, why, what to do, limits, examples) or a kind's (terminals, facts).

With `-o FILE.pdf` the page is written with its examples drawn; `--all` writes every rule's.
"""

from __future__ import annotations

import argparse
import sys
from pathlib import Path

from app.commands.opening import CommandError, output, say
from app.kind_page import kind_list, kind_page
from app.text_report import width_of
from engine.words import N_, _, ngettext

__all__ = ["HELP", "NAME", "add_arguments", "run"]

NAME = "explain"
HELP = N_("explain a rule (what it checks, why, what to do, its limits and sources) or a kind of equipment")


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """The rule, or all of them; the file to write."""
    parser.add_argument(
        "rule",
        metavar="NAME",
        nargs="?",
        help=_("rule (`linewright rules` lists them) or kind of equipment (`linewright explain kinds`)"),
    )
    parser.add_argument("--all", action="store_true", help=_("every rule, with a list of contents (needs -o)"))
    parser.add_argument("-o", "--output", metavar="OUT", help=_("PDF file to write: the page with its examples drawn"))


def run(arguments: argparse.Namespace) -> int:
    """Print or write the page of a rule or a kind. Raises `UnknownRule` and `CommandError`."""
    from app.help.page import page_of, rule_page
    from app.help.text import page_text
    from app.own_rules import described
    from engine.check import UnknownRule
    from engine.equipment import kinds
    from engine.rules import rules
    from engine.rules.own import as_rule

    name = arguments.rule
    if (name is None) != arguments.all:
        raise CommandError(_("name one rule or kind of equipment, or --all for every rule"))
    if arguments.all:
        if not arguments.output:
            raise CommandError(_("--all is written to a file: name it with -o"))
        return _write(list(rules()), output(arguments.output, (".pdf",)), whole=True)
    width = width_of(sys.stdout)
    if name in rules():
        if arguments.output:
            return _write([name], output(arguments.output, (".pdf",)))
        print(page_text(rule_page(name), width))
        return 0
    wanted = name.strip().lower().replace(" ", "_").replace("-", "_")
    if wanted == "kinds" or wanted in kinds():
        if arguments.output:
            raise CommandError(_("{name}: only the page of a rule is written to a file").format(name=name))
        print(kind_list() if wanted == "kinds" else kind_page(kinds()[wanted], width))
        return 0
    own = described()
    for rule in own.rules:
        if rule.slug == name:
            if arguments.output:
                raise CommandError(_("{name}: only the page of a rule of the program is written").format(name=name))
            print(page_text(page_of(as_rule(rule)), width))
            return 0
    for fault in own.faults:
        say(fault.told())
    raise UnknownRule(
        _(
            "there is no rule or kind of equipment {name!r}; there are the rules {rules}; "
            "`linewright explain kinds` lists the kinds"
        ).format(name=name, rules=", ".join(sorted((*rules(), *(rule.slug for rule in own.rules)))))
    )


def _write(slugs: list[str], target: Path, whole: bool = False) -> int:
    from app.paper.files import lacking
    from app.paper.rule_pages import write_rule_pages

    written = write_rule_pages(slugs, target, whole=whole)
    told = ngettext("{path} written: {n} page", "{path} written: {n} pages", written.pages)
    print(told.format(path=target, n=written.pages))
    if written.missing_characters:
        say(lacking(target, written.missing_characters))
    return 0
