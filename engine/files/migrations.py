"""Old drawing files made new: one step a version, each from its version to the next.

A step takes and gives the whole file as plain JSON values and sets `version`. A step is never changed once a version of
the program has written the next format; beside it stands a sample of its version that must open for ever.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

__all__ = ["CURRENT", "STEPS", "migrate"]

Step = Callable[[dict[str, Any]], dict[str, Any]]

CURRENT = 1  # the version this program writes
STEPS: Mapping[int, Step] = {}  # version -> the step from it to the next; 1 is the first there is


def migrate(data: dict[str, Any], steps: Mapping[int, Step] = STEPS, current: int = CURRENT) -> dict[str, Any]:
    """`data` as a file of version `current`, by as many steps as that takes."""
    while data["version"] < current:
        version = data["version"]
        data = steps[version](data)
        # a step that forgets this would run for ever
        assert data["version"] == version + 1, f"the step from version {version} gave {data['version']}"
    return data
