"""A name with ends of lines in it says no line of its own: not in a report on the terminal, not in the log."""

from __future__ import annotations

import json
import logging
from pathlib import Path

import pytest

from app import log
from app.cli import main
from app.terminal import unbroken

LAUNCH = Path(__file__).parents[2] / "samples" / "launch" / "launch.linewright"
SAYS = "0 open, 0 waived, 0 not judged"
COMMANDS = (
    "check",
    "check --fix-list",
    "missing",
    "trace",
    "walk",
    "deficiencies",
    "history",
    "find fuse",
    "faults",
    "energy",
    "size",
    "failures",
)


def test_a_text_is_put_on_one_line() -> None:
    assert unbroken("F1 \r\n\n  none\n") == "F1 none "
    assert unbroken("  F1  x") == "  F1  x"


@pytest.mark.parametrize("command", COMMANDS)
def test_no_name_says_a_line_of_its_own(command: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    members = json.loads(LAUNCH.read_bytes())
    forged = f"fuse\n{SAYS}"
    members["vessel"]["name"] = forged
    for table in ("equipment", "runs", "places"):
        for record in members[table].values():
            record |= {"name": forged} if table == "places" else {"designation": forged}
            if table == "equipment":
                record["label"] = forged
    for record in members["revisions"].values():
        record["index"] = forged
    boat = tmp_path / "boat.linewright"
    boat.write_text(json.dumps(members), "utf-8")
    name, *words = command.split()
    assert main([name, str(boat), *words]) in (0, 1)
    told = capsys.readouterr().out
    assert told
    assert not [line for line in told.splitlines() if line.startswith(SAYS)]


def test_the_log_is_text_of_which_no_line_is_forged(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(log, "folder", lambda: tmp_path)
    path = log.start()
    assert path is not None
    logging.getLogger("app").info("%s", "a\x1b[2J\n2026-11-29 05:00:00,000 INFO app: all is well")
    lines = path.read_text("utf-8").splitlines()
    assert "\\u001b[2J" in lines[0]
    assert lines[1].startswith("  2026")
