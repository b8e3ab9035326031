"""Schedules: devices, runs, equipment, loads, studs, switching states, interlocks, fuses to carry, bonding."""

from __future__ import annotations

import argparse
from collections.abc import Callable, Iterator

from app.handover.document import Document
from app.handover.job import Job, Options
from app.handover.schedules.aboard import Aboard
from app.handover.schedules.bonding import bonding, earth_runs
from app.handover.schedules.devices import devices
from app.handover.schedules.energy import energy
from app.handover.schedules.equipment import equipment
from app.handover.schedules.fuses import fuses
from app.handover.schedules.loads import loads
from app.handover.schedules.on_paper import parts
from app.handover.schedules.runs import runs
from app.handover.schedules.studs import studs
from app.handover.schedules.switches import interlocks, states
from app.paper.blocks import Block
from app.paper.setting import set_blocks
from app.paper.table import Table
from engine.pausing import pause
from engine.words import N_, _

__all__ = ["FOR", "NAME", "ORDER", "PURPOSE", "SCHEDULES", "TITLE", "add_only", "asked", "make"]

NAME = "schedules"
TITLE = N_("Schedules")
PURPOSE = N_("Lists what is aboard: devices, runs, equipment, loads, studs, switch positions, fuses to carry.")
FOR = N_("yard, surveyor and whoever works on her next")
ORDER = 30

SCHEDULES: dict[str, Callable[[Aboard], Table]] = {
    "devices": devices,
    "runs": runs,
    "equipment": equipment,
    "loads": loads,
    "energy": energy,
    "studs": studs,
    "states": states,
    "interlocks": interlocks,
    "fuses": fuses,
    "earth-runs": earth_runs,
    "bonding": bonding,
}
_LARGE = {"A3": "A3", "A2": "A3", "A1": "A3", "Tabloid": "Tabloid", "ANSI C": "Tabloid", "ANSI D": "Tabloid"}


def add_only(parser: argparse.ArgumentParser) -> None:
    """`--only`, of the command that writes nothing else."""
    parser.add_argument(
        "--only",
        dest="schedule_names",
        nargs="+",
        choices=tuple(SCHEDULES),
        metavar=_("SCHEDULE"),
        default=(),
        help=_("only these schedules: {names}").format(names=", ".join(SCHEDULES)),
    )


def asked(arguments: argparse.Namespace, options: Options) -> Options:
    """Which schedules were asked for."""
    return options._replace(schedules=tuple(getattr(arguments, "schedule_names", ()) or ()))


def make(job: Job) -> Document:
    """All of them, or those that were asked for, in their own order."""
    aboard = Aboard(job)
    wanted = job.options.schedules or tuple(SCHEDULES)
    tables = []
    for name, schedule in SCHEDULES.items():
        if name in wanted:
            pause()
            tables.append(schedule(aboard))
    size = _LARGE.get(job.options.size or job.snapshot.settings.sheet_size, job.text_size)
    fields = job.fields(_(TITLE), _("Schedule"))
    pictures = set_blocks(tuple(_blocks(tables, size)), size=size, fields=fields)
    return Document(NAME, _(TITLE), pictures, tuple(tables), tuple(_gaps(aboard, wanted)))


def _gaps(aboard: Aboard, wanted: tuple[str, ...]) -> Iterator[str]:
    """What the drawing does not let tell at all; single figures are told below their tables."""
    if not aboard.snapshot.conditions and {"loads", "energy", "states"} & set(wanted):
        yield _("No operating condition is recorded: hours, energy and switch positions in use are not told.")
    if "runs" in wanted:
        for flow in aboard.flows:
            if flow.contradictions or not flow.converged:
                yield _("Currents could not be solved in {condition}; those runs are not known.").format(
                    condition=flow.name
                )


def _blocks(tables: list[Table], size: str) -> Iterator[Block]:
    """One after the other: a page that one leaves half empty is begun by the next."""
    for table in tables:
        yield from parts(table, size)
