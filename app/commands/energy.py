"""`linewright energy FILE`: what a day takes, how long the banks last, how long they take to refill."""

from __future__ import annotations

import argparse

from app.commands.figures import add_common, chosen, studied, write, write_json
from engine.words import N_, _

__all__ = ["HELP", "NAME", "add_arguments", "run"]

NAME = "energy"
HELP = N_("energy a day, autonomy and recharge in an operating condition")


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """File, condition, format."""
    add_common(parser, condition=_("operating condition, by its name; every one where none is named"))


def run(arguments: argparse.Namespace) -> int:
    """0: hours required and not reached are findings of `check`."""
    study = studied(arguments)
    conditions = chosen(study.snapshot, arguments.condition)
    energies = [study.energy(condition) for condition in conditions]
    if arguments.format == "json":
        from engine.figures_json import energy_object

        several = arguments.condition is None and len(energies) > 1
        write_json([energy_object(energy) for energy in energies], several)
    else:
        from app.figures.energy_report import energy_report
        from app.text_report import output_width

        write(energy_report(arguments.file, study, energies, output_width()))
    return 0
