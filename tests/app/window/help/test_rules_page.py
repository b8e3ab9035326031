"""Help in the window: from a note or a key to the page of its rule, both examples drawn; every rule to browse."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

pytestmark = pytest.mark.qt
pytest.importorskip("PySide6.QtWidgets", exc_type=ImportError)

from PySide6.QtCore import Qt, QUrl  # noqa: E402
from PySide6.QtGui import QAccessible, QImage, QTextDocument  # noqa: E402
from pytestqt.qtbot import QtBot  # noqa: E402

from app.actions import action_named  # noqa: E402
from app.help.examples import sent  # noqa: E402
from app.help.html import picture_name  # noqa: E402
from app.help.pictures import shown_examples  # noqa: E402
from app.judgement import Judgement  # noqa: E402
from app.window.help.opening import chosen_rule  # noqa: E402
from app.window.help.page import RulesPage, fitting_rules  # noqa: E402
from app.window.help.painted import LEAST_PX_PER_MM, painted, scale_for, size_px  # noqa: E402
from app.window.help.warming import Warming  # noqa: E402
from app.window.main import Window  # noqa: E402
from app.window.start import Desk  # noqa: E402
from app.worker_messages import Examples  # noqa: E402
from engine.builder import Builder  # noqa: E402
from engine.check import check  # noqa: E402
from engine.files.drawing import save  # noqa: E402
from engine.rules import rules  # noqa: E402
from engine.rules.own import Heard, OwnRule, Said  # noqa: E402

LONG = 30_000  # ms: a process starts on a busy machine
Shown = Callable[[Window | None], Window]


@pytest.fixture
def boat(tmp_path: Path) -> Path:
    """A fuse rated below its voltage."""
    b = Builder(name="Sandling")
    b.add("battery_bank", "G1", unit_v=24, charge_v=28.8)
    b.add("fuse", "F1", rating_a=10, rated_dc_v=16)
    b.add("load", "E1", dc_v=24)
    b.run("W1", "G1.pos", "F1.in", size="14 AWG", length_m=0.1)
    b.run("W2", "F1.out", "E1.in", size="14 AWG", length_m=2)
    path = tmp_path / "sandling.linewright"
    save(b.installation, path)
    return path


def images(page: RulesPage) -> list[QImage]:
    """The pictures in the text."""
    made = []
    for n in range(len(page.examples[page.slug])):
        image = page.whole.document().resource(QTextDocument.ResourceType.ImageResource, QUrl(picture_name(n)))
        assert isinstance(image, QImage)
        made.append(image)
    return made


def inked(image: QImage) -> int:
    """Dark dots, of a grid over it."""
    step = range(0, image.width(), 2), range(0, image.height(), 2)
    return sum(image.pixelColor(x, y).lightness() < 100 for x in step[0] for y in step[1])


def test_from_a_note_to_the_page_of_its_rule(judging_desk: Desk, shown: Shown, boat: Path, qtbot: QtBot) -> None:
    window = shown(judging_desk.open_path(boat))
    qtbot.waitUntil(lambda: window.document.judgement is not None, timeout=LONG)
    window.show_page("notes")
    notes = window.pages.notes()
    row = next(n for n, line in enumerate(notes.rows.lines) if line.title == "rated-below-voltage")
    notes.notes.go_to_row(row)
    assert "About this rule" in notes.whole.toPlainText()
    qtbot.keyClick(notes.notes, Qt.Key.Key_F1, Qt.KeyboardModifier.ShiftModifier)
    assert window.page == "rules"
    page = window.pages.rules()
    assert page.slug == "rated-below-voltage"
    text = page.whole.toPlainText()
    for word in ("What it checks", "Why it matters", "What to do", "Limits in the books", "unknown_highest"):
        assert word in text  # at once, before anything is drawn
    qtbot.waitUntil(lambda: page.slug in page.examples, timeout=LONG)
    text = page.whole.toPlainText()
    assert "1. DANGER rated-below-voltage" in text
    assert all(inked(image) > 50 for image in images(page))
    assert page.whole.hasFocus()
    face = QAccessible.queryAccessibleInterface(page.whole)
    assert face.text(QAccessible.Text.Name) == "About the rule"
    assert "Is found: " in face.text(QAccessible.Text.Description)
    # the same from the link in a note, and from what is selected on the sheet
    window.show_page("notes")
    page.show_rule("overloaded")
    notes.whole.anchorClicked.emit(QUrl("rule:rated-below-voltage"))
    assert (window.page, page.slug) == ("rules", "rated-below-voltage")
    window.document.select(window.document.installation.find("F1")[0][1])
    assert chosen_rule(window) == "rated-below-voltage"


@pytest.fixture
def page(desk: Desk, shown: Shown, boat: Path) -> RulesPage:
    """The page in a window that has no study process."""
    window = shown(desk.open_path(boat))
    window.menus.call("about_rule")
    assert window.page == "rules"  # nothing is chosen: all of them
    assert "all the rules" in window.foot.message
    made = window.pages.rules()
    assert isinstance(made, RulesPage)
    return made


def test_every_rule_is_listed_and_typing_finds_it(page: RulesPage, qtbot: QtBot) -> None:
    slugs = [page.list.item(n).data(Qt.ItemDataRole.UserRole) for n in range(page.list.count())]
    assert sorted(slug for slug in slugs if slug) == list(rules())
    page.begin()
    qtbot.keyClicks(page.line, "break fault")
    assert page.slug == "cannot-break-fault"
    assert page.whole.toPlainText().startswith("cannot-break-fault")
    qtbot.keyClick(page.line, Qt.Key.Key_Escape)
    assert page.line.text() == ""
    assert page.slug == "cannot-break-fault"  # the list is whole again, the page stays
    qtbot.keyClick(page.line, Qt.Key.Key_Down)
    assert page.slug == "earth-interrupted"
    qtbot.keyClick(page.line, Qt.Key.Key_Return)
    assert page.whole.hasFocus()
    qtbot.keyClicks(page.line, "nothing of the kind")
    assert page.none.isVisible()
    assert not page.list.isVisible()
    assert page.line.accessibleDescription() == page.none.text()


def test_the_word_and_the_family_are_found_too() -> None:
    assert all(rule.word == "danger" for some in fitting_rules("DANGER").values() for rule in some)
    assert list(fitting_rules("conductors")) != []
    assert fitting_rules("") == fitting_rules(" ")


def test_without_a_study_process_the_text_is_there(page: RulesPage) -> None:
    page.show_rule("far-from-source")
    text = page.whole.toPlainText()
    assert "there is no study process" in text
    assert "Is found: a bare fuse lead just over 7 in" in text  # by name at least


def test_a_rule_named_in_the_text_is_a_link(page: RulesPage) -> None:
    page.show_rule("far-end-unprotected")
    page.whole.anchorClicked.emit(QUrl("rule:far-from-source"))
    assert page.slug == "far-from-source"
    assert page.list.currentItem().data(Qt.ItemDataRole.UserRole) == "far-from-source"
    refused: list[str] = []
    page.refused.connect(refused.append)
    page.show_rule("no-such-rule")
    assert refused == ["There is no page about no-such-rule."]
    assert page.slug == "far-from-source"


def test_a_rule_of_ones_own_has_a_page_too(page: RulesPage) -> None:
    own = OwnRule(
        "no-life-raft", "danger", "no life raft", "There is <none>.\n\nWhy it matters\n-----\nBecause.", "x.py"
    )
    result = check(page.document.snapshot(), own=Heard((own,), {own.slug: Said().outcome()}))
    page.document.judgement = Judgement(1, result, {}, {})
    page.show_rule("no-life-raft")
    text = page.whole.toPlainText()
    assert "There is <none>." in text
    assert "A rule of your own; no example is drawn." in text
    assert page.list.currentItem().data(Qt.ItemDataRole.UserRole) == "no-life-raft"
    page.document.judgement = None
    page.show_rule("over-stud")
    assert page.whole.toPlainText().startswith("over-stud")


def test_what_comes_late_or_broken_is_told(page: RulesPage) -> None:
    page.show_rule("tapped-bank")
    page.document.exampled.emit(Examples(1, "over-stud", sent(shown_examples("over-stud"))))
    assert "over-stud" in page.examples
    assert "Is found: five" not in page.whole.toPlainText()  # of another page
    page.document.exampled.emit(Examples(2, "tapped-bank", words="KeyError"))
    assert "The examples could not be drawn: KeyError" in page.whole.toPlainText()


def test_pictures_are_as_large_as_the_page_allows_and_always_legible(page: RulesPage, qtbot: QtBot) -> None:
    wide = max((s for s in map(shown_examples, ("over-stud", "earths-apart")) if s), key=lambda s: s[0].picture.width)
    picture = wide[0].picture
    assert scale_for(picture, 10.0) == LEAST_PX_PER_MM
    assert size_px(picture, scale_for(picture, 3.5 * picture.width))[0] == round(3.5 * picture.width)
    fine = painted(picture, 3.5, 2.0)
    assert (fine.width(), fine.devicePixelRatio()) == (round(2 * round(3.5 * picture.width)), 2.0)
    slug = "over-stud"
    page.examples[slug] = shown_examples(slug)
    page.show_rule(slug)
    before = images(page)[0].width()
    page.window().resize(page.window().width() + 400, page.window().height())
    split = page.window().split
    split.setSizes([300, 900])
    qtbot.waitUntil(lambda: images(page)[0].width() > before)


def test_the_keys_of_help() -> None:
    assert action_named("about_rule").keys == ("Shift+F1",)
    assert action_named("rules").keys == ("Ctrl+F1",)


def test_rules_are_read_between_frames_and_it_ends(
    page: RulesPage, qtbot: QtBot, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("app.window.help.warming.PAUSE_MS", 0)
    warming = Warming(page)
    warming.begin(0)
    warming.begin(0)
    qtbot.waitUntil(lambda: warming.is_done, timeout=LONG)
