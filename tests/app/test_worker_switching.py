"""What the study process is asked of switch positions: told whole, given up for something newer, dropped when asked."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from app.switching_messages import (
    DeadQuestion,
    FailuresRequest,
    FailuresTold,
    ForgetRequest,
    Isolated,
    IsolateRequest,
    Ordered,
    OrderQuestion,
    OrderRequest,
    SwitchingSoFar,
    failures_told,
    full,
    table_of,
)
from app.worker_messages import Frames, answer_of, packed
from app.worker_switching import Switching
from app.worker_telling import Superseded
from engine.books import load as book
from engine.circuit.switching.orders import order
from engine.files.drawing import load
from engine.pausing import giving_way, pause
from engine.rules import rules
from engine.study import Study

ROOT = Path(__file__).parents[2]


def study_of(name: str) -> Study:
    snapshot = load(ROOT / "samples" / name / f"{name}.linewright").installation.snapshot()
    return Study(snapshot, book(snapshot.settings.book))


@pytest.fixture(scope="module")
def launch() -> Study:
    return study_of("launch")


def arrived(message: FailuresTold | Ordered | Isolated) -> object:
    """A message as it comes out at the other end."""
    frames = Frames()
    frames.feed(packed(message))
    body = frames.take()
    assert body is not None
    return answer_of(body)


class Teller:
    """A `Switching` whose words are kept, and that is told to give up at one of its pauses."""

    def __init__(self) -> None:
        self.told: list[object] = []
        self.pauses: Iterator[int] = iter(())
        self.switching = Switching(lambda message: self.told.append(arrived(message)), self._go_on)

    def _go_on(self) -> None:
        if next(self.pauses, 0):
            raise Superseded


def test_a_table_arrives_as_it_was_made_and_the_states_it_names_are_not_sent_whole() -> None:
    study = study_of("workboat")
    table = study.failure_table
    assert any(not cell.unchanged for row in table.cells for cell in row)
    told = failures_told(1, 1, table, study.snapshot)
    got = arrived(told)
    assert isinstance(got, FailuresTold)
    back = table_of(got)
    as_sets = lambda fed: [(w._replace(state=()), dict(w.state)) for w in fed.ways]  # noqa: E731
    assert (back.loads, back.failures, back.own, back.not_recorded) == (
        table.loads,
        table.failures,
        table.own,
        table.not_recorded,
    )
    for ours, theirs in zip(back.cells, table.cells, strict=True):
        for a, b in zip(ours, theirs, strict=True):
            assert (a.load, a.failure, a.unchanged, a.fed.undecided) == (
                b.load,
                b.failure,
                b.unchanged,
                b.fed.undecided,
            )
            assert [(w, full(study.snapshot, tuple(s.items()))) for w, s in as_sets(a.fed)] == [
                (w, full(study.snapshot, tuple(s.items()))) for w, s in as_sets(b.fed)
            ]
    assert len(packed(told)) < 60_000


def test_each_question_is_answered_once(launch: Study) -> None:
    teller = Teller()
    at = {record.name: item for item, record in launch.snapshot.conditions.items()}
    question = OrderQuestion(at["Under way"], at["Unattended"])
    (load,) = (item for item, record in launch.snapshot.equipment.items() if record.designation == "E11")
    teller.switching.take(FailuresRequest(1, 1))
    teller.switching.take(OrderRequest(2, question))
    teller.switching.take(IsolateRequest(3, DeadQuestion(load)))
    teller.switching.tell(launch, 3)
    isolated, failures, ordered = teller.told
    assert isinstance(isolated, Isolated)
    assert isolated.isolation is not None
    assert isolated.isolation.steps
    assert isinstance(failures, FailuresTold)
    assert failures.loads == launch.failure_table.loads
    assert isinstance(ordered, Ordered)
    assert (ordered.question, ordered.order) == (question, order(launch, question.start, question.stop))
    teller.switching.tell(launch, 4)
    assert len(teller.told) == 3


def test_a_search_gives_way_and_is_taken_up_again_and_what_is_forgotten_is_not(launch: Study) -> None:
    teller = Teller()
    at = {record.name: item for item, record in launch.snapshot.conditions.items()}
    question = OrderQuestion(at["Under way"], at["Unattended"])
    teller.switching.take(OrderRequest(1, question))
    teller.pauses = iter((0, 0, 1))  # in the midst of it
    with pytest.raises(Superseded):
        teller.switching.tell(launch, 1)
    assert teller.told == []
    teller.switching.tell(launch, 2)
    assert isinstance(teller.told[0], Ordered)
    teller.switching.take(OrderRequest(3, question))
    teller.switching.take(FailuresRequest(4, 1))
    teller.switching.take(ForgetRequest(5, "order"))
    teller.switching.tell(launch, 5)
    assert [type(told) for told in teller.told] == [Ordered, FailuresTold]


def test_a_table_gives_way_too() -> None:
    study = study_of("launch")
    teller = Teller()
    teller.switching.take(FailuresRequest(1, 1))
    teller.pauses = iter((0, 0, 0, 1))
    with pytest.raises(Superseded):
        teller.switching.tell(study, 1)
    teller.switching.tell(study, 2)
    (told,) = teller.told
    assert isinstance(told, FailuresTold)
    assert len(told.loads) == 5


def test_a_fault_of_the_program_is_told_and_takes_nothing_else_with_it(
    launch: Study, monkeypatch: pytest.MonkeyPatch, caplog: pytest.LogCaptureFixture
) -> None:
    teller = Teller()

    def broken(*_arguments: object) -> None:
        raise RuntimeError("the flood")

    monkeypatch.setattr("engine.circuit.switching.isolating.isolate", broken)
    teller.switching.take(IsolateRequest(1, DeadQuestion("e1")))
    teller.switching.take(FailuresRequest(1, 1))
    teller.switching.tell(launch, 1)
    isolated, failures = teller.told
    assert isinstance(isolated, Isolated)
    assert (isolated.isolation, isolated.words) == (None, "RuntimeError")
    assert isinstance(failures, FailuresTold)
    assert not failures.words
    assert "the flood" in caplog.text


def test_more_may_be_tried_and_what_cannot_be_studied_is_said(launch: Study, monkeypatch: pytest.MonkeyPatch) -> None:
    teller = Teller()
    budgets: list[int] = []

    def asked(study: Study, *_some: object) -> None:
        budgets.append(study.budget)

    monkeypatch.setattr("engine.circuit.switching.isolating.isolate", asked)
    for effort in (1, 10, 10, 100):
        teller.switching.take(IsolateRequest(1, DeadQuestion("e1", effort)))
        teller.switching.tell(launch, 1)
    assert budgets == [launch.budget * n for n in (1, 10, 10, 100)]
    teller.switching.take(FailuresRequest(2, 10))
    teller.switching.tell(launch, 2)
    told = teller.told[-1]
    assert isinstance(told, FailuresTold)
    assert told.effort == 10
    assert told.loads == launch.failure_table.loads
    teller.switching.take(FailuresRequest(3, 1))
    teller.switching.take(OrderRequest(3, OrderQuestion("", "c1")))
    teller.switching.refuse("The rule book is not there.", 3)
    failures, ordered = teller.told[-2:]
    assert isinstance(failures, FailuresTold)
    assert isinstance(ordered, Ordered)
    assert failures.words == ordered.words == "The rule book is not there."
    teller.switching.refuse("again", 4)
    assert teller.told[-1] is ordered


def test_how_far_a_long_one_is_is_told_now_and_then(launch: Study, monkeypatch: pytest.MonkeyPatch) -> None:
    teller = Teller()
    monkeypatch.setattr("app.worker_switching.SO_FAR_S", 0.0)

    def long_work(*_some: object) -> None:
        pause(3, 40)
        pause()

    monkeypatch.setattr("engine.circuit.switching.isolating.isolate", long_work)
    teller.switching.take(IsolateRequest(1, DeadQuestion("e1")))
    teller.switching.tell(launch, 7)
    assert teller.told[0] == SwitchingSoFar(7, "isolate", 3, 40)
    assert isinstance(teller.told[1], Isolated)


def test_a_rule_that_is_given_up_is_not_taken_for_one_that_fails(
    launch: Study, monkeypatch: pytest.MonkeyPatch
) -> None:
    fresh = Study(launch.snapshot, launch.book)

    def stops(_study: Study) -> Iterator[object]:
        pause()
        yield from ()

    every = dict(rules())
    every["no-alternative"] = every["no-alternative"]._replace(check=stops)
    monkeypatch.setattr("engine.rules.rules", lambda: every)
    pauses = iter((1, 0))

    def go_on() -> None:
        if next(pauses):
            raise Superseded

    with giving_way(go_on):
        with pytest.raises(Superseded):
            fresh.outcome("no-alternative")
        assert fresh.outcome("no-alternative").fault is None
