"""`switch` as a person and a script use it."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from engine.builder import Builder
from engine.files.drawing import save

ROOT = Path(__file__).parents[2]
KETCH = str(ROOT / "samples" / "ketch" / "ketch.linewright")
WORKBOAT = str(ROOT / "samples" / "workboat" / "workboat.linewright")


def test_order_is_told_by_markings_with_places_and_what_must_be_seen(run) -> None:
    code, out, err = run("switch", KETCH, "--from", "At anchor", "--to", "inverter bypassed")
    assert (code, err) == (0, "")
    lines = [line for line in out.splitlines() if line[:1].isdigit()]
    assert [line.split("  ")[0] for line in lines] == [
        "1. G10: plug in",
        "2. INV OUT: open",
        "3. INVERTER: switch off",
        "4. INVERTER DC: open",
        "5. INV IN: open",
        "6. SHORE MAIN: close",
        "7. BYPASS: close",
        "8. OLD CHARGER: close",
    ]
    assert "Inverter bypass box, Electrical locker" in out
    assert "see: its lamps say off; no current in INVERTER DC" in out


def test_order_for_a_script_has_ids_designations_and_markings(run) -> None:
    code, out, _err = run("switch", WORKBOAT, "--from", "At work", "--to", "Unattended", "--format", "json")
    assert code == 0
    told = json.loads(out)
    assert told["found"] is True
    assert told["not_decided"] is False
    generator = next(step for step in told["steps"] if step["designation"] == "Q11")
    assert generator["do"] == "switch"
    assert (generator["from"], generator["to"], generator["marking"]) == ("closed", "open", "GENERATOR")
    assert any("Unattended lists no source that runs" in text for text in told["supposed"])


def test_conditions_go_by_their_ids_too(run) -> None:
    _code, out, _err = run("switch", KETCH, "--from", "At anchor", "--to", "Alongside", "--format", "json")
    told = json.loads(out)
    again = run("switch", KETCH, "--from", told["from"], "--to", told["to"], "--format", "json")
    assert again == (0, out, "")


def test_loads_are_kept_fed_where_asked(run) -> None:
    code, out, _err = run("switch", KETCH, "--from", "At anchor", "--to", "Inverter bypassed", "--keep", "e32", "E26")
    assert code == 0
    assert "Fed all the time: E32" in out
    code, out, _err = run(
        "switch", KETCH, "--from", "Alongside", "--to", "Inverter bypassed", "--keep", "X42", "--budget", "400"
    )
    assert code == 1
    assert "INV OUT" in out or "Q12" in out


def test_nothing_to_do_is_said(run) -> None:
    code, out, _err = run("switch", KETCH, "--from", "Alongside", "--to", "Alongside")
    assert code == 0
    assert "Nothing is to be done" in out


@pytest.mark.parametrize(
    ("more", "words"),
    [
        (("--from", "Nowhere", "--to", "Alongside"), "there is no operating condition 'Nowhere'; there are: At anchor"),
        (("--from", "Alongside", "--to", "At anchor", "--keep", "Z1"), "nothing is called 'Z1' on this drawing"),
        (("--from", "Alongside"), "--to"),
        (("--from", "Alongside", "--to", "At anchor", "--budget", "0"), "'0' is not a whole number above 0"),
    ],
)
def test_what_is_not_there_is_told_in_one_line(run, more: tuple[str, ...], words: str) -> None:
    code, out, err = run("switch", KETCH, *more)
    assert (code, out) == (2, "")
    assert words in err
    assert len(err.strip().splitlines()) == 1


def test_drawing_without_conditions_and_an_empty_one(run, own_folder: Path) -> None:
    save(Builder().installation, "empty.linewright")
    code, out, _err = run("switch", "empty.linewright", "--from", "as drawn", "--to", "as drawn")
    assert code == 0
    assert "Nothing is to be done" in out
    code, _out, err = run("switch", "empty.linewright", "--from", "At anchor", "--to", "as drawn")
    assert code == 2
    assert "none is recorded" in err
