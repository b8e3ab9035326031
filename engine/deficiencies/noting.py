"""The edits that mark a deficiency, change it, close it with evidence, open it again: each one step to take back."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

import msgspec

from engine.deficiencies.ordering import next_number
from engine.deficiencies.typed import read_day
from engine.edits import Edit, Put, SetFields
from engine.installation import Snapshot
from engine.installation.surveying import Deficiency
from engine.naming import speaks_of
from engine.words import _

__all__ = ["Lacking", "change", "close", "mark", "not_agreed", "reopen", "with_photographs"]


_CLOSING = ("closed_by", "closed", "evidence", "evidence_photographs")


class Lacking(ValueError):
    """What is still needed: `field` of the record, and a sentence."""

    def __init__(self, field: str, sentence: str) -> None:
        super().__init__(sentence)
        self.field = field


def mark(snapshot: Snapshot, item: str, deficiency: Deficiency) -> Put:
    """The edit that marks a deficiency under a new id, with the next number. Raises `Lacking`: no observation."""
    if not deficiency.observation.strip():
        raise Lacking("observation", _("What was seen is needed."))
    _days(deficiency)
    number = next_number(snapshot)
    made = msgspec.structs.replace(deficiency, number=number)
    at = speaks_of(snapshot, deficiency.at or deficiency.sheet)
    words = _("Mark deficiency {n} at {what}") if at else _("Mark deficiency {n}")
    return Put("deficiencies", item, made, words.format(n=number, what=at))


def change(snapshot: Snapshot, item: str, **fields: Any) -> SetFields:
    """The edit that changes fields of a deficiency; one that has no number yet is given the next.

    Raises `Lacking` for a number that changes, a day that is none, and a status that wants more (`close`).
    """
    record = snapshot.deficiencies[item]
    if "number" in fields and fields["number"] != record.number and record.number is not None:
        raise Lacking("number", _("Number {n} was given to this deficiency and stays with it.").format(n=record.number))
    if record.number is None and fields.get("number") is None:
        fields["number"] = next_number(snapshot)
    for field in ("date", "due"):
        if fields.get(field):
            fields[field] = _day(field, fields[field])
    if "observation" in fields and not str(fields["observation"]).strip():
        raise Lacking("observation", _("What was seen is needed."))
    status = fields.get("status", record.status)
    told = {name: fields.get(name, getattr(record, name)) for name in _CLOSING}
    if status == "closed":
        _is_closed(told)
        if "closed" in fields:
            fields["closed"] = _day("closed", fields["closed"])
    if status == "not agreed" and not str(fields.get("answer", record.answer)).strip():
        raise Lacking("answer", _("Where it is not agreed, the answer of the owner or yard is needed."))
    return SetFields("deficiencies", item, tuple(fields.items()), _("Change {what}").format(what=_named(record, item)))


def close(
    snapshot: Snapshot,
    item: str,
    *,
    closed_by: str,
    closed: str,
    evidence: str = "",
    evidence_photographs: Iterable[str] = (),
) -> SetFields:
    """The edit that closes a deficiency: who saw it put right, on what day, what shows it.

    Evidence is words or a photograph. Raises `Lacking` where any of the three is missing, and for a day that is none.
    """
    record = snapshot.deficiencies[item]
    told: dict[str, Any] = {
        "closed_by": closed_by.strip(),
        "closed": closed.strip(),
        "evidence": evidence.strip(),
        "evidence_photographs": tuple(evidence_photographs),
    }
    _is_closed(told)
    told["closed"] = _day("closed", told["closed"])
    values = (("status", "closed"), *told.items())
    return SetFields("deficiencies", item, values, _("Close {what}").format(what=_named(record, item)))


def not_agreed(snapshot: Snapshot, item: str, answer: str) -> SetFields:
    """The edit that records that the owner or yard does not agree, and what they say. Raises `Lacking`."""
    return change(snapshot, item, status="not agreed", answer=answer.strip())


def reopen(snapshot: Snapshot, item: str) -> SetFields:
    """The edit that opens a deficiency again; what was said when it was closed is kept in it."""
    record = snapshot.deficiencies[item]
    words = _("Open {what} again").format(what=_named(record, item))
    return SetFields("deficiencies", item, (("status", "open"),), words)


def with_photographs(snapshot: Snapshot, item: str, ids: Iterable[str], *, evidence: bool = False) -> Edit:
    """The edit that adds photographs of the drawing to a deficiency, to what shows it put right where `evidence`."""
    record = snapshot.deficiencies[item]
    field = "evidence_photographs" if evidence else "photographs"
    every = tuple(dict.fromkeys((*getattr(record, field), *ids)))
    words = _("Photograph of {what}").format(what=_named(record, item))
    return SetFields("deficiencies", item, ((field, every),), words)


def _named(record: Deficiency, item: str) -> str:
    return item if record.number is None else _("deficiency {n}").format(n=record.number)


def _is_closed(told: dict[str, Any]) -> None:
    if not str(told["evidence"]).strip() and not told["evidence_photographs"]:
        raise Lacking("evidence", _("To close it, say or show what was put right: words or a photograph."))
    if not str(told["closed_by"]).strip():
        raise Lacking("closed_by", _("To close it, the name of whoever saw it put right is needed."))
    if not str(told["closed"]).strip():
        raise Lacking("closed", _("To close it, the day it was seen put right is needed."))


def _days(deficiency: Deficiency) -> None:
    for field in ("date", "due"):
        if getattr(deficiency, field):
            _day(field, getattr(deficiency, field))


def _day(field: str, text: str) -> str:
    try:
        return read_day(str(text))
    except ValueError as fault:
        raise Lacking(field, str(fault)) from None
