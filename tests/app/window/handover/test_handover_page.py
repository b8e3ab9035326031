"""The page of what is handed over: what can be chosen, looked at in place of the sheet, written, stopped, refused."""

from __future__ import annotations

import sys
import zipfile
from collections.abc import Callable
from pathlib import Path

import pytest
from PySide6.QtCore import QObject, Qt
from PySide6.QtGui import QDesktopServices
from PySide6.QtWidgets import QComboBox, QFileDialog, QLineEdit
from pytestqt.qtbot import QtBot

from app.handover.documents import documents
from app.window.files import begin_new
from app.window.handover.asking import arguments_for, options_of
from app.window.handover.page import HandoverPage
from app.window.main import Window
from app.window.start import Desk
from engine.edits import SetFields
from engine.files.drawing import dump, load

pytestmark = pytest.mark.qt
Shown = Callable[[Window | None], Window]
StandIn = Callable[[str], Path]
LONG = 120_000
COPY = 'cp "$pdf" "$out"'


@pytest.fixture
def window(desk: Desk, shown: Shown, tmp_path: Path) -> Window:
    folder = tmp_path / "drawings"
    folder.mkdir()
    (folder / "gull.linewright").write_bytes(dump(begin_new().installation))
    made = shown(desk.open_path(folder / "gull.linewright"))
    made.show_page("handover")
    return made


@pytest.fixture
def page(window: Window, qtbot: QtBot) -> HandoverPage:
    return ready(window, qtbot)


