"""The first sheet's file is what its maker makes."""

from __future__ import annotations

import importlib.util
from pathlib import Path

from engine.files.drawing import dump

HERE = Path(__file__).parent


def test_the_file_is_as_it_is_made() -> None:
    """When this fails after a change of routes, words or the format: run make_first.py and look at the sheet."""
    spec = importlib.util.spec_from_file_location("make_first", HERE / "make_first.py")
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    path = HERE.parents[1] / "samples" / "first" / "first.linewright"
    assert dump(module.make()) == path.read_bytes()
