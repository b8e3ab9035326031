"""Every change, its inverse, and what a change that fails leaves behind: nothing."""

from __future__ import annotations

import pytest

from engine.builder import Builder
from engine.edits import Edit, EditError, History, Put, SetFields, Several, apply
from engine.equipment.protection.fuse import Fuse
from engine.files.drawing import dump
from engine.installation import Installation, Place, Vessel


@pytest.fixture
def boat() -> Builder:
    b = Builder()
    b.add("battery_bank", "G1", place="Engine room", unit_v=12.8)
    b.add("fuse", "F1", place="Engine room", rating_a=250)
    b.add("battery_switch", "Q1")
    b.run("W1", "G1.pos", "F1.in", length_m=0.1, places=("Engine room",))
    b.run("W2", "F1.out", "Q1.in")
    b.condition("At anchor", Q1="closed")
    return b


def only(installation: Installation, table: str, name: str) -> str:
    """The id of what has this designation or name."""
    return next(
        item
        for item, record in installation.items(table)
        if name in (getattr(record, "designation", None), getattr(record, "name", None))
    )


def test_put_and_its_inverse(boat: Builder) -> None:
    x = boat.installation
    inverse = apply(x, Put("places", x.new_id("places"), Place(name="Bilge")))
    assert [p.name for _i, p in x.items("places")] == ["Engine room", "Bilge"]
    apply(x, inverse)
    assert [p.name for _i, p in x.items("places")] == ["Engine room"]


def test_a_removed_id_is_not_given_again() -> None:
    x = Installation()
    first = x.new_id("places")
    apply(x, Put("places", first, Place(name="Bilge")))
    apply(x, Put("places", first, None))
    assert x.new_id("places") != first


def test_fields_are_converted_by_their_own_annotation(boat: Builder) -> None:
    x = boat.installation
    f1 = only(x, "equipment", "F1")
    inverse = apply(x, SetFields("equipment", f1, (("rating_a", 300), ("breaking", [{"amps": 20000, "volts": 32}]))))
    fuse = x.equipment[f1]
    assert isinstance(fuse, Fuse)
    assert fuse.rating_a == 300.0
    assert [(b.amps, b.volts, b.kind) for b in fuse.breaking] == [(20000.0, 32.0, "DC")]
    apply(x, inverse)
    assert x.equipment[f1].breaking == ()


@pytest.mark.parametrize(
    ("table", "designation", "values", "message"),
    [
        ("equipment", "F1", (("rating_a", -5),), "rating_a: expected 0 A or more, found -5 A"),
        ("equipment", "F1", (("rating_a", "x"),), "rating_a: expected a number (A) or null, found 'x'"),
        ("equipment", "F1", (("ratting", 5),), "Fuse has no field 'ratting'"),
        ("equipment", "F1", (("breaking", [{"amps": -1, "volts": 3}]),), "breaking[0].amps: expected 0 A or more"),
        ("equipment", "F1", (("place", "p99"),), "place: there is no place 'p99'"),
        ("equipment", "Q1", (("in_position", "ajar"),), "Q1 has no position 'ajar': it has open, closed"),
        ("runs", "W1", (("size", "2/0"),), "size: expected the size written '2/0 AWG'"),
        ("runs", "W1", (("to_end", {"equipment": "e2", "terminal": "lid"}),), "to.terminal: G1 has no terminal 'lid'"),
        ("runs", "W1", (("to_end", {"equipment": "e77", "terminal": "lid"}),), "there is no equipment 'e77'"),
    ],
)
def test_a_change_that_fails_leaves_everything_as_it_was(
    boat: Builder, table: str, designation: str, values: tuple[tuple[str, object], ...], message: str
) -> None:
    x = boat.installation
    item = only(x, table, designation)
    before = dump(x)
    with pytest.raises(EditError) as caught:
        apply(x, SetFields(table, item, values))
    assert message in str(caught.value)
    assert dump(x) == before


def test_several_are_done_all_or_none(boat: Builder) -> None:
    x = boat.installation
    before = dump(x)
    good = SetFields("equipment", only(x, "equipment", "F1"), (("label", "changed"),))
    with pytest.raises(EditError):
        apply(x, Several((good, Put("places", "p77", Place(name="Bilge")), Put("places", "p78", Fuse()))))
    with pytest.raises(EditError):
        apply(x, Several((good, SetFields("equipment", "e99", (("label", "x"),)))))
    assert dump(x) == before


