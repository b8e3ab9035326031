"""The drawing file: opened whole or refused with all its faults; nothing lost; the same bytes each time."""

from __future__ import annotations

import json
import os
import random
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from engine.builder import Builder
from engine.edits import Put, apply
from engine.files import migrations
from engine.files.drawing import FileError, dump, load, read_bytes, save
from engine.files.reading import read_whole
from engine.installation import Installation, Place, Placement, Route, Run, Sheet, Waiver
from engine.version import version


def example() -> Installation:
    b = Builder(book="k1", name="Dunlin", length_m=12.5)
    b.add("battery_bank", "G1", place="Engine room", unit_v=12.8, chemistry="LFP", origins=(("unit_v", "nameplate"),))
    b.add("fuse", "F1", rating_a=250, fuse_class="class T")
    b.add("battery_switch", "Q1", label="Isolator, aft “house” bank")
    b.run("W1", "G1.pos", "F1.in", size="2/0 AWG", length_m=0.1, places=("Engine room",))
    b.run("W2", "F1.out", "Q1.in", size="35 mm2")
    b.condition("At anchor", Q1="closed")
    b.interlock("Q1", at_most=1, name="slide")
    b.waive("no-spare", "F1", who="Skipper")
    x = b.installation
    for table, record in (
        ("sheets", Sheet(title="DC")),
        ("placements", Placement(equipment="e2", sheet="s10", terminals=("pos",), x=4, rotation=90)),
        ("routes", Route(run="r5", sheet="s10")),
    ):
        apply(x, Put(table, x.new_id(table), record))
    return x


def members() -> dict[str, Any]:
    made = json.loads(dump(example()))
    assert isinstance(made, dict)
    return made


def opened(data: Any) -> Any:
    return read_bytes(json.dumps(data).encode(), "boat.linewright")


def refusal(data: Any) -> list[str]:
    """The lines of the message that refuses a file."""
    with pytest.raises(FileError) as caught:
        read_bytes(data if isinstance(data, bytes) else json.dumps(data).encode(), "boat.linewright")
    return str(caught.value).split("\n")


# -- what is written ---------------------------------------------------------------------------------------------
def test_the_file_is_stable_sorted_and_without_defaults() -> None:
    data = dump(example())
    text = data.decode("utf-8")
    assert text.endswith("}\n")
    assert "\r" not in text
    assert "“house”" in text
    whole = json.loads(text)
    assert list(whole)[:4] == ["format", "version", "program", "last_id"]
    assert list(whole)[4:] == sorted(list(whole)[4:])
    assert whole["format"] == "linewright drawing"
    assert whole["version"] == 1
    assert whole["program"] == version()
    for table in (v for v in whole.values() if isinstance(v, dict)):
        for record in table.values():
            if isinstance(record, dict):
                assert list(record) == sorted(record)
    assert whole["equipment"]["e3"] == {
        "designation": "F1",
        "fuse_class": "class T",
        "kind": "fuse",
        "rating_a": 250,
    }
    assert whole["title_block"] == {}
    assert text.splitlines()[1].startswith('  "format"')


def test_ids_stand_in_natural_order_whatever_the_order_of_making() -> None:
    places = [(f"p{n}", Place(name=f"Locker {n}")) for n in range(1, 13)]
    texts = []
    for seed in range(3):
        random.Random(seed).shuffle(places)
        x = Installation()
        for item, record in places:
            apply(x, Put("places", item, record))
        texts.append(dump(x))
    assert texts[0] == texts[1] == texts[2]
    assert list(json.loads(texts[0])["places"]) == [f"p{n}" for n in range(1, 13)]


def test_what_is_saved_opens_as_it_was(tmp_path: Path) -> None:
    x = example()
    path = tmp_path / "dunlin.linewright"
    digest = save(x, path)
    again = load(path)
    assert again.installation.snapshot() == x.snapshot()
    assert again.installation.last_id == x.last_id
    assert again.sha256 == digest
    assert not again.read_only
    assert again.notices == ()
    assert dump(again.installation) == path.read_bytes()


