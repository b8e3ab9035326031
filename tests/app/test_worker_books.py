"""The study process finds a yard's own book beside the drawing, and says what is wrong with one."""

from __future__ import annotations

from pathlib import Path

import pytest

from app.worker import Worker
from app.worker_messages import Answer, Fault, Judged, OpenRequest
from engine.builder import Builder
from engine.files.edit_form import plain_snapshot

YARD = 'base = "trade-na"\ntitle = "Practice of Gannet Yard"\nedition = "3"\n'


def _told(folder: str) -> list[Answer]:
    """What a worker answers of a small boat whose book is `yard.toml`, kept in `folder`."""
    b = Builder("yard.toml")
    b.add("battery_bank", "G1", unit_v=12)
    heard: list[Answer] = []
    worker = Worker(heard.append, lambda: False)
    worker.take(OpenRequest(1, plain_snapshot(b.installation.snapshot()), folder))
    worker.study()
    return heard


def test_beside_the_drawing(tmp_path: Path) -> None:
    (tmp_path / "yard.toml").write_text(YARD, encoding="utf-8")
    (judged,) = [one.result for one in _told(str(tmp_path)) if isinstance(one, Judged)]
    assert (judged.book, judged.edition) == ("yard.toml", "3, on trade-na 1")


@pytest.mark.parametrize(
    ("kept", "text", "told"),
    [
        (False, YARD, "which is not saved yet"),
        (True, "", "there is no rule book"),
        (True, YARD.replace("trade-na", "trade"), "cannot be used (1 fault)"),
    ],
)
def test_what_is_wrong_is_said(tmp_path: Path, kept: bool, text: str, told: str) -> None:
    if text:
        (tmp_path / "yard.toml").write_text(text, encoding="utf-8")
    heard = _told(str(tmp_path) if kept else "")
    assert [one for one in heard if isinstance(one, Judged)] == []
    (fault,) = [one for one in heard if isinstance(one, Fault)]
    assert told in fault.words
