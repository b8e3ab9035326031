"""Switches a person would fit: one put into the run at a terminal, one of another form in place of what is there."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import Any

from engine.edits.designations import for_kind
from engine.equipment import kind_named
from engine.findings import Finding
from engine.fixes import Fix
from engine.fixing.pieces import fitted, in_run, together
from engine.fixing.trial import first_sound
from engine.study import Study
from engine.words import _

__all__ = ["of_form", "switch_at"]


def switch_at(study: Study, finding: Finding, item: str, terminal: str) -> Iterator[Fix]:
    """A battery switch, reached in an emergency, in the one run that brings the positive to a terminal."""
    here = [
        (run, end)
        for run, record in study.snapshot.runs.items()
        for end, at in (("from", record.from_end), ("to", record.to_end))
        if (at.equipment, at.terminal) == (item, terminal)
        and "+" in record.conductors()
        and record.status != "to remove"
    ]
    if len(here) != 1:
        return
    kind: Any = kind_named("battery_switch")
    switch = kind(
        designation=for_kind(study.snapshot, "battery_switch"), poles=("+",), emergency_access=True, status="new"
    )
    text = _("fit a battery switch, {device}, in run {run} at {at}, where it is reached in an emergency")
    yield from first_sound(study, finding, in_run(study, *here[0], switch, text))


def of_form(study: Study, items: Iterable[str], field: str, value: Any, text: str) -> Iterator[Fix]:
    """Articles of another form in place of some, all together; nothing where one has no such form."""
    made = []
    for item in items:
        record = study.snapshot.equipment[item]
        if not hasattr(record, field) or record.status == "to remove":
            return
        made.append(fitted(text.format(name=study.name(item)), study, item, **{field: value}))
    if made:
        yield together(made) if len(made) > 1 else made[0]
