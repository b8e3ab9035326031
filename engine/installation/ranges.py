"""Numbers that must not come in by any edit: places off every sheet, counts out of their range, figures beyond all use.

A figure merely out of its field's range is refused where it is typed or read; the analyses have an answer to it.
"""

from __future__ import annotations

import functools
from typing import Any

import msgspec

from engine.record import BEYOND, FieldSpec, field_specs, out_of_range

__all__ = ["unfit"]


def unfit(record: msgspec.Struct, path: str = "") -> str:
    """The first number of a record or of its parts that must not come in, and why; "" where there is none."""
    for spec in _numbers(type(record)):
        value = getattr(record, spec.name)
        if spec.item is None:
            if spec.shape == "whole" or (value is not None and not -BEYOND < value < BEYOND):
                why = out_of_range(spec, value)
                if why:
                    return f"{path}{spec.file_name}: {why}"
            continue
        for part in (value,) if isinstance(value, msgspec.Struct) else value or ():
            if why := unfit(part, f"{path}{spec.file_name}."):
                return why
    return ""


@functools.cache
def _numbers(cls: Any) -> tuple[FieldSpec, ...]:
    """Fields of a record that are numbers, or parts that hold some."""
    return tuple(
        s for s in field_specs(cls) if s.shape in ("number", "whole") or (s.item is not None and _numbers(s.item))
    )
