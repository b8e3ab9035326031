"""The study process tells the edits that put a finding right."""

from __future__ import annotations

from typing import Any

import pytest

from app import worker_asked
from app.worker import Worker
from app.worker_messages import Done, Judged, MendRequest, Offered, OpenRequest, answer_of, packed
from engine.edits import apply
from engine.files.edit_form import edit_of, plain_snapshot
from engine.rules import rules


class Told:
    """A worker with a drawing, and what it says, through bytes and back."""

    def __init__(self, slug: str) -> None:
        self.boat = rules()[slug].bad[0].build()
        self.said: list[Any] = []
        self.waits = False
        self.looks = 0
        self.worker = Worker(lambda answer: self.said.append(answer_of(packed(answer)[4:])), self._newer)
        self.worker.take(OpenRequest(1, plain_snapshot(self.boat.snapshot())))
        self.worker.study()
        (judged,) = (one for one in self.said if isinstance(one, Judged))
        self.key = next(f.key for f in judged.result.findings if f.rule == slug)
        self.said.clear()

    def _newer(self) -> bool:
        self.looks += 1
        return self.waits and self.looks > 60

    def ask(self, number: int, key: str) -> list[Offered]:
        self.said.clear()
        self.worker.take(MendRequest(number, key))
        self.worker.study()
        return [one for one in self.said if isinstance(one, Offered)]


def test_the_edits_are_told_once_and_can_be_done() -> None:
    told = Told("rating-above-ampacity")
    (offered,) = told.ask(2, told.key)
    assert (offered.at, offered.key, offered.words) == (2, told.key, "")
    assert [text for text, _plain in offered.edits][:2] == ["fit F3 as 175 A", "run W12 in 4 AWG"]
    apply(told.boat, edit_of(offered.edits[0][1]))
    assert next(r for r in told.boat.equipment.values() if r.designation == "F3").rating_a == 175.0
    told.said.clear()
    told.worker.study()
    assert not any(isinstance(one, Offered) for one in told.said)


def test_a_finding_that_is_gone_has_no_edits() -> None:
    told = Told("unconnected")
    (offered,) = told.ask(2, "no-such|e1|")
    assert (offered.edits, offered.words) == ((), "")


def test_a_newer_request_ends_the_trying_and_it_is_told_later() -> None:
    told = Told("rating-above-ampacity")
    told.looks, told.waits = 0, True
    assert told.ask(2, told.key) == []
    assert not any(isinstance(one, Done) for one in told.said)
    told.waits = False
    told.worker.study()
    (offered,) = (one for one in told.said if isinstance(one, Offered))
    assert offered.edits


def test_a_fault_in_the_trying_is_told_in_words(monkeypatch: pytest.MonkeyPatch) -> None:
    told = Told("unconnected")

    def broken(*_arguments: object) -> None:
        raise ValueError("the trial broke")

    monkeypatch.setattr("engine.fixes.offered", broken)
    monkeypatch.setattr(worker_asked.log, "exception", lambda *_arguments: None)
    (offered,) = told.ask(2, told.key)
    assert offered.words == "the trial broke"
    assert isinstance(told.said[-1], Done)
