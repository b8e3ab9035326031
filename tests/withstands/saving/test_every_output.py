"""Everything the command line writes is there whole, or what was there before is: every command, every ending.

Commands are found by asking each for its options, so that a new one cannot be forgotten here.
"""

from __future__ import annotations

import argparse
import errno
import os
import shutil
from collections.abc import Callable
from pathlib import Path
from typing import NamedTuple

import pytest

from app.commands import every

pytestmark = pytest.mark.posix

SAMPLES = Path(__file__).parents[3] / "samples"
SHEETS = (".pdf", ".svg", ".png", ".dxf")
TABLES = (".pdf", ".xlsx", ".csv", ".json")


class Output(NamedTuple):
    """Arguments of a command before `-o`, and the endings it writes; "" for a folder."""

    arguments: tuple[str, ...]
    endings: tuple[str, ...]


OUTPUTS = {
    "battery-card": Output(("KETCH",), (".pdf",)),
    "calculations": Output(("LAUNCH",), TABLES),
    "card": Output(("KETCH", "--from", "At anchor", "--to", "Inverter bypassed"), (".pdf",)),
    "compare": Output(("LAUNCH", "OTHER"), SHEETS),
    "explain": Output(("no-protection",), (".pdf",)),
    "export-list": Output(("LAUNCH",), ("",)),
    "failures": Output(("KETCH",), TABLES),
    "fix": Output(("SMALL", "1"), (".linewright",)),
    "history": Output(("ISSUED", "--open", "B"), (".linewright",)),
    "import": Output(("EQUIPMENT", "RUNS"), (".linewright",)),
    "isolate": Output(("KETCH", "T1"), (".pdf",)),
    "issue": Output(("REVISED", "--by", "A. Tern", "--text", "as built"), (".linewright",)),
    "labels": Output(("LAUNCH",), TABLES),
    "merge": Output(("LAUNCH", "LAUNCH", "LAUNCH"), (".linewright",)),
    "missing": Output(("LAUNCH",), TABLES),
    "pack": Output(("LAUNCH",), ("", ".zip")),
    "panel-door": Output(("LAUNCH",), (".pdf",)),
    "paper": Output(("commissioning", "LAUNCH"), TABLES),
    "parts": Output(("LAUNCH",), TABLES),
    "place": Output(("solar", "LAUNCH", "volts=12"), (".linewright",)),
    "print": Output(("LAUNCH",), SHEETS),
    "quotation": Output(("LAUNCH",), TABLES),
    "renumber": Output(("REVISED",), (".linewright",)),
    "revise": Output(("LAUNCH",), (".linewright",)),
    "schedules": Output(("LAUNCH",), TABLES),
    "survey": Output(("SURVEYED",), (*TABLES, ".docx")),
    "symbols": Output((), (".pdf",)),
    "tidy": Output(("LAUNCH",), (".linewright",)),
    "trace": Output(("LAUNCH",), TABLES),
    "walk": Output(("LAUNCH",), TABLES),
}
EACH = [(name, ending) for name, output in OUTPUTS.items() for ending in output.endings]
FIRST = [
    ("export-list", ""),
    ("fix", ".linewright"),
    ("issue", ".linewright"),
    ("parts", ".xlsx"),
    ("print", ".dxf"),
    ("survey", ".docx"),
    ("walk", ".pdf"),
]  # of each sort one, in the default run


def options(name: str) -> set[str]:
    """Every option of a command, those of what is below it too."""
    parser = argparse.ArgumentParser()
    next(command for command in every() if name == command.NAME).add_arguments(parser)
    found: set[str] = set()
    todo = [parser]
    for each in todo:
        for action in each._actions:
            found.update(action.option_strings)
            if isinstance(action, argparse._SubParsersAction):
                todo.extend(action.choices.values())
    return found


def test_no_command_that_writes_is_forgotten() -> None:
    assert {command.NAME for command in every() if "-o" in options(command.NAME)} == set(OUTPUTS)


def given(name: str, ending: str, folder: Path, ask: Callable[..., object]) -> tuple[list[str], Path]:
    """The whole command, and what it writes to; what it needs is made in `folder`."""
    places = {
        "LAUNCH": SAMPLES / "launch" / "launch.linewright",
        "KETCH": SAMPLES / "ketch" / "ketch.linewright",
        "SMALL": SAMPLES / "first" / "first.linewright",
        "SURVEYED": SAMPLES / "workboat" / "surveyed.linewright",
        "EQUIPMENT": SAMPLES / "launch" / "equipment.csv",
        "RUNS": SAMPLES / "launch" / "runs.csv",
    }
    source = folder / "source"
    source.mkdir(exist_ok=True)
    source.chmod(0o777)
    places |= {word: source / f"{word.lower()}.linewright" for word in ("OTHER", "REVISED", "ISSUED")}
    if name == "compare":
        ask(["place", "solar", str(places["LAUNCH"]), "volts=12", "-o", str(places["OTHER"])])
    if name in ("history", "issue", "renumber"):
        ask(["revise", str(places["LAUNCH"]), "-o", str(places["REVISED"])])
    if name == "history":
        ask(["issue", str(places["REVISED"]), "--by", "A. Tern", "-o", str(places["ISSUED"])])
    target = folder / "out" / f"made{ending}"
    target.parent.mkdir(exist_ok=True)
    target.parent.chmod(0o777)
    words = [str(places.get(word, word)) for word in OUTPUTS[name].arguments]
    return [name, *words, *(["--replace"] if "--replace" in options(name) else []), "-o", str(target)], target


