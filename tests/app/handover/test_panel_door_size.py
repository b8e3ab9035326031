"""The size of a panel-door card: what is read, what is refused and how."""

from __future__ import annotations

import pytest

from app.handover.panel_door.size import LARGEST, LEAST, SizeError, read_size


@pytest.mark.parametrize(
    ("text", "size"),
    [
        ("A5", (148.0, 210.0)),  # ISO 216:2007
        ("a4", (210.0, 297.0)),
        ("A5 landscape", (210.0, 148.0)),
        ("200x150mm", (200.0, 150.0)),
        ("200 mm x 150 mm", (200.0, 150.0)),
        ("20,5 x 15 cm", (205.0, 150.0)),
        ("8x6in", (203.2, 152.4)),  # an inch is 25.4 mm
        ('8.5" × 11"', (215.9, 279.4)),
    ],
)
def test_sizes_as_people_write_them(text: str, size: tuple[float, float]) -> None:
    assert read_size(text) == pytest.approx(size)


@pytest.mark.parametrize("text", ["", "A9", "200x150", "200x150 furlongs", "-200x150mm", "mm", "1e3x200mm"])
def test_what_is_no_size_is_told_with_what_is_expected(text: str) -> None:
    with pytest.raises(SizeError, match="is no size of a card; expected A6, A5, A4"):
        read_size(text)


@pytest.mark.parametrize("text", ["50x50mm", "1x1in", "99.9x300mm", "300x119mm", "0x0mm"])
def test_too_small_names_the_smallest_that_works(text: str) -> None:
    with pytest.raises(SizeError, match=r"too small .* the smallest that works is 100 x 120 mm"):
        read_size(text)
    assert read_size("100x120mm") == LEAST


def test_too_large_is_refused() -> None:
    with pytest.raises(SizeError, match="too large"):
        read_size(f"{LARGEST + 1}x200mm")
