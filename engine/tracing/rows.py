"""A run as one traces it: a row of typed cells into records, and a run as such a row again.

An end is what is there already by its designation (`F1`, `F1.out`), something new by its designation and what it is
(`F7 class t 200`, `bilge pump 5 A in Bilge`), or words that name no kind of equipment: then it is an open end that
keeps these words, to be identified later. An end that is left empty is an open end. Nothing is put on a sheet. A value
may be followed by where it comes from (`4 m ~assumed`); else it comes from what the row says.
"""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from typing import Any, NamedTuple

import msgspec

from engine.edits import EditError, Several
from engine.edits.designations import for_kind, is_borne, next_designation
from engine.edits.draft import Draft
from engine.equipment import kind_named
from engine.files.lists.cells import CellError, split_cell
from engine.files.lists.names import plain
from engine.files.lists.values import read_value
from engine.installation.model import Snapshot
from engine.installation.records import End, Place, Run
from engine.naming import title_of
from engine.phrases.giving import has_origin, record_with
from engine.phrases.reading import place_phrases
from engine.phrases.telling import told
from engine.record import ORIGINS, FieldSpec
from engine.tracing.cells import COLUMNS, FIELDS, SOURCED, SPECS, end_text
from engine.words import _, ngettext

__all__ = ["COLUMNS", "FUNCTIONS", "Made", "RowFault", "cells_of_block", "end_means", "row_edit", "rows_edit"]

FUNCTIONS = ("dc pair", "dc positive", "dc negative", "ac", "earth", "bonding", "signal")
_SHORT = {"+": "dc positive", "-": "dc negative", "+-": "dc pair", "pair": "dc pair", "pos": "dc positive",
          "neg": "dc negative", "positive": "dc positive", "negative": "dc negative", "pe": "earth"}  # fmt: skip
_IN = " in "  # before the place it stands in
_NAME = re.compile(r"[^\W\d_]{1,3}[0-9]{1,4}[a-z]?")


class RowFault(EditError):
    """A cell that cannot be taken; `column` is its key."""

    def __init__(self, column: str, message: str) -> None:
        super().__init__(message)
        self.column = column


class Made(NamedTuple):
    """The edit of a row, the id of its run, and sentences about what was made on the spot."""

    edit: Several
    run: str
    words: tuple[str, ...]


# -- in ---------------------------------------------------------------------------------------------------------------
def row_edit(snapshot: Snapshot, last_id: int, cells: Mapping[str, str], run: str = "") -> Made:
    """One edit that records a row, or changes the run of that id as the row says. Raises `RowFault`."""
    draft = Draft(snapshot, last_id)
    item, words = _record(draft, cells, run)
    name = draft.get("runs", item).designation or title_of(draft.snapshot(), "runs", item)
    text = _("Change the traced run {name}") if run in snapshot.runs else _("Trace {name}")
    return Made(draft.done(text.format(name=name)), item, words)


def rows_edit(snapshot: Snapshot, last_id: int, rows: Sequence[Mapping[str, str]]) -> Made:
    """One edit that records several rows, each after those before it; `run` is that of the last.

    Raises `EditError` that tells of every row that cannot be taken; then none is.
    """
    draft = Draft(snapshot, last_id)
    words: list[str] = []
    faults: list[str] = []
    item = ""
    for n, cells in enumerate(rows, 1):
        try:
            item, said = _record(draft, cells, "")
            words.extend(said)
        except RowFault as fault:
            faults.append(_("row {n}: {fault}").format(n=n, fault=fault))
    if faults:
        raise EditError("; ".join(faults))
    told_of = ngettext("Trace {n} run", "Trace {n} runs", len(rows)).format(n=len(rows))
    return Made(draft.done(told_of), item, tuple(words))


def cells_of_block(block: Sequence[Sequence[str]]) -> list[dict[str, str]]:
    """Rows pasted from a spreadsheet: columns as `COLUMNS` has them, or as a first row of their headings names them."""
    keys = [key for key, _heading, _tip in COLUMNS]
    called = {name.casefold(): key for key, heading, _tip in COLUMNS for name in (key, heading, _(heading))}
    rows = [[cell.strip() for cell in row] for row in block if any(cell.strip() for cell in row)]
    if rows and all(cell.casefold() in called for cell in rows[0] if cell):
        keys = [called.get(cell.casefold(), "") for cell in rows.pop(0)]
    return [{key: cell for key, cell in zip(keys, row, strict=False) if key} for row in rows]


