"""Typed phrases in German: its own words and decimal comma, and what a standard calls by itself."""

from __future__ import annotations

from app.words import load
from engine.installation import Installation
from engine.phrases import Proposal, place_phrases, run_phrases


def first(text: str) -> Proposal:
    return place_phrases(text, Installation().snapshot()).proposals[0]


def test_in_german_it_is_typed_and_told_in_german() -> None:
    load("de")
    try:
        proposal = first("sicherung klasse t 12,5")
        assert proposal.kind == "fuse"
        assert {g.field: g.value for g in proposal.given} == {"fuse_class": "class T", "rating_a": 12.5}
        assert proposal.told == "Sicherung, Klasse T, 12,5 A"
        assert first("class t 300").kind == "fuse"  # the standard's own word
        assert first("ankerwinde 1500 w").kind == "motor"
        (run,) = run_phrases("35 mm2 3,5 m verzinnt", Installation().snapshot()).proposals
        assert run.told == "35 mm², 3,5 m, verzinntes Kupfer"
    finally:
        load("en")
    assert first("class t 12.5").told == "Fuse, class T, 12.5 A"
