"""`linewright history` and the frozen copies of `issue`; `linewright photographs`."""

from __future__ import annotations

import hashlib
import json
import os
from collections.abc import Callable
from pathlib import Path

import pytest
from PIL import Image

from app.photographs import recorded, store_of, take
from engine.cautions import CAUTIONS
from engine.edits import Put, SetFields, apply
from engine.edits.draft import Draft
from engine.edits.issuing import in_order
from engine.files.drawing import dump, load, save
from engine.installation import Deficiency, Revision

Run = Callable[..., tuple[int, str, str]]
Drawing = Callable[..., Path]


def revisions(path: str) -> list[Revision]:
    return [record for _item, record in in_order(load(path).installation.snapshot())]


@pytest.fixture
def issued_twice(run: Run, drawing: Drawing) -> str:
    """boat.linewright issued as A; the fuse made smaller, a condition added; issued as B: c.linewright."""
    run(
        "issue", drawing(), "--by", "A. Dunnock", "--date", "2026-05-03", "--text", "First issue.", "-o", "a.linewright"
    )
    assert run("revise", "a.linewright", "-o", "b.linewright")[0] == 0
    boat = load("b.linewright").installation
    ((_table, fuse),) = boat.find("F1")
    apply(boat, SetFields("equipment", fuse, (("rating_a", 7.5),)))
    apply(boat, SetFields("vessel", "vessel", (("name", "Sandling II"),)))
    save(boat, "b.linewright")
    code, _out, err = run("issue", "b.linewright", "--by", "B. Wren", "--date", "2026-11-28", "-o", "c.linewright")
    assert (code, err) == (0, "")
    return "c.linewright"


def test_an_issue_is_kept_as_it_was(issued_twice: str) -> None:
    first, second = revisions(issued_twice)
    for record in (first, second):
        path = Path(record.copy)
        assert path.parent == Path("issued")
        assert hashlib.sha256(path.read_bytes()).hexdigest() == record.sha256
        assert record.sha256[:8] in path.name
        assert f" {record.index} " in path.name
        assert path.stat().st_mode & 0o222 == 0, "nobody writes to it by mistake"
    boat = load(second.copy).installation
    assert boat.title_block.revision == "B"
    plain = load(issued_twice).installation
    item = in_order(plain.snapshot())[-1][0]
    apply(
        plain,
        Put("revisions", item, Revision(**{f: getattr(second, f) for f in ("index", "by", "date", "text", "issued")})),
        again=True,
    )
    assert dump(plain) == Path(second.copy).read_bytes(), "the drawing, but for the name and checksum of its own copy"


def test_the_words_come_from_the_last_copy(issued_twice: str) -> None:
    text = revisions(issued_twice)[-1].text
    assert "F1 (rated current of the link: 10 A, now 7" in text
    assert "Sandling II" in text
    assert "evision" not in text, "that it is issued is no change"


def test_words_of_ones_own_stay(run: Run, drawing: Drawing) -> None:
    run("issue", drawing(), "--by", "X", "--text", "One", "-o", "a.linewright")
    run("revise", "a.linewright", "--text", "What I wrote", "-o", "b.linewright")
    run("issue", "b.linewright", "--by", "X", "-o", "c.linewright")
    assert [record.text for record in revisions("c.linewright")] == ["One", "What I wrote"]


def test_history_tells_each_issue(run: Run, issued_twice: str) -> None:
    code, out, err = run("history", issued_twice)
    assert (code, err) == (0, "")
    assert "A · 2026-05-03 · A. Dunnock · copy there\n    First issue.\n" in out
    assert "B · 2026-11-28 · B. Wren · copy there" in out
    assert all(" ".join(caution.split())[:40] in " ".join(out.split()) for caution in CAUTIONS)
    code, out, _err = run("history", issued_twice, "--format", "json")
    told = json.loads(out)
    assert [(each["index"], each["state"]) for each in told["issues"]] == [("A", "there"), ("B", "there")]


def test_a_copy_that_is_gone_or_altered_is_told_loudly(run: Run, issued_twice: str) -> None:
    first, second = (Path(record.copy) for record in revisions(issued_twice))
    first.unlink()
    os.chmod(second, 0o644)
    second.write_bytes(second.read_bytes().replace(b"Sandling", b"Sandlinh"))
    code, out, _err = run("history", issued_twice)
    assert code == 1
    assert "COPY MISSING" in out
    assert "COPY ALTERED" in out
    for index, word in (("A", "COPY MISSING"), ("B", "COPY ALTERED")):
        code, out, err = run("history", issued_twice, "--open", index, "-o", "again.linewright")
        assert (code, out) == (1, "")
        assert word in err
        assert not Path("again.linewright").exists()


def test_an_issue_is_written_out_again(run: Run, issued_twice: str) -> None:
    code, out, _err = run("history", issued_twice, "--open", "A", "-o", "again.linewright")
    assert (code, out) == (0, "again.linewright written: revision A as it was issued on 2026-05-03\n")
    assert Path("again.linewright").read_bytes() == Path(revisions(issued_twice)[0].copy).read_bytes()
    assert run("check", "again.linewright")[0] in (0, 1)
    for arguments, said in (
        (("--open", "Z", "-o", "x.linewright"), "has no issue Z; there are: A, B"),
        (("--open", "A"), "--open and -o go together"),
        (("--open", "A", "-o", "again.linewright"), "--replace writes over it"),
        (("--open", "A", "-o", issued_twice), "is the drawing itself"),
    ):
        code, _out, err = run("history", issued_twice, *arguments)
        assert (code, said in err) == (2, True)


