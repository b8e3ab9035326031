"""`linewright merge`: what a person reads and decides, what is written and what never is."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest

from app.cli import main
from engine.edits import SetFields, apply
from engine.edits.issuing import begin, issue
from engine.files.drawing import load, save

LAUNCH = Path(__file__).parents[2] / "samples" / "launch" / "launch.linewright"


def made(path: Path, **fields: Any) -> str:
    installation = load(LAUNCH).installation
    for designation, values in fields.items():
        table, item = installation.find(designation)[0]
        apply(installation, SetFields(table, item, tuple(values.items())))
    save(installation, path)
    return str(path)


@pytest.fixture
def a(tmp_path: Path) -> str:
    return made(tmp_path / "a.linewright", F1={"rating_a": 25.0}, W1={"note": "seen"})


@pytest.fixture
def b(tmp_path: Path) -> str:
    return made(tmp_path / "b.linewright", F1={"rating_a": 20.0}, W2={"note": "renewed"})


def test_what_meets_is_listed_with_all_three_values(a: str, b: str, tmp_path: Path, capsys: Any) -> None:
    out = tmp_path / "out.linewright"
    assert main(["merge", str(LAUNCH), a, b, "-o", str(out)]) == 1
    told = capsys.readouterr()
    assert "1. F1" in told.out
    assert all(f"{side}: {value} A" in told.out for side, value in (("base", 30), ("a", 25), ("b", 20)))
    assert not out.exists()
    assert "nothing is written" in told.err


@pytest.mark.parametrize(
    ("how", "rating"), [(["--take", "1=b"], 20.0), (["--keep", "a"], 25.0), (["--take", "1=base"], 30.0)]
)
def test_decided_it_is_written(how: list[str], rating: float, a: str, b: str, tmp_path: Path) -> None:
    out = tmp_path / "out.linewright"
    assert main(["merge", str(LAUNCH), a, b, "-o", str(out), *how]) == 0
    x = load(out).installation
    assert x.get(*x.find("F1")[0]).rating_a == rating
    assert x.get(*x.find("W1")[0]).note == "seen"
    assert x.get(*x.find("W2")[0]).note == "renewed"


def test_as_json(a: str, b: str, capsys: Any) -> None:
    assert main(["merge", str(LAUNCH), a, b, "--format", "json"]) == 1
    told = json.loads(capsys.readouterr().out)
    assert [(c["number"], c["field"], c["a"], c["b"]) for c in told["open"]] == [("1", "rating_a", "25 A", "20 A")]


@pytest.mark.parametrize("take", ["2=a", "1=c", "x", "0=a", "1=", "1=a=b", "1=a,1=b", "1.1=a", "1..1=a"])
def test_a_choice_that_is_none_is_one_sentence(take: str, a: str, b: str, capsys: Any) -> None:
    assert main(["merge", str(LAUNCH), a, b, "--take", take]) == 2
    assert capsys.readouterr().err.count("\n") == 1


def test_no_input_is_written_over(a: str, b: str, capsys: Any) -> None:
    before = Path(a).read_bytes()
    assert main(["merge", str(LAUNCH), a, b, "-o", a, "--keep", "a", "--replace"]) == 2
    assert Path(a).read_bytes() == before
    capsys.readouterr()


def test_other_boats_are_refused(a: str, capsys: Any) -> None:
    ketch = LAUNCH.parents[1] / "ketch" / "ketch.linewright"
    assert main(["merge", str(LAUNCH), a, str(ketch)]) == 2
    assert "do not come from one another" in capsys.readouterr().err


def test_what_a_decision_raises_has_a_number_under_it(tmp_path: Path, capsys: Any) -> None:
    """Only where the second drawing's name is taken are two things called so."""
    first, second = (load(LAUNCH).installation for _each in range(2))
    fuse = first.find("F1")[0][1]
    apply(first, begin(first.snapshot(), first.last_id))  # designations are for change
    apply(first, SetFields("equipment", fuse, (("designation", "F90"), ("note", "mine"))), again=True)
    apply(second, SetFields("equipment", fuse, (("designation", "F91"),)), again=True)
    apply(first, SetFields("equipment", first.find("F2")[0][1], (("designation", "F91"),)), again=True)
    paths = [str(tmp_path / name) for name in ("a.linewright", "b.linewright")]
    for x, path in zip((first, second), paths, strict=True):
        save(x, Path(path))
    assert main(["merge", str(LAUNCH), *paths]) == 1
    assert "2. " not in capsys.readouterr().out
    assert main(["merge", str(LAUNCH), *paths, "--take", "1=b"]) == 1
    assert "1.1. F91" in capsys.readouterr().out
    out = tmp_path / "out.linewright"
    assert main(["merge", str(LAUNCH), *paths, "--take", "1.1=b,1=b", "-o", str(out)]) == 0
    x = load(out).installation
    assert x.find("F91") == [("equipment", fuse)]
    assert main(["merge", str(LAUNCH), *paths, "--take", "1=a,1.1=b"]) == 2
    assert "no conflict 1.1" in capsys.readouterr().err


