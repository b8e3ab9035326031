"""`linewright flow FILE`: what flows in an operating condition, and what that costs in volts and watts."""

from __future__ import annotations

import argparse

from app.commands.check import one_of
from app.commands.figures import add_common, chosen, studied, write, write_json
from engine.words import N_, _

__all__ = ["HELP", "NAME", "add_arguments", "run"]

NAME = "flow"
HELP = N_("currents, volts and losses in an operating condition")
CHARGES = ("full", "nominal", "lowest")


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """File, condition, charge of the batteries, format."""
    add_common(parser)
    parser.add_argument(
        "--charge",
        type=one_of(CHARGES),
        default="nominal",
        metavar="CHARGE",
        help=_("batteries full, nominal or lowest (nominal)"),
    )


def run(arguments: argparse.Namespace) -> int:
    """0 where everything is fed and solved; 1 where something collapses, is not fed, or no solution was found."""
    study = studied(arguments)
    conditions = chosen(study.snapshot, arguments.condition)
    flows = [study.flow(condition, arguments.charge) for condition in conditions]
    starts = {c: tuple(s for s in study.starts if s.condition == c) for c in conditions}
    if arguments.format == "json":
        from engine.figures_json import flow_object

        several = arguments.condition is None and len(flows) > 1
        write_json([flow_object(flow, starts[flow.condition]) for flow in flows], several)
    else:
        from app.figures.flow_report import flow_report
        from app.text_report import output_width

        write(flow_report(arguments.file, study, flows, starts, output_width()))
    return int(any(not flow.converged or any(load.collapsed for load in flow.loads) for flow in flows))
