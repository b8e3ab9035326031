"""The ends of a run as people write them: "F1.in", "WC1.bar#3", "WC1#3", or "G1" where one terminal fits."""

from __future__ import annotations

import re
from collections.abc import Callable
from typing import Any

from engine.files.lists.cells import CellError
from engine.files.lists.names import GivenNames
from engine.installation.records import End
from engine.words import _

__all__ = ["read_end", "write_end"]

# designation -> (id, record); raises CellError
Find = Callable[[str], tuple[str, Any]]


def read_end(text: str, carried: tuple[str, ...], names: GivenNames, find: Find) -> End:
    """An end. `carried`: the conductors of the run, which say what terminal fits where none is named."""
    if not text:
        raise CellError(_("is missing"))
    stud: int | None = None
    found = re.fullmatch(r"(.+)#([0-9]{1,4})", text, re.DOTALL)
    if found and not names.has("equipment", text):
        text, stud = found[1], int(found[2])
        if stud < 1:
            raise CellError(_("studs are counted from 1"))
    name, dot, terminal = text.rpartition(".")
    if not names.has("equipment", name):
        name = name.strip()
    if dot and names.has("equipment", name):
        item, record = find(name)
        has = [t.name for t in record.terminals()]
        if terminal.strip() in has:
            return End(equipment=item, terminal=terminal.strip(), stud_number=stud)
        if not names.has("equipment", text):
            raise CellError(
                _("{name} has no terminal {terminal!r}: it has {has}").format(
                    name=name, terminal=terminal, has=", ".join(has)
                )
            )
    item, record = find(text)
    return End(equipment=item, terminal=_fitting(text, record, carried), stud_number=stud)


def _fitting(name: str, record: Any, carried: tuple[str, ...]) -> str:
    """The one terminal that can carry the run; of several, the one that carries nothing else."""
    terminals = record.terminals()
    fitting = [t.name for t in terminals if set(carried) <= set(t.conductors)]
    exact = [t.name for t in terminals if set(carried) == set(t.conductors)]
    if len(fitting) == 1:
        return str(fitting[0])
    if len(exact) == 1 and len(terminals) > 1:
        return str(exact[0])
    conductors = " ".join(carried)
    if not fitting:
        has = ", ".join(f"{t.name} ({' '.join(t.conductors)})" for t in terminals)
        raise CellError(
            _("no terminal of {name} carries {conductors}: it has {has}").format(
                name=name, conductors=conductors, has=has
            )
        )
    raise CellError(
        _("several terminals of {name} fit: write {choices}").format(
            name=name, choices=_(" or ").join(f"{name}.{t}" for t in fitting)
        )
    )


def write_end(end: End, name: str) -> str:
    """An end as `read_end` reads it."""
    stud = "" if end.stud_number is None else f"#{end.stud_number}"
    return f"{name}.{end.terminal}{stud}"