def test_old_drawings_without_copies_raise_no_alarm(run: Run, drawing: Drawing) -> None:
    boat = load(drawing()).installation
    apply(boat, Put("revisions", boat.new_id("revisions"), Revision(index="A", date="2019-04-01", issued=True)))
    save(boat, "old.linewright")
    code, out, _err = run("history", "old.linewright")
    assert (code, "A · 2019-04-01 · nobody named · no copy kept" in out) == (0, True)
    assert run("history", drawing("new.linewright"))[:2][0] == 0


def test_issued_again_nothing_is_written_over(run: Run, drawing: Drawing) -> None:
    path = drawing()
    run("issue", path, "--by", "X", "--date", "2026-05-03", "-o", "a.linewright")
    (record,) = revisions("a.linewright")
    stamp = Path(record.copy).stat().st_mtime_ns
    run("issue", path, "--by", "X", "--date", "2026-05-03", "-o", "a.linewright", "--replace")
    assert revisions("a.linewright") == [record]
    assert Path(record.copy).stat().st_mtime_ns == stamp
    run("issue", path, "--by", "Y", "--date", "2026-05-03", "-o", "a.linewright", "--replace")
    assert len(list(Path("issued").iterdir())) == 2
    other = Path(revisions("a.linewright")[0].copy)
    os.chmod(other, 0o644)
    other.write_bytes(b"somebody else's")
    run("issue", path, "--by", "Y", "--date", "2026-05-03", "-o", "a.linewright", "--replace")
    assert other.read_bytes() == b"somebody else's"
    assert run("history", "a.linewright")[0] == 0, "under a longer name"


def test_where_no_copy_can_be_kept_nothing_is_issued(run: Run, drawing: Drawing) -> None:
    Path("issued").write_text("a file in the way")
    code, out, err = run("issue", drawing(), "--by", "X", "-o", "a.linewright")
    assert (code, out) == (2, "")
    assert "the copy of what is issued cannot be kept" in err
    assert not Path("a.linewright").exists()


def test_issued_into_another_folder_the_older_copies_come_along(run: Run, issued_twice: str) -> None:
    Path("other").mkdir()
    assert run("revise", issued_twice, "-o", "d.linewright")[0] == 0
    code, _out, err = run("issue", "d.linewright", "--by", "X", "-o", "other/e.linewright")
    assert (code, err) == (0, "")
    assert run("history", "other/e.linewright")[0] == 0


@pytest.mark.parametrize("command", ["revise", "renumber"])
def test_a_copy_written_elsewhere_has_its_photographs_and_issues(run: Run, issued_twice: str, command: str) -> None:
    boat = load(issued_twice).installation
    Image.new("RGB", (40, 30), "red").save("IMG.png")
    taken = take(Path("IMG.png"))
    draft = Draft(boat.snapshot(), boat.last_id)
    recorded(draft, taken)
    if command != "revise":
        draft.add("revisions", Revision(index="C"))
    apply(boat, draft.done("x"))
    save(boat, issued_twice)
    store_of(Path(issued_twice)).put(taken)
    Path("other").mkdir()
    run(command, issued_twice, "-o", "other/copy.linewright")
    assert run("history", "other/copy.linewright")[0] == 0
    assert run("photographs", "other/copy.linewright")[0] == 0


def test_a_drawing_from_elsewhere_names_no_copy_outside(run: Run, drawing: Drawing) -> None:
    boat = load(drawing()).installation
    for copy in ("../../secret.linewright", "/etc/passwd", "C:\\x.linewright"):
        apply(
            boat,
            Put("revisions", boat.new_id("revisions"), Revision(index="A", issued=True, copy=copy, sha256="0" * 64)),
        )
    save(boat, "odd.linewright")
    code, out, _err = run("history", "odd.linewright", "--format", "json")
    assert (code, {each["state"] for each in json.loads(out)["issues"]}) == (1, {"missing"})


def test_photographs_are_listed(run: Run, drawing: Drawing, tmp_path: Path) -> None:
    path = drawing()
    boat = load(path).installation
    for n, shade in enumerate(("red", "navy")):
        Image.new("RGB", (40, 30), shade).save(f"IMG_{n}.png")
    taken = [take(Path(f"IMG_{n}.png")) for n in range(2)]
    draft = Draft(boat.snapshot(), boat.last_id)
    ids = [recorded(draft, one) for one in taken]
    draft.add("deficiencies", Deficiency(number=7, photographs=(ids[0],)))
    apply(boat, draft.done("x"))
    save(boat, path)
    store = store_of(path)
    store.put(taken[0])
    (store.folder / "holiday.jpg").write_bytes(b"x")
    code, out, _err = run("photographs", path)
    assert code == 1
    assert "IMG_0.png · deficiency 7 · there\n" in out
    assert "IMG_1.png · used by no deficiency · MISSING\n" in out
    assert "1 file of the folder belongs to no photograph of this drawing; it stays:\n  holiday.jpg\n" in out
    store.put(taken[1])
    code, out, _err = run("photographs", path, "--format", "json")
    told = json.loads(out)
    assert (code, [each["state"] for each in told["photographs"]]) == (0, ["there", "there"])
    assert told["unrecorded"] == ["holiday.jpg"]
    assert (store.folder / "holiday.jpg").exists()
