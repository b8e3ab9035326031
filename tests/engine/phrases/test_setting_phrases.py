"""Typed phrases that set values on what is chosen, and on a run that is being drawn."""

from __future__ import annotations

from typing import Any

import pytest

from engine.builder import Builder
from engine.edits import EditError, History, apply
from engine.installation import Installation
from engine.phrases import joined_phrases, run_phrases, set_edit, set_phrases, split_run
from engine.phrases.repeating import fits, last_placed, last_set


def boat() -> Installation:
    b = Builder(name="Dunlin")
    b.add("battery_bank", "G1", unit_v=12)
    b.add("fuse", "F1")
    b.add("fuse", "F2")
    b.add("circuit_breaker", "F3")
    b.add("load", "E1")
    b.run("W1", "G1.pos", "F1.in")
    b.run("W2", "F1.out", "E1.in")
    return b.installation


def ids(made: Installation, *names: str) -> tuple[str, ...]:
    return tuple(made.find(name)[0][1] for name in names)


def values(text: str, *names: str) -> list[dict[str, Any]]:
    made = boat()
    return [
        {g.field: g.value for g in p.given} for p in set_phrases(text, made.snapshot(), ids(made, *names)).proposals
    ]


def test_size_length_and_more_of_a_run() -> None:
    assert values("2/0 3m", "W1") == [{"size": "2/0 AWG", "length_m": 3}]
    assert values("35 mm2 3,5 m tinned 105C sheathed W12", "W1") == [
        {
            "size": "35 mm2",
            "length_m": 3.5,
            "conductor": "tinned copper",
            "insulation_c": 105,
            "sheath": "sheathed",
            "designation": "W12",
        }
    ]
    assert values("#4 10 ft 6 in red", "W1") == [{"size": "4 AWG", "length_m": pytest.approx(3.2004), "colour": "red"}]
    assert values("2x 70 mm2", "W1") == [{"parallel": 2, "size": "70 mm2"}]
    assert values("16 mm² copper bundle 3", "W1") == [{"size": "16 mm2", "conductor": "copper", "bundle": 3}]


def test_a_bare_figure_that_may_be_two_sizes_or_a_length_is_offered_as_each() -> None:
    assert values("10", "W1") == [{"size": "10 mm2"}, {"size": "10 AWG"}, {"length_m": 10}]
    assert values("2/0 3", "W1") == [{"size": "2/0 AWG", "length_m": 3}]


def test_equipment_takes_the_same_words_without_its_name() -> None:
    assert values("300a class t", "F1") == [{"rating_a": 300, "fuse_class": "class T"}]
    assert values("fuse 30", "F1") == [{"rating_a": 30}]


def test_of_several_the_same_fields_are_set_in_one_edit() -> None:
    made = boat()
    history = History(made)
    chosen = ids(made, "F1", "F2", "F3")
    read = set_phrases("10 a new", made.snapshot(), chosen)
    history.do(set_edit(made.snapshot(), chosen, read.proposals[0].given, "nameplate"))
    snapshot = made.snapshot()
    for item in chosen:
        record = snapshot.equipment[item]
        assert (record.rating_a, record.status) == (10, "new")
        assert dict(record.origins) == {"rating_a": "nameplate"}
    assert "10 A" in history.undo_words
    assert "F1 and 2 more" in history.undo_words
    history.undo()
    assert made.snapshot().equipment == boat().snapshot().equipment


def test_what_means_different_fields_of_several_is_refused() -> None:
    made = boat()
    read = set_phrases("10 a", made.snapshot(), ids(made, "F1", "E1"))
    assert read.proposals == ()
    assert read.why == "“10 a” does not mean the same fields of F1 and of E1."
    assert set_phrases("10 a", made.snapshot(), ()).why == "Nothing is chosen that values could be set on."
    assert "is not understood for W1." in set_phrases("class t", made.snapshot(), ids(made, "W1")).why


def test_a_designation_is_borne_once() -> None:
    made = boat()
    given = set_phrases("W2", made.snapshot(), ids(made, "W1")).proposals[0].given
    with pytest.raises(EditError, match="W2 can be borne by one thing only"):
        set_edit(made.snapshot(), ids(made, "W1"), given, "typed")
    apply(made, set_edit(made.snapshot(), ids(made, "W2"), given, "typed"))


def test_what_follows_the_semicolon_is_of_the_run() -> None:
    assert split_run("fuse class t 300; 2/0 3 m") == ("fuse class t 300", "2/0 3 m")
    assert split_run('fuse "a; b" 10 a') == ('fuse "a; b" 10 a', "")
    read = joined_phrases("class t 300; 2/0 3 m", boat().snapshot())
    assert read.proposals[0].told == "Fuse, class T, 300 A; run: 2/0 AWG, 3 m"
    assert {g.field for g in read.proposals[0].run} == {"size", "length_m"}
    assert joined_phrases("class t 300; nonsense", boat().snapshot()).why == "“nonsense” is not understood for the run."
    assert run_phrases("", boat().snapshot()).proposals[0].given == ()


def test_what_was_set_last_can_be_set_again_where_it_fits() -> None:
    made = boat()
    history = History(made)
    assert last_set(history) is None
    assert last_placed(history, made.snapshot()) is None
    given = set_phrases("2/0 3m", made.snapshot(), ids(made, "W1")).proposals[0].given
    history.do(set_edit(made.snapshot(), ids(made, "W1"), given, "measured"))
    found = last_set(history)
    assert found is not None
    assert {(g.field, g.value, g.origin) for g in found.given} == {("size", "2/0 AWG", "measured"),
                                                                   ("length_m", 3, "measured")}  # fmt: skip
    assert fits(made.snapshot(), ids(made, "W1"), found.given) == ()  # it has these values
    assert fits(made.snapshot(), ids(made, "W2", "F1"), found.given) == ids(made, "W2")
