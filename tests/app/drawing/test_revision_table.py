"""The table of revisions on the first sheet: every revision or its name, inside its room, above the title block."""

from __future__ import annotations

import string

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from app.drawing.frame import frame
from app.drawing.sheets import pictures
from app.drawing.title_block import TitleFields
from app.drawing.whole.revision_table import revision_table
from engine.builder import Builder
from engine.check import check
from engine.edits import Put, apply
from engine.installation import Installation, Revision, Sheet
from engine.picture import Box, Path, Text, text_box


def with_revisions(*records: Revision) -> Installation:
    b = Builder(name="Sandling")
    b.add("battery_bank", "G1", unit_v=12)
    made = b.installation
    for n in (1, 2):
        apply(made, Put("sheets", made.new_id("sheets"), Sheet(number=n, size="A3")))
    for record in records:
        apply(made, Put("revisions", made.new_id("revisions"), record))
    return made


def texts(primitives) -> list[str]:
    return [p.text for p in primitives if isinstance(p, Text)]


A = Revision(index="A", date="2025-02-01", by="B. Wren", text="First issue.", issued=True)
B = Revision(index="B", date="2026-03-04", by="A. Dunnock", text="Shore inlet moved.", issued=True)
C = Revision(index="C", text="Lithium bank.")


def test_it_stands_on_the_first_sheet_alone_the_newest_first() -> None:
    snapshot = with_revisions(A, B, C).snapshot()
    first, second = pictures(snapshot, check(snapshot))[:2]
    told = texts(first.primitives)
    at = [told.index(words) for words in ("Lithium bank.", "Shore inlet moved.", "First issue.")]
    assert at == sorted(at)
    assert "2026-03-04, A. Dunnock" in told
    assert "in hand, not issued" in told
    assert not {"Lithium bank.", "First issue."} & set(texts(second.primitives))


def test_a_drawing_without_revisions_has_no_table() -> None:
    snapshot = with_revisions().snapshot()
    assert not any("what changed" in text for text in texts(pictures(snapshot, check(snapshot))[0].primitives))


def test_what_is_cut_shows_that_it_was() -> None:
    long = Revision(index="A", issued=True, text="word " * 200)
    made = revision_table(with_revisions(long).snapshot(), Box(0, 0, 90, 200))
    assert texts(made.primitives)[-1].endswith("…")


words = st.text(alphabet=string.ascii_letters + " äß\n,.…", max_size=300)


@pytest.mark.parametrize("size", ["A4", "A3", "Letter", "ANSI D"])
@settings(max_examples=60)
@given(
    rows=st.lists(
        st.builds(Revision, index=st.text(alphabet="ABCXYZ0123456789-", min_size=1, max_size=12), by=words, text=words,
                  date=st.sampled_from(["", "2026-11-28"]), issued=st.booleans()),
        min_size=1, max_size=25,
    )
)  # fmt: skip
def test_nothing_leaves_its_room_and_every_revision_is_named(size: str, rows: list[Revision]) -> None:
    sheet = frame(size, TitleFields())
    box = Box(sheet.margin_box.left, sheet.margin_box.top, sheet.border.right, sheet.title_box.top)
    made = revision_table(with_revisions(*rows).snapshot(), box)
    assert box.top < made.top < box.bottom
    assert made.top >= box.bottom - max(0.4 * (box.bottom - box.top), 35.0)
    for each in made.primitives:
        if isinstance(each, Text):
            room = text_box(each)
            assert room.left >= box.left
            assert room.right <= box.right + 0.01
            assert room.top >= made.top - 0.01
            assert room.bottom <= box.bottom + 0.5
        else:
            assert isinstance(each, Path)
    told = " ".join(texts(made.primitives))
    if "…" not in told:
        assert all(row.index in told for row in rows)
