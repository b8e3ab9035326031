"""To buy, to remove, kept: two issues of a drawing side by side, or one alone by its statuses.

A thing is the same in both issues as `engine.since.counterparts` tells. What is new and was in the last issue's order
already, the same article, is kept as such: it is not bought twice. What has become another article is bought, and the
one before is named.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping, Sequence
from typing import Any, Literal, NamedTuple, TypeAlias

from app.handover.parts.cable import colours_of, size_of
from app.handover.parts.equipment import article_of, facts_of
from app.handover.parts.said import key, listed, name_of
from app.paper.table import Column, Table, Value
from engine.equipment.base import Equipment
from engine.installation import Run, Snapshot
from engine.since import counterparts
from engine.units import show, show_size
from engine.words import N_, _

__all__ = ["Change", "Fate", "change_tables", "changes"]

Fate: TypeAlias = Literal["buy", "remove", "kept"]
_TITLES: dict[Fate, str] = {"buy": N_("To buy"), "remove": N_("To remove"), "kept": N_("Kept")}
_EMPTY: dict[Fate, str] = {
    "buy": N_("Nothing is to be bought that the last issue did not order."),
    "remove": N_("Nothing is to be removed."),
    "kept": N_("Nothing is kept."),
}


class Change(NamedTuple):
    """What becomes of one thing between the issues, and why it is said."""

    fate: Fate
    record: Any  # the newer of the two
    why: str


def changes(snapshot: Snapshot, before: Snapshot | None) -> tuple[Change, ...]:
    """Every piece of equipment and run of both issues, once. Without an issue before, by its status alone."""
    made = []
    same = {} if before is None else counterparts(before, snapshot)
    for table in ("equipment", "runs"):
        now: Mapping[str, Any] = snapshot.tables[table]
        then: dict[str, Any] = {}  # by the id of today
        gone = []
        for item, record in ({} if before is None else before.tables[table]).items():
            here = same.get(item, item)
            if here in now:
                then[here] = record
            else:
                gone.append(record)
        for item, record in now.items():
            made.append(_of(record, then.get(item), before is not None))
        made.extend(_gone(record) for record in gone)
    found = [change for change in made if change is not None]
    return tuple(sorted(found, key=lambda c: (isinstance(c.record, Run), key(name_of(c.record)), c.why)))


def _of(record: Any, was: Any, compared: bool) -> Change | None:
    """What becomes of something that the newer issue has."""
    if isinstance(record, Equipment) and not record.pieces() and not getattr(record, "supplied_with_equipment", False):
        return None  # no article
    if record.status == "to remove":
        if was is not None and was.status == "to remove":
            return Change("remove", record, _("to be removed in the last issue already"))
        return Change("remove", record, _("to be removed"))
    if record.status == "new":
        if not compared:
            return Change("buy", record, _("new"))
        if was is None:
            return Change("buy", record, _("new, not in the last issue"))
        if was.status != "new":
            return Change("buy", record, _("was {status}, is new now").format(status=_(was.status)))
        if _article(was) != _article(record) or _rated_otherwise(was, record):
            return Change("buy", record, _("instead of {before}").format(before=described(was)))
        if isinstance(record, Equipment) and record.pieces() > was.pieces():
            return Change(
                "buy", record, _("{now} instead of {before}").format(now=record.pieces(), before=was.pieces())
            )
        return Change("kept", record, _("new in the last issue already"))
    if record.status == "existing":
        if was is not None and was.status == "new":
            return Change("kept", record, _("was new, is aboard now"))
        if was is not None and (_article(was) != _article(record) or _rated_otherwise(was, record)):
            return Change("kept", record, _("recorded as {before} in the last issue").format(before=described(was)))
        return Change("kept", record, _("aboard"))
    return Change("kept", record, _(record.status))


def _gone(was: Any) -> Change | None:
    """What becomes of something that only the last issue has."""
    if isinstance(was, Equipment) and not was.pieces():
        return None
    if was.status == "new":
        return Change("remove", was, _("was new, is drawn no longer: not to be bought, out again where it is fitted"))
    if was.status == "to remove":
        return Change("remove", was, _("was to be removed, is drawn no longer"))
    return Change("remove", was, _("was {status}, is drawn no longer").format(status=_(was.status)))


def _article(record: Any) -> Any:
    """What would be bought for it, whatever it costs."""
    if isinstance(record, Run):
        return (
            record.maker, record.part_number, record.parallel, record.conductor, record.insulation,
            record.insulation_c, record.conductors(), record.length_m, colours_of(record),
            tuple(size_of(record, core) for core in record.conductors()),
        )  # fmt: skip
    return article_of(record)._replace(price="")


def _rated_otherwise(was: Any, record: Any) -> bool:
    """Whether a fact known in both issues is another now: one part number often stands for a whole series.

    What was not known and is recorded now makes no other article.
    """
    if isinstance(record, Run) or type(was) is not type(record):
        return False
    then, now = facts_of(was), facts_of(record)
    return any(name in now and now[name] != value for name, value in then.items())


def described(record: Any, length: bool = True) -> str:
    """What it is, in a few words; of a run its length too, where asked for."""
    if isinstance(record, Run):
        count = len(record.conductors()) * record.parallel
        size = show_size(record.size) if record.size else _("size not known")
        long = _("length not known") if record.length_m is None else show(record.length_m, "m")
        parts = (f"{count} × {size}", record.colour, long if length else "", record.part_number)
        return ", ".join(part for part in parts if part)
    unknown = _("not known")
    words = [part for part in record.article() if unknown not in part]
    words += [f"{label} {value}" for label, value in facts_of(record, ("rated_dc_v", "rated_ac_v")).items()]
    return ", ".join(part for part in (_(record.NAME), *dict.fromkeys(words), record.part_number) if part)


def change_tables(snapshot: Snapshot, before: Snapshot | None) -> tuple[Table, ...]:
    """With an issue before: to buy, to remove and kept since. Without: what is to be removed."""
    groups: dict[str, list[Change]] = defaultdict(list)
    for change in changes(snapshot, before):
        groups[change.fate].append(change)
    fates: Sequence[Fate] = ("remove",) if before is None else ("buy", "remove", "kept")
    made = tuple(_table(fate, groups[fate], before) for fate in fates)
    index = snapshot.title_block.revision
    if before is None or not index or before.title_block.revision != index:
        return made
    alike = _("Both issues are revision {index}: this one needs an index of its own.").format(index=index)
    return (made[0]._replace(notes=(*made[0].notes, alike)), *made[1:])


def _table(fate: Fate, found: Sequence[Change], before: Snapshot | None) -> Table:
    """One row a thing; what is kept, which is most of a boat, one row for all that is alike."""
    together: dict[tuple[object, ...], list[Change]] = defaultdict(list)
    for n, change in enumerate(found):
        alike = described(change.record, length=False) if fate == "kept" else n
        together[isinstance(change.record, Run), alike, change.why].append(change)
    rows: list[tuple[Value, ...]] = []
    for changes_ in together.values():
        records = [change.record for change in changes_]
        rows.append(
            (
                listed(map(name_of, records)),
                listed(record.label for record in records),
                described(records[0], length=fate != "kept"),
                sum(r.pieces() if isinstance(r, Equipment) else r.parallel for r in records),
                changes_[0].why,
            )
        )
    columns = (
        Column("designation", _("Designation"), width=45.0),
        Column("label", _("Label"), width=50.0),
        Column("what", _("What")),
        Column("quantity", _("Quantity"), align="right"),
        Column("why", _("Why")),
    )
    title = _(_TITLES[fate])
    if before is not None:
        title = _("{what} since {issue}").format(what=title, issue=_issue(before))
    notes = () if rows else (_(_EMPTY[fate]),)
    return Table("kept" if fate == "kept" else f"to_{fate}", title, columns, tuple(rows), notes)


def _issue(before: Snapshot) -> str:
    block = before.title_block
    if block.revision:
        return _("issue {revision}").format(revision=block.revision)
    return _("the last issue")
