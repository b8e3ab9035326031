"""`linewright explain`: the page as text, as a PDF, and all of them."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pypdf
import pytest

from engine.rules import rules

Run = Callable[..., tuple[int, str, str]]


def test_a_rule_is_written_as_pdf_with_both_examples(run: Run, own_folder: Path) -> None:
    code, out, err = run("explain", "far-from-source", "-o", "page.pdf")
    assert (code, err) == (0, "")
    assert out.startswith("page.pdf written: ")
    text = " ".join(page.extract_text() for page in pypdf.PdfReader(own_folder / "page.pdf").pages)
    for word in (
        "Is found: a bare fuse lead just over 7 in",
        "Passes: a fuse 6 in from the battery, bare",
        "FE1",
        "W11",
    ):
        assert word in " ".join(text.split())


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (("--all",), "--all is written to a file: name it with -o"),
        ((), "name one rule or kind of equipment, or --all for every rule"),
        (("far-from-source", "--all", "-o", "x.pdf"), "name one rule or kind of equipment, or --all for every rule"),
        (("fuse", "-o", "x.pdf"), "fuse: only the page of a rule is written to a file"),
        (("far-from-source", "-o", "x.svg"), "x.svg: the ending is .svg, expected .pdf"),
        (("far-from-source", "-o", "none/x.pdf"), "none/x.pdf: there is no folder none"),
        (("no-such-rule", "-o", "x.pdf"), "there is no rule or kind of equipment 'no-such-rule'"),
    ],
)
def test_what_cannot_be_done_is_said_in_one_line(
    run: Run, own_folder: Path, arguments: tuple[str, ...], said: str
) -> None:
    code, out, err = run("explain", *arguments)
    assert (code, out) == (2, "")
    assert said in err
    assert err.count("\n") == 1
    assert not list(own_folder.glob("x.*"))


@pytest.mark.long
def test_the_whole_catalogue_is_one_file(run: Run, own_folder: Path) -> None:
    code, _out, err = run("explain", "--all", "-o", "rules.pdf")
    assert (code, err) == (0, "")
    titles = [entry.title for entry in pypdf.PdfReader(own_folder / "rules.pdf").outline]
    assert set(rules()) <= set(titles)
