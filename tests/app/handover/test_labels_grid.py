"""Label sheets given by their dimensions."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from app.handover.labels.grid import Grid, GridError, read_grid, usual_grid


def test_a_grid_is_read_as_written() -> None:
    grid = read_grid("A4 3x8 63.5x33.9 gap 2.5x0 margin 7.2x13.1")
    assert (grid.width, grid.height) == (210.0, 297.0)  # ISO 216:2007
    assert (grid.columns, grid.rows, grid.cells) == (3, 8, 24)
    first, last = grid.cell(0), grid.cell(23)
    assert (first.left, first.top, first.right, first.bottom) == pytest.approx((7.2, 13.1, 70.7, 47.0))
    assert (last.left, last.bottom) == pytest.approx((7.2 + 2 * 66.0, 13.1 + 8 * 33.9))


def test_inches_are_read_where_written() -> None:
    grid = read_grid("Letter 3x10 2.625x1in gap 0.125x0in margin 0.1875x0.5in")
    assert (grid.width, grid.height) == pytest.approx((8.5 * 25.4, 11 * 25.4))
    assert (grid.label_width, grid.label_height, grid.gap_x) == pytest.approx((66.675, 25.4, 3.175))


def test_labels_without_margin_stand_in_the_middle_and_paper_may_lie() -> None:
    grid = read_grid("A4 lying 2x2 100x60 gap 10")
    assert (grid.width, grid.height) == (297.0, 210.0)
    assert grid.left == pytest.approx((297 - 210) / 2)
    assert grid.top == pytest.approx((210 - 130) / 2)


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("", "expected such as 'A4 3x8"),
        ("A4", "expected such as"),
        ("B9 3x8 20x20", "the paper comes first"),
        ("A4 3 20x20", "columns x rows"),
        ("A4 0x8 20x20", "1 to 60"),
        ("A4 3x8 2x2", "at least 5 x 5 mm"),
        ("A4 3x8 20x20 gap", "gap and margin"),
        ("A4 3x8 20x20 gap 1 gap 2", "gap and margin"),
        ("A4 3x8 20x20 edge 3", "found 'edge'"),
        ("A4 3x8 20x20 margin -3", "found '-3'"),
        ("A4 3x9 63.5x33.9", "9 rows of 33.9 with gaps of 0 = 305.1 mm, the paper has 297 mm"),
        ("A4 4x8 63.5x33.9", "4 columns of 63.5"),
        ("A4 3x8 63.5x33.9 margin 30x5", "margin 30 + 3 columns"),
    ],
)
def test_what_is_no_sheet_is_told_in_one_sentence(text: str, told: str) -> None:
    with pytest.raises(GridError) as caught:
        read_grid(text)
    assert told in str(caught.value)
    assert repr(text) in str(caught.value)


@pytest.mark.parametrize("paper", ["A4", "Letter"])
@pytest.mark.parametrize("kind", ["legends", "markers", "plates", "signs"])
def test_usual_sheets_fit_their_paper(paper: str, kind: str) -> None:
    grid = usual_grid(kind, paper)
    assert grid.right <= grid.width
    assert grid.bottom <= grid.height


@settings(max_examples=40)
@given(st.text(max_size=40))
def test_any_text_is_a_grid_or_told(text: str) -> None:
    try:
        grid = read_grid(text)
    except GridError:
        return
    assert isinstance(grid, Grid)


@settings(max_examples=40)
@given(st.integers(1, 8), st.integers(1, 20), st.floats(5, 60), st.floats(5, 40), st.floats(0, 9), st.floats(0, 9))
def test_cells_never_overlap_nor_leave_the_paper(
    columns: int, rows: int, width: float, height: float, gap: float, margin: float
) -> None:
    try:
        grid = read_grid(f"A4 {columns}x{rows} {width:.2f}x{height:.2f} gap {gap:.2f} margin {margin:.2f}")
    except GridError:
        return
    cells = [grid.cell(n) for n in range(grid.cells)]
    for n, cell in enumerate(cells):
        assert cell.left >= 0
        assert cell.right <= grid.width + 0.06
        assert cell.bottom <= grid.height + 0.06
        if (n + 1) % grid.columns:
            assert cells[n + 1].left >= cell.right - 1e-9
        if n + grid.columns < grid.cells:
            assert cells[n + grid.columns].top >= cell.bottom - 1e-9
