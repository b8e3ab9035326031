"""The edits themselves: `Put` one record, `SetFields` of one record, `Several` as one."""

from __future__ import annotations

from typing import Any, TypeAlias

import msgspec

from engine.installation.model import LONE, TABLES, Installation
from engine.record import FieldFault, field_specs, from_builtins, out_of_range

__all__ = ["Edit", "EditError", "Put", "SetFields", "Several", "apply"]


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


def apply(installation: Installation, edit: Edit) -> Edit:
    """Do `edit` and return the edit that takes it back.

    Raises `EditError` when it cannot be done; the installation is then unchanged.
    """
    if isinstance(edit, Several):
        undo: list[Edit] = []
        try:
            for each in edit.edits:
                undo.append(apply(installation, each))
        except EditError:
            for back in reversed(undo):
                apply(installation, back)
            raise
        return Several(tuple(reversed(undo)), edit.words)
    if isinstance(edit, SetFields):
        edit = Put(edit.table, edit.id, _changed(installation, edit), edit.words)
    return _put(installation, edit)


def _put(installation: Installation, edit: Put) -> Edit:
    if edit.table not in TABLES and edit.table not in LONE:
        raise EditError(f"there is no table {edit.table!r}")
    old = installation.get(edit.table, edit.id)
    wanted = LONE.get(edit.table) or TABLES[edit.table][0]
    if edit.record is not None and not isinstance(edit.record, wanted):
        raise EditError(f"{edit.table}[{edit.id!r}] is not a {wanted.__name__}")
    try:
        installation._put(edit.table, edit.id, edit.record)
    except ValueError as fault:
        raise EditError(str(fault)) from None
    return Put(edit.table, edit.id, old, edit.words)


def _changed(installation: Installation, edit: SetFields) -> Any:
    record = installation.get(edit.table, edit.id) if edit.table in TABLES or edit.table in LONE else None
    if record is None:
        raise EditError(f"{edit.table}[{edit.id!r}] does not exist")
    specs = {spec.name: spec for spec in field_specs(type(record))}
    changes: dict[str, Any] = {}
    for name, value in edit.values:
        if name == "origins":
            changes[name] = tuple(sorted(value))
            continue
        spec = specs.get(name)
        if spec is None:
            raise EditError(f"{type(record).__name__} has no field {name!r}")
        if spec.shape in ("records", "record"):
            faults: list[FieldFault] = []
            if isinstance(value, (list, tuple)):
                value = tuple(
                    v if isinstance(v, spec.item) else from_builtins(spec.item, v, f"{name}[{i}]", faults)
                    for i, v in enumerate(value)
                )
            elif isinstance(value, dict):
                value = from_builtins(spec.item, value, name, faults)
            if faults:
                raise EditError("; ".join(f"{f.path}: {f.why}" for f in faults))
        try:
            changes[name] = msgspec.convert(value, spec.type)
        except msgspec.ValidationError as fault:
            raise EditError(f"{name}: {fault}") from None
        why = out_of_range(spec, changes[name])
        if why:
            raise EditError(f"{name}: {why}")
    return msgspec.structs.replace(record, **changes)
