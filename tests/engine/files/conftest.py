"""What tests of files share: doing without the rights of root, in a folder others may look into."""

from __future__ import annotations

import os
import shutil
import tempfile
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

NOBODY = 65534


def _as_a_person(work: Callable[[], str]) -> str:
    """What `work` returns in a child process without the rights of root."""
    reads, writes = os.pipe()
    child = os.fork()
    if child == 0:  # pragma: no cover - in the child
        try:
            if os.geteuid() == 0:
                os.setgroups([])
                os.setgid(NOBODY)
                os.setuid(NOBODY)
            said = work()
        except BaseException as fault:
            said = f"{type(fault).__name__} {fault}"
        os.write(writes, said.encode())
        os._exit(0)
    os.close(writes)
    with os.fdopen(reads, "rb") as pipe:
        said = pipe.read().decode()
    os.waitpid(child, 0)
    return said


@pytest.fixture
def as_a_person() -> Callable[[Callable[[], str]], str]:
    """`as_a_person(work)`: what `work` returns in a child process without the rights of root."""
    return _as_a_person


@pytest.fixture
def folder() -> Iterator[Path]:
    """A folder that anyone may write into: pytest's own is closed to other users."""
    made = Path(tempfile.mkdtemp())
    made.chmod(0o777)
    yield made
    made.chmod(0o777)
    shutil.rmtree(made)
