"""The documents of the pack, one file each, found by the folder. `documents()` lists them."""

from __future__ import annotations

import functools
import importlib
import pkgutil
from collections.abc import Callable
from typing import NamedTuple

from app.handover.document import Document
from app.handover.job import Job
from engine.installation.model import Snapshot

__all__ = ["Maker", "documents"]


class Maker(NamedTuple):
    """A document that can be made: its machine name, what it is called, what it is for, who holds it."""

    name: str
    title: str  # passed through `_` where it is shown, like the two below
    purpose: str
    held_by: str
    order: int
    make: Callable[[Job], Document]
    fits: Callable[[Snapshot], bool] = lambda _snapshot: True  # whether a drawing has anything for it


@functools.cache
def documents() -> dict[str, Maker]:
    """Every document by name, in the order of the pack."""
    found = []
    for module in pkgutil.iter_modules(__path__):
        if not module.name.startswith("_"):
            made = importlib.import_module(f"{__name__}.{module.name}")
            maker = Maker(made.NAME, made.TITLE, made.PURPOSE, made.FOR, made.ORDER, made.make)
            found.append(maker._replace(fits=getattr(made, "fits", maker.fits)))
    return {maker.name: maker for maker in sorted(found, key=lambda maker: (maker.order, maker.name))}
