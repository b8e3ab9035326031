"""A finding offers its edits in a menu; choosing one is one edit that Undo takes back."""

from __future__ import annotations

from typing import Any

import pytest
from PySide6.QtCore import Qt
from pytestqt.qtbot import QtBot

from app.window.document import Document
from app.window.notes import NotesPage
from app.worker_messages import Offered
from engine.books import load
from engine.files.edit_form import plain_edit
from engine.findings import Finding
from engine.fixing.trial import as_records
from engine.rules import rules
from engine.study import Study

pytestmark = pytest.mark.qt


class Judge:
    """Stands for the study process: keeps what is asked."""

    def __init__(self) -> None:
        self.asked: list[str] = []

    def mend(self, key: str) -> None:
        self.asked.append(key)

    def edit(self, _edit: object) -> None:
        """Told of an edit."""

    def close(self) -> None:
        """Nothing to end."""


@pytest.fixture
def asked(ketch: Document) -> list[str]:
    judge: Any = Judge()
    ketch.judge = judge
    return judge.asked


def _finding(document: Document, rule: str) -> Finding:
    assert document.judgement is not None
    return next(f for f in document.judgement.result.findings if f.rule == rule)


def _answer(document: Document, finding: Finding) -> Offered:
    study = Study(document.snapshot(), load(document.snapshot().settings.book))
    fixes = rules()[finding.rule].fixes
    assert fixes is not None
    edits = [(f.text, plain_edit(as_records(study.snapshot, f.edit))) for f in fixes(study, finding)]
    return Offered(1, finding.key, tuple(edits))


def test_the_edits_are_asked_for_and_one_is_done_and_undone(
    page: NotesPage, ketch: Document, asked: list[str], qtbot: QtBot
) -> None:
    finding = _finding(ketch, "needless-waiver")
    page.show_finding(finding.key)
    button = page.mend_button
    assert button.isVisible()
    assert not button.isEnabled()
    qtbot.waitUntil(lambda: asked == [finding.key])
    ketch.offered.emit(_answer(ketch, finding))
    assert button.isEnabled()
    (action,) = button.edits.actions()
    assert action.text() == "Remove the waiver of no-protection for W51"
    before = ketch.snapshot()
    action.trigger()
    assert finding.ids[0] not in ketch.snapshot().waivers
    assert page.window().focusWidget() is page.notes  # also where no window manager makes windows active
    assert not button.isEnabled(), "what was offered speaks of the drawing before"
    assert button.edits.actions() == []
    ketch.undo()
    assert ketch.snapshot() == before


def test_what_is_made_anew_has_an_id_that_was_never_used(page: NotesPage, ketch: Document, asked: list[str]) -> None:
    finding = _finding(ketch, "rating-above-ampacity")
    page.show_finding(finding.key)
    ketch.installation.last_id += 500
    last, before = ketch.installation.last_id, set(ketch.snapshot().equipment)
    ketch.offered.emit(_answer(ketch, finding))
    next(action for action in page.mend_button.edits.actions() if "fuse of" in action.text()).trigger()
    (fuse,) = set(ketch.snapshot().equipment) - before
    assert int(fuse[1:]) > last
    assert ketch.history.undo_words.startswith("Fit a fuse of 150 A")


def test_the_menu_opens_by_the_keyboard_and_is_named(page: NotesPage, ketch: Document, asked: list[str]) -> None:
    finding = _finding(ketch, "needless-waiver")
    page.show_finding(finding.key)
    button = page.mend_button
    assert button.accessibleName() == "Put it right"
    assert button.accessibleDescription() == "Being worked out…"
    assert button.focusPolicy() & Qt.FocusPolicy.TabFocus
    ketch.offered.emit(Offered(1, finding.key, (("remove it", {"words": "remove it", "puts": []}),)))
    assert button.menu() is button.edits
    assert "Undo" in button.accessibleDescription()
    assert asked == []  # the pause before asking has not passed


def test_walking_through_the_list_asks_for_the_last_alone(
    page: NotesPage, ketch: Document, asked: list[str], qtbot: QtBot
) -> None:
    first, last = _finding(ketch, "unconnected"), _finding(ketch, "needless-waiver")
    page.show_finding(first.key)
    page.show_finding(last.key)
    qtbot.waitUntil(lambda: bool(asked))
    assert asked == [last.key]
    ketch.offered.emit(Offered(1, first.key, (("spare", {"words": "spare", "puts": []}),)))
    assert not page.mend_button.isEnabled(), "an answer for another finding"


def test_where_nothing_helps_it_says_so(page: NotesPage, ketch: Document, asked: list[str]) -> None:
    finding = _finding(ketch, "needless-waiver")
    page.show_finding(finding.key)
    ketch.offered.emit(Offered(1, finding.key))
    assert not page.mend_button.isEnabled()
    assert page.mend_button.toolTip().startswith("No edit of the drawing")
    ketch.offered.emit(Offered(1, finding.key, (), "the trial broke"))
    assert page.mend_button.toolTip() == "Edits could not be worked out: the trial broke"


def test_what_cannot_be_offered_shows_no_button(page: NotesPage, ketch: Document) -> None:
    assert ketch.judgement is not None
    gap = next(line for line in page.rows.lines if line.kind == "gap")
    page.notes.go_to_row(page.rows.number_of(gap.name))
    assert not page.mend_button.isVisible()


def test_an_edit_that_cannot_be_done_is_refused_in_a_sentence(
    page: NotesPage, ketch: Document, asked: list[str], qtbot: QtBot
) -> None:
    finding = _finding(ketch, "needless-waiver")
    page.show_finding(finding.key)
    gone = {"words": "remove", "puts": [["waivers", "w9999", None]]}
    ketch.offered.emit(Offered(1, finding.key, (("remove", gone),)))
    with qtbot.waitSignal(page.refused) as told:
        page.mend_button.edits.actions()[0].trigger()
    assert told.args[0]


def test_a_drawing_to_read_only_offers_nothing_to_do(page: NotesPage, ketch: Document, asked: list[str]) -> None:
    ketch.read_only = "it is open elsewhere"
    finding = _finding(ketch, "needless-waiver")
    page.show_finding(finding.key)
    ketch.offered.emit(_answer(ketch, finding))
    assert not page.mend_button.isEnabled()
