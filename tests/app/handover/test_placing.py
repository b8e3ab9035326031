"""Many files as one: all of them or none, and nothing of anybody's is lost."""

from __future__ import annotations

import contextlib
import hashlib
import json
import os
import subprocess
import sys
import textwrap
import zipfile
from pathlib import Path

import pytest

from app.handover.placing import MANIFEST, PlaceError, place_for


def _manifest(files: dict[str, bytes]) -> bytes:
    listed = [{"name": n, "sha256": hashlib.sha256(d).hexdigest()} for n, d in files.items()]
    return json.dumps({"made_by": "linewright", "files": listed}).encode()


def _write(path: Path, files: dict[str, bytes]) -> tuple[str, ...]:
    with place_for(path) as place:
        for name, data in files.items():
            place.put(name, data)
        place.put(MANIFEST, _manifest(files))
        return place.finish()


def _there(folder: Path) -> dict[str, bytes]:
    return {p.relative_to(folder).as_posix(): p.read_bytes() for p in folder.rglob("*") if p.is_file()}


def test_a_folder_is_made_with_all_files(tmp_path: Path) -> None:
    assert _write(tmp_path / "pack", {"a.pdf": b"1", "tables/b.csv": b"2"}) == ()
    there = _there(tmp_path / "pack")
    assert (there["a.pdf"], there["tables/b.csv"], len(there)) == (b"1", b"2", 3)
    assert [p.name for p in tmp_path.iterdir()] == ["pack"]


def test_a_second_pack_replaces_the_first_and_takes_away_what_is_no_part_any_more(tmp_path: Path) -> None:
    _write(tmp_path / "pack", {"a.pdf": b"1", "tables/b.csv": b"2"})
    _write(tmp_path / "pack", {"a.pdf": b"3"})
    assert set(_there(tmp_path / "pack")) == {"a.pdf", MANIFEST}
    assert not (tmp_path / "pack" / "tables").exists()


def test_what_somebody_filled_in_or_added_is_kept(tmp_path: Path) -> None:
    _write(tmp_path / "pack", {"readings.xlsx": b"empty", "old.pdf": b"1"})
    (tmp_path / "pack" / "readings.xlsx").write_bytes(b"filled in aboard")
    (tmp_path / "pack" / "photograph.jpg").write_bytes(b"own")
    told = _write(tmp_path / "pack", {"readings.xlsx": b"empty again"})
    there = _there(tmp_path / "pack")
    assert there["readings-kept-1.xlsx"] == b"filled in aboard"
    assert there["readings.xlsx"] == b"empty again"
    assert there["photograph.jpg"] == b"own"
    assert "old.pdf" not in there
    assert len(told) == 1
    assert "readings-kept-1.xlsx" in told[0]


@pytest.mark.parametrize("name", ["pack", "pack.zip"])
def test_what_is_given_up_leaves_everything_as_it_was(tmp_path: Path, name: str) -> None:
    _write(tmp_path / name, {"a.pdf": b"1"})
    before = _there(tmp_path)
    with place_for(tmp_path / name) as place:
        place.put("a.pdf", b"2")
    assert _there(tmp_path) == before


def test_a_folder_of_somebody_elses_files_is_refused(tmp_path: Path) -> None:
    (tmp_path / "own").mkdir()
    (tmp_path / "own" / "letter.txt").write_text("dear")
    with pytest.raises(PlaceError, match="holds no pack"):
        place_for(tmp_path / "own")
    (tmp_path / "own.zip").write_bytes(b"no zip")
    with pytest.raises(PlaceError, match="is no pack"):
        place_for(tmp_path / "own.zip")
    with pytest.raises(PlaceError, match="is a file"):
        place_for(tmp_path / "own" / "letter.txt")
    with pytest.raises(PlaceError, match="no folder"):
        place_for(tmp_path / "gone" / "pack")


