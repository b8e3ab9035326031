"""Of a pack every file, and every folder, is on the disk before a name of it changes; its place afterwards."""

from __future__ import annotations

import hashlib
import json
import os
from collections.abc import Callable
from pathlib import Path

import pytest

from app.handover import placing
from app.handover.placing import MANIFEST, place_for

pytestmark = pytest.mark.posix


class Watch:
    """What was synced so far, by inode; what was renamed unsynced; the folders settled after the last rename."""

    def __init__(self, patch: pytest.MonkeyPatch, *, blind: bool = False) -> None:
        self.synced: set[int] = set()
        self.unsynced: list[str] = []
        self.settled: set[int] = set()
        self.moves = 0
        sync, rename, replace = os.fsync, os.rename, os.replace

        def fsync(handle: int) -> None:
            sync(handle)
            if not blind:
                self.synced.add(os.fstat(handle).st_ino)
                self.settled.add(os.fstat(handle).st_ino)

        def moved(move: Callable[..., None]) -> Callable[..., None]:
            def call(old: Path, new: Path) -> None:
                path = Path(old)
                parts = [path, *path.rglob("*")] if path.is_dir() else [path]
                self.unsynced += [str(each) for each in parts if each.stat().st_ino not in self.synced]
                self.settled.clear()
                self.moves += 1
                move(old, new)

            return call

        patch.setattr(os, "fsync", fsync)
        patch.setattr(os, "rename", moved(rename))
        patch.setattr(os, "replace", moved(replace))


def made(target: Path, content: bytes) -> None:
    with place_for(target) as place:
        place.put("a.pdf", content)
        place.put("b/c.csv", content)
        files = [{"name": name, "sha256": hashlib.sha256(content).hexdigest()} for name in ("a.pdf", "b/c.csv")]
        place.put(MANIFEST, json.dumps({"made_by": "linewright", "files": files}).encode())
        place.finish()


@pytest.mark.parametrize("name", ["pack", "pack.zip"])
@pytest.mark.parametrize("there", [False, True], ids=["new", "there already"])
def test_nothing_of_a_pack_gets_its_name_before_it_is_on_the_disk(
    name: str, there: bool, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    target = tmp_path / name
    if there:
        made(target, b"old")
    watch = Watch(monkeypatch)
    made(target, b"new")
    assert watch.moves >= 1
    assert watch.unsynced == []
    settled = {target, target / "b"} if there and target.is_dir() else {tmp_path}
    assert {folder.stat().st_ino for folder in settled} <= watch.settled


@pytest.mark.parametrize("name", ["pack", "pack.zip"])
def test_a_sync_that_is_left_out_is_found(name: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    watch = Watch(monkeypatch, blind=True)
    made(tmp_path / name, b"new")
    assert watch.unsynced


def test_folders_that_are_not_settled_are_found(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(placing, "settle", lambda _folder: None)
    watch = Watch(monkeypatch)
    made(tmp_path / "pack", b"new")
    assert any(Path(each).name == "b" for each in watch.unsynced)
