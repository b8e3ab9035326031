"""Remarks as drawn: where their words stand, what keeps off them, what they point at, on every surface."""

from __future__ import annotations

from pathlib import Path

import pytest

from app.drawing.added.remarks import remark_box
from app.drawing.changes import remove_drawn, remove_sheet
from app.drawing.labels import Sight
from app.drawing.placed import paper
from app.drawing.sheets import pictures
from engine.builder import Builder
from engine.edits import Put, apply
from engine.edits.copying import Clip, copy
from engine.files.drawing import dump, load
from engine.installation import Installation, Placement, Remark, Sheet
from engine.picture import Path as Stroke
from engine.picture import Text, text_box


def boat(*remarks: Remark) -> Installation:
    b = Builder(name="Sandling")
    b.add("battery_bank", "G1", unit_v=12)
    b.add("fuse", "F1", rating_a=100, label="A fuse with a label that is rather long")
    b.run("W1", "G1.pos", "F1.in", length_m=1)
    made = b.installation
    for number in (1, 2):
        apply(made, Put("sheets", f"s{90 + number}", Sheet(number=number)))
    for name, y in (("G1", 40), ("F1", 20)):
        apply(made, Put("placements", made.new_id("placements"), Placement(
            equipment=made.find(name)[0][1], sheet="s91", x=40, y=y)))  # fmt: skip
    for remark in remarks:
        apply(made, Put("remarks", made.new_id("remarks"), remark))
    return made


def drawn(installation: Installation, item: str) -> list[object]:
    return [p for p in pictures(installation.snapshot())[0].primitives if p.owner == item]


def test_words_are_broken_at_their_width_and_stand_in_the_height_that_was_chosen() -> None:
    made = boat(Remark(sheet="s91", text="one two three four five six seven", x=8, y=8, width=12, height="small"))
    (item,) = made.ids("remarks")
    lines = [p for p in drawn(made, item) if isinstance(p, Text)]
    assert len(lines) > 1
    assert " ".join(p.text for p in lines) == "one two three four five six seven"
    assert {p.height for p in lines} == {2.5}
    border = paper("A3").border
    assert all(border.left + 20 - 0.1 <= text_box(p).left and text_box(p).right <= border.left + 50.1 for p in lines)


def test_labels_keep_off_it() -> None:
    plain = [text_box(p) for p in pictures(boat().snapshot())[0].primitives if isinstance(p, Text) and p.owner == "e2"]
    made = paper("A3")
    sight = Sight("s91", "A3", made.border.left, made.border.top, made.drawing_box)
    x, y = round((plain[0].left - sight.left) / 2.5), round((plain[0].top - sight.top) / 2.5)
    remark = Remark(sheet="s91", text="Here stands the remark and nothing else", x=x, y=y, width=16)
    with_remark = boat(remark)
    box = remark_box(sight, remark)
    labels = [
        p
        for p in pictures(with_remark.snapshot())[0].primitives
        if isinstance(p, Text) and p.owner in ("e1", "e2", "r3")
    ]
    assert labels
    assert not any(box.meets(text_box(p)) for p in labels)


def test_a_thin_line_leads_to_what_it_points_at_and_follows_it() -> None:
    made = boat(Remark(sheet="s91", text="Look", x=10, y=20, points_at="e2"))
    (item,) = made.ids("remarks")
    strokes = [p for p in drawn(made, item) if isinstance(p, Stroke)]
    assert len(strokes) == 2
    apply(made, remove_drawn(made.snapshot(), made.last_id, ["e2"]))
    assert made.get("remarks", item).points_at == ""
    assert not [p for p in drawn(made, item) if isinstance(p, Stroke)]


def test_it_goes_with_its_sheet_and_comes_back() -> None:
    made = boat(Remark(sheet="s92", text="On the second sheet", x=8, y=8))
    before = dump(made)
    back = apply(made, remove_sheet(made.snapshot(), "s92"))
    assert made.ids("remarks") == []
    apply(made, back)
    assert dump(made) == before


def test_it_is_in_the_file_and_in_what_is_copied(tmp_path: Path) -> None:
    made = boat(Remark(sheet="s91", text="Kept <b>&", x=8, y=8, framed=True, points_at="e1"))
    path = tmp_path / "a.linewright"
    path.write_bytes(dump(made))
    assert load(path).installation.snapshot().remarks == made.snapshot().remarks
    (item,) = made.ids("remarks")
    alone = Clip.from_text(copy(made.snapshot(), [item]).to_text())
    assert [r.points_at for r in alone.tables["remarks"].values()] == [""]
    both = Clip.from_text(copy(made.snapshot(), [item, "e1"]).to_text())
    assert [r.points_at for r in both.tables["remarks"].values()] == ["e1"]


@pytest.mark.parametrize("ending", [".pdf", *(pytest.param(e, marks=pytest.mark.long) for e in (".svg", ".dxf"))])
def test_it_is_printed(tmp_path: Path, ending: str) -> None:
    from app.cli import main

    made = boat(Remark(sheet="s91", text="Zephyrword", x=8, y=8, framed=True))
    path = tmp_path / "a.linewright"
    path.write_bytes(dump(made))
    out = tmp_path / f"out{ending}"
    assert main(["print", str(path), "-o", str(out)]) == 0
    written = sorted(tmp_path.glob(f"out*{ending}"))
    if ending == ".pdf":
        import pypdfium2

        with pypdfium2.PdfDocument(written[0]) as pdf:
            text = "".join(page.get_textpage().get_text_range() for page in pdf)
    else:
        text = "".join(p.read_text(encoding="utf-8", errors="replace") for p in written)
    assert "Zephyrword" in text


def test_what_was_written_since_the_last_issue_is_clouded_and_told() -> None:
    before = boat(Remark(sheet="s91", text="Stays", x=8, y=8))
    after = boat(
        Remark(sheet="s91", text="Stays", x=30, y=8), Remark(sheet="s91", text="New words on the sheet", x=8, y=14)
    )
    (sheet, *_rest) = pictures(after.snapshot(), before=before.snapshot())
    told = " ".join(p.text for p in sheet.primitives if isinstance(p, Text) and not p.owner.startswith("n"))
    assert "New words on the sheet" in told
    assert "Stays" not in told
    assert [p for p in sheet.primitives if p.owner == "revision"]
    (same, *_rest) = pictures(before.snapshot(), before=before.snapshot())
    assert not [p for p in same.primitives if p.owner == "revision"]


def test_laid_out_on_other_paper_its_words_are_told() -> None:
    made = boat(Remark(sheet="s91", text="Do not lose me", x=8, y=8))
    told = [p.text for page in pictures(made.snapshot(), size="A4") for p in page.primitives if isinstance(p, Text)]
    assert any("Do not lose me" in text for text in told)
