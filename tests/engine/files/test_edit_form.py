"""Edits and drawings as plain values: what comes back is what went in."""

from __future__ import annotations

from pathlib import Path

import msgspec
import pytest

from engine.edits import Put, SetFields, Several, apply, done, touched
from engine.files.drawing import load, read_bytes
from engine.files.edit_form import edit_of, plain_edit, plain_snapshot, snapshot_of
from engine.installation import Place

SAMPLES = sorted((Path(__file__).parents[3] / "samples").glob("*/*.linewright"))


@pytest.mark.parametrize("path", SAMPLES, ids=lambda p: p.stem)
def test_a_whole_drawing_comes_back(path: Path) -> None:
    snapshot = load(path).installation.snapshot()
    sent = msgspec.msgpack.encode(plain_snapshot(snapshot))
    assert snapshot_of(msgspec.msgpack.decode(sent)) == snapshot


@pytest.mark.parametrize("path", SAMPLES, ids=lambda p: p.stem)
def test_an_edit_does_the_same_elsewhere(path: Path) -> None:
    here, there = load(path).installation, load(path).installation
    item = here.ids("equipment")[0]
    edit = Several(
        (
            Put("places", "p9001", Place(name="lazarette")),
            SetFields("equipment", item, (("place", "p9001"), ("label", "moved"))),
        ),
        "Move it aft",
    )
    made = done(here, edit).edit
    apply(there, edit_of(msgspec.msgpack.decode(msgspec.msgpack.encode(plain_edit(made)))))
    assert there.snapshot() == here.snapshot()
    assert touched(made) == (("places", "p9001"), ("equipment", item))
    assert edit_of(plain_edit(made)).words == "Move it aft"


def test_a_kind_that_is_not_known_comes_back_too() -> None:
    data = b"""{"format": "linewright drawing", "version": 1, "last_id": 1,
    "equipment": {"e1": {"kind": "flux_tamer", "designation": "T9", "strange": [1, 2]}}}"""
    snapshot = read_bytes(data, "x").installation.snapshot()
    assert snapshot_of(plain_snapshot(snapshot)) == snapshot


@pytest.mark.parametrize(
    "values",
    [
        {},
        {"words": "x"},
        {"words": "x", "puts": [["places"]]},
        {"words": "x", "puts": [["nowhere", "p1", {}]]},
        {"words": "x", "puts": [["equipment", "e1", {"kind": "no_such"}]]},
        {"words": "x", "puts": [["places", "p1", {"name": 3}]]},
    ],
)
def test_what_is_no_edit_is_refused(values: dict[str, object]) -> None:
    with pytest.raises(ValueError):  # noqa: PT011  # any sentence: it is read by programs
        edit_of(values)


@pytest.mark.parametrize("number", ["18446744073709551616", "-9223372036854775809", "1" + "0" * 60, "0.1"])
def test_numbers_of_any_length_in_what_is_not_known_arrive(number: str) -> None:
    data = b"""{"format": "linewright drawing", "version": 1, "last_id": 1, "places": {"p1": {"name": "lazarette",
    "": 3, "later": {"deep": [%s]}}}}""" % number.encode()
    snapshot = read_bytes(data, "x").installation.snapshot()
    sent = msgspec.msgpack.encode(plain_snapshot(snapshot))
    assert snapshot_of(msgspec.msgpack.decode(sent)) == snapshot
    edit = Several((Put("places", "p1", snapshot.places["p1"]),))
    for codec in (msgspec.msgpack, msgspec.json):
        assert edit_of(codec.decode(codec.encode(plain_edit(edit)))) == edit


@pytest.mark.parametrize("kept", [5, ["x"], [["a"]], "x"])
def test_what_is_not_known_and_no_list_of_pairs_is_refused(kept: object) -> None:
    with pytest.raises(ValueError, match="pairs"):
        edit_of({"words": "x", "puts": [["places", "p1", {"": kept}]]})
