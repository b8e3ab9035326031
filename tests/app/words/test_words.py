"""Languages: which is spoken, the decimal sign that goes with it, and that German is whole."""

from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path

import pytest

from app import words
from engine.units import number, plain_number, read, show
from engine.words import _, speak

HERE = Path(__file__).parent


@pytest.fixture(autouse=True)
def plain_again(monkeypatch):
    for name in ("LANGUAGE", "LC_ALL", "LC_MESSAGES", "LC_NUMERIC", "LANG", words.ENVIRONMENT):
        monkeypatch.delenv(name, raising=False)
    monkeypatch.setattr("locale.getlocale", lambda *_a: (None, None))
    yield
    monkeypatch.undo()
    words.load("en")


def test_english_where_nothing_is_asked():
    words.load()
    assert words.speaks() == "en"
    assert _("Undo") == "Undo"
    assert number(2.5) == "2.5"


@pytest.mark.parametrize("name", ["LANGUAGE", "LC_ALL", "LANG", words.ENVIRONMENT])
def test_the_system_asks_for_german(monkeypatch, name):
    monkeypatch.setenv(name, "de_DE.UTF-8" if name != words.ENVIRONMENT else "de")
    words.load()
    assert words.speaks() == "de"
    assert _("Undo") != "Undo"
    assert number(2.5) == "2,5"


def test_what_the_person_chose_comes_before_the_system(monkeypatch, tmp_path):
    monkeypatch.setattr("app.settings.folder", lambda: tmp_path)
    monkeypatch.setenv("LANG", "en_GB.UTF-8")
    (tmp_path / "settings.json").write_text(json.dumps({"language": "de"}))
    words.load()
    assert words.speaks() == "de"
    (tmp_path / "settings.json").write_text("{")
    words.load()
    assert words.speaks() == "en"


def test_a_language_there_is_not_is_english(monkeypatch):
    monkeypatch.setenv("LANG", "xx_XX.UTF-8")
    words.load()
    assert words.speaks() == "en"


def test_the_decimal_sign_of_another_place(monkeypatch):
    """English words, numbers as in Sweden (CLDR: a comma)."""
    monkeypatch.setenv("LANG", "en_GB.UTF-8")
    monkeypatch.setenv("LC_NUMERIC", "sv_SE.UTF-8")
    words.load()
    assert number(0.25) == "0,25"
    assert plain_number(0.25) == "0.25"


@pytest.mark.parametrize("value", [0.0005, 3.5, 12.25, 1e-12, 4e20])
def test_what_is_shown_with_a_comma_is_read_again(value):
    speak(words.gettext.NullTranslations(), ",")
    assert read(number(value, 12), "V") == pytest.approx(value)
    assert "." not in show(value, "V")


def test_languages_call_themselves_by_their_own_name():
    assert words.languages() == {"en": "English", "de": "Deutsch"}


def test_german_is_whole_and_names_the_same_fields():
    """Nothing untranslated, nothing stale, the same names in braces: as the tool tells."""
    told = subprocess.run(
        [sys.executable, str(HERE / "make_catalogue.py"), "--check"], capture_output=True, text=True, check=False
    )
    assert told.returncode == 0, told.stdout


def test_what_is_kept_in_words_is_forgotten_with_the_language():
    """A window changes its language while it is open."""
    from engine.equipment import kinds
    from engine.naming import label_of
    from engine.record import field_specs

    fuse = kinds()["fuse"]
    (rating,) = (spec for spec in field_specs(fuse) if spec.name == "rating_a")
    english = label_of(fuse, rating)
    words.load("de")
    german = label_of(fuse, rating)
    words.load("en")
    assert german.startswith("Bemessungsstrom")
    assert label_of(fuse, rating) == english != german
