"""What tests of hostile text share: the drawing, and Python started so that it may not reach out of the machine."""

from __future__ import annotations

import importlib.util
import os
import subprocess
import sys
from collections.abc import Callable, Sequence
from pathlib import Path
from types import ModuleType
from typing import NamedTuple

import pytest

HERE = Path(__file__).parent


def read(name: str) -> ModuleType:
    """A module beside the tests."""
    spec = importlib.util.spec_from_file_location(name, HERE / f"{name}.py")
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


class Ended(NamedTuple):
    """What a guarded run left: exit code, standard output, error stream, what reached out."""

    code: int
    out: str
    told: str
    reached: tuple[str, ...]


@pytest.fixture
def guarded(tmp_path: Path) -> Callable[[Sequence[str]], Ended]:
    """`guarded(arguments)`: Python with these arguments, it and all it starts under the guard."""
    told = tmp_path / "guard.txt"
    home = tmp_path / "home"
    home.mkdir()
    folders = [str(HERE / "guard"), *os.environ.get("PYTHONPATH", "").split(os.pathsep)]
    names = ("XDG_DATA_HOME", "XDG_CONFIG_HOME", "XDG_CACHE_HOME", "HOME")
    environment = (
        os.environ
        | dict.fromkeys(names, str(home))
        | {
            "PYTHONPATH": os.pathsep.join(f for f in folders if f),
            "GUARD_TOLD": str(told),
        }
    )

    def run(arguments: Sequence[str]) -> Ended:
        told.unlink(missing_ok=True)
        ended = subprocess.run(
            [sys.executable, *arguments], capture_output=True, env=environment, check=False, timeout=300
        )
        lines = told.read_text("utf-8").splitlines()
        assert "here" in lines, "the guard did not stand"
        reached = tuple(line for line in lines if line != "here")
        return Ended(ended.returncode, ended.stdout.decode(), ended.stderr.decode(), reached)

    return run
