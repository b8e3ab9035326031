"""`linewright switch FILE --from A --to B`: the shortest safe order from one operating condition to another."""

from __future__ import annotations

import argparse
from collections.abc import Sequence

from app.commands.check import number
from app.commands.figures import add_common, chosen, studied, write, write_json
from app.commands.opening import CommandError
from engine.circuit.switching.results import Order
from engine.installation.model import Snapshot
from engine.study import Study
from engine.words import N_, _

__all__ = ["HELP", "NAME", "add_arguments", "add_ends", "run", "worked_out"]

NAME = "switch"
HELP = N_("the shortest safe order of switching from one operating condition to another")


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """File, two conditions, loads to keep fed, how long to search, format."""
    parser.epilog = _("Exit code: 0, 1 where there is no safe order or none was found, 2 bad input.")
    add_common(parser)
    add_ends(parser)


def add_ends(parser: argparse.ArgumentParser) -> None:
    """The two conditions, loads to keep fed, how long to search."""
    parser.add_argument(
        "--from",
        dest="start",
        required=True,
        metavar="C",
        help=_("operating condition to begin with, by its name or id; `as drawn` for none"),
    )
    parser.add_argument("--to", dest="stop", required=True, metavar="C", help=_("operating condition to end with"))
    parser.add_argument(
        "--keep",
        nargs="+",
        default=(),
        metavar="DESIGNATION",
        help=_("loads that must stay fed all the time"),
    )
    parser.add_argument(
        "--budget", type=number, metavar="N", help=_("states the search may look at before it gives up (20000)")
    )


def run(arguments: argparse.Namespace) -> int:
    """0: there is an order."""
    study = studied(arguments)
    order = worked_out(study, arguments)
    if arguments.format == "json":
        from engine.figures_json import order_object

        write_json([order_object(order, study.snapshot)], several=False)
    else:
        from app.figures.order_report import order_report
        from app.text_report import output_width

        write(order_report(arguments.file, study.snapshot, order, output_width()))
    return int(not order.found)


def worked_out(study: Study, arguments: argparse.Namespace) -> Order:
    """The order asked for. Raises `CommandError` where a condition or a load is not there."""
    from engine.circuit.switching.orders import BUDGET, order

    start, stop = (condition(study.snapshot, name) for name in (arguments.start, arguments.stop))
    keep = loads(study.snapshot, arguments.keep)
    if arguments.budget:
        study.budget = arguments.budget
    return order(study, start, stop, keep, arguments.budget or BUDGET)


def condition(snapshot: Snapshot, name: str) -> str:
    """The id of a condition by its name or id, `""` as drawn. Raises `CommandError`."""
    if name in snapshot.conditions:
        return name
    found = chosen(snapshot, name)
    if len(found) > 1:
        raise CommandError(
            _("{name!r} is the name of {count} operating conditions; their ids are: {ids}").format(
                name=name, count=len(found), ids=", ".join(found)
            )
        )
    return found[0]


def loads(snapshot: Snapshot, names: Sequence[str]) -> tuple[str, ...]:
    """Ids of the loads named, or of these ids. Raises `CommandError`."""
    made: list[str] = []
    for name in names:
        wanted = name.strip().casefold()
        found = [item for item, record in snapshot.equipment.items() if record.designation.casefold() == wanted]
        if not found and name in snapshot.equipment:
            found = [name]
        if not found:
            raise CommandError(_("nothing is called {name!r} on this drawing").format(name=name))
        made += found
    return tuple(dict.fromkeys(made))