def _record(draft: Draft, cells: Mapping[str, str], run: str) -> tuple[str, tuple[str, ...]]:
    snapshot = draft.first
    before: Run | None = snapshot.runs.get(run)
    origin = _origin(cells.get("origin", ""))
    words: list[str] = []
    found = {name: _end(draft, cells.get(name, ""), name, origin, before, words) for name in ("from", "to")}
    if found["from"][0] == found["to"][0] and not (found["from"][1] and found["to"][1]):
        name = title_of(draft.snapshot(), "equipment", found["to"][0])
        raise RowFault("to", _("Both ends are at {name}; say at which terminals.").format(name=name))
    function = _function(draft, cells.get("function", ""), found)
    values: dict[str, Any] = {"function": function}
    origins: dict[str, Any] = {} if before is None else {n: o for n, o in before.origins if n not in SOURCED}
    names = _Places(draft)
    for field in FIELDS:
        spec = SPECS[field]
        cell = split_cell(cells.get(field, ""))
        try:
            values[field] = read_value(spec, cell, names, "AWG" if _is_bare_awg(snapshot, field, cell.text) else "")
        except CellError as fault:
            raise RowFault(field, _cell_words(spec, str(fault))) from None
        values[field] = _kept(before, field, values[field], names)
        if cell.origin and not cell.text:
            continue
        if values[field] not in (None, "", ()) and has_origin("runs", spec):
            said = cell.origin or origin
            if said:
                origins[field] = said
    shape = msgspec.structs.replace(before or Run(from_end=_NOWHERE, to_end=_NOWHERE), **values)
    carried = shape.conductors()
    for name in ("from", "to"):
        item, terminal = found[name]
        old = None if before is None else (before.from_end if name == "from" else before.to_end)
        if old is not None and old.equipment == item and terminal in ("", old.terminal):
            end = old
        else:
            end = End(equipment=item, terminal=terminal or _fitting(draft, item, carried, name, run))
        seen = _seen(cells.get(f"{name}_seen", ""), f"{name}_seen")
        marker = split_cell(cells.get("marker", "")).text if name == "from" else end.marker
        values[f"{name}_end"] = msgspec.structs.replace(end, seen=seen, marker=marker)
    values["origins"] = tuple(sorted(origins.items()))
    if before is None:
        values["designation"] = next_designation(draft.snapshot(), "W")
        item = draft.add("runs", Run(**values))
    else:
        item = run
        draft.change("runs", run, **values)
        _drop_orphans(draft, before)
    return item, tuple(words)


_NOWHERE = End(equipment="", terminal="")


def _origin(text: str) -> str:
    plain_text = text.strip().casefold()
    if not plain_text:
        return ""
    for origin in ORIGINS:
        if plain_text in (origin, _(origin).casefold()) or (len(plain_text) == 1 and origin.startswith(plain_text)):
            return origin
    raise RowFault(
        "origin",
        _("Where values come from is one of {choices}, not {text!r}.").format(
            choices=", ".join(_(o) for o in ORIGINS), text=text.strip()
        ),
    )


def _seen(text: str, column: str) -> bool | None:
    low = text.strip().casefold()
    if low in ("", "?", "unknown", _("not said").casefold()):
        return None
    if low in ("y", "yes", _("yes").casefold(), _("yes")[:1].casefold()):
        return True
    if low in ("n", "no", _("no").casefold()):
        return False
    raise RowFault(column, _("Whether an end was seen is yes or no, or left empty; found {text!r}.").format(text=text))


def _is_bare_awg(snapshot: Snapshot, field: str, text: str) -> bool:
    return field == "size" and snapshot.settings.units == "US" and bool(re.fullmatch(r"[0-9]{1,2}|[1-4]/0", text))


def _cell_words(spec: FieldSpec, fault: str) -> str:
    return _("{column}: {fault}.").format(column=_(next(h for k, h, _t in COLUMNS if k == spec.name)), fault=fault)


