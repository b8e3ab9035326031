"""A file of settings that anybody may have written: the program starts, opens a drawing and works all the same."""

from __future__ import annotations

import base64
import json
import os
from pathlib import Path
from typing import Any

import pytest
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from app.own_rules import of_the_person
from app.settings import DEFAULTS, LARGEST, Settings
from app.window import start
from app.window.comfort.looks import text_size, wear
from app.window.start import Desk
from app.words import chosen

ODD: dict[str, Any] = {
    "nothing": None,
    "a number": 10**400,
    "a number with a point": 1e308,
    "no number": float("nan"),
    "half a character": "\ud800",
    "a long text": "../" * 30_000,
    "a zero byte": "a\0b",
    "a list of lists": [[1], {"a": 1}, None, "\ud800", 1e308],
    "an object": {"": [], "page": 1e308, "notes": "wide", "\ud800": {}},
    "true": True,
    "below nothing": -(10**15),
}


def closed(desk: Desk, qtbot: QtBot) -> None:
    for window in list(desk.windows):
        window.close()
    qtbot.waitUntil(lambda: not desk.windows)


@pytest.mark.qt
@pytest.mark.usefixtures("_nothing_left_behind")
@pytest.mark.parametrize("what", ODD)
def test_whatever_every_setting_holds_a_drawing_is_opened_and_closed(
    what: str, ketch: Path, tmp_path: Path, qtbot: QtBot
) -> None:
    path = tmp_path / "settings.json"
    views = {str(ketch): {"sheet": ODD[what], "fits": ODD[what], "x_mm": ODD[what], "page": ODD[what]}}
    odd = dict.fromkeys(DEFAULTS, ODD[what]) | ({"views": views} if what != "an object" else {})
    path.write_text(json.dumps(odd))
    settings = Settings(path)
    application = QApplication.instance()
    assert isinstance(application, QApplication)
    start.set_up(application)
    wear(application, settings)
    assert 5 < text_size(settings) < 60
    of_the_person(settings)
    desk = Desk(settings, judging=False)
    window = desk.open_path(ketch)
    assert window is not None
    qtbot.waitExposed(window)
    settings.recent()
    window.show_page("notes")
    window.show_page("")
    desk.new()
    closed(desk, qtbot)
    assert settings.save()
    assert str(ketch) in Settings(path).recent()
    assert isinstance(Settings(path).get("views")[str(ketch)]["px_per_mm"], float)
    wear(application, Settings(tmp_path / "none.json"))


@pytest.mark.qt
@pytest.mark.usefixtures("_nothing_left_behind")
@pytest.mark.parametrize("name", ["x_mm", "y_mm", "px_per_mm", "sheet", "fits", "page"])
def test_how_a_drawing_was_looked_at_may_be_anything(name: str, ketch: Path, tmp_path: Path, qtbot: QtBot) -> None:
    settings = Settings(tmp_path / "settings.json")
    view = {"sheet": "s1", "fits": "", "x_mm": 10.0, "y_mm": 10.0, "px_per_mm": 3.0, "page": ""}
    desk = Desk(settings, judging=False)
    for odd in ODD.values():
        settings.set("views", {str(ketch): view | {name: odd}})
        window = desk.open_path(ketch)
        assert window is not None
        qtbot.waitExposed(window)
        closed(desk, qtbot)


@pytest.mark.qt
@pytest.mark.usefixtures("_nothing_left_behind")
def test_a_geometry_nobody_has_is_no_geometry(tmp_path: Path, qtbot: QtBot) -> None:
    for data in (b"", b"\x01\xd9\xd0\xcb" + b"\xff" * 60, os.urandom(3000)):
        settings = Settings(tmp_path / "settings.json")
        settings.set("window", base64.b64encode(data).decode())
        desk = Desk(settings, judging=False)
        window = desk.new()
        qtbot.waitExposed(window)
        assert window.width() < 10_000
        closed(desk, qtbot)


def test_what_is_no_file_of_settings_is_not_waited_for(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    pipe = tmp_path / "settings.json"
    if hasattr(os, "mkfifo"):
        os.mkfifo(pipe)
        assert Settings(pipe).get("page") == DEFAULTS["page"]
        monkeypatch.setattr("app.settings.folder", lambda: tmp_path)
        assert chosen() == ""
    endless = tmp_path / "endless.json"
    if Path("/dev/zero").exists():
        endless.symlink_to("/dev/zero")
        assert Settings(endless).get("page") == DEFAULTS["page"]


@pytest.mark.parametrize(
    "data", [b" " * (LARGEST + 1), b'{"a":%s1%s}' % (b"[" * 300, b"]" * 300)], ids=["large", "deep"]
)
def test_what_is_too_large_or_too_deep_is_set_aside(data: bytes, tmp_path: Path) -> None:
    path = tmp_path / "settings.json"
    path.write_bytes(data)
    settings = Settings(path)
    settings.set("page", "table")
    assert settings.save()
    assert (tmp_path / "settings.json.bad").read_bytes() == data
    assert Settings(path).get("page") == "table"