def test_the_last_id_is_kept_so_that_none_is_given_twice() -> None:
    x = example()
    apply(x, Put("places", "p90", Place(name="Bilge")))
    apply(x, Put("places", "p90", None))
    assert read_bytes(dump(x)).installation.new_id("places") == "p91"
    data = members()
    data["last_id"] = 1  # smaller than what is in use
    assert opened(data).installation.last_id == example().last_id


# -- what is kept ------------------------------------------------------------------------------------------------
def test_unknown_members_survive_everywhere() -> None:
    data = members()
    data["mood"] = {"b": [1.5, 10**25], "a": None}
    data["vessel"]["mood"] = "calm"
    data["equipment"]["e3"]["mood"] = [1, {"z": 1, "y": 2}]
    data["runs"]["r5"]["mood"] = True
    data["conditions"][next(iter(data["conditions"]))]["mood"] = "é"
    found = opened(data)
    assert not found.read_only
    assert json.loads(dump(found.installation)) == data


def test_a_file_with_an_unknown_kind_opens_read_only_and_the_record_survives(tmp_path: Path) -> None:
    data = members()
    data["equipment"]["e3"] = {"kind": "flux_gate", "designation": "F1", "flux_a": 5.5, "place": {"odd": 1}}
    found = opened(data)
    assert found.read_only
    assert found.notices == (
        "boat.linewright holds kinds this version does not know (flux_gate); it is opened to read only.",
    )
    assert json.loads(dump(found.installation)) == data
    assert [t.name for t in found.installation.equipment["e3"].terminals()] == ["in", "out"]
    with pytest.raises(FileError, match=r"nothing is written: .*flux_gate"):
        save(found.installation, tmp_path / "x.linewright")
    assert list(tmp_path.iterdir()) == []


def test_a_file_of_a_newer_format_opens_read_only(tmp_path: Path) -> None:
    data = members() | {"version": 2, "holograms": {}}
    found = opened(data)
    assert found.read_only
    assert "format 2 by a newer program" in found.notices[0]
    with pytest.raises(FileError, match="nothing is written"):
        save(found.installation, tmp_path / "x.linewright")


def test_a_newer_file_that_cannot_be_read_wholly_is_refused_and_says_why() -> None:
    data = members() | {"version": 7}
    data["equipment"]["e3"]["fuse_class"] = "plasma"
    lines = refusal(data)
    assert "format 7 by a newer program, and this one cannot read all of it" in lines[0]
    assert lines[1].startswith('  equipment["e3"].fuse_class: expected one of')


# -- what is refused ---------------------------------------------------------------------------------------------
def test_all_faults_come_together_each_with_its_path_and_designation() -> None:
    data = members()
    data["runs"]["r5"]["length_m"] = -3
    data["runs"]["r6"]["to"]["terminal"] = "lid"
    data["equipment"]["e2"]["chemistry"] = "moonlight"
    data["vessel"]["length_m"] = "long"
    data["places"]["p1"]["temperature_c"] = 900
    lines = refusal(data)
    assert lines[0] == "boat.linewright: 5 faults"
    assert sorted(lines[1:]) == sorted(
        [
            '  runs["r5"].length_m: expected 0 m or more, found -3 m (W1)',
            """  runs["r6"].to.terminal: Q1 has no terminal 'lid': it has in, out (W2)""",
            '  equipment["e2"].chemistry: expected one of nothing, flooded, AGM, gel, carbon, LFP, NMC, other lithium, '
            "nickel, found 'moonlight' (G1)",
            "  vessel.length_m: expected a number (m) or null, found 'long'",
            '  places["p1"].temperature_c: expected 150 degC or less, found 900 degC (Engine room)',
        ]
    )


def _set(*keys: str, to: Any) -> Any:
    def change(data: dict[str, Any]) -> None:
        at = data
        for key in keys[:-1]:
            at = at[int(key)] if isinstance(at, list) else at[key]
        at[keys[-1]] = to

    return change