def _kept(before: Run | None, field: str, value: Any, names: _Places) -> Any:
    """The value as it was where the cell only shows it rounded."""
    if before is None:
        return value
    old = getattr(before, field)
    if field == "length_m" and old is not None and value is not None and abs(old - value) < 5e-4 * max(old, 1):
        return old
    return value


class _Places:
    """Places by name; one that is not there yet is made."""

    def __init__(self, draft: Draft) -> None:
        self._draft = draft

    def id_of(self, table: str, name: str) -> str:
        for item, place in self._draft.table("places").items():
            if plain(place.name) == plain(name):
                return item
        if table != "places":
            raise CellError(_("there is nothing called {name!r}").format(name=name))
        return self._draft.add("places", Place(name=name))

    def name_of(self, table: str, item: str) -> str:
        return str(self._draft.get(table, item).name)


# -- ends -------------------------------------------------------------------------------------------------------------
class _Meant(NamedTuple):
    """What an end means: equipment that is there, with a terminal or without; or a record to be made."""

    item: str = ""
    terminal: str = ""
    record: Any = None
    is_open: bool = False
    place: str = ""  # name of a place to be made for it


def end_means(snapshot: Snapshot, text: str) -> str:
    """What a typed end would be understood as, in words: *new: fuse, class T, 200 A*. Never raises."""
    try:
        meant = _meant(snapshot, text, "")
    except (EditError, CellError) as fault:
        return str(fault)
    if meant.item:
        record: Any = snapshot.equipment[meant.item]
        name = title_of(snapshot, "equipment", meant.item)
        return f"{name}.{meant.terminal}" if meant.terminal else f"{name}, {_(record.NAME)}"
    if meant.is_open:
        return _("an open end, still to be traced: it names no kind of equipment") if text.strip() else _("an open end")
    name = meant.record.designation
    kind = _told(snapshot, text, name) or _(type(meant.record).NAME)
    return _("new: {name} {kind}").format(name=name, kind=kind) if name else _("new: {kind}").format(kind=kind)


def _told(snapshot: Snapshot, text: str, name: str) -> str:
    phrase = text.strip()[len(name) :].strip() if name and text.strip().startswith(name) else text.strip()
    read = place_phrases(phrase, snapshot)
    if not read.proposals:
        return ""
    best = read.proposals[0]
    return told(kind_named(best.kind), best.given, snapshot)


def _meant(snapshot: Snapshot, text: str, origin: str) -> _Meant:
    text = split_cell(text).text
    if not text:
        return _Meant(record=_open(""), is_open=True)
    item = _known(snapshot, text)
    if item:
        return _Meant(item)
    name, dot, terminal = text.rpartition(".")
    item = _known(snapshot, name) if dot else ""
    if item:
        has = [t.name for t in snapshot.equipment[item].terminals()]
        found = [t for t in has if t.casefold() == terminal.strip().casefold()]
        if found:
            return _Meant(item, found[0])
        raise CellError(
            _("{name} has no terminal {terminal!r}: it has {has}").format(
                name=name, terminal=terminal.strip(), has=", ".join(has)
            )
        )
    first, _space, rest = text.partition(" ")
    designation = first if _NAME.fullmatch(first) and not is_borne(snapshot, first) else ""
    phrase, place = (rest if designation else text), ""
    read = place_phrases(phrase, snapshot)
    what, said, where = phrase.rpartition(_IN)
    if not read.proposals and said and what.strip() and where.strip():
        read, place = place_phrases(what, snapshot), where.strip()
    if not read.proposals:
        return _Meant(record=_open(text), is_open=True)
    best = read.proposals[0]
    record = record_with(best.kind, best.given, origin, snapshot)
    if record.KIND == "open_end":
        return _Meant(record=record, is_open=True)
    if designation:
        record = msgspec.structs.replace(record, designation=designation)
    return _Meant(record=record, place=place)


def _open(words: str) -> Any:
    cls: Any = kind_named("open_end")
    return cls(leads_to=words)


def _known(snapshot: Snapshot, name: str) -> str:
    """The id of equipment of that designation; small letters are no difference where one alone is called so."""
    name = name.strip()
    exact = [item for item, record in snapshot.equipment.items() if name and record.designation == name]
    if exact:
        return exact[0]
    alike = [i for i, r in snapshot.equipment.items() if name and r.designation.casefold() == name.casefold()]
    return alike[0] if len(alike) == 1 else ""


