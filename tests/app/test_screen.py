"""Whether a window can be opened, and what is missing: told in one line, before Qt could stop the program."""

from __future__ import annotations

from pathlib import Path
from types import SimpleNamespace

import pytest

from app import screen
from app.screen import has_display, why_no_window


@pytest.fixture(autouse=True)
def _on_linux(monkeypatch: pytest.MonkeyPatch) -> None:
    """Displays are found in the environment on Linux alone: what is asked here is what it says there."""
    monkeypatch.setattr(screen, "sys", SimpleNamespace(platform="linux"))


def test_what_counts_as_a_display() -> None:
    assert not has_display({})
    assert has_display({"DISPLAY": ":0"})
    assert has_display({"WAYLAND_DISPLAY": "wayland-0"})
    assert not has_display({"DISPLAY": ":0", "QT_QPA_PLATFORM": "offscreen"})
    assert has_display({"QT_QPA_PLATFORM": "xcb"})


def test_no_display_is_one_sentence() -> None:
    said = why_no_window({})
    assert said.startswith("there is no display")
    assert "\n" not in said


def test_a_missing_library_names_the_packages(monkeypatch: pytest.MonkeyPatch) -> None:
    def lacking(library: Path) -> str:
        return "libEGL.so.1: cannot open shared object file: No such file or directory"

    monkeypatch.setattr(screen, "_load", lacking)
    said = why_no_window({"DISPLAY": ":0"})
    assert "libEGL.so.1" in said
    assert "apt-get install" in said
    assert "libegl1" in said.split()
    assert "\n" not in said


def test_a_library_nobody_knows_is_told_as_it_is(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(screen, "_load", lambda library: "GLIBC_9.99 not found")
    assert "GLIBC_9.99 not found" in why_no_window({"DISPLAY": ":0"})


def test_without_a_display_the_window_ends_with_one_line(run, monkeypatch: pytest.MonkeyPatch) -> None:
    for name in ("DISPLAY", "WAYLAND_DISPLAY", "QT_QPA_PLATFORM"):
        monkeypatch.delenv(name, raising=False)
    code, out, err = run()
    assert (code, out) == (2, "")
    assert err.count("\n") == 1
    assert err.startswith("linewright: there is no display")


@pytest.mark.xcb
@pytest.mark.qt
@pytest.mark.parametrize("display", [":98765", "nonsense", ""])
def test_a_display_that_does_not_answer_is_one_sentence(display: str, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.delenv("DISPLAY", raising=False)
    said = why_no_window({"DISPLAY": display, "QT_QPA_PLATFORM": "xcb"})
    assert "does not answer" in said
    assert "\n" not in said
