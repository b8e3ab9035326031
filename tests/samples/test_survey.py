"""The surveyed workboat: what its list makes, and reports that say what the drawing says now.

Photographs are compared by their checksums, reports by their words: the bytes of both hang on the libraries that pack
them.
"""

from __future__ import annotations

import importlib.util
import re
import sys
from collections import Counter
from pathlib import Path
from typing import Any

import docx
import pdfplumber
import pytest

from app.photographs import Store
from engine.files.drawing import dump, load

HERE = Path(__file__).parent
FOLDER = HERE.parents[1] / "samples" / "workboat"


@pytest.fixture(scope="module")
def maker() -> Any:
    sys.path.insert(0, str(HERE))
    try:
        spec = importlib.util.spec_from_file_location("make_survey", HERE / "make_survey.py")
        assert spec is not None
        assert spec.loader is not None
        module = importlib.util.module_from_spec(spec)
        spec.loader.exec_module(module)
    finally:
        sys.path.remove(str(HERE))
    return module


def _without_program(data: bytes) -> bytes:
    return re.sub(rb'"program": "[^"]*"', b'"program": ""', data, count=1)


def _words(path: Path) -> list[str]:
    if path.suffix == ".docx":
        opened = docx.Document(str(path))
        return [node.text for node in opened.element.body.iter() if node.tag.endswith("}t") and node.text]
    with pdfplumber.open(path) as book:
        return [page.extract_text() or "" for page in book.pages]


def test_the_drawing_is_what_the_list_makes(maker: Any) -> None:
    made = dump(maker.make())
    assert _without_program(made) == _without_program((FOLDER / "surveyed.linewright").read_bytes()), (
        "the list, the workboat or the format changed: run tests/samples/make_survey.py"
    )


@pytest.mark.parametrize("name", ["survey.pdf", "survey.docx", "follow-up.pdf"])
def test_the_report_says_what_the_drawing_says(maker: Any, name: str, tmp_path: Path) -> None:
    maker.write_report(name, tmp_path / name)
    assert _words(tmp_path / name) == _words(FOLDER / name), "run tests/samples/make_survey.py"


def test_it_holds_all_a_survey_can_say() -> None:
    snapshot = load(FOLDER / "surveyed.linewright").installation.snapshot()
    every = list(snapshot.deficiencies.values())
    assert {d.grade for d in every} == {"A", "B", "C"}
    assert {d.status for d in every} == {"open", "in hand", "closed", "not agreed"}
    assert Counter(bool(d.rule) for d in every)[True] >= 5
    assert Counter(bool(d.rule) for d in every)[False] >= 3
    assert {i.seen for i in snapshot.inspections.values()} >= {"seen", "not seen", "not accessible"}
    assert {i.energised for i in snapshot.inspections.values()} >= {"energised", "not energised", "not tested"}
    assert len(snapshot.readings) >= 5


def test_every_photograph_is_there_unaltered_and_without_location() -> None:
    snapshot = load(FOLDER / "surveyed.linewright").installation.snapshot()
    store = Store(FOLDER / "photographs")
    for record in snapshot.photographs.values():
        data = store.read(record)  # refuses what is altered
        assert b"Exif" not in data
        assert len(data) < 60_000
    assert {path.stem for path in store.files()} == {record.sha256 for record in snapshot.photographs.values()}