@pytest.fixture
def room(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """Where temporary folders are made."""
    made = tmp_path / "room"
    made.mkdir()
    monkeypatch.setattr("tempfile.tempdir", str(made))
    return made


def ready(window: Window, qtbot: QtBot) -> HandoverPage:
    page = window.pages.handover()
    qtbot.waitUntil(lambda: page.is_ready, timeout=LONG)
    return page


def rename(window: Window, name: str) -> None:
    window.document.do(SetFields("vessel", "vessel", (("name", name),)))


def look(window: Window, qtbot: QtBot) -> None:
    page = ready(window, qtbot)
    qtbot.mouseClick(page.look, Qt.MouseButton.LeftButton)
    qtbot.waitUntil(lambda: not page.looking.is_going, timeout=LONG)


def save_to(monkeypatch: pytest.MonkeyPatch, path: Path, form: str = "") -> None:
    monkeypatch.setattr(QFileDialog, "getSaveFileName", lambda *_a, **_k: (str(path), form))


def folder_is(monkeypatch: pytest.MonkeyPatch, path: Path) -> None:
    monkeypatch.setattr(QFileDialog, "getExistingDirectory", lambda *_a, **_k: str(path))


# -- choosing ---------------------------------------------------------------------------------------------------------
def test_every_document_is_listed_with_what_it_is_for_and_may_be_asked(page: HandoverPage) -> None:
    every = documents()
    assert [page.list.item(n).text() for n in range(page.list.count())] == [maker.title for maker in every.values()]
    assert page.ticked == list(every)
    for name, maker in every.items():
        page.choose(name)
        assert maker.purpose.rstrip(".")[1:] in page.about.text()
        assert maker.held_by in page.about.text()
        assert {option.name for option in options_of((name,))} == set(page.common.fields) | set(page.own.fields), name
        for field in (*page.common.fields.values(), *page.own.fields.values()):
            assert field.accessibleName(), name
    for n in range(page.list.count()):
        page.list.item(n).setCheckState(Qt.CheckState.Unchecked)
    assert not page.zip.isEnabled()
    assert not page.folder.isEnabled()
    assert page.chosen.text().startswith("0 of ")


def test_what_is_answered_is_what_the_command_line_is_told() -> None:
    assert arguments_for(("parts",), {}) == ()
    told = arguments_for(("parts",), {"size": "A3", "mono": "yes", "spare_percent": "30", "since": "old.linewright"})
    assert told == ("--size=A3", "--mono", "--since=old.linewright", "--spare-percent=30")
    assert arguments_for(("parts",), {"spare_percent": " "}) == ()


# -- looking ----------------------------------------------------------------------------------------------------------
def test_what_is_looked_at_is_the_pdf_in_place_of_the_sheet(
    window: Window, page: HandoverPage, stand_in: StandIn, qtbot: QtBot, room: Path
) -> None:
    noted = stand_in(COPY)
    page.choose("parts")
    size = page.common.fields["size"]
    assert isinstance(size, QComboBox)
    size.setCurrentText("A3")
    look(window, qtbot)
    assert noted.read_text().splitlines()[3:5] == ["paper", "parts"]
    assert "--size=A3" in noted.read_text()
    preview = window.middle.preview
    assert window.middle.is_paper
    assert preview.pages is not None
    assert len(preview.pages) == 3
    assert preview.title.text() == "Bill of materials"
    assert preview.list.item(1).text() == "2  Sheet 2"
    assert preview.notice.isHidden()
    assert not list(room.iterdir())
    qtbot.waitUntil(lambda: preview.view.is_drawn)
    preview.list.setCurrentRow(2)
    assert preview.view.page == 2
    preview.number.setValue(2)
    assert preview.view.page == 1
    assert preview.list.currentRow() == 1


def test_it_says_when_it_is_older_than_the_drawing(
    window: Window, page: HandoverPage, stand_in: StandIn, qtbot: QtBot
) -> None:
    stand_in(COPY)
    look(window, qtbot)
    preview = window.middle.preview
    rename(window, "Avocet")
    assert preview.state.text() == "This is older than the drawing."
    assert preview.anew.isVisible()
    assert window.middle.is_paper
    window.document.undo()
    assert preview.notice.isHidden()
    rename(window, "Avocet")
    qtbot.mouseClick(preview.anew, Qt.MouseButton.LeftButton)
    qtbot.waitUntil(lambda: not page.looking.is_going)
    assert preview.notice.isHidden()
    page.common.fields["mono"].setChecked(True)  # type: ignore[attr-defined]
    assert "Something else is asked" in preview.state.text()


def test_what_is_made_already_is_shown_at_once(
    window: Window, page: HandoverPage, stand_in: StandIn, qtbot: QtBot
) -> None:
    stand_in(COPY)
    look(window, qtbot)
    window.show_page("notes")
    assert not window.middle.is_paper
    window.show_page("handover")
    stand_in("exit 2")
    look(window, qtbot)
    assert window.middle.is_paper
    assert window.middle.preview.notice.isHidden()


def test_the_sheet_comes_back(desk: Desk, shown: Shown, ketch: Path, stand_in: StandIn, qtbot: QtBot) -> None:
    window = shown(desk.open_path(ketch))
    stand_in(COPY)
    device = next(iter(window.document.snapshot().equipment))

    def by_key() -> None:
        qtbot.keyClick(window.middle.preview.view, Qt.Key.Key_Escape)

    for back in (
        by_key,
        window.middle.preview.back.click,
        lambda: window.take_tool("run"),
        lambda: window.reveal(device),
        lambda: window.show_page("notes"),
        lambda: window.show_page(""),
    ):
        window.show_page("handover")
        look(window, qtbot)
        assert window.middle.is_paper
        back()
        assert not window.middle.is_paper


def test_what_the_look_menu_does_it_does_to_the_paper(
    window: Window, page: HandoverPage, stand_in: StandIn, qtbot: QtBot
) -> None:
    stand_in(COPY)
    look(window, qtbot)
    view, board = window.middle.preview.view, window.board
    before, sheet = board.pixels_per_mm, window.document.sheet
    window.menus.call("true_size")
    assert view.scale == 1.0
    window.menus.call("nearer")
    assert view.scale > 1.0
    window.menus.call("fit")
    assert view.fitting == "page"
    window.menus.call("next_sheet")
    assert view.page == 1
    assert (board.pixels_per_mm, window.document.sheet) == (before, sheet)


@pytest.mark.says_in_log
def test_what_cannot_be_shown_is_told(
    window: Window, page: HandoverPage, stand_in: StandIn, qtbot: QtBot, room: Path
) -> None:
    for does, why in (
        ('echo "linewright: drawing.linewright: no space is left" >&2; exit 2', "no space is left"),
        ("exit 1", "the log tells why"),
        ("kill -9 $$", "the process that works it out ended"),
        ('echo nonsense > "$out"', "what was made cannot be shown"),
    ):
        window.foot.say("")
        stand_in(does)
        look(window, qtbot)
        assert why in window.middle.preview.state.text()
        assert why in window.foot.message
        assert window.middle.preview.anew.isVisible()
        assert not list(room.iterdir())


def test_what_the_font_lacks_is_told_on_the_preview_and_much_in_short(
    window: Window, page: HandoverPage, stand_in: StandIn, qtbot: QtBot
) -> None:
    stand_in(f'{COPY}; echo "$out: the font lacks ☃; boxes stand in their place" >&2')
    page.choose("parts")
    look(window, qtbot)
    state = window.middle.preview.state
    assert state.text() == "parts.pdf: the font lacks ☃; boxes stand in their place"
    stand_in(f'{COPY}; for n in 1 2 3 4 5; do echo "Gap $n." >&2; done')
    page.choose("labels")
    look(window, qtbot)
    assert state.text() == "Gap 1. Gap 2. 3 more were told."
    assert state.toolTip().splitlines() == [f"Gap {n}." for n in range(1, 6)]


def test_a_yards_own_book_is_found_beside_the_drawing(
    window: Window, page: HandoverPage, stand_in: StandIn, qtbot: QtBot
) -> None:
    noted = stand_in(COPY)
    window.document.do(SetFields("settings", "settings", (("book", "yard.book.toml"),)))
    look(window, qtbot)
    asked = noted.read_text().splitlines()
    assert window.document.path is not None
    assert asked[asked.index("--book") + 1] == str(window.document.path.with_name("yard.book.toml"))
    assert Path(asked[5]).name == "gull.linewright"
    assert Path(asked[5]) != window.document.path


def test_making_can_be_stopped(window: Window, page: HandoverPage, stand_in: StandIn, qtbot: QtBot, room: Path) -> None:
    stand_in("exec sleep 60")
    qtbot.mouseClick(page.look, Qt.MouseButton.LeftButton)
    preview = window.middle.preview
    assert "is being made" in preview.state.text()
    qtbot.mouseClick(preview.stop, Qt.MouseButton.LeftButton)
    assert preview.state.text() == "Stopped."
    assert not page.looking.is_going
    assert not list(room.iterdir())


def test_closed_meanwhile_nothing_is_left(
    window: Window, page: HandoverPage, stand_in: StandIn, qtbot: QtBot, room: Path
) -> None:
    stand_in("exec sleep 60")
    qtbot.mouseClick(page.look, Qt.MouseButton.LeftButton)
    assert list(room.iterdir())
    window.close()
    assert not list(room.iterdir())


def test_what_cannot_be_taken_is_told_before_anything_is_made(
    window: Window, page: HandoverPage, stand_in: StandIn, qtbot: QtBot
) -> None:
    stand_in("exit 2")
    page.choose("parts")
    field = page.own.fields["spare_percent"]
    assert isinstance(field, QLineEdit)
    field.setText("many")
    qtbot.mouseClick(page.look, Qt.MouseButton.LeftButton)
    assert not page.looking.is_going
    assert window.foot.message.startswith("Not done: Spare fuses, percent of those fitted (20): ")
    assert "many" in window.foot.message
    assert not window.middle.is_paper


# -- writing ----------------------------------------------------------------------------------------------------------
def test_one_document_is_written_where_the_person_says(
    window: Window,
    page: HandoverPage,
    stand_in: StandIn,
    qtbot: QtBot,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    three_pages: bytes,
    room: Path,
) -> None:
    stand_in(COPY)
    save_to(monkeypatch, tmp_path / "list")
    qtbot.mouseClick(page.write_one, Qt.MouseButton.LeftButton)
    assert not page.write_one.isEnabled()
    qtbot.waitUntil(lambda: not page.writing.is_going)
    assert (tmp_path / "list.pdf").read_bytes() == three_pages
    assert window.foot.message == f"Written: {tmp_path / 'list.pdf'}"
    assert page.write_one.isEnabled()
    opened: list[str] = []
    monkeypatch.setattr(QDesktopServices, "openUrl", lambda url: bool(opened.append(url.toLocalFile())))
    qtbot.mouseClick(page.open, Qt.MouseButton.LeftButton)
    assert opened == [str(tmp_path / "list.pdf")]
    assert "The system opens nothing for" in window.foot.message
    assert not list(room.iterdir())


def test_several_files_are_asked_about_and_named(
    window: Window,
    page: HandoverPage,
    stand_in: StandIn,
    qtbot: QtBot,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    answers: list[str],
) -> None:
    stand_in('for n in 1 2; do cp "$pdf" "${out%.csv}-$n.csv"; done')
    there = tmp_path / "list-2.csv"
    there.write_text("somebody's")
    save_to(monkeypatch, tmp_path / "list", "Tables as text (*.csv)")
    for answer in ("stay", "over"):
        answers.append(answer)
        qtbot.mouseClick(page.write_one, Qt.MouseButton.LeftButton)
        qtbot.waitUntil(lambda: not page.writing.is_going)
        assert (there.read_bytes() == b"somebody's") == (answer == "stay")
        assert (tmp_path / "list-1.csv").exists() == (answer == "over")
    assert "2 files: list-1.csv, list-2.csv" in page.said.toPlainText()


@pytest.mark.says_in_log
def test_a_refusal_leaves_the_old_one(
    window: Window,
    page: HandoverPage,
    stand_in: StandIn,
    qtbot: QtBot,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    there = tmp_path / "list.dxf"
    there.write_text("the old one")
    save_to(monkeypatch, there)
    stand_in('echo "linewright: Parts is not written as .dxf; there is: .pdf" >&2; exit 2')
    qtbot.mouseClick(page.write_one, Qt.MouseButton.LeftButton)
    qtbot.waitUntil(lambda: not page.writing.is_going)
    assert there.read_text() == "the old one"
    assert window.foot.message == "Not done: list.dxf is not written: Parts is not written as .dxf; there is: .pdf"
    save_to(monkeypatch, tmp_path / "gone" / "list.pdf")
    stand_in(COPY)
    qtbot.mouseClick(page.write_one, Qt.MouseButton.LeftButton)
    qtbot.waitUntil(lambda: not page.writing.is_going)
    assert "list.pdf is not written: there is no such file or folder" in window.foot.message
    assert page.said.isVisible()
    assert not page.open.isVisible()


@pytest.mark.says_in_log
def test_a_program_that_is_not_there_is_told(
    window: Window, page: HandoverPage, qtbot: QtBot, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(sys, "executable", "/nowhere/python")
    save_to(monkeypatch, tmp_path / "list.pdf")
    qtbot.mouseClick(page.write_one, Qt.MouseButton.LeftButton)
    qtbot.waitUntil(lambda: not page.writing.is_going)
    assert "no second process could be started" in window.foot.message


def test_the_pack_tells_how_far_it_is_and_what_was_noticed(
    window: Window,
    page: HandoverPage,
    stand_in: StandIn,
    qtbot: QtBot,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    go = tmp_path / "go"
    noted = stand_in(
        f'echo "2 of 4: Bill of materials" >&2; while [ ! -e "{go}" ]; do :; done; {COPY}; echo "a gap" >&2; exit 1'
    )
    page.list.item(0).setCheckState(Qt.CheckState.Unchecked)
    save_to(monkeypatch, tmp_path / "pack")
    qtbot.mouseClick(page.zip, Qt.MouseButton.LeftButton)
    qtbot.waitUntil(lambda: page.far.text() == "2 of 4: Bill of materials")
    assert (page.bar.maximum(), page.bar.value()) == (4, 1)
    assert page.stop.isVisible()
    go.touch()
    qtbot.waitUntil(lambda: not page.writing.is_going)
    asked = noted.read_text().splitlines()
    assert asked[3] == "pack"
    assert [line[7:] for line in asked if line.startswith("--only=")] == list(documents())[1:]
    assert page.said.toPlainText().splitlines() == [f"Written: {tmp_path / 'pack.zip'}", "a gap"]
    assert not page.bar.isVisible()


def test_a_pack_that_is_stopped_leaves_what_stood_there(
    window: Window,
    page: HandoverPage,
    stand_in: StandIn,
    qtbot: QtBot,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    place = tmp_path / "place"
    (place / "elsewhere").mkdir(parents=True)
    (place / "elsewhere" / "letter.txt").write_text("somebody's")
    stand_in(f'mkdir "{place}/.linewright-$$-ab.part"; echo "1 of 4: Schedules" >&2; exec sleep 60')
    folder_is(monkeypatch, place)
    qtbot.mouseClick(page.folder, Qt.MouseButton.LeftButton)
    qtbot.waitUntil(lambda: page.far.text().startswith("1 of 4"))
    assert len(list(place.iterdir())) == 2
    qtbot.mouseClick(page.stop, Qt.MouseButton.LeftButton)
    qtbot.waitUntil(lambda: not page.writing.is_going)
    assert [path.name for path in place.iterdir()] == ["elsewhere"]
    assert window.foot.message == "Stopped; nothing was written."


def test_among_somebodys_files_the_pack_has_a_folder_of_its_own(
    window: Window,
    page: HandoverPage,
    stand_in: StandIn,
    qtbot: QtBot,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    noted = stand_in('mkdir "$out"')
    for place, wanted in ((tmp_path, tmp_path / "gull - hand-over"), (tmp_path / "empty", tmp_path / "empty")):
        place.mkdir(exist_ok=True)
        folder_is(monkeypatch, place)
        noted.unlink(missing_ok=True)
        qtbot.mouseClick(page.folder, Qt.MouseButton.LeftButton)
        qtbot.waitUntil(lambda: not page.writing.is_going)
        assert str(wanted) in noted.read_text().splitlines()


# -- the real one -----------------------------------------------------------------------------------------------------
def test_an_unsaved_drawing_is_looked_at_as_it_is_on_the_screen(desk: Desk, shown: Shown, qtbot: QtBot) -> None:
    window = shown(desk.new())
    rename(window, "Phalarope")
    window.show_page("handover")
    page = ready(window, qtbot)
    page.choose("parts")
    look(window, qtbot)
    pages = window.middle.preview.pages
    assert pages is not None, window.foot.message
    assert "Phalarope" in pages.text(0)
    assert not window.findChildren(QObject, "printing")


@pytest.mark.long
def test_the_whole_pack_and_stopping_it(
    desk: Desk, shown: Shown, ketch: Path, qtbot: QtBot, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    window = shown(desk.open_path(ketch))
    window.show_page("handover")
    page = ready(window, qtbot)
    place = tmp_path / "place"
    place.mkdir()
    save_to(monkeypatch, place / "pack.zip")
    qtbot.mouseClick(page.zip, Qt.MouseButton.LeftButton)
    qtbot.waitUntil(lambda: page.bar.maximum() > 0, timeout=LONG)
    qtbot.mouseClick(page.stop, Qt.MouseButton.LeftButton)
    qtbot.waitUntil(lambda: not page.writing.is_going, timeout=LONG)
    assert not list(place.iterdir())
    qtbot.mouseClick(page.zip, Qt.MouseButton.LeftButton)
    qtbot.waitUntil(lambda: not page.writing.is_going, timeout=LONG)
    assert "Written" in window.foot.message, page.said.toPlainText()
    with zipfile.ZipFile(place / "pack.zip") as made:
        names = made.namelist()
    assert "manifest.json" in names
    assert "ketch.linewright" in names
    wanted = [maker for maker in documents().values() if maker.fits(load(ketch).installation.snapshot())]
    assert len([name for name in names if name.endswith(".pdf")]) == len(wanted)
