"""What is copied survives the clipboard, and nothing else is taken for it."""

from __future__ import annotations

import json

import msgspec
import pytest
from hypothesis import given
from hypothesis import strategies as st

from engine.builder import Builder
from engine.edits import EditError, Put, apply
from engine.edits.copying import Clip, copy, renewed
from engine.edits.draft import Draft
from engine.files.foreign import Foreign
from engine.installation import Enclosure, Placement, Route, Sheet


def boat() -> Builder:
    b = Builder()
    x = b.installation
    b.add("battery_bank", "G1", place="Bilge")
    b.add("fuse", "F1", rating_a=100, status="new", place="Bilge")
    b.add("load", "E1", label="Pump, “aft”")
    panel = b._new("enclosures", Enclosure(name="Panel", place=b.place("Bilge")))
    b.set("E1", enclosure=panel)
    b.add("battery_management", "K1", batteries=(x.find("G1")[0][1],), opens=(x.find("F1")[0][1],))
    b.run("W1", "G1.pos", "F1.in", length_m=0.2)
    b.run("W2", "F1.out", "E1.in", length_m=3, places=("Bilge",), status="new")
    run = x.get("runs", x.find("W2")[0][1])
    apply(x, Put("runs", x.find("W2")[0][1], msgspec.structs.replace(run, origins=(("length_m", "measured"),))))
    sheet = b._new("sheets", Sheet(number=1))
    for n, name in enumerate(("G1", "F1", "E1", "K1")):
        b._new("placements", Placement(equipment=x.find(name)[0][1], sheet=sheet, x=20 + 10 * n, y=30))
    b._new("routes", Route(run=x.find("W2")[0][1], sheet=sheet))
    return b


def at(b: Builder, *names: str) -> list[str]:
    return [b.installation.find(n)[0][1] for n in names]


def test_runs_wholly_inside_go_along_others_stay() -> None:
    b = boat()
    clip = copy(b.installation.snapshot(), at(b, "F1", "E1"))
    assert [r.designation for r in clip.tables["equipment"].values()] == ["F1", "E1"]
    assert [r.designation for r in clip.tables["runs"].values()] == ["W2"]
    assert len(clip.tables["routes"]) == 1
    assert Clip.from_text(clip.to_text()) == clip


def test_renewed_records_have_new_ids_and_designations_and_the_same_facts() -> None:
    b = boat()
    x = b.installation
    clip = Clip.from_text(copy(x.snapshot(), at(b, "F1", "E1", "K1")).to_text())
    draft = Draft(x.snapshot(), x.last_id)
    new = renewed(draft, clip, x.ids("sheets")[0])
    apply(x, draft.done("Paste"))
    fuse = x.get("equipment", new["equipment", at(b, "F1")[0]])
    assert (fuse.designation, fuse.rating_a, fuse.status, fuse.place) == ("F2", 100, "new", at_place(b))
    run = x.get("runs", new["runs", at(b, "W2")[0]])
    assert (run.designation, run.length_m, run.origins) == ("W3", 3, (("length_m", "measured"),))
    assert run.places[0].place == at_place(b)
    bms = x.get("equipment", new["equipment", at(b, "K1")[0]])
    assert bms.opens == (new["equipment", at(b, "F1")[0]],), "it opens the copy"
    assert bms.batteries == (), "what stayed behind is not named"


def test_designations_stay_where_nothing_bears_them() -> None:
    b = boat()
    clip = copy(b.installation.snapshot(), at(b, "E1", "F1"))
    other = Builder()
    other.add("fuse", "f1")  # in small letters it is the same name
    x = other.installation
    sheet = other._new("sheets", Sheet(number=1))
    draft = Draft(x.snapshot(), x.last_id)
    new = renewed(draft, clip, sheet)
    apply(x, draft.done("Paste"))
    made = {old: x.get(t, i).designation for (t, old), i in new.items() if t in ("equipment", "runs")}
    assert made == {at(b, "E1")[0]: "E1", at(b, "F1")[0]: "F2", at(b, "W2")[0]: "W2"}


