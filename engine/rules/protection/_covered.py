"""How the five rules of conductor protection say that a run is covered: a sentence or a margin for each end.

Of both ends the one with the least margin is kept (`engine.findings.least`), of sentences the first.
"""

from __future__ import annotations

import math
from collections.abc import Iterator

from engine.circuit.covered import Covered
from engine.findings import Passed
from engine.rules.proved import proved
from engine.study import Study
from engine.units import show
from engine.words import _

__all__ = ["bypasses", "devices", "distances", "far_ends", "ratings"]


def devices(study: Study, slug: str) -> Iterator[Passed]:
    """For each run, what stands before it."""
    for one in study.covered:
        run = study.name(one.run)
        if one.how == "exempt" and one.exempt == "cranking":
            message = _("Run {run} is recorded as part of a cranking circuit, which needs no device.").format(run=run)
        elif one.how == "exempt":
            message = _("Run {run} is recorded as a component's own short lead, which needs no device.").format(run=run)
        elif one.how == "placed":
            message = _("A device that suits run {run} stands on its way, near enough to where it is fed.").format(
                run=run
            )
        elif one.how == "switched":
            message = _("No permitted switch position feeds run {run} with nothing before it.").format(run=run)
        else:
            message = _("What feeds run {run} is held to {allowed} or less.").format(run=run, allowed=_amps(one))
        yield proved(study, slug, one.run, message=message)


def _amps(one: Covered) -> str:
    return show(round(one.fed_a, 1), "A")


def ratings(study: Study, slug: str) -> Iterator[Passed]:
    """What is let into each run against what it may carry; the device along it where that is what protects it."""
    for one in study.covered:
        if one.how == "switched":
            message = _("No permitted switch position lets more into run {run} than it may carry.")
            yield proved(study, slug, one.run, message=message.format(run=study.name(one.run)))
        elif one.how != "exempt" and 0 < one.allowed_a < math.inf:
            fed = one.device_a if one.how == "placed" else one.fed_a
            if 0 < fed < math.inf:
                yield proved(
                    study,
                    slug,
                    one.run,
                    found=("feed", fed),
                    limit=("allowed", one.allowed_a),
                    unit="A",
                    arithmetic=study.coverage.conductors.limits(one.run, _node(study, one)).ampacity.arithmetic,
                )


def _node(study: Study, one: Covered) -> int:
    return study.circuit.wires[study.coverage.mirror.wire[one.edge]].a


def distances(study: Study, slug: str) -> Iterator[Passed]:
    """How far along each run its device stands."""
    for one in study.covered:
        if one.how == "placed" and one.allowed_m < math.inf:
            found, limit = ("distance", one.distance_m), ("allowed", one.allowed_m)
            yield proved(study, slug, one.run, found=found, limit=limit, unit="m")
        elif one.how == "fed":
            message = _("Run {run} is protected where it begins.").format(run=study.name(one.run))
            yield proved(study, slug, one.run, message=message)


def far_ends(study: Study, slug: str) -> Iterator[Passed]:
    """Runs that both ends are fed at."""
    for one in study.covered:
        if one.both and one.how != "exempt":
            message = _("Run {run} is fed at both ends; each has its device, or what feeds it there limits itself.")
            yield proved(study, slug, one.run, message=message.format(run=study.name(one.run)))


def bypasses(study: Study, slug: str) -> Iterator[Passed]:
    """Runs on a drawing with switches: no position of them goes round what protects a run."""
    for one in study.covered if study.coverage.is_switched else ():
        if one.how != "exempt":
            message = _("No permitted switch position leads round what protects run {run}.")
            yield proved(study, slug, one.run, message=message.format(run=study.name(one.run)))
