"""Text in a label: as large as fits, from the series of heights, and nothing cut without a word."""

from __future__ import annotations

from hypothesis import given, settings
from hypothesis import strategies as st

from app.handover.labels.fitting import HEIGHTS, fit, set_rows
from engine.picture import Box, Text, text_box


def test_heights_are_those_of_the_standard() -> None:
    assert HEIGHTS == (1.8, 2.5, 3.5, 5.0, 7.0, 10.0, 14.0, 20.0)  # ISO 3098-1:2015, from memory, not confirmed


def test_the_largest_height_that_fits_is_taken() -> None:
    fitted = fit(("VHF",), 60, 30)
    assert [row.height for row in fitted.rows] == [10.0]
    narrower = fit(("VHF",), 18, 30)
    assert narrower.whole
    assert narrower.rows[0].height < 10.0
    wider_by_one_step = next(height for height in HEIGHTS if height > narrower.rows[0].height)
    assert fit(("VHF",), 18, 30, most=wider_by_one_step).rows[0].height == narrower.rows[0].height


def test_a_word_is_not_broken_while_it_fits_at_any_height() -> None:
    fitted = fit(("REFRIGERATOR",), 20, 8)
    assert [row.text for row in fitted.rows] == ["REFRIGERATOR"]
    broken = fit(("REFRIGERATOR",), 12, 12)
    assert broken.whole
    assert broken.rows[0].text.endswith("-")
    assert "".join(row.text.rstrip("-") for row in broken.rows) == "REFRIGERATOR"


def test_a_figure_stays_with_its_unit() -> None:
    for width in range(16, 60, 2):
        for row in fit(("Q1", "15 A 2-pole, 5 mA 25 ms type A, breaks 3 kA"), width, 34).rows:
            assert not row.text.startswith(("A ", "mA", "ms", "kA")), (width, row)


def test_rows_are_of_about_equal_length() -> None:
    rows = fit(("SEVERAL SOURCES FEED THIS PANEL",), 90, 20, most=7.0).rows
    assert [row.text for row in rows] == ["SEVERAL SOURCES", "FEED THIS PANEL"]


def test_what_does_not_fit_ends_in_a_sign_and_is_told() -> None:
    fitted = fit(("word " * 60,), 20, 8)
    assert not fitted.whole
    assert fitted.rows[-1].text.endswith("…")
    assert fitted.least == 1.8
    assert not fit(("text",), 0.5, 0.5).whole


@settings(max_examples=25)
@given(st.lists(st.text(min_size=1, max_size=40), min_size=1, max_size=4), st.floats(2, 80), st.floats(2, 40))
def test_type_never_leaves_its_room(lines: list[str], width: float, height: float) -> None:
    fitted = fit(lines, width, height)
    box = Box(0, 0, width, height)
    for primitive in set_rows(fitted, box):
        assert isinstance(primitive, Text)
        assert primitive.height in HEIGHTS
        around = text_box(primitive)
        assert around.left >= -0.01
        assert around.right <= width + 0.01
        assert around.top >= -0.01
        assert around.bottom <= height + 0.01
