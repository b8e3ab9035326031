"""The study process: what it tells, in what order, when it gives up, how it ends."""

from __future__ import annotations

import logging
import queue
import random
import threading
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from app import worker as worker_module
from app.judgement import SheetPicture
from app.worker import Worker, serve
from app.worker_messages import (
    Answer,
    Begun,
    Done,
    Drawn,
    EditRequest,
    EnergyTold,
    Explained,
    Fault,
    FaultsTold,
    FlowTold,
    Gaps,
    Judged,
    Lit,
    Lost,
    OpenRequest,
    QuitRequest,
    Request,
    Sized,
    SizeRequest,
    ViewRequest,
    WhyRequest,
    Working,
    judgement_of,
)
from app.worker_pictures import merged
from engine.check import check
from engine.edits import Edit, EditError, Put, SetFields, Several, apply, done
from engine.files.drawing import load
from engine.files.edit_form import plain_edit, plain_snapshot
from engine.installation import Condition, Setting
from engine.installation.model import Installation
from engine.rules import rules

ROOT = Path(__file__).parents[2]


def sample(name: str = "launch") -> Installation:
    return load(ROOT / "samples" / name / f"{name}.linewright").installation


class Window:
    """What a window does with the answers."""

    def __init__(self, boat: Installation) -> None:
        self.boat = boat
        self.heard: list[Answer] = []
        self.pictures: dict[str, SheetPicture] = {}
        self.parts: list[Drawn] = []
        self.number = 0
        self.supersede: Callable[[], bool] = lambda: False
        self.worker = Worker(self.hear, lambda: self.supersede())

    def hear(self, answer: Answer) -> None:
        if isinstance(answer, Working):
            return  # where it is: for the window's patience
        self.heard.append(answer)
        if isinstance(answer, Begun):
            self.parts.clear()
        if isinstance(answer, Drawn):
            self.parts.append(answer)
            if not answer.more:
                self.pictures[answer.sheet] = merged(self.parts, self.pictures.get(answer.sheet))
                self.parts.clear()

    def next(self) -> int:
        self.number += 1
        return self.number

    def open(self) -> None:
        self.pictures.clear()
        self.worker.take(OpenRequest(self.next(), plain_snapshot(self.boat.snapshot())))

    def view(self, sheet: str, condition: str = "") -> None:
        self.worker.take(ViewRequest(self.next(), sheet, condition))

    def edit(self, edit: Edit) -> None:
        self.worker.take(EditRequest(self.next(), plain_edit(done(self.boat, edit).edit)))

    def study(self) -> list[Answer]:
        self.heard.clear()
        self.worker.study()
        return self.heard

    def of(self, kind: Any) -> list[Any]:
        return [answer for answer in self.heard if isinstance(answer, kind)]


def sheets(boat: Installation) -> list[str]:
    return sorted(boat.ids("sheets"), key=lambda s: boat.get("sheets", s).number)


def test_it_judges_draws_what_is_shown_tells_what_is_live_then_draws_the_rest() -> None:
    window = Window(sample("ketch"))
    every = sheets(window.boat)
    window.open()
    window.view(every[3])
    heard = window.study()
    kinds = [type(a) for a in heard if not isinstance(a, (Gaps, Drawn))]
    conditions = len(window.boat.ids("conditions"))
    others = [EnergyTold] * (conditions - 1)
    figures = [EnergyTold, FaultsTold, EnergyTold, *others]
    assert kinds == [Begun, Judged, Lit, *figures, Judged, Done]  # last: what rests on her assumed value
    drawn = [a.sheet for a in heard if isinstance(a, Drawn) and not a.more]
    assert drawn[0] == every[3]
    assert set(drawn) == set(every)
    order = [a.sheet if isinstance(a, Drawn) else type(a).__name__ for a in heard]
    assert order.index("Judged") < order.index(every[3]) < order.index("Lit") < order.index(every[0])
    assert {a.at for a in heard} == {2}  # type: ignore[union-attr]
    judgement = judgement_of(window.of(Judged)[0], window.of(Gaps))
    assert judgement.result == check(window.boat.snapshot())
    assert set(judgement.numbers) == {f.key for f in judgement.result.findings}
    assert set(judgement.homes.values()) <= set(every)


