"""The program's version: one number, in `pyproject.toml`, whether installed or run from a checkout."""

from __future__ import annotations

import functools
from pathlib import Path

__all__ = ["version"]


@functools.cache
def version() -> str:
    """The version, "0.1.0". In a checkout the `pyproject.toml` beside the packages is right, whatever is installed."""
    project = Path(__file__).parents[1] / "pyproject.toml"
    if project.is_file():
        import tomllib

        facts = tomllib.loads(project.read_text(encoding="utf-8")).get("project", {})
        if facts.get("name") == "linewright":
            return str(facts["version"])
    from importlib.metadata import PackageNotFoundError
    from importlib.metadata import version as installed

    try:
        return installed("linewright")
    except PackageNotFoundError:
        return "0+unknown"  # neither installed nor a checkout: a copied folder
