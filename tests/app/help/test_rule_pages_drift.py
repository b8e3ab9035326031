"""The page of a rule is the rule: whatever its file and the books say is on it, and its examples are drawn whole."""

from __future__ import annotations

import functools
import html
import re
import tomllib
from typing import Any

import pytest

from app.drawing.faults import faults
from app.help.examples import Shown, received, sent
from app.help.html import page_html
from app.help.page import Block, in_families, plain_text, rule_page, sections, value_text
from app.help.pictures import shown_examples
from app.help.text import page_text
from engine.books import FOLDER, book_names
from engine.picture import Path, Text
from engine.rules import rules

SLUGS = list(rules())
HEADINGS = ("", "What it checks", "Why it matters", "What to do", "Limits read", "References")
# drawing all of them takes a while: every third by default, the others too where there is time
DRAWN = [slug if not n % 3 else pytest.param(slug, marks=pytest.mark.long) for n, slug in enumerate(SLUGS)]
drawn = functools.cache(shown_examples)


def words(text: str) -> str:
    """A text whatever its line breaks."""
    return " ".join(text.split())


@functools.cache
def books_as_written() -> dict[str, dict[str, Any]]:
    made = {}
    for name in book_names():
        with (FOLDER / f"{name}.toml").open("rb") as file:
            made[name] = tomllib.load(file).get("rules", {})
    return made


@pytest.mark.parametrize("slug", SLUGS)
def test_every_word_of_the_docstring_is_on_the_page(slug: str) -> None:
    page = rule_page(slug)
    assert tuple(section.heading for section in page.sections) == HEADINGS
    assert all(section.blocks for section in page.sections)
    told = words(" ".join(f"{s.heading} " + " ".join(t for b in s.blocks for t in b.texts) for s in page.sections))
    written = re.sub(r"^-{3,}$", "", rules()[slug].doc, flags=re.M)
    written = words(re.sub(r"^\s*\* ", "", written, flags=re.M))
    assert told.strip() == written
    text, rich = words(page_text(page, 100)), words(html.unescape(page_html(page, SLUGS)))
    for section in page.sections:
        assert section.heading in text
        assert f"<h3>{section.heading}</h3>" in rich or not section.heading
        for block in section.blocks:
            for each in block.texts:
                assert each in text
                assert words(plain_text(each)) in words(re.sub(r"</?(code|i|a)\b[^>]*>", "", rich))


@pytest.mark.parametrize("slug", SLUGS)
def test_every_value_of_every_book_is_on_the_page(slug: str) -> None:
    page = rule_page(slug)
    text, rich = words(page_text(page, 100)), html.unescape(page_html(page, SLUGS))
    assert [book.slug for book in page.books] == list(book_names())
    for book in page.books:
        written = books_as_written()[book.slug].get(slug, {})
        assert book.clause == written.get("clause", "")
        assert words(book.standing()) in text
        if not book.clause:
            assert "no clause" in book.standing()
        values = {n: v for n, v in written.items() if isinstance(v, dict) and n != "options"}
        limits = {limit.name: limit for limit in book.limits}
        assert list(limits) == [*values, *written.get("options", {})]
        for name, value in values.items():
            limit = limits[name]
            assert f"{value['value']:g}" in limit.shown or value["text"] in limit.shown
            assert value["source"] in limit.source
            assert limit.confirmed is value["confirmed"]
            assert words(f"{name}: {limit.shown} ({limit.source}") in text
            assert limit.shown in rich
            assert limit.source in rich
        for name in written.get("options", {}):
            assert words(f"{name}: {limits[name].shown}") in text


