"""Type is measured, wrapped and cut by one set of functions; what cannot be drawn is shown as a box."""

from __future__ import annotations

import pytest
from fontTools.ttLib import TTFont
from hypothesis import given, settings
from hypothesis import strategies as st

from engine.picture import (
    CAP_HEIGHT,
    cut_text,
    font_file,
    missing_box,
    missing_characters,
    text_pieces,
    text_width,
    wrap_text,
)


@pytest.mark.parametrize("bold", [False, True])
def test_width_is_the_sum_of_the_fonts_own_advances(bold: bool) -> None:
    # OpenType hmtx table read here on its own: 1000 units an em in this font
    with TTFont(font_file(bold)) as font:
        cmap, metrics = font.getBestCmap(), font["hmtx"].metrics
        units = sum(metrics[cmap[ord(c)]][0] for c in "AVATAR fi 2/0 AWG – 25,6 V")
    assert text_width("AVATAR fi 2/0 AWG – 25,6 V", CAP_HEIGHT, bold) == pytest.approx(units / 1000)


def test_capital_height_is_the_fonts_own() -> None:
    with TTFont(font_file()) as font:
        assert font["OS/2"].sCapHeight / font["head"].unitsPerEm == CAP_HEIGHT


def test_control_characters_and_foreign_signs_are_boxes() -> None:
    assert text_pieces("a\x00b\n\u202e😀") == (
        ("a", True),
        ("\x00", False),
        ("b", True),
        ("\n", False),
        ("\u202e", False),
        ("😀", False),
    )
    assert missing_characters("x\ny\nש\u00ad") == "\nש\u00ad"
    box = missing_box(10, 20, 2.5)
    assert max(s[1] for s in box.segments if len(s) > 1) < 10 + text_width("\x00", 2.5)


def test_accents_are_joined_and_odd_spaces_are_plain() -> None:
    assert text_pieces("e\u0301\u2009x") == (("é x", True),)


def test_wrapping_keeps_words_and_line_breaks() -> None:
    assert wrap_text("one two\nthree", 100) == ("one two", "three")
    assert wrap_text("", 10) == ("",)
    assert wrap_text("a\r\nb\rc", 10) == ("a", "b", "c")


def test_cutting_shows() -> None:
    assert cut_text("short", 50) == "short"
    cut = cut_text("a rather long owner's label", 20)
    assert cut.endswith("…")
    assert text_width(cut) <= 20


@settings(deadline=None)
@given(st.text(max_size=200), st.floats(6, 80), st.booleans())
def test_no_line_is_wider_than_asked_and_nothing_is_lost(text: str, width: float, bold: bool) -> None:
    lines = wrap_text(text, width, 2.5, bold)
    assert all(text_width(line, 2.5, bold) <= width + 1e-6 for line in lines if len(line) > 1)
    kept = "".join(lines)
    assert [c for c in kept if c not in " \n\r"] == [c for c in text if c not in " \n\r"]
    assert text_width(cut_text(text, width, 2.5, bold), 2.5, bold) <= width + 1e-6
