"""Cards to be hung up aboard: round a unit that fails, and what to do when a battery has shut itself off."""

from __future__ import annotations

from collections.abc import Iterator

from app.figures.battery_off import banks
from app.handover.document import Document
from app.handover.job import Job
from app.paper.battery_card import battery_cards
from app.paper.cards_transfer import transfer_cards
from engine.circuit.switching.orders import order
from engine.picture import Picture
from engine.words import N_, _

__all__ = ["FOR", "NAME", "ORDER", "PURPOSE", "TITLE", "make"]

NAME = "cards"
TITLE = N_("Transfer, bypass and battery cards")
PURPOSE = N_("What to do, step by step, when a unit fails or a battery has shut itself off.")
FOR = N_("owner and crew")
ORDER = 40
SIZE = "A5"


def make(job: Job) -> Document:
    """From the usual condition to every condition in which something is bypassed and back; every battery's card."""
    pictures: list[Picture] = []
    gaps: list[str] = []
    name = job.study.snapshot.conditions
    for start, stop in _ways(job):
        found = order(job.study, start, stop)
        if found.found:
            pictures.extend(transfer_cards(job.snapshot, found, SIZE))
        else:
            gaps.append(
                _("No order of switching from “{start}” to “{stop}”: {reason}").format(
                    start=name[start].name, stop=name[stop].name, reason=found.reason
                )
            )
    for bank in banks(job.study):
        pictures.extend(battery_cards(job.study, bank, SIZE))
    if not pictures and not gaps:
        gaps.append(
            _("There are no cards: no operating condition takes a unit out, and no battery may shut itself off.")
        )
    return Document(NAME, _(TITLE), tuple(pictures), (), tuple(gaps))


def _ways(job: Job) -> Iterator[tuple[str, str]]:
    """Conditions in which a way round some unit is made, from the first one in which it is not, and back."""
    conditions = job.snapshot.conditions
    kept = sorted(
        (item for item, record in conditions.items() if not record.work_stage),
        key=lambda item: (conditions[item].order, conditions[item].name, item),
    )
    made = {item: _bypassed(job, item) for item in kept}
    for stop in kept:
        if not made[stop]:
            continue
        start = next((item for item in kept if not made[item] & made[stop]), None)
        if start is not None:
            yield start, stop
            yield stop, start


def _bypassed(job: Job, item: str) -> frozenset[str]:
    """Units round which current goes in a condition."""
    positions = job.study.operation(item).positions
    return frozenset(
        bypass.unit
        for bypass in job.study.bypasses
        if bypass.positions
        and all(positions.get(device) in every for device, every in bypass.positions if device not in bypass.automatic)
        and any(device not in bypass.automatic for device, _every in bypass.positions)
    )
