"""What every test shares: a quiet Hypothesis, and tests left out where the machine lacks what they need."""

from __future__ import annotations

import ctypes.util
import os
import shutil

import pytest
from hypothesis import HealthCheck, settings

settings.register_profile("default", deadline=None, suppress_health_check=[HealthCheck.too_slow])
settings.register_profile("ci", deadline=None, derandomize=True, suppress_health_check=[HealthCheck.too_slow])
settings.load_profile(os.environ.get("HYPOTHESIS_PROFILE", "default"))


def _have(marker: str) -> bool:
    if marker == "poppler":
        return shutil.which("pdftoppm") is not None
    if marker == "ngspice":
        return shutil.which("ngspice") is not None
    return ctypes.util.find_library("EGL") is not None and ctypes.util.find_library("xkbcommon") is not None


NEEDS = {"qt": "Qt's system libraries", "poppler": "pdftoppm", "ngspice": "ngspice"}
_left_out: dict[str, int] = {}


def pytest_collection_modifyitems(config: pytest.Config, items: list[pytest.Item]) -> None:
    """Deselect tests that need what is not here; `.ci/run` forbids it."""
    lacking = {marker for marker in NEEDS if not _have(marker)}
    kept, out = [], []
    for item in items:
        needs = lacking & {mark.name for mark in item.iter_markers()}
        if needs:
            out.append(item)
            for marker in needs:
                _left_out[marker] = _left_out.get(marker, 0) + 1
        else:
            kept.append(item)
    if out:
        if os.environ.get("LINEWRIGHT_ALL_TESTS"):
            names = ", ".join(NEEDS[m] for m in sorted(_left_out))
            raise pytest.UsageError(f"{len(out)} tests need {names}, and every test must run here")
        config.hook.pytest_deselected(items=out)
        items[:] = kept


def pytest_terminal_summary(terminalreporter: pytest.TerminalReporter) -> None:
    """One line that counts what was left out."""
    if _left_out:
        told = ", ".join(f"{n} need {NEEDS[m]}" for m, n in sorted(_left_out.items()))
        terminalreporter.write_line(f"Tests left out on this machine: {told}.")
