"""A drawing of each format that was ever released opens for ever, and loses nothing.

`files/v<format>-*.linewright` are never made anew: they are what a program of that day wrote. Where a test here fails,
it is the program that must change, by a step in `engine/files/migrations.py`.
"""

from __future__ import annotations

import hashlib
import json
import re
from pathlib import Path
from typing import Any

import msgspec
import pytest

from engine.check import check
from engine.edits import History, Put, SetFields, done
from engine.files.drawing import FileError, dump, dump_snapshot, load, read_bytes, save
from engine.files.edit_form import edit_of, plain_edit
from engine.files.migrations import CURRENT, migrate
from engine.merging import merge

FILES = Path(__file__).parent / "files"
RELEASED = {
    "v1-every-kind.linewright": "5b2db3b85a0f37d5f8a7597f8efc3fdf4581bc7f48508a229ffb2da1debc11ed",
}
FIRST = "v1-every-kind.linewright"


def test_every_released_format_has_a_file_and_none_was_made_anew() -> None:
    assert {path.name: hashlib.sha256(path.read_bytes()).hexdigest() for path in FILES.glob("*.linewright")} == RELEASED
    assert {int(re.match(r"v(\d+)-", name)[1]) for name in RELEASED} == set(range(1, CURRENT + 1))  # type: ignore[index]


@pytest.mark.parametrize("name", RELEASED)
def test_it_opens_to_be_edited_is_judged_and_is_written_back_as_it_was(name: str, tmp_path: Path) -> None:
    opened = load(FILES / name)
    assert not opened.read_only
    assert not opened.notices
    check(opened.installation.snapshot())
    out = tmp_path / name
    save(opened.installation, out)
    if name.startswith(f"v{CURRENT}-"):
        this_program = re.compile(rb'"program": "[^"]*"')
        assert this_program.sub(b"", out.read_bytes()) == this_program.sub(b"", (FILES / name).read_bytes())
    assert load(out).installation.snapshot() == opened.installation.snapshot()


def test_the_first_format_holds_every_kind_and_every_table_it_had() -> None:
    """`fields_v1.txt` guards the fields of the first format: what it lists of kinds stands in the file."""
    members = json.loads((FILES / FIRST).read_text("utf-8"))
    listed = (Path(__file__).parents[1] / "engine" / "equipment" / "fields_v1.txt").read_text("utf-8")
    kinds = {record["kind"] for record in members["equipment"].values()}
    lower = {line.split(".")[0] for line in listed.splitlines() if line[:1].islower()}
    assert len(lower) > 50
    assert lower <= kinds
    tables = """runs places enclosures sheets placements routes remarks conditions interlocks revisions waivers surveys
        photographs deficiencies inspections instruments readings"""
    for table in tables.split():
        assert len(members[table]) >= 2, table
        assert all(len(record) > 1 for record in members[table].values()), table


def test_what_is_unknown_survives_an_edit_and_a_round_trip(tmp_path: Path) -> None:
    opened = load(FILES / FIRST)
    history = History(opened.installation)
    history.do(SetFields("equipment", "e1", (("label", "relabelled"),)))
    history.do(Put("places", opened.installation.new_id("places"), history.installation.get("places", "p57")))
    history.undo()
    save(opened.installation, tmp_path / "boat.linewright")
    again = json.loads((tmp_path / "boat.linewright").read_text("utf-8"))
    assert again["yard_notes"] == {"hull": [1, 2.5, None, {"deep": ["ü", 10**30]}]}
    assert again["equipment"]["e1"]["colour_of_lid"] == "blue"
    assert again["equipment"]["e1"]["label"] == "relabelled"
    assert again["vessel"]["moon"] == [True]


def test_what_is_unknown_within_a_part_of_a_record_survives_edits_journal_and_merge() -> None:
    """An end of a run, a setting of a condition: a number in it may be longer than anything can carry but text."""
    odd = {"of": [10**30, 1.5, None]}
    members = json.loads((FILES / FIRST).read_text("utf-8"))
    r = min(members["runs"])
    members["runs"][r]["from"]["ferrule"] = odd
    condition = min(members["conditions"])
    members["conditions"][condition]["settings"][0]["ferrule"] = odd
    opened = read_bytes(json.dumps(members).encode())
    base, other = opened.installation.snapshot(), read_bytes(json.dumps(members).encode()).installation
    history = History(opened.installation)
    run = base.tables["runs"][r]
    history.do(SetFields("runs", r, (("from_end", msgspec.structs.replace(run.from_end, lug="ring")),)))
    History(other).do(SetFields("runs", r, (("label", "by another"),)))
    merged = merge(base, other.snapshot(), opened.installation.snapshot(), last_id=10**6)
    recorded = done(read_bytes(json.dumps(members).encode()).installation, Put("runs", r, run)).edit
    again = edit_of(msgspec.msgpack.decode(msgspec.msgpack.encode(plain_edit(recorded)))).edits[0]
    assert again.record == run
    for data in (dump(opened.installation), dump_snapshot(merged.snapshot, 10**6)):
        made = json.loads(data)
        assert made["runs"][r]["from"]["ferrule"] == odd
        assert made["runs"][r]["from"]["lug"] == "ring"
        assert made["conditions"][condition]["settings"][0]["ferrule"] == odd


def _changed(**members: Any) -> bytes:
    return json.dumps(json.loads((FILES / FIRST).read_text("utf-8")) | members).encode()


@pytest.mark.parametrize("version", [CURRENT + 1, 10**9])
def test_a_file_of_the_future_opens_to_read_only_and_is_never_written_over(version: int, tmp_path: Path) -> None:
    path = tmp_path / "boat.linewright"
    path.write_bytes(_changed(version=version, moons={"z1": {"of": "jupiter"}}))
    before = path.read_bytes()
    opened = load(path)
    assert opened.read_only
    assert f"was written in format {version} by a newer program" in opened.notices[0]
    with pytest.raises(FileError, match="nothing is written"):
        save(opened.installation, path)
    assert path.read_bytes() == before


def test_a_file_of_the_future_that_cannot_be_read_says_so_with_its_faults() -> None:
    with pytest.raises(FileError) as caught:
        read_bytes(_changed(version=CURRENT + 1, places={"p57": {"name": ["now", "a", "list"]}}), "boat.linewright")
    assert "by a newer program, and this one cannot read all of it" in str(caught.value)
    assert caught.value.faults[0].path == 'places["p57"].name'


def test_a_kind_nobody_knows_yet_is_kept_and_opens_to_read_only() -> None:
    members = json.loads((FILES / FIRST).read_text("utf-8"))
    members["equipment"]["e1"]["kind"] = "fuel_cell"
    opened = read_bytes(json.dumps(members).encode(), "boat.linewright")
    assert opened.read_only
    assert "fuel_cell" in opened.notices[0]
    kept = json.loads(dump(opened.installation))["equipment"]["e1"]
    assert kept == members["equipment"]["e1"]


def test_steps_lead_from_every_older_format_to_this_one() -> None:
    """An invented format 0 that called places `rooms`, and one before it."""
    steps = {
        -1: lambda data: {**{k: v for k, v in data.items() if k != "cabins"}, "rooms": data["cabins"], "version": 0},
        0: lambda data: {**{k: v for k, v in data.items() if k != "rooms"}, "places": data["rooms"], "version": 1},
    }
    old = {"format": "linewright drawing", "version": -1, "cabins": {"p1": {"name": "Forepeak"}}}
    made = migrate(old, steps, current=1)
    opened = read_bytes(json.dumps(made).encode())
    assert opened.installation.get("places", "p1").name == "Forepeak"
