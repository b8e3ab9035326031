"""Every kind of equipment, one file each, in folders by family. A new kind is one file here and one symbol file.

`kinds()` maps every kind's name, as files and lists write it, to its class; it is found by reading the folders.
"""

from __future__ import annotations

import importlib
import pkgutil
from functools import cache
from pathlib import Path

from engine.equipment.base import Equipment

__all__ = ["FAMILIES", "kind_named", "kinds"]

FAMILIES = (
    "storage",
    "generation",
    "shore",
    "conversion",
    "protection",
    "switching",
    "distribution",
    "measurement",
    "consumption",
    "earthing",
)


@cache
def _families() -> dict[str, str]:
    """The family of every kind, from the names of the files: nothing is imported."""
    return {
        info.name: family
        for family in FAMILIES
        for info in pkgutil.iter_modules([str(Path(__file__).parent / family)])
        if not info.name.startswith("_")
    }


@cache
def kind_named(name: str) -> type[Equipment] | None:
    """The class of one kind, `None` where there is none of that name. Loads no other kind."""
    family = _families().get(name)
    if family is None:
        return None
    module = importlib.import_module(f"engine.equipment.{family}.{name}")
    for value in vars(module).values():
        if isinstance(value, type) and issubclass(value, Equipment) and value.__module__ == module.__name__:
            assert name == value.KIND, f"{module.__name__} holds kind {value.KIND!r}"
            return value
    raise AssertionError(f"{module.__name__} holds no kind of equipment")


@cache
def kinds() -> dict[str, type[Equipment]]:
    """Every kind by name, sorted."""
    found = {name: kind_named(name) for name in sorted(_families())}
    return {name: cls for name, cls in found.items() if cls is not None}