def _end(draft: Draft, text: str, name: str, origin: str, before: Run | None, words: list[str]) -> tuple[str, str]:
    """Id of the equipment at this end, made where it is new, and the terminal where one is named."""
    old = None if before is None else (before.from_end if name == "from" else before.to_end)
    snapshot = draft.snapshot()
    if old is not None and split_cell(text).text == split_cell(end_text(snapshot, old)).text:
        return old.equipment, old.terminal
    try:
        meant = _meant(snapshot, text, origin)
    except (EditError, CellError) as fault:
        raise RowFault(name, str(fault)) from None
    if meant.item:
        return meant.item, meant.terminal
    record = meant.record
    if meant.is_open:
        if old is not None and snapshot.equipment[old.equipment].KIND == "open_end":
            draft.change("equipment", old.equipment, leads_to=record.leads_to)
            return old.equipment, old.terminal
        if record.leads_to:
            words.append(
                _("“{text}” names no kind of equipment: it is an open end, to be identified.").format(
                    text=record.leads_to
                )
            )
        return draft.add("equipment", record), "at"
    if not record.designation:
        record = msgspec.structs.replace(record, designation=for_kind(snapshot, record.KIND))
    if meant.place:
        record = msgspec.structs.replace(record, place=_Places(draft).id_of("places", meant.place))
    item = draft.add("equipment", record)
    words.append(_("{name} is new: {kind}.").format(name=record.designation, kind=_(type(record).NAME)))
    return item, ""


def _function(draft: Draft, text: str, found: Mapping[str, tuple[str, str]]) -> str:
    plain_text = " ".join(text.split()).casefold()
    if plain_text:
        plain_text = _SHORT.get(plain_text, plain_text)
        for function in FUNCTIONS:
            if plain_text in (function, _(function).casefold()):
                return function
        choices = ", ".join(_(function) for function in FUNCTIONS)
        raise RowFault(
            "function", _("A run carries one of {choices}; found {text!r}.").format(choices=choices, text=text)
        )
    for function in FUNCTIONS:  # nobody said: the first that both ends can carry
        carried = set(Run(from_end=_NOWHERE, to_end=_NOWHERE, function=function).conductors())  # type: ignore[arg-type]
        if all(_carriers(draft, item, carried, terminal) for item, terminal in found.values()):
            return function
    raise RowFault("function", _("Nothing that one run can carry has a terminal at both ends; say what it carries."))


def _carriers(draft: Draft, item: str, carried: set[str], terminal: str = "") -> list[Any]:
    terminals = draft.get("equipment", item).terminals()
    return [t for t in terminals if carried <= set(t.conductors) and terminal in ("", t.name)]


def _fitting(draft: Draft, item: str, carried: tuple[str, ...], name: str, run: str) -> str:
    """The terminal that carries the run: what carries nothing else first, then what is free."""
    fitting = _carriers(draft, item, set(carried))
    if not fitting:
        record: Any = draft.get("equipment", item)
        has = ", ".join(f"{t.name} ({' '.join(t.conductors)})" for t in record.terminals())
        raise RowFault(
            name,
            _("no terminal of {name} carries {conductors}: it has {has}").format(
                name=title_of(draft.snapshot(), "equipment", item), conductors=" ".join(carried), has=has
            ),
        )
    taken = {
        (end.equipment, end.terminal)
        for other, record in draft.table("runs").items()
        if other != run
        for end in (record.from_end, record.to_end)
    }
    if name == "from":  # what comes in first goes out last
        fitting.reverse()
    fitting.sort(key=lambda t: ((item, t.name) in taken, set(t.conductors) != set(carried)))
    return str(fitting[0].name)


def _drop_orphans(draft: Draft, before: Run) -> None:
    """An open end that the run has left and nothing else ends at goes, with its symbol."""
    used = {end.equipment for run in draft.table("runs").values() for end in (run.from_end, run.to_end)}
    for end in (before.from_end, before.to_end):
        record = draft.get("equipment", end.equipment)
        if record is None or record.KIND != "open_end" or end.equipment in used:
            continue
        for item, placement in list(draft.table("placements").items()):
            if placement.equipment == end.equipment:
                draft.put("placements", item, None)
        draft.put("equipment", end.equipment, None)
