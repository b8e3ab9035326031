"""Squares in every form of paper, read back: PDF with its links, SVG, PNG, DXF; the crew's paper carries none."""

from __future__ import annotations

from pathlib import Path

import ezdxf
import pytest
from PIL import Image
from pypdf import PdfReader

from app.cli import main
from engine.deficiencies import close, mark
from engine.edits import apply
from engine.files.drawing import load, save
from engine.installation import Deficiency

LAUNCH = Path(__file__).parents[4] / "samples" / "launch" / "launch.linewright"


@pytest.fixture(scope="module")
def surveyed(tmp_path_factory: pytest.TempPathFactory) -> Path:
    i = load(LAUNCH).installation
    for designation, seen in (("Q1", "switch loose"), ("F1", "holder burnt")):
        item = i.new_id("deficiencies")
        apply(i, mark(i.snapshot(), item, Deficiency(at=i.find(designation)[0][1], observation=seen, grade="A")))
    apply(i, close(i.snapshot(), item, closed_by="R. Tern", closed="2026-05-02", evidence="new holder"))
    path = tmp_path_factory.mktemp("paper") / "surveyed.linewright"
    save(i, path)
    return path


def test_pdf_says_them_and_a_square_leads_to_its_note(surveyed: Path, tmp_path: Path) -> None:
    out = tmp_path / "out.pdf"
    assert main(["print", str(surveyed), "-o", str(out)]) == 0
    reader = PdfReader(out)
    text = " ".join(" ".join(page.extract_text() for page in reader.pages).split())
    assert "switch loose" in text
    assert "holder burnt" in text
    sheet = next(page for page in reader.pages if "switch loose" in " ".join(page.extract_text().split()))
    here = reader.pages.index(sheet)
    links = [a.get_object() for a in sheet["/Annots"]]
    inside = [a["/Dest"] for a in links if reader.get_page_number(a["/Dest"][0].get_object()) == here]
    assert len(inside) >= 4  # two squares to their notes and back: read with pypdf, not with what wrote it


def test_svg_png_and_dxf_carry_them(surveyed: Path, tmp_path: Path) -> None:
    for ending in ("svg", "png", "dxf"):
        assert main(["print", str(surveyed), "-o", str(tmp_path / f"out.{ending}")]) == 0
    svgs = [path.read_text(encoding="utf-8") for path in sorted(tmp_path.glob("*.svg"))]
    assert any("switch loose" in text.replace("\n", " ") for text in svgs)
    layers = [[e.dxf.layer for e in ezdxf.readfile(path).modelspace()] for path in sorted(tmp_path.glob("*.dxf"))]
    assert any(found.count("DEFICIENCIES") >= 6 for found in layers)
    assert any("FINDINGS" in found for found in layers)
    bare = tmp_path / "bare"
    bare.mkdir()
    assert main(["print", str(surveyed), "-o", str(bare / "out.png"), "--deficiencies", "none"]) == 0
    pages = sorted(tmp_path.glob("*.png"))
    assert any(
        _red(Image.open(p)) > _red(Image.open(q)) for p, q in zip(pages, sorted(bare.glob("*.png")), strict=False)
    )


def _red(image: Image.Image) -> int:
    data = image.convert("RGB").resize((image.width // 2, image.height // 2)).tobytes()
    return sum(r > 140 and g < 90 and b < 90 for r, g, b in zip(data[::3], data[1::3], data[2::3], strict=True))


def test_the_paper_at_the_panel_carries_none(surveyed: Path, tmp_path: Path) -> None:
    out = tmp_path / "door.pdf"
    assert main(["panel-door", str(surveyed), "-o", str(out)]) in (0, 1)
    text = " ".join(" ".join(page.extract_text() for page in PdfReader(out).pages).split())
    assert "switch loose" not in text
    assert "Deficienc" not in text
