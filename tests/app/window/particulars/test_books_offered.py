"""Which books a drawing may be judged by: those of the program, and a yard's own in the drawing's folder."""

from __future__ import annotations

from pathlib import Path

import pytest

from app.window.particulars.offers import offers
from engine.books import book_names, files_beside
from engine.installation import Installation, Settings
from engine.record import field_specs

pytestmark = pytest.mark.qt


def _offered(book: str, folder: Path | None) -> list[str]:
    spec = next(spec for spec in field_specs(Settings) if spec.name == "book")
    made = offers(Settings(book=book), spec, Installation().snapshot(), folder=folder)
    assert made is not None
    return [offer.value for offer in made]


def test_a_yards_own_book_beside_the_drawing_is_offered(tmp_path: Path) -> None:
    (tmp_path / "yard.toml").write_text('base = "trade-na"\n', encoding="utf-8")
    (tmp_path / "drawing.toml").write_text('[settings]\nbook = "metric"\n', encoding="utf-8")
    (tmp_path / "torn.toml").write_text("base = ", encoding="utf-8")
    assert files_beside(tmp_path) == ("yard.toml",)
    assert _offered("metric", tmp_path) == [*book_names(), "yard.toml"]
    assert _offered("yard.toml", tmp_path) == [*book_names(), "yard.toml"]


def test_without_a_folder_those_of_the_program_and_the_drawings_own() -> None:
    assert _offered("metric", None) == list(book_names())
    assert _offered("yard.toml", None) == [*book_names(), "yard.toml"]
