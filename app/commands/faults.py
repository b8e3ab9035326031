"""`linewright faults FILE`: prospective fault currents at every protective device and bus."""

from __future__ import annotations

import argparse

from app.commands.figures import add_common, chosen, studied, write, write_json
from engine.words import N_, _

__all__ = ["HELP", "NAME", "add_arguments", "run"]

NAME = "faults"
HELP = N_("prospective fault currents at devices and buses, largest and smallest")


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """File, condition, format."""
    add_common(parser, condition=_("operating condition whose switch positions hold; every permitted state without it"))


def run(arguments: argparse.Namespace) -> int:
    """0: what is not known is told in its place; whether a device can break it is for `check`."""
    study = studied(arguments)
    faults, name = study.faults if arguments.condition is None else None, ""
    if faults is None:
        from engine.circuit.faults.faults import faults as faults_of

        made = study.operation(chosen(study.snapshot, arguments.condition)[0])
        faults, name = faults_of(study.snapshot, study.circuit, study.book, made.positions), made.name
    if arguments.format == "json":
        from engine.figures_json import faults_object

        write_json([faults_object(faults, name)], several=False)
    else:
        from app.figures.fault_report import fault_report
        from app.text_report import output_width

        write(fault_report(arguments.file, study, faults, output_width(), name))
    return 0
