"""What the tables of the bill say alike: names in order, sums of prices, what is left out."""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Iterable
from typing import Any

from app.paper.table import Value
from engine.naming import natural
from engine.units import spelled
from engine.words import N_, _, ngettext

__all__ = ["as_text", "key", "left_out", "listed", "name_of", "totals"]


def totals(rows: Iterable[tuple[Value, ...]], currency: str) -> list[str]:
    """The sum of the last column, and how many lines are not in it."""
    every = [row[-1] for row in rows]
    if not every:
        return [_("Nothing is new: nothing to order.")]
    prices = [price for price in every if isinstance(price, (int, float))]
    without = len(every) - len(prices)
    if not prices:
        return [_("No line has a price.")]
    total = f"{spelled(format(math.fsum(prices), '.2f'))} {currency}".strip()
    if not without:
        return [_("Total {total}; every line has a price.").format(total=total)]
    return [
        ngettext(
            "Total {total}; {n} line has no price and is not in it.",
            "Total {total}; {n} lines have no price and are not in it.",
            without,
        ).format(total=total, n=without)
    ]


def left_out(records: Iterable[Any]) -> list[str]:
    """How many records have another status than new."""
    counts: dict[str, int] = defaultdict(int)
    for record in records:
        counts[record.status] += 1
    said = [
        f"{counts[status]} {_(words)}"
        for status, words in (
            ("existing", N_("existing")),
            ("to remove", N_("to remove")),
            ("by others", N_("by others")),
            ("spare", N_("spare")),
        )
        if counts[status]
    ]
    return [_("Not ordered: {counts}.").format(counts=", ".join(said))] if said else []


def listed(names: Iterable[str]) -> str:
    """Names once each, F2 before F10."""
    return ", ".join(sorted({name for name in names if name}, key=key))


def key(value: Value) -> tuple[Any, str]:
    """Sorts F2 before F10; what differs in capitals alone keeps one order too."""
    return natural(str(value)), str(value)


def as_text(price: float | None) -> str:
    """A price as a key: "" for none."""
    return "" if price is None else repr(price)


def name_of(record: Any) -> str:
    """Designation of equipment or a run, else its label, else what it is."""
    return str(record.designation or record.label or _(getattr(record, "NAME", "") or N_("run without a designation")))
