"""What tests of saving share: the command line in a forked child that lacks room, or rights."""

from __future__ import annotations

import importlib
import io
import json
import os
import pkgutil
import resource
import shutil
import tempfile
from collections.abc import Callable, Iterator, Sequence
from pathlib import Path
from typing import NamedTuple

import pytest

NOBODY = 65534
LEFT_OUT = ("app.window", "app.canvas", "encodings.mbcs", "encodings.oem")  # Qt; what is of Windows alone


class Said(NamedTuple):
    """What a run of the command line left: its exit code, what it printed, what it told of errors."""

    code: int
    out: str
    told: str


def _warm() -> None:
    """Everything a command may need is read here, once, not in each child."""
    import encodings

    import app
    import engine
    import symbols

    # codecs too: where a person without rights may not read Python's own folder, they would be missed
    for package in (encodings, engine, symbols, app):
        for found in pkgutil.walk_packages(package.__path__, f"{package.__name__}.", onerror=lambda _name: None):
            if not found.name.startswith(LEFT_OUT) and not found.name.endswith("__main__"):
                importlib.import_module(found.name)


def run(arguments: Sequence[str], *, home: Path, largest: int = -1, person: bool = False) -> Said:
    """The command line in a forked child; `largest` bytes of a file at most, or as somebody who owns nothing."""
    reads, writes = os.pipe()
    child = os.fork()
    if child == 0:  # pragma: no cover - in the child
        code, out, told = -1, io.StringIO(), io.StringIO()
        try:
            import sys

            from app.cli import main

            for name in ("XDG_DATA_HOME", "XDG_CONFIG_HOME", "XDG_CACHE_HOME", "HOME"):
                os.environ[name] = str(home)
            sys.stdout, sys.stderr = out, told
            if largest >= 0:
                resource.setrlimit(resource.RLIMIT_FSIZE, (largest, largest))
            if person and os.geteuid() == 0:
                # what is read on the way is read before: the folder of Python itself may be closed to others
                elsewhere = home / "before" / Path(arguments[-1]).name
                elsewhere.parent.mkdir(exist_ok=True)
                main([*arguments[:-1], str(elsewhere)])
                out.truncate(0)
                told.truncate(0)
                out.seek(0)
                told.seek(0)
                os.setgroups([])
                os.setgid(NOBODY)
                os.setuid(NOBODY)
            code = main(list(arguments))
        except BaseException as fault:
            told.write(f"{type(fault).__name__}: {fault}")
        with os.fdopen(writes, "wb") as pipe:
            pipe.write(json.dumps([code, out.getvalue(), told.getvalue()]).encode())
        os._exit(0)
    os.close(writes)
    with os.fdopen(reads, "rb") as pipe:
        said = pipe.read()
    os.waitpid(child, 0)
    return Said(*json.loads(said))


@pytest.fixture
def open_folder() -> Iterator[Path]:
    """A folder that anyone may look into and write into: pytest's own is closed to other users."""
    made = Path(tempfile.mkdtemp())
    made.chmod(0o777)
    yield made
    for path in (made, *made.rglob("*")):
        if path.is_dir() and not path.is_symlink():
            path.chmod(0o777)
    shutil.rmtree(made)


@pytest.fixture
def command_line(open_folder: Path) -> Callable[..., Said]:
    """`command_line(arguments, largest=..., person=...)`: see `run`. What it remembers goes beside, into `home`."""
    _warm()
    home = open_folder / "home"
    home.mkdir()
    home.chmod(0o777)

    def ask(arguments: Sequence[str], **lacks: object) -> Said:
        return run(arguments, home=home, **lacks)  # type: ignore[arg-type]

    return ask