def test_nothing_is_taken_away_that_is_still_named(boat: Builder) -> None:
    x = boat.installation
    before = dump(x)
    with pytest.raises(EditError, match=r"G1 still needs it: .*there is no place"):
        apply(x, Put("places", only(x, "places", "Engine room"), None))
    with pytest.raises(EditError, match="F1 still has runs"):
        apply(x, Put("equipment", only(x, "equipment", "F1"), None))
    assert dump(x) == before


def test_a_switch_named_by_a_condition_goes_with_the_condition_only(boat: Builder) -> None:
    x = boat.installation
    before = dump(x)
    q1, w2, c = only(x, "equipment", "Q1"), only(x, "runs", "W2"), only(x, "conditions", "At anchor")
    away = (Put("runs", w2, None), Put("equipment", q1, None))
    with pytest.raises(EditError, match=r"At anchor still needs it: .*there is no equipment"):
        apply(x, Several(away))
    assert dump(x) == before
    inverse = apply(x, Several((*away, Put("conditions", c, None))))
    apply(x, inverse)
    assert dump(x) == before


def test_a_change_may_not_take_a_terminal_that_has_a_run(boat: Builder) -> None:
    x = boat.installation
    q1 = only(x, "equipment", "Q1")
    with pytest.raises(EditError, match=r"W2 still needs it: .*terminal"):
        apply(x, Put("equipment", q1, boat.installation.equipment[only(x, "equipment", "G1")]))


def test_what_there_is_one_of_cannot_be_removed(boat: Builder) -> None:
    with pytest.raises(EditError):
        apply(boat.installation, Put("vessel", "vessel", None))
    with pytest.raises(EditError, match="there is no table"):
        apply(boat.installation, Put("vessels", "v", Vessel()))


def test_history_tells_what_it_would_take_back(boat: Builder) -> None:
    x = boat.installation
    history = History(x)
    before = dump(x)
    f1 = only(x, "equipment", "F1")
    history.do(SetFields("equipment", f1, (("label", "A"),), words="Label F1"))
    after = dump(x)
    assert (history.undo_words, history.redo_words) == ("Label F1", "")
    undone = history.undo()
    assert undone is not None
    assert undone.words == "Label F1"
    assert dump(x) == before
    assert (history.undo_words, history.redo_words) == ("", "Label F1")
    assert history.undo() is None
    redone = history.redo()
    assert redone is not None
    assert redone.words == "Label F1"
    assert dump(x) == after
    assert history.redo() is None


def test_a_failing_edit_leaves_no_trace_in_the_history(boat: Builder) -> None:
    history = History(boat.installation)
    f1 = only(boat.installation, "equipment", "F1")
    history.do(SetFields("equipment", f1, (("label", "A"),), words="Label F1"))
    history.undo()
    with pytest.raises(EditError):
        history.do(SetFields("equipment", f1, (("rating_a", -1),), words="Rate F1"))
    assert (history.undo_words, history.redo_words) == ("", "Label F1")


@pytest.mark.parametrize(
    "edit",
    [
        SetFields("vessel", "vessel", (("name", "half \ud800"),)),
        Put("places", "p9001", Place(name="half \udfff")),
        Several((Put("places", "p9001", Place(name="whole")), Put("places", "p9002", Place(name="half \udfff")))),
    ],
)
def test_half_of_a_character_does_not_come_in(boat: Builder, edit: Edit) -> None:
    before = boat.installation.snapshot()
    with pytest.raises(EditError, match="half of a character"):
        apply(boat.installation, edit)
    assert boat.installation.snapshot() == before
    dump(boat.installation)


def test_an_edit_that_fails_by_a_fault_of_the_program_leaves_nothing_half_done(boat: Builder) -> None:
    before, last_id = boat.installation.snapshot(), boat.installation.last_id
    edit = Several(
        (
            SetFields("vessel", "vessel", (("name", "Avocet"),)),
            Put("places", "p9001", Place(name="lazarette")),
            SetFields("vessel", "vessel", (("origins", 5),)),
        )
    )
    with pytest.raises(TypeError):
        apply(boat.installation, edit)
    assert boat.installation.snapshot() == before
    assert boat.installation.last_id == last_id