def test_looking_elsewhere_judges_nothing_again() -> None:
    window = Window(sample("ketch"))
    every = sheets(window.boat)
    window.open()
    window.view(every[0])
    window.study()
    before = dict(window.pictures)
    window.view(every[2])
    heard = window.study()
    assert window.of(Judged) == []
    assert window.of(Lit) == []
    assert heard[1].sheet == every[2]  # type: ignore[union-attr]
    assert all(not a.of for a in window.of(Drawn))  # nothing looks otherwise
    assert {s: p.of for s, p in window.pictures.items()} == {s: p.of for s, p in before.items()}


def test_an_edit_sends_little_and_ends_in_what_a_new_process_would_send() -> None:
    boat = sample("launch")
    window = Window(boat)
    window.open()
    window.view(sheets(boat)[0])
    window.study()
    dice = random.Random(4)
    for _ in range(12):
        try:
            window.edit(some_edit(boat, dice))
        except EditError:
            continue
        window.study()
        assert window.worker._snapshot == boat.snapshot()
        assert [*window.worker._snapshot.equipment] == [*boat.snapshot().equipment]
    fresh = Window(boat)
    fresh.open()
    fresh.view(sheets(boat)[0])
    fresh.study()
    assert {s: p._replace(at=0) for s, p in window.pictures.items()} == {
        s: p._replace(at=0) for s, p in fresh.pictures.items()
    }
    window.edit(SetFields("equipment", boat.ids("equipment")[0], (("price", 3.0),)))
    window.study()
    assert sum(len(a.of) for a in window.of(Drawn)) < 3


def some_edit(boat: Installation, dice: random.Random) -> Edit:
    kind = dice.randint(0, 4)
    if kind == 0:
        return SetFields("placements", dice.choice(boat.ids("placements")), (("x", dice.randint(5, 90)),))
    if kind == 1:
        return SetFields("runs", dice.choice(boat.ids("runs")), (("size", dice.choice(("6 AWG", "16 AWG"))),))
    if kind == 2:
        return SetFields("equipment", dice.choice(boat.ids("equipment")), (("designation", f"Z{dice.randint(1, 9)}"),))
    run = dice.choice(boat.ids("runs"))
    routes = [i for i, r in boat.items("routes") if r.run == run]
    return Several((*(Put("routes", i) for i in routes), Put("runs", run)), "Remove a run")


@pytest.mark.parametrize("share", [0.0, 0.1, 0.3, 0.5, 0.6, 0.7, 0.8, 0.85, 0.9, 0.95, 1.0])
def test_a_newer_request_ends_the_study_wherever_it_is(share: float) -> None:
    boat = sample("launch")
    calls = 0

    def never() -> bool:
        nonlocal calls
        calls += 1
        return False

    window = Window(boat)
    window.supersede = never
    window.open()
    window.view(sheets(boat)[0])
    window.study()
    at = max(1, round(calls * share))  # of the times it looks whether something newer waits

    def newer() -> bool:
        nonlocal calls
        calls += 1
        return calls >= at

    window = Window(boat)
    window.open()
    window.view(sheets(boat)[0])
    calls = 0
    window.supersede = newer
    window.study()
    assert calls == at
    assert window.of(Done) == []
    window.supersede = lambda: False
    window.edit(SetFields("sheets", sheets(boat)[0], (("title", "After the gale"),)))
    heard = window.study()
    assert isinstance(heard[-1], Done)
    assert {a.at for a in window.of(Judged)} == {3}  # told in two parts where it takes long
    fresh = Window(boat)
    fresh.open()
    fresh.view(sheets(boat)[0])
    fresh.study()
    assert {s: p.of for s, p in window.pictures.items()} == {s: p.of for s, p in fresh.pictures.items()}


def test_in_a_condition_what_is_live_and_drawn_follows_it() -> None:
    boat = sample("launch")
    item = next(i for i, r in boat.items("equipment") if r.KIND == "battery_switch" and r.drawn_position() == "closed")
    off = Condition(name="Laid up", settings=(Setting(equipment=item, position="open"),), running=())
    apply(boat, Put("conditions", "c900", off))
    window = Window(boat)
    window.open()
    window.view(sheets(boat)[0])
    window.study()
    as_drawn = window.of(Lit)[0]
    looks = {s: p.of.get(item) for s, p in window.pictures.items()}
    window.view(sheets(boat)[0], "c900")
    window.study()
    (lit,) = window.of(Lit)
    assert lit.condition == "c900"
    assert set(lit.live) < set(as_drawn.live)
    assert item in lit.live  # its supply side
    assert {s: p.of.get(item) for s, p in window.pictures.items()} != looks
    assert window.of(Judged) == []
    window.view(sheets(boat)[0], "c901")  # gone
    window.study()
    assert set(window.of(Lit)[0].live) == set(as_drawn.live)


