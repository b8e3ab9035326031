"""Settings: kept, defaulted, never in the way."""

from __future__ import annotations

import json
import stat
from pathlib import Path

import pytest

from app.settings import DEFAULTS, MOST_RECENT, Settings


def test_what_is_set_is_there_at_the_next_start(tmp_path: Path) -> None:
    first = Settings(tmp_path / "deep" / "settings.json")
    first.set("page", "table")
    assert first.save()
    assert Settings(first.path).get("page") == "table"


def test_a_setting_nobody_declared_is_a_fault_of_the_program(tmp_path: Path) -> None:
    settings = Settings(tmp_path / "s.json")
    with pytest.raises(KeyError):
        settings.set("colour", "red")
    with pytest.raises(TypeError):
        settings.set("recent", "one")


@pytest.mark.parametrize("data", [b"", b"{", b"[1]", b"\xff\xfe", b"[" * 5000])
def test_a_spoilt_file_is_set_aside(tmp_path: Path, data: bytes) -> None:
    path = tmp_path / "settings.json"
    path.write_bytes(data)
    settings = Settings(path)
    assert settings.get("page") == DEFAULTS["page"]
    assert (tmp_path / "settings.json.bad").read_bytes() == data
    assert settings.save()
    assert json.loads(path.read_text())["version"] == 1


def test_a_value_of_the_wrong_type_counts_as_not_set(tmp_path: Path) -> None:
    path = tmp_path / "settings.json"
    path.write_text('{"recent": 3, "page": ["x"], "from_the_future": {"a": 1}}')
    settings = Settings(path)
    assert settings.get("recent") == []
    assert settings.get("page") == DEFAULTS["page"]
    settings.set("page", "")
    settings.save()
    assert json.loads(path.read_text())["from_the_future"] == {"a": 1}


def test_recent_drawings_newest_first_each_once_only_those_there(tmp_path: Path) -> None:
    settings = Settings(tmp_path / "s.json")
    made = [tmp_path / f"{n}.linewright" for n in range(MOST_RECENT + 3)]
    for path in made:
        path.touch()
        settings.used(path)
    settings.used(made[5])
    assert settings.recent()[0] == str(made[5])
    assert len(settings.recent()) == len(set(settings.recent())) == MOST_RECENT
    made[5].unlink()
    assert str(made[5]) not in settings.recent()


def test_where_nothing_can_be_written_work_goes_on(tmp_path: Path) -> None:
    target = tmp_path / "settings.json"
    target.mkdir()  # a folder in its place: not even root can write a file there
    settings = Settings(target)
    settings.set("page", "table")
    assert not settings.save()
    assert settings.get("page") == "table"
    assert stat.S_ISDIR(target.stat().st_mode)


def test_two_programs_keep_what_each_has_set(tmp_path: Path) -> None:
    path = tmp_path / "settings.json"
    one, two = Settings(path), Settings(path)
    one.set("look", "dark")
    assert one.save()
    two.set("text_percent", 150)
    assert two.save()
    assert two.get("look") == "dark"
    assert one.save()  # nothing new of its own: what the other wrote stays
    last = Settings(path)
    assert (last.get("look"), last.get("text_percent")) == ("dark", 150)
    path.write_text("{ half")  # another's trouble does not take what is set here
    one.set("look", "light")
    assert one.save()
    assert (Settings(path).get("look"), Settings(path).get("text_percent")) == ("light", 150)