def test_photographs_and_issues_of_both_come_along(tmp_path: Path) -> None:
    from PIL import Image

    from app.photographs import store_of, take
    from engine.edits import Put
    from engine.files.issues import history, issue_with_copy
    from engine.installation import Revision

    sides = []
    for name, colour in (("a", "red"), ("b", "blue")):
        folder = tmp_path / name
        folder.mkdir()
        path = folder / "boat.linewright"
        picture = folder / "lug.png"
        Image.new("RGB", (80, 60), colour).save(picture)
        taken = take(picture)
        x = load(LAUNCH).installation
        apply(x, Put("photographs", x.new_id("photographs"), taken.record))
        if name == "b":
            apply(x, Put("revisions", x.new_id("revisions"), Revision(index="B")))
            apply(x, issue_with_copy(x, path, by="Tern", day="2026-05-01"))
        save(x, path)
        store_of(path).put(taken)
        sides.append(str(path))
    out = tmp_path / "whole" / "boat.linewright"
    out.parent.mkdir()
    assert main(["merge", str(LAUNCH), *sides, "-o", str(out)]) == 0
    made = load(out).installation.snapshot()
    assert len(made.photographs) == 2
    assert [store_of(out).state(record) for record in made.photographs.values()] == ["there", "there"]
    assert [issue.state for issue in history(made, out.parent) if issue.record.issued][-1] == "there"


def test_ids_are_never_given_again(a: str, b: str, tmp_path: Path) -> None:
    """What was there for a while in one of the drawings has had its id: nothing else gets it."""
    x = load(b).installation
    x.last_id += 40
    save(x, Path(b))
    out = tmp_path / "out.linewright"
    assert main(["merge", str(LAUNCH), a, b, "-o", str(out), "--keep", "b"]) == 0
    assert load(out).installation.last_id == x.last_id


def test_a_file_of_a_later_program_is_refused(a: str, b: str, tmp_path: Path, capsys: Any) -> None:
    plain = json.loads(Path(b).read_text("utf-8"))
    plain["version"] = 99
    Path(b).write_text(json.dumps(plain), "utf-8")
    assert main(["merge", str(LAUNCH), a, b, "-o", str(tmp_path / "out.linewright"), "--keep", "a"]) == 2
    assert not (tmp_path / "out.linewright").exists()
    assert "cannot be changed" in capsys.readouterr().err


def test_what_this_version_does_not_know_is_told_where_it_is_not_brought_in(a: str, b: str, capsys: Any) -> None:
    plain = json.loads(Path(b).read_text("utf-8"))
    plain["gulls"] = 3
    Path(b).write_text(json.dumps(plain), "utf-8")
    assert main(["merge", str(LAUNCH), a, b, "--keep", "a"]) == 0
    assert "gulls" in " ".join(capsys.readouterr().out.split())


def test_a_name_issued_in_the_first_drawing_is_not_changed_by_the_second(tmp_path: Path, capsys: Any) -> None:
    base, a, b, out = (tmp_path / f"{name}.linewright" for name in ("base", "a", "b", "out"))
    begun = load(LAUNCH).installation
    apply(begun, begin(begun.snapshot(), begun.last_id))
    save(begun, base)
    first, second = load(base).installation, load(base).installation
    apply(first, issue(first.snapshot(), first.last_id, by="Tern", day="2026-05-02"))
    apply(second, SetFields(*second.find("F1")[0], (("designation", "F99"),)))
    save(first, a)
    save(second, b)
    assert main(["merge", *map(str, (base, a, b)), "-o", str(out)]) == 2
    told = capsys.readouterr().err
    assert "F1 keeps its designation" in told
    assert "Traceback" not in told
    assert not out.exists()
    apply(first, begin(first.snapshot(), first.last_id))  # as the sentence says
    save(first, a)
    assert main(["merge", *map(str, (base, a, b)), "-o", str(out)]) == 0
    assert load(out).installation.find("F99") != []