def test_what_things_need_is_told_once_and_before_other_sheets(monkeypatch: pytest.MonkeyPatch) -> None:
    window = Window(sample())
    window.open()
    window.study()
    run = window.boat.find("W31")[0][1]
    window.worker.take(SizeRequest(window.next(), (run,)))
    (told,) = [answer for answer in window.study() if isinstance(answer, Sized)]
    assert (told.at, told.items, told.words) == (window.number, (run,), "")
    assert [(answer.item, answer.what) for answer in told.answers] == [(run, "conductor")]
    assert not any(isinstance(answer, Sized) for answer in window.study())

    def broken(*_arguments: object) -> None:
        raise ValueError("the scale is broken")

    monkeypatch.setattr("engine.sizing.size", broken)
    monkeypatch.setattr("app.worker_asked.log.exception", lambda *_arguments: None)
    window.worker.take(SizeRequest(window.next(), (run,)))
    heard = window.study()
    (told,) = [answer for answer in heard if isinstance(answer, Sized)]
    assert told.words == "the scale is broken"
    assert isinstance(heard[-1], Done)


def test_what_rules_say_of_a_thing_is_told_once_with_margins(monkeypatch: pytest.MonkeyPatch) -> None:
    window = Window(sample())
    window.open()
    window.study()
    run = window.boat.find("W31")[0][1]
    window.worker.take(WhyRequest(window.next(), (run,)))
    heard = window.study()
    (told,) = [answer for answer in heard if isinstance(answer, Explained)]
    assert (told.at, told.items, told.words) == (window.number, (run,), "")
    (says,) = told.says
    assert {said.rule for said in says} == set(rules())
    overloaded = next(said for said in says if said.rule == "overloaded")
    assert overloaded.verdict == "passed"
    assert 0 < (overloaded.margin or 0) < 1
    assert window.of(Judged) == []  # asking to prove judges nothing anew for the window
    assert not any(isinstance(answer, Explained) for answer in window.study())

    def broken(*_arguments: object) -> None:
        raise ValueError("the scale is broken")

    monkeypatch.setattr("app.worker_asked.why", broken)
    monkeypatch.setattr("app.worker_asked.log.exception", lambda *_arguments: None)
    window.worker.take(WhyRequest(window.next(), (run,)))
    heard = window.study()
    (told,) = [answer for answer in heard if isinstance(answer, Explained)]
    assert told.words == "the scale is broken"
    assert isinstance(heard[-1], Done)


def test_an_edit_that_does_not_fit_asks_for_the_whole_drawing(caplog: pytest.LogCaptureFixture) -> None:
    window = Window(sample())
    window.open()
    window.study()
    with caplog.at_level(logging.ERROR):
        window.worker.take(EditRequest(window.next(), {"words": "", "puts": [["placements", "a77777", None]]}))
        assert isinstance(window.heard[-1], Lost)
        assert window.study() == [Begun(2)]
    assert "out of step" in caplog.text
    caplog.clear()
    window.worker.take(EditRequest(window.next(), {"words": "", "puts": []}))  # on its way meanwhile
    assert window.study() == [Begun(3)]
    window.open()
    assert isinstance(window.study()[-1], Done)
    assert window.of(Judged)


@pytest.mark.parametrize("drawing", [{}, {"tables": {}, "lone": 3}, {"tables": {"runs": {"r1": {}}}, "lone": {}}])
def test_a_drawing_nobody_can_read_is_asked_for_again(
    drawing: dict[str, Any], caplog: pytest.LogCaptureFixture
) -> None:
    window = Window(sample())
    with caplog.at_level(logging.ERROR):
        window.worker.take(OpenRequest(window.next(), drawing))
    caplog.clear()
    assert window.heard == [Lost(1)]