def test_a_kind_this_version_does_not_know_is_not_copied() -> None:
    b = boat()
    item = b._new("equipment", Foreign(arrivals=("in",)))
    with pytest.raises(EditError, match="of a kind this version does not know"):
        copy(b.installation.snapshot(), [item])


def at_place(b: Builder) -> str:
    return next(iter(b.installation.tables["places"]))


def test_places_and_enclosures_are_known_by_name_elsewhere() -> None:
    clip = Clip.from_text(copy(boat().installation.snapshot(), at(boat(), "G1", "E1")).to_text())
    other = Builder()
    other.add("fuse", "F1")
    other.add("fuse", "E1")
    bilge = other.place("Bilge")
    x = other.installation
    sheet = other._new("sheets", Sheet(number=1))
    draft = Draft(x.snapshot(), x.last_id)
    new = renewed(draft, clip, sheet)
    apply(x, draft.done("Paste"))
    made = {x.get(t, i).designation: x.get(t, i) for (t, _old), i in new.items() if t == "equipment"}
    assert made["G1"].place == bilge
    panel = x.get("enclosures", made["E2"].enclosure)
    assert (panel.name, panel.place) == ("Panel", bilge), "it comes along"


def test_alone_a_run_is_not_copied() -> None:
    b = boat()
    with pytest.raises(EditError, match="A run is copied together with the equipment at both its ends"):
        copy(b.installation.snapshot(), at(b, "W1"))
    with pytest.raises(EditError, match="There is nothing chosen"):
        copy(b.installation.snapshot(), [])


FOREIGN = "There is nothing on the clipboard that was copied from a drawing."


@pytest.mark.parametrize("text", ["", "hello", "[]", "{}", "null", "1", '{"format": "other"}', "{" * 100000, "\x00"])
def test_foreign_text_is_refused(text: str) -> None:
    with pytest.raises(EditError) as told:
        Clip.from_text(text)
    assert str(told.value) == FOREIGN


def test_a_newer_version_and_torn_text_are_told() -> None:
    b = boat()
    values = json.loads(copy(b.installation.snapshot(), at(b, "F1", "E1")).to_text())
    with pytest.raises(EditError, match="newer version"):
        Clip.from_text(json.dumps(values | {"version": 2}))
    for torn in (
        values | {"tables": {}},
        values | {"tables": 3},
        values | {"tables": values["tables"] | {"equipment": {}}},
        values | {"tables": values["tables"] | {"equipment": {"e1": {"kind": "warp core"}}}},
    ):
        with pytest.raises(EditError, match="cannot be read"):
            Clip.from_text(json.dumps(torn))


JSON = st.recursive(
    st.none() | st.booleans() | st.integers() | st.text(max_size=5),
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(st.text(max_size=5), inner, max_size=3),
    max_leaves=8,
)


@given(st.sampled_from(("equipment", "runs", "placements", "routes")), JSON, JSON)
def test_garbage_in_the_right_form_is_refused(table: str, record: object, names: object) -> None:
    values = {"format": "linewright clip", "version": 1, "tables": {table: {"e1": record}}, "names": names}
    with pytest.raises(EditError, match="cannot be read"):
        Clip.from_text(json.dumps(values))


def test_what_is_pasted_is_numbered_in_the_order_it_was_made_also_past_the_tenth_id() -> None:
    b = Builder()
    for n in range(1, 13):
        b.add("fuse", f"F{n}", label=f"Circuit {n}")
    snapshot = b.installation.snapshot()
    clip = Clip.from_text(copy(snapshot, list(snapshot.equipment)).to_text())
    draft = Draft(snapshot, b.installation.last_id)
    renewed(draft, clip, "")
    pasted = {r.label: r.designation for i, r in draft.table("equipment").items() if i not in snapshot.equipment}
    assert pasted == {f"Circuit {n}": f"F{n + 12}" for n in range(1, 13)}
