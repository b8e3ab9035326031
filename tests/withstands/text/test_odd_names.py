"""A file whose name is no text: every report is made, and says what is true."""

from __future__ import annotations

import json
import os
from pathlib import Path

import pytest

from app.cli import main

SAMPLE = Path(__file__).parents[3] / "samples" / "first" / "first.linewright"


@pytest.mark.posix
@pytest.mark.parametrize(
    ("command", "form"),
    [("check", "sarif"), *((name, "json") for name in ("check", "missing", "walk", "trace", "deficiencies"))],
)
def test_a_name_that_is_no_text_is_reported(
    command: str, form: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """Bytes 0xFF 0xFE, which are no UTF-8: the report says "?" for each, the address of SARIF holds the bytes."""
    monkeypatch.chdir(tmp_path)
    name = os.fsdecode(b"\xff\xfe.linewright")
    try:
        Path(name).write_bytes(SAMPLE.read_bytes())
    except OSError:
        pytest.skip("this file system takes no such name")
    assert main([command, name, "--format", form]) in {0, 1}
    told = json.loads(capsys.readouterr().out)
    if form == "sarif":
        assert "%FF%FE.linewright" in json.dumps(told)
    else:
        assert told["file"] == "??.linewright"


@pytest.mark.posix
def test_a_pack_is_made_of_it(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """The manifest names it as the report does."""
    monkeypatch.chdir(tmp_path)
    name = os.fsdecode(b"\xff\xfe.linewright")
    try:
        Path(name).write_bytes(SAMPLE.read_bytes())
    except OSError:
        pytest.skip("this file system takes no such name")
    assert main(["pack", name, "-o", "pack"]) in {0, 1}
    assert any("??.linewright" in each.read_text("utf-8") for each in Path("pack").rglob("*.json"))
