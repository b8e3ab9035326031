"""`linewright faults FILE`: prospective fault currents at every protective device and bus."""

from __future__ import annotations

import argparse

from app.commands.figures import add_common, studied, write, write_json
from engine.words import N_

__all__ = ["HELP", "NAME", "add_arguments", "run"]

NAME = "faults"
HELP = N_("prospective fault currents at devices and buses, largest and smallest")


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """File and format; faults are those of every permitted switch state, whatever the condition."""
    add_common(parser, condition=False)


def run(arguments: argparse.Namespace) -> int:
    """0: what is not known is told in its place."""
    study = studied(arguments)
    faults = study.faults
    if arguments.format == "json":
        from engine.figures_json import faults_object

        write_json([faults_object(faults)], several=False)
    else:
        from app.figures.fault_report import fault_report
        from app.text_report import output_width

        write(fault_report(arguments.file, study, faults, output_width()))
    return 0
