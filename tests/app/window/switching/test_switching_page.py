"""The page of failures and switching: from a key to what is fed, to steps on the sheet, to what is dead."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

pytestmark = pytest.mark.qt
pytest.importorskip("PySide6.QtWidgets", exc_type=ImportError)

from PySide6.QtCore import Qt  # noqa: E402
from PySide6.QtWidgets import QAbstractButton, QWidget  # noqa: E402
from pytestqt.qtbot import QtBot  # noqa: E402

from app.cli import main  # noqa: E402
from app.judgement import Judgement  # noqa: E402
from app.switching_messages import DeadQuestion, FailuresTold, Isolated, Ordered, SwitchingSoFar, failures_told  # noqa: E402
from app.window.main import Window  # noqa: E402
from app.window.printing import Paper  # noqa: E402
from app.window.start import Desk  # noqa: E402
from app.window.switching.page import SwitchingPage  # noqa: E402
from engine.books import load as book  # noqa: E402
from engine.builder import Builder  # noqa: E402
from engine.check import check  # noqa: E402
from engine.circuit.switching.isolating import isolate  # noqa: E402
from engine.circuit.switching.orders import order  # noqa: E402
from engine.circuit.switching.results import FedBy, Order, Step  # noqa: E402
from engine.edits import SetFields  # noqa: E402
from engine.files.drawing import save  # noqa: E402
from engine.installation import Condition, Setting  # noqa: E402
from engine.rules.example_parts import boat as drawn  # noqa: E402
from engine.rules.example_parts import cable  # noqa: E402
from engine.study import Study  # noqa: E402

LONG = 30_000  # ms: a process starts on a busy machine
Shown = Callable[[Window | None], Window]
KEY, SHIFT = Qt.Key, Qt.KeyboardModifier.ShiftModifier


def two_banks() -> Builder:
    """A radio and a lamp, both essential, on two banks; each bank has its switch."""
    b = drawn()
    for n in (1, 2):
        b.add("battery_bank", f"G{n}", unit_v=12, unit_ah=100)
        b.add("battery_switch", f"Q{n}", breaks_load=True, position="closed" if n == 1 else "open")
        cable(b, f"W{n}", f"G{n}.pos", f"Q{n}.in", "4 AWG", 1)
    b.add("bus_bar", "WC1")
    cable(b, "W3", "Q1.out", "WC1.bar", "4 AWG", 1)
    cable(b, "W4", "Q2.out", "WC1.bar", "4 AWG", 1)
    b.add("fuse", "F1", rating_a=15, rated_dc_v=32)
    cable(b, "W5", "WC1.bar", "F1.in", "10 AWG", 1)
    b.add("load", "A1", label="VHF radio", dc_v=12, power_w=60, essential=True)
    b.add("load", "E1", label="Lamp", dc_v=12, power_w=10, essential=True)
    cable(b, "W6", "F1.out", "A1.in", "10 AWG", 1)
    cable(b, "W7", "F1.out", "E1.in", "10 AWG", 1)
    return b


def ids_of(b: Builder) -> dict[str, str]:
    return {record.designation: item for item, record in b.installation.snapshot().equipment.items()}


@pytest.fixture
def path(tmp_path: Path) -> Path:
    """Two conditions: on the first bank, on the second."""
    b = two_banks()
    at = ids_of(b)
    for n, name in enumerate(("On one", "On two")):
        stands = ("closed", "open") if n == 0 else ("open", "closed")
        settings = tuple(Setting(equipment=at[q], position=p) for q, p in zip(("Q1", "Q2"), stands, strict=True))
        b._new("conditions", Condition(name=name, order=n, settings=settings))
    made = tmp_path / "tern.linewright"
    save(b.installation, made)
    return made


@pytest.fixture
def window(desk: Desk, shown: Shown, path: Path) -> Window:
    """The drawing in a window without a study process: answers are given by hand."""
    return shown(desk.open_path(path))


def study_of(window: Window) -> Study:
    return Study(window.document.snapshot(), book("trade-na"))


def at(window: Window) -> dict[str, str]:
    return {record.designation: item for item, record in window.document.snapshot().equipment.items()}


def page_of(window: Window) -> SwitchingPage:
    window.show_page("switching")
    return window.pages.switching()


def stands(window: Window, *names: str) -> tuple[str, ...]:
    standing = window.document.standing()
    return tuple(standing[at(window)[name]] for name in names)


class Deaf:
    """A judge that keeps what it is asked and answers nothing."""

    def __init__(self) -> None:
        self.asked: list[str] = []

    def __getattr__(self, name: str) -> Callable[..., None]:
        return lambda *_some: self.asked.append(name)


def answered(window: Window, page: SwitchingPage) -> None:
    """The table, as the study process would tell it."""
    page.failures.work("...")
    study = study_of(window)
    window.document.switched.emit(failures_told(1, 1, study.failure_table, study.snapshot))


def test_one_key_shows_what_is_fed_when_something_fails_and_the_sheet_so(
    judging_desk: Desk, shown: Shown, path: Path, qtbot: QtBot
) -> None:
    window = shown(judging_desk.open_path(path))
    window.board.setFocus()
    qtbot.waitUntil(window.board.hasFocus)
    qtbot.keyClick(window.board, KEY.Key_F5, SHIFT)
    assert window.page == "switching"
    page = window.pages.switching()
    part, view = page.failures, page.failures.view
    qtbot.waitUntil(lambda: part.table is not None, timeout=LONG)
    assert part.head.text().startswith("2 essential loads, ")
    rows = [part.model.failure(n) for n in range(part.model.rowCount())]
    assert rows[0] == "Nothing has failed"
    lost = rows.index("G1 Battery bank shuts itself off, or is flat")
    cell = part.model.index(lost, 0)
    assert cell.data() == "only G2"
    assert cell.data(Qt.ItemDataRole.AccessibleTextRole) == (
        "A1 VHF radio, G1 Battery bank shuts itself off, or is flat: only G2"
    )
    dark = part.model.index(rows.index("F1 Fuse stays open"), 1)
    assert dark.data() == "DARK"
    assert not dark.data(Qt.ItemDataRole.DecorationRole).isNull()
    # Enter on a cell: the sheet stands so
    view.setCurrentIndex(cell)
    qtbot.keyClick(view, KEY.Key_Return)
    assert window.document.state is not None
    assert "A1 VHF radio fed from G2 Battery bank with Q2 closed" in window.document.state.title
    assert stands(window, "Q2") == ("closed",)
    assert part.ways.texts() == ["From G2 Battery bank with Q2 closed"]
    window.document.end_state()
    view.setCurrentIndex(dark)
    assert part.told.text() == (
        "F1 Fuse stays open: E1 Lamp is DARK. Nothing else can feed it in any permitted position."
    )
    # after an edit it is worked out anew, of the drawing as it is
    window.document.do(SetFields("equipment", at(window)["E1"], (("essential", False),)))
    assert part.is_stale
    qtbot.waitUntil(lambda: not part.is_stale, timeout=LONG)
    assert part.head.text().startswith("1 essential load, ")
    # an order, step by step
    page.tabs.setCurrentWidget(page.order)
    page.order.start.setCurrentIndex(page.order.start.findText("On one"))
    page.order.stop_at.setCurrentIndex(page.order.stop_at.findText("On two"))
    page.order.find.click()
    qtbot.waitUntil(lambda: page.order.order is not None, timeout=LONG)
    steps = page.order.steps.texts()
    assert page.order.head.text().startswith("2 steps, the fewest there are")
    assert steps[0] == "Start: On one"
    page.order.next.click()
    page.order.next.click()
    assert stands(window, "Q1", "Q2") == ("open", "closed")
    assert not page.order.next.isEnabled()
    page.order.before.click()
    assert stands(window, "Q1", "Q2") in (("closed", "closed"), ("open", "open"))
    # the key on the sheet: how it is made dead
    window.document.end_state()
    window.document.select(at(window)["A1"])
    window.board.setFocus()
    qtbot.waitUntil(window.board.hasFocus)
    qtbot.keyClick(window.board, KEY.Key_X)
    assert page.part is page.dead
    qtbot.waitUntil(lambda: page.dead.isolation is not None, timeout=LONG)
    assert page.dead.of.text().startswith("Make dead: A1")
    assert "G1" in page.dead.head.text()
    assert any(text.startswith("1.  ") for text in page.dead.lines.texts())


def test_without_a_process_every_part_says_so(window: Window) -> None:
    page = page_of(window)
    assert page.failures.head.text() == "What fails cannot be worked out: there is no study process."
    page.tabs.setCurrentWidget(page.order)
    page.order.start.setCurrentIndex(1)
    page.order.stop_at.setCurrentIndex(2)
    page.order.find.click()
    assert page.order.head.text() == "No order can be worked out: there is no study process."
    page.tabs.setCurrentWidget(page.dead)
    assert page.dead.head.text().startswith("Choose a run or a piece of equipment")
    window.document.select(at(window)["A1"])
    assert page.dead.head.text() == "How it is made dead cannot be worked out: there is no study process."


def test_what_was_asked_is_dropped_with_the_button_with_another_part_and_with_the_page(window: Window) -> None:
    judge = Deaf()
    window.document.judge = judge  # type: ignore[assignment]
    page = page_of(window)
    assert judge.asked == ["tell_failures"]
    page.failures.stop.click()
    assert page.failures.head.text() == "Given up."
    assert judge.asked.pop() == "forget"
    snapshot = window.document.snapshot()
    window.document.judged.emit(Judgement(1, check(snapshot), {}, {}))  # once more, of the same drawing
    assert judge.asked == ["tell_failures"]
    page.tabs.setCurrentWidget(page.dead)
    window.document.select(at(window)["A1"])
    assert judge.asked[-1] == "isolate"
    page.tabs.setCurrentWidget(page.order)
    assert judge.asked[-1] == "forget"
    page.order.start.setCurrentIndex(1)
    page.order.stop_at.setCurrentIndex(2)
    page.order.find.click()
    assert judge.asked[-1] == "find_order"
    assert page.order.stop.isVisible()
    window.show_page("")
    assert judge.asked[-1] == "forget"
    assert not page.order.is_working
    window.document.judge = None


def test_no_order_says_why_and_what_is_not_decided_can_be_given_more(window: Window) -> None:
    judge = Deaf()
    window.document.judge = judge  # type: ignore[assignment]
    page = page_of(window)
    page.tabs.setCurrentWidget(page.order)
    part = page.order
    part.start.setCurrentIndex(1)
    part.stop_at.setCurrentIndex(2)
    part.find.click()
    question = part.question
    made = Order(question.start, question.stop, (), found=False, reason="There is no safe order. Q1 would part it.")
    window.document.switched.emit(Ordered(1, question, made))
    assert part.head.text() == "There is no safe order. Q1 would part it."
    assert not part.more.isVisible()
    assert not part.write.isVisible()
    part.find.click()
    window.document.switched.emit(Ordered(2, question, made._replace(undecided=True, reason="None was found.")))
    assert part.head.text() == "NOT DECIDED. None was found."
    assert part.more.isVisible()
    part.more.click()
    assert part.is_working
    window.document.switched.emit(Ordered(3, question, made))  # of the search that was overtaken
    assert part.is_working
    window.document.switched.emit(Ordered(3, question._replace(effort=10), made))
    assert not part.is_working
    window.document.judge = None


def test_of_a_table_and_of_a_piece_too_what_is_not_decided_can_be_given_more(window: Window) -> None:
    judge = Deaf()
    window.document.judge = judge  # type: ignore[assignment]
    page = page_of(window)
    page.failures.work("Being worked out…")
    window.document.switched.emit(SwitchingSoFar(1, "failures", 30, 96))
    assert page.failures.head.text() == "Being worked out… 30 of 96"
    study, lamp = study_of(window), at(window)["E1"]
    table = study.failure_table
    doubt = table.cells[0][0]._replace(fed=FedBy(table.loads[0], (), (at(window)["G2"],)), unchanged=False)
    table = table._replace(cells=((doubt, *table.cells[0][1:]), *table.cells[1:]))
    window.document.switched.emit(failures_told(1, 1, table, study.snapshot))
    assert "1 is not decided." in page.failures.head.text()
    row = next(n for n, j in enumerate(page.failures.model.rows) if j == 0)
    cell = page.failures.model.index(row, 0)
    assert cell.data() == "not decided: G2?"
    assert not cell.data(Qt.ItemDataRole.DecorationRole).isNull()
    assert page.failures.more.isVisible()
    page.failures.more.click()
    assert page.failures.is_working
    window.document.switched.emit(failures_told(2, 10, study.failure_table, study.snapshot))
    assert not page.failures.more.isVisible()
    page.tabs.setCurrentWidget(page.dead)
    window.document.select(lamp)
    made = isolate(study, lamp)._replace(undecided=(at(window)["G2"],))
    window.document.switched.emit(Isolated(3, DeadQuestion(lamp), made))
    assert page.dead.head.text().startswith("WARNING: Whether all of this makes it dead is not decided")
    page.dead.more.click()
    window.document.switched.emit(Isolated(4, DeadQuestion(lamp, 10), isolate(study, lamp)))
    assert not page.dead.more.isVisible()
    window.document.judge = None


def test_an_order_from_before_an_edit_is_marked_and_shows_nothing_on_the_sheet(window: Window) -> None:
    judge = Deaf()
    window.document.judge = judge  # type: ignore[assignment]
    page = page_of(window)
    page.tabs.setCurrentWidget(page.order)
    part = page.order
    part.start.setCurrentIndex(1)
    part.stop_at.setCurrentIndex(2)
    part.find.click()
    steps = (Step("switch", at(window)["Q2"], "open", "closed"), Step("switch", at(window)["Q1"], "closed", "open"))
    question = part.question
    window.document.switched.emit(Ordered(1, question, Order(question.start, question.stop, steps, found=True)))
    papers: list[Paper] = []
    page.paper_wanted.disconnect()
    page.paper_wanted.connect(papers.append)
    part.write.click()
    assert (papers[0].command, papers[0].options) == ("card", ("--from", question.start, "--to", question.stop))
    window.document.do(SetFields("equipment", at(window)["A1"], (("power_w", 50.0),)))
    assert part.head.text().startswith("From before the last change of the drawing")
    assert not part.write.isEnabled()
    told: list[str] = []
    page.refused.connect(told.append)
    part.next.click()
    assert window.document.state is None
    assert told == ["The drawing was changed: this order is from before. Find it anew."]
    window.document.judge = None


def test_a_table_of_before_is_slanted_and_unnoticed_failures_are_shown_on_request(window: Window) -> None:
    window.document.judge = Deaf()  # type: ignore[assignment]
    page = page_of(window)
    answered(window, page)
    part = page.failures
    few = part.model.rowCount()
    part.everything.setChecked(True)
    assert part.model.rowCount() >= few
    window.document.do(SetFields("equipment", at(window)["A1"], (("power_w", 50.0),)))
    assert part.model.index(1, 0).data(Qt.ItemDataRole.FontRole).italic()
    assert not part.write.isEnabled()
    told: list[str] = []
    page.refused.connect(told.append)
    part.view.setCurrentIndex(part.model.index(0, 0))
    part.view.taken.emit()
    assert window.document.state is None
    assert told
    window.document.switched.emit(FailuresTold(2, 1, words="RuntimeError"))
    assert part.head.text() == "What fails could not be worked out: RuntimeError"
    window.document.judge = None


def test_the_sheet_is_shown_as_it_stands_when_it_is_dead_and_a_step_does_not_take_the_page_away(
    window: Window,
) -> None:
    window.document.judge = Deaf()  # type: ignore[assignment]
    page = page_of(window)
    page.tabs.setCurrentWidget(page.dead)
    lamp = at(window)["E1"]
    window.document.select(lamp)
    window.document.switched.emit(Isolated(1, DeadQuestion(lamp), isolate(study_of(window), lamp)))
    made = page.dead.isolation
    assert made is not None
    row = next(n for n, line in enumerate(page.dead.lines.lines) if line.to and line.to != lamp)
    page.dead.lines.taken.emit(row)
    assert window.document.selection == (page.dead.lines.lines[row].to,)
    assert page.dead.isolation is made
    page.dead.show_it.click()
    state = window.document.state
    assert state is not None
    assert state.title == "E1 (Lamp) made dead"
    assert lamp in state.state.about
    assert set(state.state.gone) == {act.item for act in made.steps if act.kind == "draw"}
    window.document.judge = None


def test_what_can_be_written_is_what_the_command_line_writes(window: Window, path: Path, tmp_path: Path) -> None:
    window.document.judge = Deaf()  # type: ignore[assignment]
    page = page_of(window)
    answered(window, page)
    page.tabs.setCurrentWidget(page.order)
    page.order.start.setCurrentIndex(1)
    page.order.stop_at.setCurrentIndex(2)
    page.order.loads.item(0).setCheckState(Qt.CheckState.Checked)
    page.order.find.click()
    study, question = study_of(window), page.order.question
    assert question.keep == (at(window)["A1"],)
    made = order(study, question.start, question.stop, question.keep)
    window.document.switched.emit(Ordered(1, question, made))
    page.tabs.setCurrentWidget(page.dead)
    lamp = at(window)["E1"]
    window.document.select(lamp)
    window.document.switched.emit(Isolated(1, DeadQuestion(lamp), isolate(study, lamp)))
    for part in (page.failures, page.order, page.dead):
        paper = part.paper()
        assert paper is not None
        to = tmp_path / f"{paper.command}.pdf"
        assert main(paper.asked(path, to)) == 0
        assert to.read_bytes().startswith(b"%PDF")
    window.document.judge = None


def test_everything_has_a_name_is_reached_by_tab_and_fits_a_narrow_page(window: Window, qtbot: QtBot) -> None:
    window.document.judge = Deaf()  # type: ignore[assignment]
    page = page_of(window)
    answered(window, page)
    window.split.setSizes([800, 270])
    for part in (page.failures, page.order, page.dead):
        page.tabs.setCurrentWidget(part)
        part.rest()
        for each in part.findChildren(QWidget):
            if each.isVisible() and each.focusPolicy() & Qt.FocusPolicy.TabFocus:
                assert each.accessibleName() or (isinstance(each, QAbstractButton) and each.text()), each
                right = each.mapTo(part, each.rect().topRight()).x()
                assert right <= part.width(), each.accessibleName()
        page.begin()
        assert page.isAncestorOf(window.focusWidget())
    window.document.judge = None
