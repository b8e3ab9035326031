"""Replace the kind: connections and facts that both kinds have are kept, what is lost is told before."""

from __future__ import annotations

from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from app.drawing.changes.swapping import swap
from engine.circuit.expand import expand
from engine.edits import EditError, Put, SetFields, apply
from engine.equipment import kinds
from engine.installation import Condition, Revision, Setting


def _swapped(d: Any, name: str, kind: str) -> Any:
    made = swap(d.snapshot, d.last_id, [d.at(name)], kind)
    apply(d.x, made.edit)
    return made


def test_a_fuse_becomes_a_breaker_with_its_rating_and_runs(bench: Any) -> None:
    d = bench()
    d.b.set("F1", rating_a=100, fuse_class="class T", label="Main", part_number="T-100")
    item, ways = d.at("F1"), {w: d.part(w).points for w in ("W1", "W2", "W3", "W4")}
    made = _swapped(d, "F1", "circuit_breaker")
    now = d.x.equipment[item]
    assert now.KIND != "fuse"
    assert (now.rating_a, now.label, now.part_number) == (100, "Main", "T-100")
    assert not made.loose
    assert any("class" in text and "T" in text for text in made.told)
    assert d.ends("W1")[1].startswith("F1.") or d.ends("W1")[1].startswith("Q1")
    assert {w: d.part(w).points for w in ("W3", "W4")} == {w: ways[w] for w in ("W3", "W4")}
    assert not d.scene().unrouted


def test_the_letter_changes_where_it_does_not_suit_and_the_number_stays(bench: Any) -> None:
    d = bench()
    made = _swapped(d, "F1", "load")
    assert any(text.startswith("F1 is called E") for text in made.told)
    name = d.x.equipment[next(i for i, r in d.x.equipment.items() if r.KIND == "load" and r.designation != "E1")]
    assert name.designation == "E2"  # E1 is another's


def test_a_run_without_a_terminal_ends_loose_where_it_was(bench: Any) -> None:
    d = bench()
    made = _swapped(d, "F1", "load")
    assert len(made.loose) == 1
    assert any("ends loose" in text for text in made.told)
    (end,) = [i for i, r in d.x.equipment.items() if r.KIND == "open_end"]
    assert len(d.x.runs_at(end)) == 1


def test_positions_that_are_no_more_leave_conditions_and_are_told(bench: Any) -> None:
    d = bench()
    apply(
        d.x,
        Put(
            "conditions", "c90", Condition(name="At sea", settings=(Setting(equipment=d.at("Q1"), position="closed"),))
        ),
    )
    made = _swapped(d, "Q1", "fuse")
    assert d.x.tables["conditions"]["c90"].settings == ()
    assert any("At sea" in text for text in made.told)


def test_an_issued_drawing_refuses_where_the_letter_would_change(bench: Any) -> None:
    d = bench()
    apply(d.x, Put("revisions", "v90", Revision(index="A", issued=True)))
    with pytest.raises(EditError, match="revision A is issued"):
        apply(d.x, swap(d.snapshot, d.last_id, [d.at("F1")], "load").edit)
    with pytest.raises(EditError, match="already"):
        swap(d.snapshot, d.last_id, [d.at("F1")], "fuse")


@settings(max_examples=15, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(st.sampled_from(["F1", "Q1", "WC1", "E1", "G1"]), st.sampled_from(sorted(kinds())))
def test_any_kind_for_any_other_and_back_by_undo(bench: Any, name: str, kind: str) -> None:
    d = bench()
    before = d.snapshot
    try:
        made = swap(before, d.last_id, [d.at(name)], kind)
    except EditError:
        return
    undo = apply(d.x, made.edit)
    circuit, old = expand(d.snapshot), expand(before)
    assert len(d.snapshot.runs) == len(before.runs)
    for item in before.equipment.keys() - {d.x.find(name)[0][1] if d.x.find(name) else ""}:
        if item in old.joined and before.equipment[item].designation != name:
            assert item in d.snapshot.equipment
    del circuit
    apply(d.x, undo)
    assert d.snapshot == before


def test_facts_of_the_boat_stay(bench: Any) -> None:
    d = bench()
    apply(d.x, SetFields("equipment", d.at("Q1"), (("note", "<b>&=1+1"), ("status", "to remove"), ("quantity", 2))))
    item = d.at("Q1")
    _swapped(d, "Q1", "selector")
    now = d.x.equipment[item]
    assert (now.note, now.status, now.quantity) == ("<b>&=1+1", "to remove", 2)
