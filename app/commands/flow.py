"""`linewright flow FILE`: what flows in an operating condition, and what that costs in volts and watts."""

from __future__ import annotations

import argparse
from typing import TYPE_CHECKING

from app.commands.check import one_of
from app.commands.figures import add_common, chosen, studied, write, write_json
from engine.words import N_, _

if TYPE_CHECKING:
    from engine.circuit.flow.results import LoadFlow

__all__ = ["HELP", "NAME", "add_arguments", "run"]

NAME = "flow"
HELP = N_("currents, volts and losses in an operating condition")
CHARGES = ("full", "nominal", "lowest")


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """File, condition, charge of the batteries, format."""
    add_common(parser, condition=_("operating condition, by its name; every one where none is named"))
    parser.add_argument(
        "--charge",
        type=one_of(CHARGES),
        default="nominal",
        metavar="CHARGE",
        help=_("batteries full, nominal or lowest (nominal)"),
    )


def run(arguments: argparse.Namespace) -> int:
    """0: solved. 1: in some condition volts collapse under what is wanted, or no steady state was found."""
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
    return int(any(not flow.converged or any(_collapses(load) for load in flow.loads) for flow in flows))


def _collapses(load: LoadFlow) -> bool:
    """Something feeds it, and gives way: what nothing feeds is switched off."""
    return load.collapsed and load.volts is not None
