"""Taking a photograph from a file: read by a process of its own, which nothing it holds can harm."""

from __future__ import annotations

import contextlib
import json
import logging
import os
import subprocess
import sys
import tempfile
from pathlib import Path
from typing import Any, NamedTuple

from app.photographs.faults import PATIENCE_S, PhotographFault, sentence
from engine.files.errors import reason
from engine.installation import Photograph
from engine.words import _

__all__ = [
    "LONGEST",
    "MOST_BYTES",
    "Taken",
    "arguments_for",
    "last_line",
    "record_of",
    "shown_name",
    "surroundings",
    "take",
]

LONGEST = 1600  # dots of the long side
MOST_BYTES = 600_000
log = logging.getLogger(__name__)


class Taken(NamedTuple):
    """A photograph as it is kept."""

    record: Photograph
    data: bytes  # JPEG


def arguments_for(path: Path, folder: Path, longest: int, most_bytes: int, keep_location: bool) -> list[str]:
    """What Python is started with to read one photograph into a folder."""
    return ["-P", "-m", "app.photographs.reader", str(path), str(folder), str(longest), str(most_bytes),
            "1" if keep_location else "0"]  # fmt: skip


def take(path: Path, *, keep_location: bool = False, longest: int = LONGEST, most_bytes: int = MOST_BYTES) -> Taken:
    """A photograph out of any file: upright, sRGB, `longest` dots and `most_bytes` at most, nothing told beside it.

    Raises `PhotographFault` with one sentence. Nothing of the drawing or its folder is touched.
    """
    name = shown_name(path)
    try:
        with tempfile.TemporaryDirectory(prefix="linewright-") as folder:
            said = _ask(arguments_for(path, Path(folder), longest, most_bytes, keep_location), name)
            record = record_of(said, name)
            return Taken(record, (Path(folder) / f"{record.sha256}.jpg").read_bytes())
    except OSError as fault:
        raise PhotographFault(
            _("{name} cannot be read: there is no place for it meanwhile ({why}).").format(name=name, why=reason(fault))
        ) from None


def shown_name(path: Path) -> str:
    """The name of a file as it can be written."""
    return path.name.encode("utf-8", "replace").decode() or str(path)


def record_of(said: dict[str, Any], name: str) -> Photograph:
    """What the reading process told, as a record. Raises `PhotographFault` with its reason where there is none."""
    if "fault" in said:
        values = {key: value for key, value in said.items() if key not in ("fault", "name")}
        raise PhotographFault(sentence(str(said["fault"]), name, **values))
    try:
        return Photograph(
            sha256=str(said["sha256"]), source_sha256=str(said["source_sha256"]), name=str(said["name"]),
            width=int(said["width"]), height=int(said["height"]), taken=str(said["taken"]),
            location=str(said["location"]),
        )  # fmt: skip
    except (KeyError, TypeError, ValueError):
        raise PhotographFault(sentence("ended", name)) from None


def last_line(told: bytes) -> dict[str, Any]:
    """The one line of JSON a process said; nothing where it said none."""
    with contextlib.suppress(ValueError, IndexError):
        found = json.loads(told.decode("utf-8", "replace").strip().splitlines()[-1])
        if isinstance(found, dict):
            return found
    return {}


def surroundings() -> dict[str, str]:
    """The environment of a process that reads for this one: it finds this program and speaks its language."""
    import app
    from app import words

    assert app.__file__ is not None
    known = os.environ.get("PYTHONPATH", "")
    root = str(Path(app.__file__).parents[1])
    return {
        **os.environ,
        words.ENVIRONMENT: words.speaks(),
        "PYTHONPATH": os.pathsep.join(part for part in (root, known) if part),
    }


def _ask(arguments: list[str], name: str) -> dict[str, Any]:
    try:
        done = subprocess.run(  # noqa: S603  # this program itself
            [sys.executable, *arguments], capture_output=True, timeout=PATIENCE_S, check=False, env=surroundings(),
            stdin=subprocess.DEVNULL,
        )  # fmt: skip
    except subprocess.TimeoutExpired:
        raise PhotographFault(sentence("slow", name, seconds=PATIENCE_S)) from None
    if done.returncode != 0:
        log.info(
            "a photograph could not be read (%d): %s", done.returncode, done.stderr[-500:].decode("utf-8", "replace")
        )
        raise PhotographFault(sentence("ended", name))
    return last_line(done.stdout)
