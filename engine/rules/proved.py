"""How a rule says that something passed, and with what margin. Asked only where `Study.proving`."""

from __future__ import annotations

import math

from engine.findings import Figure, Passed
from engine.study import Study

__all__ = ["proved"]


def proved(
    study: Study,
    rule: str,
    *ids: str,
    found: tuple[str, float] | None = None,
    limit: tuple[str, float] | None = None,
    unit: str = "",
    at_least: bool = False,
    message: str = "",
    arithmetic: str = "",
    condition: str = "",
    detail: str = "",
) -> Passed:
    """`found` and `limit` as (name, figure in `unit`), named as the rule's findings name them; or a sentence."""
    return Passed(
        rule=rule,
        designations=tuple(study.name(item) for item in ids),
        ids=ids,
        found=_figure(found, unit),
        limit=_figure(limit, unit),
        at_least=at_least,
        message=message,
        arithmetic=arithmetic,
        condition=condition,
        detail=detail,
    )


def _figure(told: tuple[str, float] | None, unit: str) -> Figure | None:
    if told is None:
        return None
    name, value = told
    return Figure(name, value if math.isfinite(value) else None, unit)
