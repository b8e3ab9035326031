"""Edits that put findings right: offered, never done unasked. A rule's own file knows them (`fixes`)."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING, Any, NamedTuple

import msgspec

from engine.edits import Edit, Put, SetFields

if TYPE_CHECKING:
    from engine.findings import Finding
    from engine.study import Study

__all__ = ["Fix", "changed_run", "offered", "set_fields"]


class Fix(NamedTuple):
    """One edit, undoable as one, after which the finding is gone."""

    text: str  # what it does, as a request: "record F3 as 150 A"
    edit: Edit


def set_fields(text: str, table: str, item: str, fields: Mapping[str, Any]) -> Fix:
    """A fix that changes fields of one record."""
    return Fix(text, SetFields(table, item, tuple(fields.items()), words=text))


def changed_run(text: str, study: Study, item: str, **fields: Any) -> Fix:
    """A fix that changes a run, its ends included."""
    return Fix(text, Put("runs", item, msgspec.structs.replace(study.snapshot.runs[item], **fields), words=text))


def offered(study: Study, finding: Finding) -> tuple[Fix, ...]:
    """The edits that put `finding` right, the most likely first; none where no edit of the drawing can.

    Each was tried on a copy of the drawing: the finding is gone, and no danger or warning came instead.
    """
    from engine.fixing.trial import sound
    from engine.rules import rules

    rule = rules().get(finding.rule)
    if rule is None or rule.fixes is None or finding.undecided:
        return ()
    return tuple(sound(study, finding, rule.fixes(study, finding)))
