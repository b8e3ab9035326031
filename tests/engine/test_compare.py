"""Two issues of one drawing."""

from __future__ import annotations

from engine.builder import Builder
from engine.clouds import cloud, outlines
from engine.compare import compare
from engine.edits import Put, SetFields, apply
from engine.picture import Box, path_box


def _boat() -> Builder:
    b = Builder()
    b.add("battery_bank", "G1", unit_v=12)
    b.add("fuse", "F1", rating_a=50)
    b.add("load", "E1", power_w=100)
    b.run("W1", "G1.pos", "F1.in", size="6 AWG")
    b.run("W2", "F1.out", "E1.in", size="6 AWG")
    return b


def test_the_same_drawing_has_no_changes() -> None:
    snapshot = _boat().installation.snapshot()
    made = compare(snapshot, snapshot)
    assert made == ((), (), ())
    assert made.marked == ()


def test_added_removed_and_changed_are_told_by_designation_with_the_fields() -> None:
    b = _boat()
    before = b.installation.snapshot()
    ids = {r.designation: i for table in ("equipment", "runs") for i, r in before.tables[table].items()}
    b.set("F1", rating_a=40.0)
    b.add("load", "E2", power_w=5)
    apply(b.installation, SetFields("runs", ids["W2"], (("size", "8 AWG"), ("length_m", 2.0))))
    apply(b.installation, Put("runs", ids["W1"], None))
    after = b.installation.snapshot()
    made = compare(before, after)
    assert [after.name(i) for i in made.added] == ["E2"]
    assert [before.name(i) for i in made.removed] == ["W1"]
    told = {after.name(c.item): c.fields for c in made.changed}
    assert told == {"F1": ("Rated current of the link",), "W2": ("Conductor size", "Length, one way")} or (
        set(told) == {"F1", "W2"} and len(told["W2"]) == 2
    )


def test_a_changed_value_is_told_from_and_to_in_words() -> None:
    b = _boat()
    before = b.installation.snapshot()
    ids = {r.designation: i for table in ("equipment", "runs") for i, r in before.tables[table].items()}
    b.set("F1", rating_a=40.0, note="as the yard said by telephone, who then forgot what it was about")
    apply(b.installation, SetFields("runs", ids["W2"], (("size", "8 AWG"), ("length_m", 2.0))))
    after = b.installation.snapshot()
    told = {after.name(c.item): c.words for c in compare(before, after).changed}
    assert "rated current of the link: 50 A, now 40 A" in told["F1"]
    assert "note" in " ".join(told["F1"])
    assert "telephone" not in " ".join(told["F1"])  # long text is in no line of changes
    assert "conductor size: 6 AWG, now 8 AWG" in told["W2"]
    assert "length, one way: not known, now 2 m" in told["W2"]


def test_a_drawing_made_anew_with_other_ids_has_not_changed() -> None:
    one = _boat().installation.snapshot()
    b = Builder()  # the same things put in another order: every id is another's
    b.add("load", "E1", power_w=100)
    b.add("fuse", "F1", rating_a=50)
    b.add("battery_bank", "G1", unit_v=12)
    b.run("W2", "F1.out", "E1.in", size="6 AWG")
    b.run("W1", "G1.pos", "F1.in", size="6 AWG")
    assert compare(one, b.installation.snapshot()) == ((), (), ())


def test_a_cloud_goes_round_what_lies_near_together_and_bulges_outward() -> None:
    boxes = [Box(10, 10, 20, 20), Box(24, 10, 30, 15), Box(60, 60, 70, 65)]
    made = outlines(boxes, Box(0, 0, 100, 100))
    assert len(made) == 2
    for outline in made:
        within = Box(
            min(x for x, _y in outline),
            min(y for _x, y in outline),
            max(x for x, _y in outline),
            max(y for _x, y in outline),
        )
        around = path_box(cloud(outline))
        assert around.left < within.left
        assert around.top < within.top
        assert around.right > within.right
        assert around.bottom > within.bottom
    first = outlines(boxes[:1], Box(0, 0, 100, 100))[0]
    assert all(not (10 < x < 20 and 10 < y < 20) for x, y in first)


def test_no_box_no_cloud_and_one_outside_the_sheet_none() -> None:
    assert outlines([], Box(0, 0, 100, 100)) == ()
    assert outlines([Box(200, 200, 210, 210)], Box(0, 0, 100, 100)) == ()
