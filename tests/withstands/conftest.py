"""What tests share that kill programs, or set one against another: children forked from a process that is warm."""

from __future__ import annotations

import importlib.util
import json
import os
import signal
import socket
import subprocess
import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from types import ModuleType
from typing import Any

import pytest

SCRIPT = Path(__file__).with_name("nursery.py")


def read(path: Path) -> ModuleType:
    """A script beside the tests, as a module."""
    spec = importlib.util.spec_from_file_location(path.stem, path)
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


class Child:
    """A forked process: `line` to talk over, `kill`, `ended` for its exit code."""

    def __init__(self, nursery: Nursery, run: str, asked: Any) -> None:
        ours, theirs = socket.socketpair()
        self.pid = int(nursery.ask({"run": run, "with": asked}, theirs))
        theirs.close()
        self.line = nursery.talk.Line(ours)
        self._nursery = nursery

    def kill(self) -> None:
        """`kill -9`. It is not reaped before `ended`, so the number is still its own."""
        assert self.pid
        os.kill(self.pid, signal.SIGKILL)

    def ended(self) -> int:
        """Its exit code once it has ended."""
        code = int(self._nursery.ask({"wait": self.pid}))
        self.pid = 0  # from now on it may be another's
        self.line.close()
        return code


class Nursery:
    """The warm process."""

    def __init__(self, script: Path, environment: dict[str, str]) -> None:
        self.talk = read(SCRIPT)
        self._control, theirs = socket.socketpair()
        self.process = subprocess.Popen(
            [sys.executable, str(SCRIPT), str(theirs.fileno()), str(script)],
            pass_fds=[theirs.fileno()],
            env=os.environ | environment,
        )
        theirs.close()
        assert self._control.recv(5) == b"ready"

    def ask(self, wanted: Any, handle: socket.socket | None = None) -> Any:
        data = json.dumps(wanted).encode()
        assert len(data) < 2**16
        if handle is None:
            self._control.sendall(data)
        else:
            socket.send_fds(self._control, [data], [handle.fileno()])
        return json.loads(self._control.recv(100))

    def child(self, run: str, asked: Any) -> Child:
        return Child(self, run, asked)

    def close(self) -> None:
        self._control.close()
        self.process.wait(60)


@contextmanager
def open_nursery(script: Path, **environment: str) -> Iterator[Nursery]:
    """A nursery for the functions of a script."""
    made = Nursery(script, environment)
    try:
        yield made
    finally:
        made.close()


@pytest.fixture(scope="session")
def nursery_of() -> Callable[..., Any]:
    """`with nursery_of(script) as nursery:`."""
    return open_nursery


@pytest.fixture(scope="session")
def script_of() -> Callable[[Path], ModuleType]:
    """`script_of(path)`: a script beside the tests as a module."""
    return read
