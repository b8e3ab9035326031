"""Revisions begun and issued, in the write path."""

from __future__ import annotations

import pytest

from engine.builder import Builder
from engine.edits import EditError, SetFields, apply
from engine.edits.issuing import begin, begun, in_order, is_date, issue, next_index
from engine.files.drawing import dump
from engine.installation.model import Installation


@pytest.fixture
def boat() -> Installation:
    b = Builder(name="Whimbrel")
    b.add("fuse", "F1", rating_a=100)
    return b.installation


def _issue(boat: Installation, **values: str) -> None:
    apply(boat, issue(boat.snapshot(), boat.last_id, **({"by": "A. Dunnock", "day": "2026-11-28"} | values)))


def test_issued_begun_issued(boat: Installation) -> None:
    before = dump(boat)
    inverse = apply(boat, issue(boat.snapshot(), boat.last_id, by="A. Dunnock", day="2026-11-28", text="first"))
    ((item, record),) = in_order(boat.snapshot())
    assert (record.index, record.by, record.date, record.text, record.issued) == (
        "A", "A. Dunnock", "2026-11-28", "first", True,
    )  # fmt: skip
    block = boat.title_block
    assert (block.revision, block.date, block.document_status) == ("A", "2026-11-28", "Issued")
    (fuse,) = boat.equipment
    with pytest.raises(EditError, match="F1 keeps its designation"):
        apply(boat, SetFields("equipment", fuse, (("designation", "F7"),)))
    apply(boat, begin(boat.snapshot(), boat.last_id))
    assert begun(boat.snapshot()) not in ("", item)
    assert (boat.title_block.revision, boat.title_block.date, boat.title_block.document_status) == ("B", "", "Draft")
    apply(boat, SetFields("equipment", fuse, (("designation", "F7"),)))
    _issue(boat)
    assert [r.index for _i, r in in_order(boat.snapshot())] == ["A", "B"]
    del inverse
    assert dump(boat) != before


def test_what_is_missing_is_said(boat: Installation) -> None:
    with pytest.raises(EditError, match="Nobody is named who issues it"):
        _issue(boat, by=" ")
    for day in ("", "28.11.2026", "2026-02-31", "20261128", "2026-11-28T10:00"):
        with pytest.raises(EditError, match="is no day written YYYY-MM-DD"):
            _issue(boat, day=day)
    _issue(boat)
    with pytest.raises(EditError, match="Revision A is issued already; begin a new revision first"):
        _issue(boat)
    apply(boat, begin(boat.snapshot(), boat.last_id))
    with pytest.raises(EditError, match="Revision B is begun and not issued"):
        begin(boat.snapshot(), boat.last_id)


def test_an_index_is_used_once(boat: Installation) -> None:
    _issue(boat, index="P1")
    assert next_index(boat.snapshot()) == "P2"
    with pytest.raises(EditError, match="There was a revision p1 before"):
        begin(boat.snapshot(), boat.last_id, "p1")
    apply(boat, begin(boat.snapshot(), boat.last_id))
    with pytest.raises(EditError, match="There was a revision P1 before"):
        _issue(boat, index="P1")


@pytest.mark.parametrize(
    ("last", "wanted"), [("A", "B"), ("H", "J"), ("Z", "AA"), ("AZ", "BA"), ("1", "2"), ("09", "10"), ("c", "d")]
)
def test_the_next_index(boat: Installation, last: str, wanted: str) -> None:
    _issue(boat, index=last)
    assert next_index(boat.snapshot()) == wanted


def test_a_status_of_ones_own_stays(boat: Installation) -> None:
    apply(boat, SetFields("title_block", "title_block", (("document_status", "For approval"),)))
    _issue(boat)
    assert boat.title_block.document_status == "For approval"


def test_days() -> None:
    assert is_date("2026-02-28")
    assert not is_date("2026-2-28")
    assert not is_date("２０２６-02-28")
