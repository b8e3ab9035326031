"""Every kind of equipment, one file each, in folders by family. A new kind is one file here and one symbol file.

`KINDS` maps the kind's name, as files and lists write it, to its class; it is filled by reading the folders.
"""

from __future__ import annotations

import importlib
import pkgutil
from functools import cache

from engine.equipment.base import Equipment

__all__ = ["FAMILIES", "kinds"]

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
def kinds() -> dict[str, type[Equipment]]:
    """Every kind by name, sorted."""
    found: dict[str, type[Equipment]] = {}
    for family in FAMILIES:
        package = importlib.import_module(f"engine.equipment.{family}")
        for info in pkgutil.iter_modules(package.__path__):
            if info.name.startswith("_"):
                continue
            module = importlib.import_module(f"engine.equipment.{family}.{info.name}")
            for value in vars(module).values():
                if isinstance(value, type) and issubclass(value, Equipment) and value.__module__ == module.__name__:
                    assert value.KIND == info.name, f"{module.__name__} holds kind {value.KIND!r}"
                    found[value.KIND] = value
    return dict(sorted(found.items()))