def test_a_fault_inside_is_told_and_the_next_request_is_served(
    monkeypatch: pytest.MonkeyPatch, caplog: pytest.LogCaptureFixture
) -> None:
    window = Window(sample())
    window.open()
    with monkeypatch.context() as patch, caplog.at_level(logging.ERROR):
        patch.setattr(worker_module, "live_from", lambda *_all: 1 / 0)
        heard = window.study()
    assert heard[-2:] == [Fault(1, "ZeroDivisionError"), Done(1)]
    assert "ZeroDivisionError" in caplog.text
    caplog.clear()
    window.view(sheets(window.boat)[0])
    heard = window.study()
    assert isinstance(heard[-1], Done)
    assert window.of(Lit)
    assert window.of(Fault) == []


def test_a_book_nobody_has_is_told_and_the_sheets_are_drawn_all_the_same(caplog: pytest.LogCaptureFixture) -> None:
    boat = sample()
    apply(boat, SetFields("settings", "settings", (("book", "of-the-sea"),)))
    window = Window(boat)
    window.open()
    with caplog.at_level(logging.ERROR):
        window.study()
    caplog.clear()
    assert set(window.pictures) == set(sheets(boat))
    assert "of-the-sea" in window.of(Fault)[0].words
    assert window.of(Judged) == []
    assert window.of(Lit)


def test_a_drawing_with_nothing_in_it_is_judged() -> None:
    window = Window(Installation())
    window.open()
    window.view("")
    window.study()
    assert [type(a) for a in window.heard] == [Begun, Judged, Lit, FlowTold, EnergyTold, FaultsTold, Done]


def test_removed_sheets_are_forgotten() -> None:
    boat = sample("ketch")
    window = Window(boat)
    window.open()
    window.study()
    gone = sheets(boat)[-1]
    placed = [i for i, p in boat.items("placements") if p.sheet == gone]
    routed = [i for i, r in boat.items("routes") if r.sheet == gone]
    puts = [Put("placements", i) for i in placed] + [Put("routes", i) for i in routed] + [Put("sheets", gone)]
    window.edit(Several(tuple(puts), "Remove a sheet"))
    heard = window.study()
    assert isinstance(heard[-1], Done)
    assert gone not in {a.sheet for a in window.of(Drawn)}


def test_requests_that_wait_are_taken_together() -> None:
    window = Window(sample())
    waiting: queue.SimpleQueue[Request] = queue.SimpleQueue()
    waiting.put(OpenRequest(1, plain_snapshot(window.boat.snapshot())))
    waiting.put(ViewRequest(2, sheets(window.boat)[0], ""))
    waiting.put(ViewRequest(3, sheets(window.boat)[-1], ""))
    asked = threading.Thread(target=serve, args=(window.worker, waiting))
    asked.start()
    waiting.put(QuitRequest())
    asked.join(30)
    assert not asked.is_alive()
    assert len(window.of(Begun)) <= 2


def test_it_tells_that_it_takes_requests_while_they_come_without_end(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(worker_module, "TELL_S", 0.0)
    window = Window(sample())
    waiting: queue.SimpleQueue[Request] = queue.SimpleQueue()
    waiting.put(OpenRequest(1, plain_snapshot(window.boat.snapshot())))
    run = window.boat.ids("runs")[0]
    for n in range(2, 40):
        edit = SetFields("runs", run, (("length_m", float(n)),))
        waiting.put(EditRequest(n, plain_edit(done(window.boat, edit).edit)))
    asked = threading.Thread(target=serve, args=(window.worker, waiting))
    asked.start()
    waiting.put(QuitRequest())
    asked.join(30)
    assert not asked.is_alive()
    told = [begun.at for begun in window.of(Begun)]
    assert len(told) >= 30
    assert told == sorted(told)
    assert told[-1] == 39


def test_many_edits_at_once_are_judged_as_one_after_the_other() -> None:
    window = Window(sample())
    window.open()
    for n, run in enumerate(window.boat.ids("runs")):
        window.edit(SetFields("runs", run, (("length_m", 30.0 + n),)))
    window.edit(SetFields("vessel", "vessel", (("name", "Avocet"),)))
    window.study()
    (judged,) = window.of(Judged)
    assert judgement_of(judged, window.of(Gaps)).result == check(window.boat.snapshot())
