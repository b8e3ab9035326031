"""Drawings and files as a person meets them: new, open, save, save as, recent, several windows, who else has it."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pytest
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QFileDialog
from pytestqt.qtbot import QtBot

from app.settings import Settings
from app.window.main import Window
from app.window.start import Desk
from engine.edits import SetFields, apply
from engine.files.drawing import load, save

pytestmark = pytest.mark.qt
Shown = Callable[[Window | None], Window]


def rename(window: Window, name: str) -> None:
    window.document.do(SetFields("vessel", "vessel", (("name", name),), "Name the vessel"))


def chosen(monkeypatch: pytest.MonkeyPatch, *paths: Path) -> None:
    texts = [str(path) for path in paths]
    monkeypatch.setattr(QFileDialog, "getSaveFileName", lambda *_a, **_k: (texts[0] if texts else "", ""))
    monkeypatch.setattr(QFileDialog, "getOpenFileNames", lambda *_a, **_k: (texts, ""))


def test_a_new_drawing_has_a_sheet_and_no_file(desk: Desk, shown: Shown) -> None:
    window = shown(desk.new())
    assert len(window.document.sheets()) == 1
    assert window.document.path is None
    assert not window.document.is_dirty


def test_open_change_save(desk: Desk, shown: Shown, ketch: Path, qtbot: QtBot) -> None:
    window = shown(desk.open_path(ketch))
    assert "ketch.linewright" in window.windowTitle()
    before = ketch.read_bytes()
    rename(window, "Avocet")
    assert window.isWindowModified()
    assert ketch.read_bytes() == before
    qtbot.keyClick(window, Qt.Key.Key_S, Qt.KeyboardModifier.ControlModifier)
    assert not window.isWindowModified()
    assert load(ketch).installation.vessel.name == "Avocet"
    window.document.undo()
    assert window.isWindowModified()
    window.document.redo()
    assert not window.isWindowModified()


def test_save_as_goes_on_there_and_frees_the_first_file(
    desk: Desk, shown: Shown, ketch: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    window = shown(desk.open_path(ketch))
    rename(window, "Avocet")
    chosen(monkeypatch, tmp_path / "avocet")
    window.menus.call("save_as")
    there = tmp_path / "avocet.linewright"
    assert load(there).installation.vessel.name == "Avocet"
    assert load(ketch).installation.vessel.name != "Avocet"
    assert window.document.path == there
    again = shown(desk.open_path(ketch))
    assert not again.document.read_only
    assert desk.settings.recent()[0] == str(ketch)
    assert str(there) in desk.settings.recent()


def test_a_new_drawing_is_asked_for_its_file(
    desk: Desk, shown: Shown, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    window = shown(desk.new())
    chosen(monkeypatch)
    window.menus.call("save")
    assert window.document.path is None
    chosen(monkeypatch, tmp_path / "skua.linewright")
    window.menus.call("save")
    assert (tmp_path / "skua.linewright").is_file()


def test_an_ending_added_by_us_never_writes_over_unasked(
    desk: Desk, shown: Shown, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, answers: list[str]
) -> None:
    (tmp_path / "skua.linewright").write_text("somebody's")
    window = shown(desk.new())
    chosen(monkeypatch, tmp_path / "skua")
    answers.append("stay")
    window.menus.call("save")
    assert (tmp_path / "skua.linewright").read_text() == "somebody's"


def test_a_foreign_change_is_noticed_before_saving(
    desk: Desk, shown: Shown, ketch: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, answers: list[str]
) -> None:
    window = shown(desk.open_path(ketch))
    theirs = load(ketch).installation
    apply(theirs, SetFields("vessel", "vessel", (("flag", "SE"),)))
    save(theirs, ketch)
    rename(window, "Avocet")
    answers.append("stay")
    window.menus.call("save")
    assert load(ketch).installation.vessel.flag == "SE"
    assert window.document.is_dirty
    answers.append("as")
    chosen(monkeypatch, tmp_path / "ours.linewright")
    window.menus.call("save")
    assert load(ketch).installation.vessel.flag == "SE"
    assert load(tmp_path / "ours.linewright").installation.vessel.name == "Avocet"


def test_written_over_only_when_it_was_said(desk: Desk, shown: Shown, ketch: Path, answers: list[str]) -> None:
    window = shown(desk.open_path(ketch))
    ketch.write_bytes(ketch.read_bytes() + b"\n")
    rename(window, "Avocet")
    answers.append("over")
    window.menus.call("save")
    assert load(ketch).installation.vessel.name == "Avocet"
    assert not window.document.is_dirty


def test_a_file_that_is_no_drawing_is_told_and_nothing_opens(desk: Desk, tmp_path: Path, answers: list[str]) -> None:
    path = tmp_path / "x.linewright"
    path.write_text('{"format": "something else"}')
    answers.extend(("close", "close"))
    assert desk.open_path(path) is None
    assert desk.open_path(tmp_path / "missing.linewright") is None
    assert not desk.windows
    assert list(tmp_path.iterdir()) == [path]  # no lock left behind


def test_the_same_file_is_the_same_window(desk: Desk, shown: Shown, ketch: Path) -> None:
    window = shown(desk.open_path(ketch))
    assert desk.open_path(ketch) is window
    link = ketch.with_name("link.linewright")
    link.symlink_to(ketch)
    assert desk.open_path(link) is window


def test_several_windows_each_their_own(desk: Desk, shown: Shown, ketch: Path) -> None:
    one, two = shown(desk.open_path(ketch)), shown(desk.new())
    rename(one, "Avocet")
    assert two.document.installation.vessel.name == ""
    assert len(desk.windows) == 2


def test_an_untouched_empty_window_makes_room(desk: Desk, shown: Shown, ketch: Path, qtbot: QtBot) -> None:
    empty = shown(desk.new())
    window = desk.open_path(ketch, empty)
    qtbot.waitUntil(lambda: desk.windows == [window])


def test_another_process_has_it_so_it_is_read_only(desk: Desk, shown: Shown, ketch: Path, qtbot: QtBot) -> None:
    code = (
        "import sys; from engine.files.lock import take; lock = take(sys.argv[1]); print(type(lock).__name__,"
        " flush=True); sys.stdin.read()"
    )
    other = subprocess.Popen(
        [sys.executable, "-c", code, str(ketch)], stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True
    )
    assert other.stdout is not None
    assert other.stdout.readline().strip() == "Lock"
    try:
        window = shown(desk.open_path(ketch))
        assert str(other.pid) in window.document.read_only or "open" in window.document.read_only
        qtbot.waitUntil(lambda: "read-only" in window.banner.told())
        before = window.document.snapshot()
        assert not window.try_edit(SetFields("vessel", "vessel", (("name", "X"),)))
        assert window.document.snapshot() == before
        assert "read only" in window.foot.message
        assert "(read only)" in window.windowTitle()
        assert not window.menus.of["undo"].isEnabled()
    finally:
        other.communicate("", timeout=20)


def test_a_held_drawing_can_go_on_under_another_name(
    desk: Desk, shown: Shown, ketch: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    from engine.files.lock import Lock, take

    held = take(ketch)
    assert isinstance(held, Lock)
    window = shown(desk.open_path(ketch))
    assert window.document.read_only
    chosen(monkeypatch, tmp_path / "mine.linewright")
    window.menus.call("save_as")
    assert not window.document.read_only
    rename(window, "Avocet")
    held.release()


def test_a_held_file_is_not_written_over_under_its_own_name(
    desk: Desk, shown: Shown, ketch: Path, monkeypatch: pytest.MonkeyPatch, answers: list[str]
) -> None:
    from engine.files.lock import Lock, take

    held = take(ketch)
    assert isinstance(held, Lock)
    before = ketch.read_bytes()
    window = shown(desk.open_path(ketch))
    link = ketch.with_name("link.linewright")
    link.symlink_to(ketch)
    for name in (ketch, link):
        chosen(monkeypatch, name)
        answers.append("close")
        window.menus.call("save_as")
        assert window.document.read_only
    theirs = load(ketch).installation
    apply(theirs, SetFields("vessel", "vessel", (("flag", "SE"),)))
    save(theirs, ketch)
    held.release()  # now it may be had, but it is another
    answers.append("stay")
    window.menus.call("save_as")
    assert load(ketch).installation.vessel.flag == "SE"
    assert ketch.read_bytes() != before
    answers.append("over")
    window.menus.call("save_as")
    assert ketch.read_bytes() == before
    assert not window.document.read_only
    assert not isinstance(take(ketch), Lock)  # it is ours from now on


def test_what_was_read_only_is_kept_for_recovery_once_it_may_be_changed(
    desk: Desk, shown: Shown, ketch: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    from engine.files.lock import Lock, take

    held = take(ketch)
    assert isinstance(held, Lock)
    window = shown(desk.open_path(ketch))
    chosen(monkeypatch, tmp_path / "mine.linewright")
    window.menus.call("save_as")
    rename(window, "Avocet")
    journal = window.document.journal
    assert journal is not None
    assert journal.file is not None
    assert b"Avocet" in journal.file.read_bytes()
    held.release()


def test_saved_under_its_own_name_a_foreign_change_is_noticed_too(
    desk: Desk, shown: Shown, ketch: Path, monkeypatch: pytest.MonkeyPatch, answers: list[str]
) -> None:
    window = shown(desk.open_path(ketch))
    ketch.write_bytes(ketch.read_bytes() + b"\n")
    theirs = ketch.read_bytes()
    rename(window, "Avocet")
    link = ketch.with_name("link.linewright")
    link.symlink_to(ketch)
    chosen(monkeypatch, link)
    answers.append("stay")
    window.menus.call("save_as")
    assert ketch.read_bytes() == theirs
    answers.append("over")
    window.menus.call("save_as")
    assert link.is_symlink()
    assert load(ketch).installation.vessel.name == "Avocet"


def test_a_name_with_a_point_gets_the_ending_too(
    desk: Desk, shown: Shown, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    window = shown(desk.new())
    chosen(monkeypatch, tmp_path / "Skua 2.1")
    window.menus.call("save")
    assert (tmp_path / "Skua 2.1.linewright").is_file()


@pytest.mark.byte_names
def test_a_name_that_is_no_text_opens_and_saves(desk: Desk, shown: Shown, ketch: Path) -> None:
    path = Path(os.fsdecode(os.fsencode(ketch.parent) + b"/sk\xffa.linewright"))
    ketch.rename(path)
    window = shown(desk.open_path(path))
    rename(window, "Avocet")
    window.menus.call("save")
    assert load(path).installation.vessel.name == "Avocet"
    assert str(path) in Settings().recent()


def test_settings_that_somebody_has_edited_keep_no_window_from_opening(desk: Desk, shown: Shown) -> None:
    desk.settings.set("window", "abc")
    desk.settings.set("page", "no such page")
    shown(desk.new())
    desk.settings.set("window", "é")
    shown(desk.new())


def test_leaving_asks_once_for_what_is_unsaved(desk: Desk, shown: Shown, ketch: Path, answers: list[str]) -> None:
    window = shown(desk.open_path(ketch))
    rename(window, "Avocet")
    answers.append("stay")
    window.close()
    assert window in desk.windows
    answers.append("save")
    window.close()
    assert window not in desk.windows
    assert load(ketch).installation.vessel.name == "Avocet"
    assert [p.name for p in ketch.parent.iterdir()] == [ketch.name]  # lock gone


def test_left_without_saving_nothing_is_written_and_nothing_offered(
    desk: Desk, shown: Shown, ketch: Path, answers: list[str]
) -> None:
    from app.window.recovering import folder
    from engine.files.recovery import left_behind

    before = ketch.read_bytes()
    window = shown(desk.open_path(ketch))
    rename(window, "Avocet")
    answers.append("drop")
    window.close()
    assert ketch.read_bytes() == before
    assert not left_behind(folder())


def test_quitting_asks_every_window_before_closing_any(
    desk: Desk, shown: Shown, ketch: Path, answers: list[str]
) -> None:
    one, two = shown(desk.open_path(ketch)), shown(desk.new())
    rename(one, "Avocet")
    rename(two, "Dunlin")
    answers.extend(("drop", "stay"))
    assert not desk.leave()
    assert desk.windows == [one, two]
    answers.extend(("drop", "drop"))
    assert desk.leave()
    assert not desk.windows


def test_a_folder_that_cannot_be_written_is_told_and_the_file_kept(
    desk: Desk, shown: Shown, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, answers: list[str]
) -> None:
    window = shown(desk.new())
    rename(window, "Avocet")
    chosen(monkeypatch, tmp_path / "no such folder" / "a.linewright")
    answers.append("close")
    window.menus.call("save")
    assert window.document.is_dirty
    assert window.document.path is None


def test_a_folder_taken_away_and_brought_back(
    desk: Desk, shown: Shown, tmp_path: Path, ketch: Path, answers: list[str]
) -> None:
    from engine.files.lock import Held, Lock, take

    room = tmp_path / "room"
    room.mkdir()
    path = room / "a.linewright"
    path.write_bytes(ketch.read_bytes())
    window = shown(desk.open_path(path))
    rename(window, "Avocet")
    shutil.rmtree(room)
    answers.append("close")
    window.menus.call("save")
    assert window.document.is_dirty
    room.mkdir()
    window.menus.call("save")
    assert load(path).installation.vessel.name == "Avocet"
    assert isinstance(take(path), Held)  # others are told again who has it
    rename(window, "Skua")
    shutil.rmtree(room)
    room.mkdir()
    code = f"from engine.files.lock import take; lock = take({str(path)!r}); print('has it', flush=True); input()"
    other = subprocess.Popen([sys.executable, "-c", code], stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True)
    assert other.stdout is not None
    assert other.stdout.readline() == "has it\n"
    answers.append("close")
    window.menus.call("save")
    assert not path.exists()
    assert "is in use" in answers.asked[-1].title  # type: ignore[attr-defined]  # the fixture's own
    other.communicate("\n", timeout=20)
    window.menus.call("save")
    assert load(path).installation.vessel.name == "Skua"
    assert isinstance(window.document.lock, Lock)


def test_the_sample_opens_as_a_copy(desk: Desk, shown: Shown) -> None:
    window = shown(desk.new())
    window.menus.call("sample")
    copy = shown(desk.windows[-1])
    assert copy is not window
    assert copy.document.path is None
    assert copy.document.snapshot().equipment


def test_recent_drawings_are_offered(desk: Desk, shown: Shown, ketch: Path) -> None:
    shown(desk.open_path(ketch))
    window = shown(desk.new())
    window.menus.recent.aboutToShow.emit()
    assert [a.text() for a in window.menus.recent.actions()] == [str(ketch)]


@pytest.mark.long
def test_windows_open_and_close_without_end(desk: Desk, shown: Shown, ketch: Path) -> None:
    for _n in range(30):
        window = shown(desk.open_path(ketch))
        window.close()
        assert not desk.windows
