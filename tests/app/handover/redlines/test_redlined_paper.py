"""A comparison on paper, read back: what is said, on which sheets, in every form; cautions on every page."""

from __future__ import annotations

from pathlib import Path

import pypdfium2
import pytest

from app.handover.redlines import redlined_set, write_redlines
from engine.cautions import CAUTIONS
from engine.comparing import differences
from engine.edits import Put, SetFields, Several, apply
from engine.files.drawing import load
from engine.installation import Snapshot

SAMPLES = Path(__file__).parents[4] / "samples"


@pytest.fixture(scope="module")
def two() -> tuple[Snapshot, Snapshot]:
    """The sample launch and a copy with another fuse, without one load, with switches otherwise."""
    installation = load(SAMPLES / "launch" / "launch.linewright").installation
    before = installation.snapshot()
    fuse = next(item for item, record in before.equipment.items() if record.KIND == "fuse")
    apply(installation, SetFields("equipment", fuse, (("rating_a", 55.0),)))
    load_ = next(
        item
        for item, record in before.equipment.items()
        if record.ROLE == "load" and not any(item in str(c) for c in before.conditions.values())
    )
    runs = [i for i, r in before.runs.items() if load_ in (r.from_end.equipment, r.to_end.equipment)]
    puts = [Put("routes", i) for i, r in before.routes.items() if r.run in runs]
    puts += [Put("runs", i) for i in runs]
    puts += [Put("placements", i) for i, p in before.placements.items() if p.equipment == load_]
    apply(installation, Several((*puts, Put("equipment", load_))))
    condition, record = next(iter(before.conditions.items()))
    apply(installation, SetFields("conditions", condition, (("name", record.name + " at night"),)))
    return before, installation.snapshot()


def _pages(path: Path) -> list[str]:
    book = pypdfium2.PdfDocument(path)
    try:
        return [page.get_textpage().get_text_range() for page in book]
    finally:
        book.close()


def test_the_list_the_forms_and_the_marked_sheets_are_read_back(two: tuple[Snapshot, Snapshot], tmp_path: Path) -> None:
    before, after = two
    made = differences(before, after)
    target = tmp_path / "redlines.pdf"
    written = write_redlines(before, after, made, target, named=("/a/older.linewright", "newer.linewright"))
    assert written.files == (target,)
    pages = _pages(target)
    assert len(pages) == written.pages
    first = " ".join(pages[0].split())
    assert "Comparison of two drawings" in first
    assert "Older drawing: older.linewright" in first
    assert "Matched by id" in first
    assert "new in the newer drawing: a cloud" in first
    assert "no longer there: dashed and struck where it stood" in first
    assert "now 55 A" in first
    assert "at night" in first, "switch positions and conditions are told too"
    for text in pages:
        assert " ".join(CAUTIONS[-1].split()) in " ".join(text.split())
    gone = next(i for i in before.equipment if i not in after.equipment)
    sheets = [text for text in pages[1:] if "Changes on this sheet" in text]
    assert sheets
    assert any(f"removed: {before.name(gone)}" in " ".join(text.split()) for text in sheets)
    assert any("changes since older.linewright are marked" in " ".join(text.split()) for text in sheets)


def test_two_drawings_that_are_the_same_are_said_to_be(two: tuple[Snapshot, Snapshot], tmp_path: Path) -> None:
    before, _after = two
    made = differences(before, before)
    target = tmp_path / "same.pdf"
    assert write_redlines(before, before, made, target).pages == 1
    assert "Nothing differs between the two." in _pages(target)[0]


@pytest.mark.parametrize("ending", [".svg", ".dxf", ".png"])
def test_every_form_has_one_file_a_page(two: tuple[Snapshot, Snapshot], tmp_path: Path, ending: str) -> None:
    before, after = two
    made = differences(before, after)
    written = write_redlines(before, after, made, tmp_path / f"r{ending}", dpi=40)
    assert len(written.files) == written.pages > 1
    assert all(path.stat().st_size > 500 for path in written.files)


def test_two_runs_give_the_same_bytes(two: tuple[Snapshot, Snapshot], tmp_path: Path) -> None:
    before, after = two
    made = differences(before, after)
    for name in ("a.pdf", "b.pdf"):
        write_redlines(before, after, made, tmp_path / name)
    assert (tmp_path / "a.pdf").read_bytes() == (tmp_path / "b.pdf").read_bytes()


def test_by_likeness_every_match_is_told_with_its_score(two: tuple[Snapshot, Snapshot]) -> None:
    before, after = two
    made = differences(before, after, "likeness")
    texts = [getattr(p, "text", "") for page in redlined_set(before, after, made) for p in page.primitives]
    told = " ".join(texts)
    assert "Matched by likeness" in told
    assert "What was taken for what" in told
    fuse = next(item for item, record in before.equipment.items() if record.KIND == "fuse")
    assert f"{before.name(fuse)} is {before.name(fuse)} (" in told


def test_without_colours_no_ink_but_black_and_grey_is_left(two: tuple[Snapshot, Snapshot]) -> None:
    before, after = two
    for page in redlined_set(before, after, differences(before, after), mono=True):
        assert {p.ink for p in page.primitives} <= {"black", "grey", "light", "white"}
