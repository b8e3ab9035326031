"""A window on a drawing whose texts are markup reads none of it as such and reaches nowhere, whatever is shown."""

from __future__ import annotations

import importlib.util
import json
import re
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import Any

import pytest

HERE = Path(__file__).parent
LAUNCH = Path(__file__).parents[3] / "samples" / "launch" / "launch.linewright"
_spec = importlib.util.spec_from_file_location("hostile_text", HERE / "hostile.py")
assert _spec is not None
assert _spec.loader is not None
words: Any = importlib.util.module_from_spec(_spec)
_spec.loader.exec_module(words)


EVERY_PAGE = ("markup", "controls", "long", "odd")
SOME = ("particulars", "table", "conditions")


@pytest.mark.parametrize(
    ("what", "pages"),
    [("markup", SOME), *(pytest.param(each, (), marks=pytest.mark.long) for each in EVERY_PAGE)],
)
def test_a_window_takes_no_text_for_markup(
    what: str,
    pages: tuple[str, ...],
    guarded: Callable[[Sequence[str]], Any],
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setenv("QT_QPA_PLATFORM", "offscreen")
    boat = tmp_path / "boat[*]\u202e.linewright"
    boat.write_bytes(words.hostile(LAUNCH.read_bytes(), words.TEXTS[what]))
    ended = guarded([str(HERE / "window_run.py"), str(boat), *pages])
    assert ended.code == 0, ended
    assert ended.reached == ()
    told = json.loads(ended.out.splitlines()[-1])
    assert told["label"] == []
    assert told["page"] == []
    assert told["tip"] == ["True"]
    assert told["seen"] or what != "markup"  # it stood in a page that is HTML, every letter of it
    assert not re.search("[\u202a-\u202e\x00-\x1f]", told["title"])
    assert told["title"].startswith("boat[*][*]\ufffd.linewright")
