"""`linewright renumber`: what is written, what is refused and in which words."""

from __future__ import annotations

import csv
import json
from pathlib import Path

import pytest

from app.cli import main
from engine.builder import Builder
from engine.edits import Put, apply
from engine.files.drawing import load, save
from engine.installation import Revision


def _drawing(folder: Path, *revisions: Revision) -> Path:
    b = Builder()
    b.add("battery_bank", "G1", unit_v=12.8, place="engine space")
    b.add("fuse", "F3", rating_a=100, label="<b>&=1+1", place="locker")
    b.add("load", "E9", dc_v=12, current_a=2)
    b.run("W8", "G1.pos", "F3.in")
    b.run("W1", "F3.out", "E9.in")
    for n, revision in enumerate(revisions, 50):
        apply(b.installation, Put("revisions", f"v{n}", revision))
    path = folder / "gull.linewright"
    save(b.installation, path)
    return path


def _names(path: Path) -> set[str]:
    i = load(str(path)).installation
    return {r.designation for t in ("equipment", "runs") for _i, r in i.items(t)}


def test_it_tells_what_would_be_renamed_and_writes_nothing(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = _drawing(tmp_path)
    before = path.read_bytes()
    assert main(["renumber", str(path)]) == 0
    assert "F3 -> F1\nE9 -> E1\n" in capsys.readouterr().out
    assert path.read_bytes() == before


def test_a_copy_and_the_list_of_labels_with_both_ends(tmp_path: Path) -> None:
    path, out, labels = _drawing(tmp_path), tmp_path / "new.linewright", tmp_path / "labels.csv"
    assert main(["renumber", str(path), "-o", str(out), "--list", str(labels)]) == 0
    assert _names(out) == {"G1", "F1", "E1", "W1", "W2"}
    rows = list(csv.DictReader(labels.read_text(encoding="utf-8-sig").splitlines()))
    told = {(r["Place"], r["It says"], r["It is to say"]) for r in rows}
    assert ("locker", "F3", "F1") in told
    assert {"engine space", "locker"} == {place for place, old, _new in told if old.startswith("W8")}
    assert len([r for r in rows if r["It says"].startswith("W1 ")]) == 2  # its name and where it arrives
    table = tmp_path / "labels.json"
    assert main(["renumber", str(path), "--only", "f3", "--list", str(table)]) == 0
    assert "F3" in json.dumps(json.loads(table.read_text()))


def test_an_issued_drawing_is_refused_until_a_revision_is_begun(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path, out = _drawing(tmp_path, Revision(index="C", issued=True)), tmp_path / "new.linewright"
    assert main(["renumber", str(path), "-o", str(out)]) == 2
    assert "revision C is issued" in capsys.readouterr().err
    assert not out.exists()
    path = _drawing(tmp_path, Revision(index="C", issued=True), Revision(index="D"))
    assert main(["renumber", str(path), "-o", str(out)]) == 0
    fuse = next(r for r in load(str(out)).installation.equipment.values() if r.designation == "F1")
    assert fuse.old_marking == "F3"


@pytest.mark.parametrize("more", [["--only", "Q77"], ["--sheet", "9"], ["-o", "gull.pdf"], ["--list", "x.doc"]])
def test_what_cannot_be_is_said_in_one_line(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], more: list[str]
) -> None:
    assert main(["renumber", str(_drawing(tmp_path)), *more]) == 2
    assert len(capsys.readouterr().err.strip().splitlines()) == 1
