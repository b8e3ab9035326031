"""The documents of the pack, one file each, found by the folder. `documents()` lists them."""

from __future__ import annotations

import functools
import importlib
import pkgutil
from collections.abc import Callable
from typing import Any, NamedTuple

from app.handover.document import Document
from app.handover.job import Job
from engine.installation.model import Snapshot

__all__ = ["Maker", "documents", "maker_of"]


class Maker(NamedTuple):
    """A document that can be made: its machine name, what it is called, what it is for, who holds it."""

    name: str
    title: str  # passed through `_` where it is shown, like the two below
    purpose: str
    held_by: str
    order: int
    make: Callable[[Job], Document]
    fits: Callable[[Snapshot], bool] = lambda _snapshot: True  # whether a drawing has anything for it
    is_worded: bool = False  # whether it is written as running text (DOCX) too


@functools.cache
def documents() -> dict[str, Maker]:
    """Every document by name, in the order of the pack."""
    found = []
    for module in pkgutil.iter_modules(__path__):
        if not module.name.startswith("_"):
            made = importlib.import_module(f"{__name__}.{module.name}")
            found.append(_maker(made))
    return {maker.name: maker for maker in sorted(found, key=lambda maker: (maker.order, maker.name))}


def maker_of(name: str) -> Maker:
    """One document, the others not being read. Raises `ModuleNotFoundError`."""
    return _maker(importlib.import_module(f"{__name__}.{name.replace('-', '_')}"))


def _maker(made: Any) -> Maker:
    maker = Maker(made.NAME, made.TITLE, made.PURPOSE, made.FOR, made.ORDER, made.make)
    return maker._replace(fits=getattr(made, "fits", maker.fits), is_worded=getattr(made, "IS_WORDED", False))
