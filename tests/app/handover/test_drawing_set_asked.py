"""The drawing set asked for at a terminal: by `print` and by `paper`."""

from __future__ import annotations

import re
from collections.abc import Callable
from pathlib import Path

import pypdf

from app.paper.mono import MONO
from engine.builder import Builder
from engine.files.drawing import save
from engine.installation.model import Installation
from engine.picture import INKS

Run = Callable[..., tuple[int, str, str]]


def small() -> Builder:
    """A bank, a fuse, a new load."""
    b = Builder(name="Sandling")
    b.add("battery_bank", "G1", label="House bank", unit_v=12.8, unit_ah=100)
    b.add("fuse", "F1", rating_a=100)
    b.add("load", "E1", label="Navigation lights", status="new")
    b.run("W1", "G1.pos", "F1.in", size="2 AWG", length_m=0.1)
    b.run("W2", "F1.out", "E1.in", size="14 AWG", length_m=4, status="new")
    return b


def test_print_and_paper_write_the_same_set(run: Run) -> None:
    save(small().installation, Path("boat.linewright"))
    assert run("print", "boat.linewright", "-o", "a.pdf")[0] == 0
    assert run("paper", "drawings", "boat.linewright", "-o", "b.pdf")[0] == 0
    pages = [[page.extract_text() for page in pypdf.PdfReader(name).pages] for name in ("a.pdf", "b.pdf")]
    assert pages[0] == pages[1]
    assert "Contents" in pages[0][0]


def test_print_in_black_and_grey_with_what_has_changed(run: Run) -> None:
    save(small().installation, Path("boat.linewright"))
    save(Installation(), Path("old.linewright"))
    code, out, err = run("print", "boat.linewright", "-o", "x.pdf", "--mono", "--since", "old.linewright")
    assert (code, err) == (0, ""), err
    assert out.startswith("x.pdf written: ")
    reader = pypdf.PdfReader("x.pdf")
    contents = b"".join(page.get_contents().get_data() for page in reader.pages)  # type: ignore[union-attr]
    colours = set(re.findall(rb"([\d.]+) ([\d.]+) ([\d.]+) (?:rg|RG)", contents))
    assert colours
    assert all(red == green == blue for red, green, blue in colours)
    assert "the triangle names the revision" in " ".join(reader.pages[0].extract_text().split())


def test_an_empty_drawing_is_not_printed_but_handed_over(run: Run) -> None:
    save(Installation(), Path("none.linewright"))
    code, _out, err = run("print", "none.linewright", "-o", "x.pdf")
    assert code == 2
    assert "nothing is drawn" in err
    assert run("paper", "drawings", "none.linewright", "-o", "x.pdf")[0] == 0
    assert "nothing is drawn" in " ".join(pypdf.PdfReader("x.pdf").pages[0].extract_text().split())


def test_every_ink_has_one_that_is_no_colour() -> None:
    assert MONO.keys() == INKS.keys()
    for ink in MONO.values():
        red, green, blue = INKS[ink]
        assert red == green == blue
