"""Commands that write a drawing: never into one that somebody has open, never over what was saved since they began."""

from __future__ import annotations

import argparse
import os
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest

from app.cli import every
from engine.files import drawing as files
from engine.files.drawing import load, save
from engine.files.lock import Lock, take

Run = Callable[..., tuple[int, str, str]]
Drawing = Callable[..., Path]

COMMANDS: dict[str, tuple[str, ...]] = {  # {file} is read, {out} written, {lent} a drawing that is issued
    "fix": ("{file}", "1", "-o", "{out}", "--replace"),
    "history": ("{lent}", "--open", "A", "-o", "{out}", "--replace"),
    "import": ("equipment.csv", "-o", "{out}", "--replace"),
    "issue": ("{file}", "--by", "X", "-o", "{out}", "--replace"),
    "merge": ("{file}", "{file}", "{file}", "-o", "{out}", "--replace"),
    "place": ("solar", "{file}", "-o", "{out}", "--replace"),
    "renumber": ("{file}", "-o", "{out}", "--replace"),
    "revise": ("{lent}", "-o", "{out}", "--replace"),
    "tidy": ("{file}", "-o", "{out}", "--replace"),
}
INTO = {"place": ("solar", "{out}"), "check": ("--record", "{out}")}  # write into the drawing that they read
EVERY = [*COMMANDS.items(), *INTO.items()]


@pytest.fixture
def told(run: Run, drawing: Drawing) -> Iterator[Callable[[str, tuple[str, ...]], tuple[int, str]]]:
    """Run a command on small drawings: its exit code and what it said of what went wrong."""
    from app.drawing.layout import lay_out
    from engine.edits import apply

    drawing("file.linewright", rated=6)
    x = load("file.linewright").installation
    apply(x, lay_out(x.snapshot()))
    save(x, "file.linewright")
    save(x, "out.linewright")
    Path("equipment.csv").write_text("designation,kind\nF1,fuse\n")
    assert run("issue", "file.linewright", "--by", "X", "-o", "lent.linewright")[0] == 0

    def told(name: str, pattern: tuple[str, ...]) -> tuple[int, str]:
        names = {key: f"{key}.linewright" for key in ("file", "out", "lent")}
        code, _out, err = run(name, *(part.format(**names) for part in pattern))
        return code, err

    yield told
    assert not list(Path().glob(".*.part"))


def test_every_command_that_writes_a_drawing_is_here() -> None:
    """One that may write over a drawing says so with `--replace`."""
    found = set()
    for command in every():
        parser = argparse.ArgumentParser()
        command.add_arguments(parser)
        if "--replace" in parser.format_help():
            found.add(command.NAME)
    assert found - {"export-list"} == set(COMMANDS)  # which writes lists


@pytest.mark.parametrize(("name", "pattern"), EVERY)
def test_nothing_is_written_into_a_drawing_that_is_open(
    name: str, pattern: tuple[str, ...], told: Callable[[str, tuple[str, ...]], tuple[int, str]]
) -> None:
    before = Path("out.linewright").read_bytes()
    held = take("out.linewright")
    assert isinstance(held, Lock)
    with held:
        code, said = told(name, pattern)
    assert code == 2
    assert "out.linewright is open already in another window. Nothing is written" in said
    assert Path("out.linewright").read_bytes() == before
    code, said = told(name, pattern)
    assert "open already" not in said
    assert code in (0, 1)
    assert Path("out.linewright").read_bytes() != before or name in ("merge", "renumber", "tidy")
    assert not Path(".out.linewright.lock").exists()


@pytest.mark.parametrize(("name", "pattern"), EVERY)
def test_what_was_saved_meanwhile_stays(
    name: str,
    pattern: tuple[str, ...],
    told: Callable[[str, tuple[str, ...]], tuple[int, str]],
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """Another saves there, on a file system without locks, when all of ours is written and not in its place yet."""
    sync = os.fsync
    theirs = b"saved by another"

    def late(handle: int) -> None:
        sync(handle)
        monkeypatch.setattr(os, "fsync", sync)
        Path("out.linewright").write_bytes(theirs)

    monkeypatch.setattr(os, "fsync", late)
    code, said = told(name, pattern)
    assert code == 2
    assert "out.linewright: it cannot be saved: somebody else has saved it meanwhile" in said
    assert Path("out.linewright").read_bytes() == theirs


def test_a_copy_is_not_written_over_what_came_there_meanwhile(
    told: Callable[[str, tuple[str, ...]], tuple[int, str]], monkeypatch: pytest.MonkeyPatch
) -> None:
    """Nothing was there when the command began, and nobody said that something may go."""
    Path("out.linewright").unlink()
    real = files.dump

    def late(*arguments: Any) -> bytes:
        Path("out.linewright").write_bytes(b"saved by another")
        return real(*arguments)

    monkeypatch.setattr(files, "dump", late)
    code, said = told("renumber", ("{file}", "-o", "{out}"))
    assert (code, "meanwhile" in said) == (2, True)
    assert Path("out.linewright").read_bytes() == b"saved by another"
