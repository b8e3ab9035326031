"""Two programs on one file, a command line and a file manager between them: no save is silently written over.

`scene.py` says what is played and what is asked of every change on the disk; `program.py` are the programs, each a real
process with the real window or the real command line.
"""

from __future__ import annotations

import errno
from collections import Counter
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

pytestmark = [pytest.mark.qt, pytest.mark.posix]

PROGRAM = Path(__file__).with_name("program.py")
SCENE = Path(__file__).with_name("scene.py")
STEPS = 22


def played(
    folder: Path, nursery_of: Callable[..., Any], script_of: Callable[[Path], Any], seeds: range
) -> Counter[str]:
    """Each seed an interleaving; every fifth on a file system without locks."""
    came: Counter[str] = Counter()
    scenes = script_of(SCENE)
    with nursery_of(PROGRAM) as nursery:
        hands = [scenes.Hand(name, folder / f"home of {name}") for name in "AB"]
        for seed in seeds:
            locks = 0 if seed % 5 else (errno.ENOLCK, errno.ENOTSUP)[seed % 2]
            scene = scenes.Scene(folder / str(seed), nursery, hands, seed, locks)
            try:
                scene.play(STEPS)
            except AssertionError as fault:
                raise AssertionError("\n".join([f"seed {seed}", *scene.story, str(fault)])) from None
            finally:
                scene.clear()
            came += scene.came
        for hand in hands:
            hand.end()
    print(dict(came))
    return came


def test_no_save_is_silently_written_over(
    tmp_path: Path, nursery_of: Callable[..., Any], script_of: Callable[[Path], Any]
) -> None:
    came = played(tmp_path, nursery_of, script_of, range(9))
    assert came["saved"] > 5


@pytest.mark.long
def test_no_save_is_silently_written_over_in_many_interleavings(
    tmp_path: Path, nursery_of: Callable[..., Any], script_of: Callable[[Path], Any]
) -> None:
    came = played(tmp_path, nursery_of, script_of, range(1000, 1200))
    for what in (
        "saved", "not saved", "The file has changed", "written over as answered", "stopped amid a save", "recovered",
        "killed", "open to read only", "command gave 0", "command refused: in use", "command refused: saved meanwhile",
    ):  # fmt: skip
        assert came[what] > 1, (what, came)
