"""Pages of rules as PDF: contents that lead where they say, cautions, both examples, the same bytes every time."""

from __future__ import annotations

import re
from pathlib import Path

import pypdf
import pytest

from app.drawing.faults import faults
from app.help.page import rule_page
from app.paper.flowing import BODY, BOTTOM, TOP, Flowing
from app.paper.rule_pages import catalogue_pictures, rule_pictures, write_rule_pages
from engine.cautions import CAUTIONS
from engine.picture import Text
from engine.rules import rules

SOME = ["far-from-source", "earths-apart", "over-stud"]


def words(text: str) -> str:
    return " ".join(text.split())


@pytest.fixture(scope="module")
def catalogue(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A catalogue of a few rules, written twice to the same bytes."""
    folder = tmp_path_factory.mktemp("pages")
    for name in ("one.pdf", "two.pdf"):
        write_rule_pages(SOME, folder / name, whole=True)
    assert (folder / "one.pdf").read_bytes() == (folder / "two.pdf").read_bytes()
    return folder / "one.pdf"


@pytest.fixture(scope="module")
def pages(catalogue: Path) -> list[str]:
    """What stands on its pages."""
    return [words(page.extract_text()) for page in pypdf.PdfReader(catalogue).pages]


def test_the_contents_lead_to_every_rule(catalogue: Path, pages: list[str]) -> None:
    reader = pypdf.PdfReader(catalogue)
    contents = pages[0]
    for slug in SOME:
        found = re.search(rf"{slug} [A-Z]+ .*?(\d+)\b", contents)
        assert found is not None, slug
        page = pages[int(found[1]) - 1]
        assert page.startswith(slug)
        assert "Is found: " + rules()[slug].bad[0].name in " ".join(pages)
        assert "Passes: " + rules()[slug].good[0].name in " ".join(pages)
    links = [a.get_object() for a in reader.pages[0].get("/Annots", [])]
    assert len(links) == 2 * len(SOME)  # the name and the number
    assert len(reader.outline) == len(reader.pages)


def test_the_cautions_are_on_it_and_the_gravest_on_every_page(pages: list[str]) -> None:
    assert all(words(text) in pages[0] for text in CAUTIONS)
    for n, page in enumerate(pages, 1):
        assert CAUTIONS[-1] in page
        assert f"page {n} of {len(pages)}" in page


def test_one_rule_has_the_cautions_too(tmp_path: Path) -> None:
    write_rule_pages(["tapped-bank"], tmp_path / "one.pdf")
    text = words(" ".join(page.extract_text() for page in pypdf.PdfReader(tmp_path / "one.pdf").pages))
    assert all(words(each) in text for each in CAUTIONS)
    assert text.startswith("tapped-bank WARNING")


def test_every_limit_is_in_the_table() -> None:
    for slug in ("far-from-source", "cannot-break-fault"):
        told = [p.text for page in rule_pictures([slug]) for p in page.primitives if isinstance(p, Text)]
        for book in rule_page(slug).books:
            assert any(text.startswith(book.title) for text in told)
            for limit in book.limits:
                assert limit.name in told
                assert limit.shown.split()[0] in " ".join(told)


def test_nothing_overlaps_leaves_the_page_or_is_too_small_to_read() -> None:
    for page in catalogue_pictures(SOME):
        assert faults(page) == []
        assert min(p.height for p in page.primitives if isinstance(p, Text)) >= 1.8
        assert (page.width, page.height) == (210.0, 297.0)


@pytest.mark.long
def test_the_whole_catalogue_is_clean() -> None:
    pages = catalogue_pictures(list(rules()))
    assert [fault for page in pages for fault in faults(page)] == []
    assert {page.title for page in pages} >= set(rules())


# -- how it flows -----------------------------------------------------------------------------------------------------
def test_a_long_paragraph_goes_on_over_the_page() -> None:
    flow = Flowing("x")
    flow.open("first")
    flow.y = BOTTOM - 9.0
    flow.paragraph("a word and another " * 60)
    one, two = flow.finished()
    assert (one.title, two.title) == ("first", "first (continued)")
    told = [[p for p in page.primitives if isinstance(p, Text) and "another" in p.text] for page in (one, two)]
    assert [len(lines) > 1 for lines in told] == [True, True]  # two lines at least on either side
    assert all(line.height == BODY and line.y <= BOTTOM for lines in told for line in lines)
    assert " ".join(line.text for lines in told for line in lines).split() == ("a word and another " * 60).split()


def test_a_heading_never_stands_alone_at_the_foot() -> None:
    flow = Flowing("x")
    flow.open("first")
    flow.y = BOTTOM - 8.0
    flow.heading("Why it matters")
    flow.paragraph("Because.")
    one, two = flow.finished()
    assert not any(isinstance(p, Text) and p.text == "Why it matters" for p in one.primitives)
    heading = next(p for p in two.primitives if isinstance(p, Text) and p.text == "Why it matters")
    assert heading.y < TOP + 12.0