@pytest.mark.parametrize(
    ("change", "fault"),
    [
        (_set("runs", "r5", "from", "equipment", to="e99"), "from.equipment: there is no equipment 'e99'"),
        (_set("runs", "r5", "from", "equipment", to=""), """runs["r5"].from.equipment: there is no equipment ''"""),
        (_set("runs", "r5", "places", "0", "place", to="p9"), """runs["r5"].places[0].place: there is no place 'p9'"""),
        (_set("equipment", "e2", "place", to="p9"), """equipment["e2"].place: there is no place 'p9'"""),
        (_set("equipment", "e4", "in_position", to="ajar"), "e4\"].in_position: Q1 has no position 'ajar'"),
        (_set("conditions", "c7", "settings", "0", "position", to="9"), "settings[0].position: Q1 has no position '9'"),
        (_set("interlocks", "i8", "held", "0", "positions", to=["9"]), "held[0].positions[0]: Q1 has no position '9'"),
        (_set("placements", "a11", "sheet", to="s9"), """placements["a11"].sheet: there is no sheet 's9'"""),
        (_set("placements", "a11", "terminals", to=["x"]), "terminals[0]: G1 has no terminal 'x': it has pos, neg"),
        (_set("routes", "t12", "run", to="r99"), """routes["t12"].run: there is no run 'r99'"""),
        (_set("equipment", "e4", "kind", to=""), 'equipment["e4"].kind: is missing'),
        (_set("equipment", "e4", "kind", to=5), 'equipment["e4"].kind: is missing'),
        (_set("equipment", "e4", to=[]), 'equipment["e4"]: expected an object, found a list'),
        (_set("equipment", to=[]), "equipment: expected an object of records by id"),
        (_set("places", "", to={"name": "x"}), 'places[""]: is no id'),
        (_set("places", "p" + "9" * 30, to={"name": "x"}), "is no id"),
        (_set("last_id", to=-1), "last_id: expected a whole number"),
        (_set("last_id", to=True), "last_id: expected a whole number"),
    ],
)  # fmt: skip
def test_what_leads_nowhere_is_a_fault_with_its_path(change: Any, fault: str) -> None:
    data = members()
    change(data)
    lines = refusal(data)
    assert any(fault in line for line in lines[1:]), lines


def test_one_broken_piece_is_told_once_and_not_again_at_every_run() -> None:
    data = members()
    del data["equipment"]["e3"]["kind"]
    assert len(refusal(data)) == 2


def test_one_id_for_equipment_and_run_is_a_fault() -> None:
    data = members()
    data["runs"]["e2"] = data["runs"].pop("r6")
    assert any('runs["e2"]: equipment has the same id' in line for line in refusal(data))


@pytest.mark.parametrize(
    ("data", "why"),
    [
        (b"", "it is empty"),
        (b" \n ", "it is empty"),
        (b"{", "it is not JSON: line 1, column 2"),
        (b'{"a":\n 1 2}', "it is not JSON: line 2, column 4"),
        (b"%PDF-1.7", "it is not JSON: line 1, column 1"),
        (b"\xff\xfe{}", "it is not UTF-8 text: line 1"),
        (b'{"a":\n"\xe9"}', "it is not UTF-8 text: line 2"),
        (b"[]", "it is no drawing of this program"),
        (b"5", "it is no drawing of this program"),
        (b"null", "it is no drawing of this program"),
        (b'{"format": "other", "version": 1}', "it is no drawing of this program"),
        (b'{"format": "linewright drawing"}', '"version" should be a whole number from 1'),
        (b'{"format": "linewright drawing", "version": true}', '"version" should be a whole number from 1'),
        (b'{"format": "linewright drawing", "version": 0}', '"version" should be a whole number from 1'),
        (b'{"format": "linewright drawing", "version": NaN}', "it holds NaN, which is no number"),
        (b'{"format": "linewright drawing", "version": 1, "x": 1e999}', "the number 1e999, which is beyond all use"),
        (b'{"format": "linewright drawing", "version": 1, "x": ' + b"9" * 5000 + b"}", "a number with too many digits"),
        (b'{"format": "linewright drawing", "version": 1, "x": "\\ud800"}', "half of a character"),
        (b"[" * 100_000, "nested too deeply"),
        (b'{"format": "linewright drawing", "version": 1, "places": {"p1": {"name": "a"}, "p1": {"name": "b"}}}',
         'places["p1"]: stands twice in the same object'),
    ],
)  # fmt: skip
def test_what_is_no_drawing_is_refused_in_one_sentence(data: bytes, why: str) -> None:
    lines = refusal(data)
    assert lines[0].startswith("boat.linewright: ")
    assert why in "\n".join(lines)


