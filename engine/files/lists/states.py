"""Rows of operating conditions: a switch and its position, a source that runs, the hours of a load."""

from __future__ import annotations

from typing import Any

import msgspec

from engine.equipment.base import Equipment
from engine.files.lists.cells import CellError
from engine.files.lists.ends import Find
from engine.files.lists.grid import Grid, Row
from engine.files.lists.values import Names, read_value
from engine.installation.records import Condition, ConditionDuty, Setting
from engine.record import FieldSpec, field_specs
from engine.words import _

__all__ = ["STATE_COLUMNS", "position_of", "read_state"]

STATE_COLUMNS = ("condition", "designation", "position", "running", "hours_a_day")
_DUTY = {spec.name: spec for spec in field_specs(ConditionDuty)}
_RUNNING = FieldSpec("running", "running", bool, _DUTY["equipment"].fact, False, shape="yesno")


def read_state(grid: Grid, row: Row, condition: Condition, find: Find, names: Names) -> Condition | None:
    """`condition` with what a row adds to it; `None`, with the fault noted, when the row cannot be understood."""
    column = "designation"
    try:
        designation = grid.cell(row, column).text
        if not designation:
            raise CellError(_("is missing"))
        item, record = find(designation)
        new = condition
        column = "position"
        position = grid.cell(row, column).text
        if position:
            new = _with_position(new, item, record, position_of(record, position))
        column = "running"
        runs = grid.cell(row, column)
        if runs.text and read_value(_RUNNING, runs, names):
            new = msgspec.structs.replace(new, running=(*new.running, item))
        column = "hours_a_day"
        hours = grid.cell(row, column)
        if hours.text:
            heading = grid.column(column)
            value = read_value(_DUTY["hours_a_day"], hours, names, heading.unit if heading else "")
            new = msgspec.structs.replace(new, duties=(*new.duties, ConditionDuty(equipment=item, hours_a_day=value)))
        if not (position or runs.text or hours.text):
            column = "position"
            raise CellError(_("is missing"))
    except CellError as fault:
        grid.fault(row.line, grid.column(column), str(fault))
        return None
    return new


def _with_position(condition: Condition, item: str, record: Equipment, position: str) -> Condition:
    if any(setting.equipment == item for setting in condition.settings):
        raise CellError(
            _("{name} has a position in {condition!r} already").format(
                name=record.designation, condition=condition.name
            )
        )
    setting = Setting(equipment=item, position=position)
    return msgspec.structs.replace(condition, settings=(*condition.settings, setting))


def position_of(record: Any, text: str) -> str:
    """The position of a piece of equipment that a person means. Raises `CellError`."""
    positions: tuple[str, ...] = record.positions()
    if text in positions:
        return text
    alike = [position for position in positions if position.casefold() == text.casefold()]
    if len(alike) == 1:
        return alike[0]
    name = record.designation or _(record.NAME)
    if not positions:
        raise CellError(_("{name} cannot be moved: it has no positions").format(name=name))
    raise CellError(
        _("{name} has no position {position!r}: it has {has}").format(
            name=name, position=text, has=", ".join(positions)
        )
    )
