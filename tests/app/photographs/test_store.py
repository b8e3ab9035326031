"""Photographs are kept once beside the drawing; what is missing or altered is told."""

from __future__ import annotations

import errno
import json
import os
import subprocess
import sys
from pathlib import Path

import msgspec
import pytest
from PIL import Image

from app.photographs import (
    PhotographFault,
    Store,
    Taken,
    carried_over,
    existing,
    kept,
    recorded,
    store_of,
    strays,
    take,
)
from engine.edits import Put, apply
from engine.edits.draft import Draft
from engine.files.drawing import save
from engine.installation import Deficiency, Installation, Photograph


@pytest.fixture(scope="module")
def taken(tmp_path_factory: pytest.TempPathFactory) -> Taken:
    path = tmp_path_factory.mktemp("camera") / "IMG_0042.jpg"
    Image.linear_gradient("L").convert("RGB").save(path)
    return take(path)


@pytest.fixture
def drawing(taken: Taken) -> Installation:
    made = Installation()
    apply(made, Put("photographs", made.new_id("photographs"), taken.record))
    [item] = made.tables["photographs"]
    apply(made, Put("deficiencies", made.new_id("deficiencies"), Deficiency(number=4, photographs=(item,))))
    return made


def test_it_is_kept_once_under_its_checksum(taken: Taken, tmp_path: Path) -> None:
    store = store_of(tmp_path / "heron.linewright")
    store.put(taken)
    written = store.path(taken.record).stat().st_mtime_ns
    store.put(taken)
    assert [path.name for path in (tmp_path / "photographs").iterdir()] == [f"{taken.record.sha256}.jpg"]
    assert store.path(taken.record).stat().st_mtime_ns == written
    assert store.read(taken.record) == taken.data
    with Image.open(store.path(taken.record)) as image:
        assert image.size == (256, 256)


def test_what_was_altered_is_told_and_can_be_taken_again(taken: Taken, tmp_path: Path) -> None:
    store = Store(tmp_path)
    store.put(taken)
    other = bytearray(taken.data)
    other[-3] ^= 1
    store.path(taken.record).write_bytes(bytes(other))
    assert store.state(taken.record) == "altered"
    with pytest.raises(PhotographFault, match=r"IMG_0042\.jpg.*altered"):
        store.read(taken.record)
    store.put(taken)
    assert store.state(taken.record) == "there"


def test_what_is_missing_is_told(taken: Taken, tmp_path: Path) -> None:
    store = Store(tmp_path / "nowhere")
    assert store.state(taken.record) == "missing"
    with pytest.raises(PhotographFault, match=r"IMG_0042\.jpg.*missing"):
        store.read(taken.record)
    assert not (tmp_path / "nowhere").exists()


def test_a_drawing_from_elsewhere_names_no_file_outside(taken: Taken, tmp_path: Path) -> None:
    (tmp_path / "secret.jpg").write_bytes(taken.data)
    store = Store(tmp_path / "photographs")
    odd = msgspec.structs.replace(taken.record, sha256="../secret")
    with pytest.raises(PhotographFault, match="checksum"):
        store.read(odd)
    assert store.state(odd) == "missing"


def test_a_file_that_is_no_photograph_of_ours_is_not_opened(tmp_path: Path) -> None:
    import hashlib

    store = Store(tmp_path)
    for data in (b"no picture", b"\xff\xd8\xff\xc0\x00\x11\x08\xff\xff\xff\xff\x03" + b"\0" * 99):
        record = Photograph(sha256=hashlib.sha256(data).hexdigest(), name="a")
        store.write(record.sha256, data)
        assert store.state(record) == "altered"


@pytest.mark.posix
def test_a_folder_that_cannot_be_written_is_one_sentence(
    taken: Taken, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    (tmp_path / "photographs").write_text("a file in the way")
    with pytest.raises(PhotographFault) as fault:
        Store(tmp_path / "photographs").put(taken)
    assert "IMG_0042.jpg cannot be kept in" in str(fault.value)

    def full(*_arguments: object) -> None:
        raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))

    monkeypatch.setattr("app.photographs.store.write_bytes", full)
    with pytest.raises(PhotographFault, match="the disk is full"):
        Store(tmp_path / "other").put(taken)


def test_a_drawing_saved_elsewhere_has_its_photographs_there(
    taken: Taken, drawing: Installation, tmp_path: Path
) -> None:
    old, new = store_of(tmp_path / "a" / "x.linewright"), store_of(tmp_path / "b" / "y.linewright")
    old.put(taken)
    snapshot = drawing.snapshot()
    assert carried_over(snapshot, old, new) == ()
    assert new.read(taken.record) == taken.data
    assert old.read(taken.record) == taken.data
    [told] = carried_over(snapshot, Store(tmp_path / "none"), Store(tmp_path / "empty"))
    assert "missing" in told


def test_carrying_in_a_process_of_its_own(taken: Taken, drawing: Installation, tmp_path: Path) -> None:
    (tmp_path / "b").mkdir()
    path = tmp_path / "b" / "y.linewright"
    save(drawing, path)
    Store(tmp_path / "a").put(taken)
    command = [sys.executable, "-P", "-m", "app.photographs.carrying", str(path)]
    for folders, told in (([str(tmp_path / "none")], 1), ([str(tmp_path / "none"), str(tmp_path / "a")], 0)):
        done = subprocess.run([*command, *folders], capture_output=True, check=True)
        assert len(json.loads(done.stdout)) == told
    assert store_of(path).state(taken.record) == "there"


def test_the_same_photograph_has_one_record(taken: Taken, drawing: Installation) -> None:
    snapshot = drawing.snapshot()
    [item] = snapshot.photographs
    other = Taken(msgspec.structs.replace(taken.record, sha256="0" * 64, name="copy.jpg"), b"")  # of another size
    assert existing(snapshot, taken) == existing(snapshot, other) == item
    draft = Draft(snapshot, drawing.last_id)
    assert recorded(draft, taken) == item
    new = Taken(Photograph(sha256="1" * 64), b"")
    made = recorded(draft, new)
    assert made != item
    assert recorded(draft, new) == made, "twice in one act"


def test_the_list_tells_who_uses_what_and_what_nobody_does(taken: Taken, drawing: Installation, tmp_path: Path) -> None:
    store = Store(tmp_path)
    snapshot = drawing.snapshot()
    [one] = kept(snapshot, store)
    [user] = snapshot.deficiencies
    assert (one.state, one.name, one.used_by) == ("missing", "IMG_0042.jpg", (user,))
    store.put(taken)
    (tmp_path / "stray.jpg").write_bytes(b"x")
    assert kept(snapshot, store)[0].state == "there"
    assert [path.name for path in strays(snapshot, store)] == ["stray.jpg"]