@pytest.mark.parametrize("slug", DRAWN)
def test_both_examples_are_drawn_whole_and_the_finding_is_marked(slug: str) -> None:
    rule = rules()[slug]
    shown = drawn(slug)
    assert [(each.passes, each.name) for each in shown] == [(False, rule.bad[0].name), (True, rule.good[0].name)]
    for each, example in zip(shown, (rule.bad[0], rule.good[0]), strict=True):
        snapshot = example.build().snapshot()
        owners = {p.owner for p in each.picture.primitives}
        assert {*snapshot.equipment, *snapshot.runs} <= owners
        texts = [p for p in each.picture.primitives if isinstance(p, Text)]
        for record in (*snapshot.equipment.values(), *snapshot.runs.values()):
            assert any(record.designation in p.text for p in texts), record
        assert faults(each.picture) == []
        assert min(p.height for p in texts) >= 1.8
        assert each.picture.width <= 175.0  # it stands on an upright A4 page at its true size
        assert each.picture.height <= 240.0
        flags = {p.owner for p in each.picture.primitives if p.owner.startswith("flag:")}
        assert flags == {f"flag:{told.number}" for told in each.told if told.number}
    bad, good = shown
    assert len(bad.told) == len(rule.bad[0].expect)
    assert good.told == ()
    assert all(told.number for told in bad.told if told.heading.endswith(f" {slug}"))
    for told in bad.told:
        assert told.message
        assert told.message in html.unescape(page_html(rule_page(slug), SLUGS, shown, [(10, 10)] * 2))


@pytest.mark.parametrize("slug", DRAWN)
def test_what_the_study_process_sends_is_what_was_drawn(slug: str) -> None:
    shown = drawn(slug)
    assert received(sent(shown)) == tuple(
        each._replace(picture=each.picture._replace(primitives=each.picture.primitives)) for each in shown
    )


def test_a_picture_that_is_not_what_it_says_is_refused() -> None:
    (first, *_rest) = sent(drawn(SLUGS[0]))
    import msgspec

    with pytest.raises(ValueError, match="not what it says"):
        received([msgspec.structs.replace(first, letters=first.letters + "p")])


@pytest.mark.parametrize("slug", ["far-from-source", "sources-meet", SLUGS[0], SLUGS[-1]])
def test_drawn_again_it_is_the_same(slug: str) -> None:
    def dumped(some: tuple[Shown, ...]) -> list[str]:
        return [each.picture.dump() for each in some]

    assert dumped(shown_examples(slug)) == dumped(drawn(slug))


def test_every_rule_stands_in_one_family() -> None:
    listed = [rule.slug for some in in_families().values() for rule in some]
    assert sorted(listed) == SLUGS
    assert next(iter(in_families())) == "protection"


# -- how a page is made -----------------------------------------------------------------------------------------------
def test_a_docstring_is_taken_apart() -> None:
    doc = """It is so.

    What it checks
    --------------
    One thing,
    told in two lines:

    * a first point
      that goes on
    * a second

    And more.

    References
    ----------
    None.
    """
    made = sections(doc)
    assert [s.heading for s in made] == ["", "What it checks", "References"]
    assert made[1].blocks == (
        Block(("One thing, told in two lines:",)),
        Block(("a first point that goes on", "a second"), True),
        Block(("And more.",)),
    )


def test_a_value_is_shown_as_its_source_writes_it_and_as_it_is_stored() -> None:
    assert value_text({"value": 0.1778, "unit": "m", "text": "7 in"}) == "7 in (0.1778 m)"
    assert value_text({"value": 1.5, "text": "150 %"}) == "150 %"
    assert value_text({"value": 50, "unit": "V", "text": "50 V"}) == "50 V"


def test_names_of_rules_are_links_and_words_of_the_language_are_not() -> None:
    page = rule_page("far-end-unprotected")
    rich = page_html(page, SLUGS)
    assert '<a href="rule:far-from-source">far-from-source</a>' in rich
    assert 'href="rule:far-end-unprotected"' not in rich
    assert 'href="rule:overloaded"' not in page_html(rule_page("switch-overloaded"), SLUGS)


def test_marks_of_names_and_stress_are_not_shown() -> None:
    assert plain_text("a `size` of *both* ends, 2 * 3 * 4") == "a size of both ends, 2 * 3 * 4"


def test_a_picture_holds_nothing_of_a_sheet() -> None:
    for each in drawn("earths-apart"):
        texts = [p.text for p in each.picture.primitives if isinstance(p, Text)]
        assert "Sheet 1" in texts
        assert "Sheet 2" in texts
        assert any("sheet 2" in text for text in texts)
        assert not any(re.search(r" / [A-Z]\d", text) for text in texts)  # no zones: there is no frame to find them
        assert any(isinstance(p, Path) for p in each.picture.primitives)