def test_a_byte_order_mark_and_a_pair_of_surrogates_are_no_fault() -> None:
    data = members()
    data["vessel"]["name"] = "Dunlin 🐦"
    assert read_bytes(b"\xef\xbb\xbf" + json.dumps(data).encode()).installation.vessel.name == "Dunlin 🐦"


def test_what_is_no_file_is_refused(tmp_path: Path) -> None:
    with pytest.raises(FileError, match="there is no such file"):
        load(tmp_path / "none.linewright")
    with pytest.raises(FileError, match="it is a folder, not a file"):
        load(tmp_path)
    with pytest.raises(FileError, match="no such file"):
        load("a\0b")
    (tmp_path / "a").write_bytes(b"x")
    with pytest.raises(FileError, match="a part of the path is no folder"):
        load(tmp_path / "a" / "b")


@pytest.mark.posix
def test_a_pipe_is_refused_and_not_waited_for(tmp_path: Path) -> None:
    os.mkfifo(tmp_path / "pipe")
    with pytest.raises(FileError, match="it is no regular file"):
        load(tmp_path / "pipe")


def test_a_file_beyond_the_bound_is_refused_unread(tmp_path: Path) -> None:
    path = tmp_path / "big"
    path.write_bytes(b"x" * (2**20 + 1))
    with pytest.raises(FileError, match="it is larger than 1 MB"):
        read_whole(path, 2**20)
    path.write_bytes(b"x" * 2**20)
    assert len(read_whole(path, 2**20)) == 2**20


# -- old files ---------------------------------------------------------------------------------------------------
def test_steps_are_walked_one_version_at_a_time() -> None:
    steps = {
        1: lambda d: d | {"version": 2, "second": True},
        2: lambda d: d | {"version": 3, "third": d["second"]},
    }
    assert migrations.migrate({"version": 1}, steps, 3) == {"version": 3, "second": True, "third": True}
    assert migrations.migrate({"version": 3}, steps, 3) == {"version": 3}
    with pytest.raises(AssertionError, match="the step from version 1 gave 1"):
        migrations.migrate({"version": 1}, {1: dict}, 2)


def test_there_is_a_step_for_every_old_version() -> None:
    assert sorted(migrations.STEPS) == list(range(1, migrations.CURRENT))


# -- whatever comes ----------------------------------------------------------------------------------------------
@given(st.binary(max_size=200))
def test_no_bytes_raise_anything_but_file_error(data: bytes) -> None:
    with pytest.raises(FileError):
        read_bytes(data)


@given(st.data())
def test_no_change_of_a_file_raises_anything_but_file_error(data: st.DataObject) -> None:
    whole = members()
    for _each in range(data.draw(st.integers(1, 4))):
        at: Any = whole
        while True:
            key = data.draw(st.sampled_from(list(at) if isinstance(at, dict) else list(range(len(at)))))
            if isinstance(at[key], (dict, list)) and at[key] and data.draw(st.integers(0, 4)):
                at = at[key]
            else:
                break
        if data.draw(st.booleans()):
            del at[key]
        else:
            at[key] = data.draw(st.sampled_from([None, True, -1, 0.5, "", "x", [], {}, [{}], {"x": 1}, "e2", "s10"]))
        if not whole:
            break
    try:
        found = opened(whole)
    except FileError:
        return
    again = dump(found.installation)
    assert dump(read_bytes(again).installation) == again


def test_a_waiver_and_a_run_keep_their_words() -> None:
    x = read_bytes(dump(example())).installation
    (waiver,) = x.snapshot().waivers.values()
    assert waiver == Waiver(rule="no-spare", designations=("F1",), who="Skipper")
    assert isinstance(x.runs["r5"], Run)
