"""Interlocks on paper: what kind one is and how many may stand so is told, by form and by letter."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest

from app.drawing.sheets import pictures
from engine.builder import Builder
from engine.installation import Snapshot
from engine.picture import Path, Text

LaidOut = Callable[..., Snapshot]


def drawn(builder: Builder, laid_out: LaidOut) -> tuple[list[str], set[str]]:
    """Every line of type that stands on the sheets, and the dashes of what interlocks draw."""
    texts: list[str] = []
    dashes: set[str] = set()
    for picture in pictures(laid_out(builder)):
        texts += [p.text for p in picture.primitives if isinstance(p, Text)]
        dashes |= {p.dash for p in picture.primitives if isinstance(p, Path) and p.width == 0.25 and p.owner}
    return texts, dashes


@pytest.mark.parametrize(
    ("kind", "dash", "mark"),
    [("mechanical", "dashed", ""), ("electrical", "chain", "E"), ("captive key", "chain", "K")],
)
def test_kinds_are_told_apart(builders: dict[str, Any], laid_out: LaidOut, kind: str, dash: str, mark: str) -> None:
    b: Builder = builders["alternating"]()
    for item in list(b.installation.snapshot().interlocks):
        b._put("interlocks", item, None)
    b.interlock("Q54", "Q56", kind=kind)
    texts, dashes = drawn(b, laid_out)
    assert dash in dashes
    told = " ".join(texts)
    if mark:
        assert mark in texts, "on the line"
        assert f"Interlock {mark} ({kind}): Q54, Q56, at most 1 at a time." in told
    else:
        assert "Interlock" not in told, "the dashed line tells all"


def test_two_of_three_is_told_on_the_line_and_in_words(builders: dict[str, Any], laid_out: LaidOut) -> None:
    b: Builder = builders["alternating"]()
    for item in list(b.installation.snapshot().interlocks):
        b._put("interlocks", item, None)
    b.interlock("Q54", "Q55", "Q56", at_most=2)
    texts, dashes = drawn(b, laid_out)
    assert "2/3" in texts
    assert "dashed" in dashes
    assert "Interlock 2/3 (mechanical): Q54, Q55, Q56, at most 2 at a time." in " ".join(texts)
