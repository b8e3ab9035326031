"""Editions of standards found in what a surveyor has written, however it is written."""

from __future__ import annotations

import pytest
from held_back import held_back

from engine.deficiencies.basing import younger_editions
from engine.installation import Vessel
from engine.installation.surveying import Deficiency


@pytest.mark.posix
@pytest.mark.parametrize("words", ["W" * 5000, "WIRE " * 1000, "A1." * 1500, "ISO 1" + " " * 5000, "A-" * 2500 + "1"])
def test_words_all_in_capitals_are_not_looked_at_for_ever(words: str) -> None:
    for text in (words, f"{words} ISO 13297:2020"):
        held = held_back(lambda text=text: younger_editions(Deficiency(observation=text), Vessel()), seconds=2)
        assert (held.fault, held.ended) == (None, "")
    assert held.value[-1].endswith("ISO 13297:2020")
