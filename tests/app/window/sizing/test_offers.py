"""What the page of sizes asks about, tells and fits. No window."""

from __future__ import annotations

from app.window.sizing.offers import SIZED, asked, fitting, label, sizable, told
from engine.builder import Builder
from engine.edits import apply
from engine.findings import Finding
from engine.installation.model import Installation
from engine.rules import rules
from engine.sizing.results import Answer, Reason


def boat() -> Installation:
    b = Builder(name="Sandling")
    b.add("battery_bank", "G1", unit_v=12)
    b.add("fuse", "F1", rating_a=10)
    b.add("load", "E1", dc_v=12, power_w=60)
    b.run("W1", "G1.pos", "F1.in", size="14 AWG", length_m=0.1)
    b.run("W2", "F1.out", "E1.in", size="14 AWG", length_m=5)
    return b.installation


def of(installation: Installation, name: str) -> str:
    ((_table, item),) = installation.find(name)
    return item


def answer(installation: Installation, name: str = "W2", size: str = "10 AWG", **more: object) -> Answer:
    return Answer(
        item=of(installation, name),
        designation=name,
        what="conductor",
        has="14 AWG",
        needs=size,
        suffices=False,
        decided_by="voltage drop",
        fields=(("size", size),),
        **more,
    )


def test_a_run_alone_brings_the_devices_at_its_ends() -> None:
    boat_ = boat()
    snapshot = boat_.snapshot()
    w2, f1, e1 = (of(boat_, name) for name in ("W2", "F1", "E1"))
    assert asked(snapshot, (w2,)) == (w2, f1)
    assert asked(snapshot, (w2, e1)) == (w2, e1)
    assert asked(snapshot, ("s1",)) == ()
    assert asked(snapshot, ()) == ()


def test_fitting_is_one_edit_that_can_be_taken_back() -> None:
    boat_ = boat()
    made = fitting(answer(boat_), boat_.snapshot())
    assert made is not None
    assert made.words == "W2: Fit 10 AWG"
    inverse = apply(boat_, made)
    assert boat_.runs[of(boat_, "W2")].size == "10 AWG"
    assert fitting(answer(boat_), boat_.snapshot()) is None  # nothing is left to change
    apply(boat_, inverse)
    assert boat_.runs[of(boat_, "W2")].size == "14 AWG"


def test_what_is_gone_or_unknown_is_not_fitted() -> None:
    boat_ = boat()
    gone = answer(boat_)
    empty = answer(boat_, size="")
    snapshot = Builder(name="Sandling").installation.snapshot()
    assert fitting(gone, snapshot) is None
    assert label(gone) == "Fit 10 AWG"
    assert label(answer(boat_, size="35 mm2")) == "Fit 35 mm²"
    assert "cannot be told" in told(empty)


def test_everything_of_an_answer_is_told_and_escaped() -> None:
    boat_ = boat()
    reasons = (
        Reason(name="ampacity", needs="12 AWG", arithmetic="5 A < 20 A", clause="Table 5", missing=("W2.bundle",)),
    )
    text = told(answer(boat_, reasons=reasons, device_a=10.0, device_why="carries 5 A", condition="At <anchor>"))
    for part in ("W2: conductor", "14 AWG", "10 AWG, decided by voltage drop", "5 A &lt; 20 A", "Table 5"):
        assert part in text
    for part in ("W2.bundle", "10 A: carries 5 A", "At &lt;anchor&gt;", "too small"):
        assert part in text


def test_findings_that_another_size_puts_right() -> None:
    assert set(rules()) >= SIZED  # a rule that is renamed is renamed here too
    boat_ = boat()
    snapshot = boat_.snapshot()
    w2, f1 = of(boat_, "W2"), of(boat_, "F1")

    def finding(rule: str, *ids: str) -> Finding:
        return Finding(rule=rule, word="warning", ids=ids, designations=(), message="", figures=())

    assert sizable(finding("overloaded", f1, w2), snapshot) == w2
    assert sizable(finding("rating-below-load", f1), snapshot) == f1
    assert sizable(finding("sources-meet", f1), snapshot) == ""
    assert sizable(finding("overloaded", "gone"), snapshot) == ""
    assert sizable(None, snapshot) == ""
