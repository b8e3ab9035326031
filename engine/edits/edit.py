"""The edits themselves: `Put` one record, `SetFields` of one record, `Several` as one."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import Any, NamedTuple, TypeAlias

import msgspec

from engine.edits.locking import issued_change, locked_change
from engine.installation.model import LONE, TABLES, Installation
from engine.installation.ranges import unfit
from engine.installation.references import dangling
from engine.record import FieldFault, convert_field, field_specs
from engine.words import _

__all__ = ["Done", "Edit", "EditError", "Put", "SetFields", "Several", "apply", "done", "fill", "touched"]


class EditError(ValueError):
    """An edit that cannot be done. The installation is as it was."""


class Put(msgspec.Struct, frozen=True, tag=True):
    """Store `record` under `id`, or remove what is there (`record=None`)."""

    table: str
    id: str
    record: Any = None
    words: str = ""  # for the undo list: "Place F3"


class SetFields(msgspec.Struct, frozen=True, tag=True):
    """Change fields of one record; each value is converted by the field's own annotation."""

    table: str
    id: str
    values: tuple[tuple[str, Any], ...]
    words: str = ""


class Several(msgspec.Struct, frozen=True, tag=True):
    """Edits done as one: all or none."""

    edits: tuple[Any, ...]
    words: str = ""


Edit: TypeAlias = Put | SetFields | Several


class Done(NamedTuple):
    """An edit that was done, as whole records: `edit` does it again, `inverse` takes it back."""

    edit: Edit
    inverse: Edit


def apply(installation: Installation, edit: Edit, *, again: bool = False) -> Edit:
    """Do `edit` and return the edit that takes it back.

    Raises `EditError` when it cannot be done, when afterwards some record would name what is not there, or when it
    changes a designation of an issued drawing (`engine.edits.locking`); the installation is then unchanged. `again`:
    the edit was done before, here or elsewhere, or takes back what was: no lock holds it up.
    """
    return done(installation, edit, again=again).inverse


def done(installation: Installation, edit: Edit, *, again: bool = False) -> Done:
    """As `apply`; tells too what was done, with nothing left to be worked out (`Put`, `Several`)."""
    last_id = installation.last_id
    try:
        made = _apply(installation, edit)
        try:
            fault = _left_dangling(installation, edit, made.inverse)
            if not fault and not again:
                before, items = _before(made.inverse), touched(edit)
                fault = issued_change(installation, before, items) or locked_change(installation, before, items)
            if fault:
                raise EditError(fault)
        except Exception:
            _apply(installation, made.inverse)
            raise
    except Exception:
        installation.last_id = last_id  # no id was taken
        raise
    return made


def touched(edit: Edit) -> tuple[tuple[str, str], ...]:
    """`(table, id)` of every record an edit stores, changes or removes, each once."""
    return tuple(dict.fromkeys((put.table, put.id) for put in _puts(edit)))


def fill(installation: Installation, records: Iterable[tuple[str, str, Any]]) -> None:
    """Store `(table, id, record)` in an installation as it is read from a file, whose references have been checked."""
    for table, item, record in records:
        installation._put(table, item, record)


def _apply(installation: Installation, edit: Edit) -> Done:
    if isinstance(edit, Several):
        made: list[Done] = []
        try:
            for each in edit.edits:
                made.append(_apply(installation, each))
        except Exception:  # of whatever kind: half of it done would be in no history
            for back in reversed(made):
                _apply(installation, back.inverse)
            raise
        return Done(
            Several(tuple(each.edit for each in made), edit.words),
            Several(tuple(each.inverse for each in reversed(made)), edit.words),
        )
    if isinstance(edit, SetFields):
        edit = Put(edit.table, edit.id, _changed(installation, edit), edit.words)
    return _put(installation, edit)


def _put(installation: Installation, edit: Put) -> Done:
    if edit.table not in TABLES and edit.table not in LONE:
        raise EditError(_("there is no table {table!r}").format(table=edit.table))
    old = installation.get(edit.table, edit.id)
    wanted = LONE.get(edit.table) or TABLES[edit.table][0]
    if edit.record is not None and not isinstance(edit.record, wanted):
        raise EditError(f"{edit.table}[{edit.id!r}] is not a {wanted.__name__}")
    try:
        if edit.record is not None:
            msgspec.json.encode(edit.record)  # what cannot be written must not come in: it would keep all from saving
            if why := unfit(edit.record):  # nor what could not be drawn or computed
                raise EditError(why)
        installation._put(edit.table, edit.id, edit.record)
    except UnicodeEncodeError:
        raise EditError(_("a text holds half of a character (a lone surrogate), which no file can keep")) from None
    except ValueError as fault:
        raise EditError(str(fault)) from None
    return Done(edit, Put(edit.table, edit.id, old, edit.words))


def _changed(installation: Installation, edit: SetFields) -> Any:
    record = installation.get(edit.table, edit.id) if edit.table in TABLES or edit.table in LONE else None
    if record is None:
        raise EditError(_("{path} does not exist").format(path=f"{edit.table}[{edit.id!r}]"))
    cls: Any = type(record)
    specs = {spec.name: spec for spec in field_specs(cls)}
    changes: dict[str, Any] = {}
    faults: list[FieldFault] = []
    for name, value in edit.values:
        spec = specs.get(name)
        if name == "origins":
            changes[name] = tuple(sorted(value))
        elif spec is None:
            raise EditError(_("{record} has no field {name!r}").format(record=cls.__name__, name=name))
        else:
            changes[name] = convert_field(spec, value, name, faults)
    if faults:
        raise EditError("; ".join(f"{f.path}: {f.why}" for f in faults))
    return msgspec.structs.replace(record, **changes)


# -- nothing may name what is not there ---------------------------------------------------------------------------
def _left_dangling(installation: Installation, edit: Edit, inverse: Edit) -> str:
    """What would be wrong after `edit`, or ""."""
    before = _before(inverse)
    shrunk = False
    for table, item in dict.fromkeys((put.table, put.id) for put in _puts(edit)):
        record = installation.get(table, item)
        if record is None:
            shrunk = True
            continue
        for fault in dangling(record, f"{table}[{item!r}]", installation.get):
            return f"{fault.path}: {fault.why}"
        old = before.get((table, item))
        shrunk = shrunk or (table == "equipment" and old is not None and not _offers(old) <= _offers(record))
    if shrunk:  # rare, so every record is asked
        for table in TABLES:
            for item, record in installation.items(table):
                for fault in dangling(record, f"{table}[{item!r}]", installation.get):
                    return _("{name} still needs it: {path}: {why}").format(
                        name=_name(record, item), path=fault.path, why=fault.why
                    )
    return ""


def _before(inverse: Edit) -> dict[tuple[str, str], Any]:
    """Records as they stood before what `inverse` takes back: of several of one, the last stood there at first."""
    return {(put.table, put.id): put.record for put in _puts(inverse) if isinstance(put, Put)}


def _puts(edit: Edit) -> Iterator[Put | SetFields]:
    if isinstance(edit, Several):
        for each in edit.edits:
            yield from _puts(each)
    else:
        yield edit


def _offers(record: Any) -> set[tuple[str, str]]:
    """What other records may name of a piece of equipment."""
    return {("terminal", t.name) for t in record.terminals()} | {("position", p) for p in record.positions()}


def _name(record: Any, item: str) -> str:
    return getattr(record, "designation", "") or getattr(record, "name", "") or item
