"""`linewright templates [TEMPLATE]`: sub-assemblies that can be placed in one go, and what each asks."""

from __future__ import annotations

import argparse
import json
from typing import TYPE_CHECKING, Any

from engine.words import N_, _

if TYPE_CHECKING:
    from engine.templates import Question, Template

__all__ = ["HELP", "NAME", "add_arguments", "run"]

NAME = "templates"
HELP = N_("list sub-assemblies to place in one go, with what each asks")


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """One template or all; format."""
    parser.add_argument("template", nargs="?", metavar="TEMPLATE", help=_("only this one"))
    parser.add_argument("--format", choices=("text", "json"), default="text", help=_("text (default) or json"))


def run(arguments: argparse.Namespace) -> int:
    """0: a list is no finding."""
    from engine.templates import template_named, templates

    chosen = [template_named(arguments.template)] if arguments.template else list(templates().values())
    if arguments.format == "json":
        print(json.dumps([_object(template) for template in chosen], ensure_ascii=False, indent=2))
        return 0
    from app.text_report import output_width

    width = output_width()
    print("\n\n".join("\n".join(_lines(template, width)) for template in chosen))
    return 0


def _lines(template: Template, width: int) -> list[str]:
    import textwrap

    made = [f"{template.name}: {_(template.title)}"]
    made += textwrap.wrap(_(template.purpose), width, initial_indent="  ", subsequent_indent="  ")
    names = [question.name for question in template.questions]
    column = max((len(name) for name in names), default=0) + 4
    for question in template.questions:
        told = f"{_(question.text)} ({_answers(question)})" if _answers(question) else _(question.text)
        first = f"  {question.name}".ljust(column)
        made += textwrap.wrap(told, width, initial_indent=first + "  ", subsequent_indent=" " * (column + 2))
    return made


def _answers(question: Question) -> str:
    """What may be answered, and what is taken where nothing is."""
    from engine.templates import shown

    if question.joins:
        return ""
    usual = shown(question, question.default)
    if question.metric is not None:
        usual = _("{usual}, where sizes are metric {metric}").format(
            usual=usual, metric=shown(question, question.metric)
        )
    if question.choices:
        return _("{choices}; usual: {usual}").format(choices=", ".join(question.choices), usual=usual)
    low, high = (shown(question, bound) for bound in (question.low or 0.0, question.high or 0.0))
    return _("{low} to {high}; usual: {usual}").format(low=low, high=high, usual=usual)


def _object(template: Template) -> dict[str, Any]:
    return {
        "name": template.name,
        "title": _(template.title),
        "purpose": _(template.purpose),
        "questions": [
            {
                "name": question.name,
                "text": _(question.text),
                "unit": question.unit,
                "default": question.default,
                "default_metric": question.usual(is_metric=True),
                "low": question.low,
                "high": question.high,
                "choices": list(question.choices),
                "joins": question.joins,
                "whole": question.whole,
            }
            for question in template.questions
        ],
    }
