"""Pictures as files beside each other: names, what is left of an earlier set, what happens when the disk is full."""

from __future__ import annotations

import errno
import os
from pathlib import Path

import pytest

from app.paper.files import About, File, lacking, not_of_this_set, numbered, page_files, write_files
from engine.picture import Picture, Text

ABOUT = About("Power refit", "the yard")


def sheets(count: int, text: str = "F3") -> list[Picture]:
    return [Picture(100.0, 80.0, (Text(10, 20, text),), f"sheet {n}") for n in range(1, count + 1)]


def test_names_of_a_set_sort_as_its_pages() -> None:
    assert numbered("plan", ".svg", 1) == ["plan.svg"]
    assert numbered("plan", ".svg", 3) == ["plan-01.svg", "plan-02.svg", "plan-03.svg"]
    long = numbered("plan", ".png", 120)
    assert (long[0], long[-1]) == ("plan-001.png", "plan-120.png")
    assert long == sorted(long)


@pytest.mark.parametrize("ending", [".pdf", ".svg", ".png", ".dxf"])
def test_each_form_says_what_the_font_lacks(ending: str) -> None:
    (file, *more) = page_files(sheets(2, "a☃b"), ending, "plan", ABOUT, 50)
    assert file.missing == "☃"
    assert [f.name for f in (file, *more)] == (
        ["plan.pdf"] if ending == ".pdf" else [f"plan-01{ending}", f"plan-02{ending}"]
    )


@pytest.mark.parametrize("ending", [".pdf", ".svg", ".png", ".dxf"])
def test_same_pictures_same_bytes(ending: str) -> None:
    first, again = (list(page_files(sheets(2), ending, "plan", ABOUT, 50)) for _n in range(2))
    assert first == again


def test_a_single_page_has_the_name_that_was_asked_for(tmp_path: Path) -> None:
    put = write_files([File("plan.svg", b"1", "☃")], tmp_path / "Plan.SVG")
    assert put == ((tmp_path / "Plan.SVG",), "☃")
    assert (tmp_path / "Plan.SVG").read_bytes() == b"1"


def test_pages_of_an_earlier_longer_set_are_named(tmp_path: Path) -> None:
    target = tmp_path / "plan.png"
    for name in ("plan-03.png", "plan-10.png", "plan.png", "plan-03.svg", "planet-04.png", "plan-x.png", "a-03.png"):
        (tmp_path / name).write_bytes(b"old")
    written = write_files([File(f"plan-0{n}.png", b"new") for n in (1, 2)], target).paths
    assert not_of_this_set(target, written) == (
        "plan-03.png, plan-10.png, plan.png are not of this set; they are left as they were"
    )
    assert (tmp_path / "plan-03.png").read_bytes() == b"old"
    (tmp_path / "plan-10.png").unlink()
    (tmp_path / "plan.png").unlink()
    assert not_of_this_set(target, written) == "plan-03.png is not of this set; it is left as it was"
    (tmp_path / "plan-03.png").unlink()
    assert not_of_this_set(target, written) == ""


def test_many_of_an_earlier_set_are_named_by_first_and_last(tmp_path: Path) -> None:
    for n in range(2, 40):
        (tmp_path / f"plan-{n:02}.svg").write_bytes(b"old")
    (tmp_path / "plan-01.svg").write_bytes(b"new")
    told = not_of_this_set(tmp_path / "plan.svg", [tmp_path / "plan-01.svg"])
    assert told.startswith("plan-02.svg to plan-39.svg are not of this set")


def test_when_a_page_cannot_be_made_nothing_is_written(tmp_path: Path) -> None:
    def pages() -> object:
        yield File("plan-01.svg", b"1")
        raise MemoryError

    with pytest.raises(MemoryError):
        write_files(pages(), tmp_path / "plan.svg")  # type: ignore[arg-type]  # an iterator of files
    assert list(tmp_path.iterdir()) == []


def test_what_is_too_much_for_memory_waits_elsewhere(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("app.paper.files._IN_MEMORY", 10)
    write_files((File(f"plan-{n:02}.png", bytes([n]) * n * 7) for n in range(1, 9)), tmp_path / "plan.png")
    assert [p.read_bytes() for p in sorted(tmp_path.iterdir())] == [bytes([n]) * n * 7 for n in range(1, 9)]


@pytest.mark.posix
def test_a_full_disk_leaves_old_files_whole(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    (tmp_path / "plan-02.svg").write_bytes(b"old")
    (tmp_path / "plan-01.svg").write_bytes(b"old")
    replaced: list[str] = []
    replace = os.replace

    def full(here: str, there: str) -> None:
        if replaced:
            raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC), str(here))
        replaced.append(str(there))
        replace(here, there)

    monkeypatch.setattr(os, "replace", full)
    with pytest.raises(OSError, match=r"plan-02\.svg"):
        write_files([File("plan-01.svg", b"new"), File("plan-02.svg", b"new")], tmp_path / "plan.svg")
    assert (tmp_path / "plan-01.svg").read_bytes() == b"new"
    assert (tmp_path / "plan-02.svg").read_bytes() == b"old"
    assert sorted(p.name for p in tmp_path.iterdir()) == ["plan-01.svg", "plan-02.svg"]


def test_characters_the_font_lacks_are_told_so_that_a_terminal_shows_them() -> None:
    assert lacking("plan.svg", "☃\x07☃\u2028") == (
        "plan.svg: the font lacks ☃, U+0007, U+2028; boxes stand in their place"
    )
    assert "5 more" in lacking("plan.svg", "".join(chr(0x4E00 + n) for n in range(25)))
