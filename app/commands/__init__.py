"""The commands of the command line, one module each.

A module has `NAME`, `HELP`, `add_arguments(parser)` and `run(arguments) -> int`: 0 nothing to say, 1 found or not
judged, 2 bad input or usage. What is heavy is imported inside `run`. Bad input raises an error with one clear sentence;
`app.cli` prints it.
"""

from __future__ import annotations

from argparse import ArgumentParser, Namespace
from typing import Protocol

__all__ = ["Command", "every"]


class Command(Protocol):
    """What a command module offers."""

    NAME: str
    HELP: str

    def add_arguments(self, parser: ArgumentParser) -> None:
        """Declare its arguments."""

    def run(self, arguments: Namespace) -> int:
        """Do it; returns the exit code."""


def every() -> tuple[Command, ...]:
    """All commands, in the order the help lists them."""
    from app.commands import (
        battery_card,
        books,
        calculations,
        card,
        check,
        demo,
        energy,
        explain,
        export_list,
        failures,
        faults,
        find,
        fix,
        flow,
        import_lists,
        isolate,
        labels,
        missing,
        pack,
        panel_door,
        paper,
        parts,
        place,
        print_sheets,
        quotation,
        renumber,
        rules,
        schedules,
        size,
        switch,
        symbols,
        templates,
        tidy,
    )
    from app.commands.comparing import compare
    from app.commands.issuing import history, issue, revise
    from app.commands.merging import merge
    from app.commands.surveying import deficiencies, photographs, walk
    from app.commands.surveying import report as survey
    from app.commands.tracing import trace

    return (
        check,
        fix,
        missing,
        trace,
        find,
        deficiencies,
        walk,
        flow,
        faults,
        energy,
        size,
        failures,
        switch,
        isolate,
        card,
        battery_card,
        panel_door,
        print_sheets,
        schedules,
        calculations,
        parts,
        quotation,
        labels,
        paper,
        survey,
        photographs,
        pack,
        import_lists,
        export_list,
        compare,
        merge,
        renumber,
        issue,
        revise,
        history,
        templates,
        tidy,
        place,
        rules,
        books,
        symbols,
        explain,
        demo,
    )