def whole(target: Path) -> dict[str, bytes]:
    """What was made there, a set of pages too, and all that lies beside it; but for frozen copies, made before."""
    folder = target.parent
    files = {str(p.relative_to(folder)): p.read_bytes() for p in folder.rglob("*") if p.is_file()}
    return {name: data for name, data in files.items() if not name.startswith("issued")}


def ready(name: str, ending: str, folder: Path, ask: Callable[..., object]) -> tuple[list[str], Path, dict[str, bytes]]:
    """The command with its output already there from before, and the bytes of that."""
    arguments, target = given(name, ending, folder, ask)
    said = ask(arguments)
    assert said.code in (0, 1), said  # type: ignore[attr-defined]
    before = whole(target)
    assert before, said
    assert all(before.values())
    assert not [name for name in before if "part" in Path(name).suffix]
    if ending == ".linewright":  # that this file is older must not be why it is left alone
        target.unlink()
        shutil.copy(SAMPLES / "first" / "first.linewright", target)
        before = whole(target)
    return arguments, target, before


def refused(said: object, target: Path, before: dict[str, bytes], why: str) -> None:
    """One sentence, exit code 2, the old output untouched, nothing left beside it."""
    assert said.code == 2, said  # type: ignore[attr-defined]
    told = said.told.strip()  # type: ignore[attr-defined]
    assert told.startswith("linewright: "), told
    assert told.count("\n") == 0, told
    assert why in told, told
    assert "Traceback" not in told
    assert "a fault of the program" not in told
    assert whole(target) == before


@pytest.mark.parametrize(("name", "ending"), FIRST)
def test_a_file_that_may_not_grow_leaves_the_old_one(name: str, ending: str, open_folder: Path, command_line) -> None:
    """The system stops a file at so many bytes (RLIMIT_FSIZE, EFBIG): a write that comes to nothing in its midst."""
    arguments, target, before = ready(name, ending, open_folder, command_line)
    refused(command_line(arguments, largest=16), target, before, "File too large")


@pytest.mark.long
@pytest.mark.parametrize(("name", "ending"), [each for each in EACH if each not in FIRST])
def test_a_file_that_may_not_grow_leaves_the_old_one_whatever_it_is(
    name: str, ending: str, open_folder: Path, command_line
) -> None:
    arguments, target, before = ready(name, ending, open_folder, command_line)
    refused(command_line(arguments, largest=16), target, before, "File too large")


@pytest.mark.long
@pytest.mark.root
@pytest.mark.parametrize(("name", "ending"), EACH)
def test_a_folder_or_file_that_may_not_be_written_leaves_the_old_one(
    name: str, ending: str, open_folder: Path, command_line
) -> None:
    arguments, target, before = ready(name, ending, open_folder, command_line)
    open_to_all(target)
    target.parent.chmod(0o555)
    assert person_cannot(lambda: (target.parent / "x").write_bytes(b""))
    if target.is_dir():
        target.chmod(0o555)
        assert person_cannot(lambda: (target / "x").write_bytes(b""))
    refused(command_line(arguments, person=True), target, before, "not allowed by the system")
    target.parent.chmod(0o777)
    if target.is_file():
        target.chmod(0o444)
        assert person_cannot(lambda: target.open("r+b"))
        refused(command_line(arguments, person=True), target, before, "not allowed by the system")


@pytest.mark.long
@pytest.mark.parametrize(("name", "ending"), EACH)
def test_a_folder_that_is_gone_or_a_name_that_cannot_be_is_one_sentence(
    name: str, ending: str, open_folder: Path, command_line
) -> None:
    arguments, target = given(name, ending, open_folder, command_line)
    gone = target.parent / "gone" / target.name
    for place in (*([gone] if name != "export-list" else []), target.parent / ("x" * 300 + ending)):
        said = command_line([*arguments[:-1], str(place)])
        assert said.code == 2, said
        assert said.told.strip().startswith("linewright: ")
        assert said.told.strip().count("\n") == 0
        assert not whole(target)
    if ending:
        target.mkdir()
        said = command_line(arguments)
        assert list(target.iterdir()) == []
        if not whole(target):  # else it is a set, each of its files called otherwise
            assert said.code == 2, said
            assert said.told.strip().count("\n") == 0


def open_to_all(target: Path) -> None:
    for path in target.parent.rglob("*"):
        path.chmod(0o777 if path.is_dir() else 0o666)


def person_cannot(work: Callable[[], object]) -> bool:
    """Whether somebody without rights is really kept from it: an obstacle that is none proves nothing."""
    child = os.fork()
    if child == 0:  # pragma: no cover - in the child
        code = 1
        try:
            os.setgroups([])
            os.setgid(65534)
            os.setuid(65534)
            work()
        except OSError as fault:
            code = 0 if fault.errno in (errno.EACCES, errno.EPERM, errno.EROFS) else 2
        finally:
            os._exit(code)
    return os.waitstatus_to_exitcode(os.waitpid(child, 0)[1]) == 0
