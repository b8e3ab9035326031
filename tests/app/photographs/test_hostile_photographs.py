"""Photographs made to do harm: the process that reads them keeps one, or tells why, and takes no more than it may."""

from __future__ import annotations

import io
import json
import os
import sys
from pathlib import Path
from typing import Any

import pytest
from harmful_pictures import pictures, png

from app.photographs import reader
from app.photographs.faults import FAULTS, sentence

PICTURES = pictures()
KEPT = {  # what is a photograph all the same
    "64 kB from the camera", "places of the camera in a ring", "100 000 chunks of words",
    "rows of a PNG that go on for ever", "a TIFF in a ring", "a TIFF with four thousand million values",
}  # fmt: skip


def asked(folder: Path, data: bytes) -> dict[str, Any]:
    """What the reading process would tell."""
    (folder / "IMG.jpg").write_bytes(data)
    sys.stdout = out = io.StringIO()
    os.dup2(os.open(os.devnull, os.O_WRONLY), 2)  # decoders speak of what they mend
    assert reader.main([str(folder / "IMG.jpg"), str(folder), "200", "60000", "0"]) == 0
    return dict(json.loads(out.getvalue()))


@pytest.mark.posix
@pytest.mark.parametrize("what", PICTURES)
def test_it_is_kept_or_refused_in_a_sentence(tmp_path: Path, what: str) -> None:
    from held_back import held_back

    held = held_back(lambda: asked(tmp_path, PICTURES[what]), seconds=4, mb=1000)
    assert (held.fault, held.ended) == (None, "")
    said = held.value
    if "fault" not in said:
        assert what in KEPT
        assert (tmp_path / f"{said['sha256']}.jpg").stat().st_size <= 60_000
        assert max(said["width"], said["height"]) <= 200
    else:
        assert said["fault"] in FAULTS
        told = sentence(said["fault"], "IMG.jpg", **{k: v for k, v in said.items() if k not in ("fault", "name")})
        assert told.startswith("IMG.jpg ")
        assert sorted(path.name for path in tmp_path.iterdir()) == ["IMG.jpg"]
    assert held.mb < 400


@pytest.mark.posix
@pytest.mark.long
def test_the_largest_that_is_read_stays_within_the_memory_it_is_given(tmp_path: Path) -> None:
    """250 million dots out of 30 kB: kept, or told to ask for too much; 2 GB are never passed."""
    from held_back import held_back

    side = 15_800
    data = png(side, side, bytes((side // 8 + 1) * side), depth=1)
    assert len(data) < 100_000
    held = held_back(lambda: asked(tmp_path, data), seconds=60, mb=3000)
    assert (held.fault, held.ended) == (None, "")
    assert held.value.get("fault", "memory") == "memory"
    assert held.mb < 2_100


@pytest.mark.posix
def test_a_pipe_a_device_and_a_folder_are_not_waited_for(tmp_path: Path) -> None:
    from held_back import held_back

    os.mkfifo(tmp_path / "pipe.jpg")
    for name, why in (("pipe.jpg", "no file"), ("/dev/zero", "no file"), ("", "folder"), ("none.jpg", "missing")):

        def one(name: str = name) -> dict[str, Any]:
            sys.stdout = out = io.StringIO()
            reader.main([str(tmp_path / name), str(tmp_path), "200", "60000", "0"])
            return dict(json.loads(out.getvalue()))

        assert held_back(one).value == {"fault": why}
