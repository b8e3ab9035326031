"""Every book can be used: each value says where it is from, and whom the book binds is decided by the vessel record."""

from __future__ import annotations

import pytest

from engine.books import BookError, book_names, load
from engine.installation import Vessel

EVERY = book_names(all_books=True)


@pytest.mark.parametrize("name", EVERY)
def test_every_value_says_where_it_is_from(name: str) -> None:
    book = load(name)
    assert book.title
    assert book.basis
    assert book.binds_text
    for rule, entry in book.rules.items():
        for key, value in entry.items():
            if isinstance(value, dict) and key != "options":
                limit = book.limit(rule, key)
                assert limit is not None
                assert limit.source, (rule, key)


def test_books_for_tests_are_not_offered() -> None:
    assert "k1" in EVERY
    assert "k1" not in book_names()


def test_the_law_binds_petrol_engines_other_than_outboards() -> None:
    """33 CFR 183.401, 2015 edition."""
    law = load("us-33cfr183")
    assert law.law_for(Vessel(engine_fuel="petrol")) is True
    assert law.law_for(Vessel(engine_fuel="petrol outboard")) is False
    assert law.law_for(Vessel(engine_fuel="diesel")) is False
    assert law.law_for(Vessel()) is None
    assert load("trade-na").law_for(Vessel(engine_fuel="petrol")) is False


def test_placement_of_the_law_and_of_the_trade() -> None:
    """33 CFR 183.455(b), 183.460(a), 2015 edition: 7, 40 and 72 in; the trade adds the sheath to the 72 in."""
    for name in ("us-33cfr183", "trade-na"):
        book = load(name)
        inches = [book.limit("far-from-source", n) for n in ("bare", "sheathed", "battery")]
        assert [round(x.value / 0.0254, 6) for x in inches if x] == [7, 40, 72]
    assert load("us-33cfr183").option("far-from-source", "battery_needs_sheath") is False
    assert load("trade-na").option("far-from-source", "battery_needs_sheath") is True


def test_an_unknown_book_is_told_with_those_there_are() -> None:
    with pytest.raises(BookError, match="trade-na"):
        load("no-such-book")