def test_a_manifest_that_names_files_elsewhere_takes_nothing_away(tmp_path: Path) -> None:
    (tmp_path / "precious.txt").write_text("x")
    (tmp_path / "pack").mkdir()
    digest = hashlib.sha256(b"x").hexdigest()
    names = ["../precious.txt", str(tmp_path / "precious.txt"), "..\\precious.txt", "", ".", "\0", "C:precious.txt"]
    evil = {"made_by": "linewright", "files": [{"name": n, "sha256": digest} for n in names]}
    (tmp_path / "pack" / MANIFEST).write_text(json.dumps(evil))
    _write(tmp_path / "pack", {"a.pdf": b"1"})
    assert (tmp_path / "precious.txt").read_text() == "x"


@pytest.mark.parametrize(
    "manifest", [b"[" * 200_000, b"{" + b" " * (9 << 20), b"\xff", b"{}", b'{"made_by": "linewright"}']
)
@pytest.mark.parametrize("packing", [zipfile.ZIP_STORED, zipfile.ZIP_DEFLATED, zipfile.ZIP_LZMA])
def test_a_zip_that_somebody_else_made_is_never_written_over(tmp_path: Path, manifest: bytes, packing: int) -> None:
    """Its manifest is read no further than one of ours would reach, and whatever is wrong with it makes it none."""
    with zipfile.ZipFile(tmp_path / "own.zip", "w", packing) as made:
        made.writestr(MANIFEST, manifest)
    whole = (tmp_path / "own.zip").read_bytes()
    for data in (
        whole,
        whole.replace(b"PK\x01\x02\x14\x03\x14\0\0", b"PK\x01\x02\x14\x03\x14\0\x01"),
        whole[:40] + whole[44:],
    ):
        (tmp_path / "own.zip").write_bytes(data)
        with pytest.raises(PlaceError):
            place_for(tmp_path / "own.zip")
        assert (tmp_path / "own.zip").read_bytes() == data
    (tmp_path / "pack").mkdir()
    (tmp_path / "pack" / MANIFEST).write_bytes(manifest)
    (tmp_path / "pack" / "precious.txt").write_bytes(b"x")
    with contextlib.suppress(PlaceError):
        _write(tmp_path / "pack", {"a.pdf": b"1"})
    assert (tmp_path / "pack" / "precious.txt").read_bytes() == b"x"


def test_a_zip_has_the_same_bytes_every_time_and_opens(tmp_path: Path) -> None:
    files = {"a.pdf": b"1" * 1000, "tables/b.csv": b"2"}
    _write(tmp_path / "one.zip", files)
    _write(tmp_path / "two.zip", files)
    assert (tmp_path / "one.zip").read_bytes() == (tmp_path / "two.zip").read_bytes()
    with zipfile.ZipFile(tmp_path / "one.zip") as made:
        assert made.testzip() is None
        assert made.read("tables/b.csv") == b"2"
        assert {info.date_time for info in made.infolist()} == {(1980, 1, 1, 0, 0, 0)}
    assert sorted(os.listdir(tmp_path)) == ["one.zip", "two.zip"]


@pytest.mark.posix
@pytest.mark.parametrize("name", ["pack", "pack.zip"])
def test_a_full_disk_leaves_the_old_pack_whole(tmp_path: Path, name: str) -> None:
    """A process that may write no file above 4 kB stands for a disk without room."""
    _write(tmp_path / name, {"a.pdf": b"1"})
    before = _there(tmp_path)
    script = textwrap.dedent("""
        import os, resource, signal, sys
        from app.handover.placing import place_for
        signal.signal(signal.SIGXFSZ, signal.SIG_IGN)
        resource.setrlimit(resource.RLIMIT_FSIZE, (4096, 4096))
        try:
            with place_for(sys.argv[1]) as place:
                place.put("a.pdf", b"2")
                place.put("b.pdf", os.urandom(100_000))
                place.finish()
        except OSError as fault:
            sys.exit(f"refused {fault.errno}")
    """)
    ended = subprocess.run([sys.executable, "-c", script, str(tmp_path / name)], capture_output=True, text=True)
    assert "refused" in ended.stderr
    assert _there(tmp_path) == before
