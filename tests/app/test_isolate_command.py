"""`isolate` and `battery-card` as a person and a script use them."""

from __future__ import annotations

import json
from pathlib import Path

from engine.builder import Builder
from engine.files.drawing import save

ROOT = Path(__file__).parents[2]
KETCH = ROOT / "samples" / "ketch" / "ketch.linewright"
LAUNCH = ROOT / "samples" / "launch" / "launch.linewright"


def test_a_person_reads_what_to_open_where_to_lock_and_how_to_prove(run) -> None:
    code, out, _err = run("isolate", KETCH, "t1")
    assert code == 0
    assert out.index("INV IN: open") < out.index("INVERTER: stop") < out.index("INVERTER DC: open")
    assert out.index("Prove the tester on") < out.index("At T1.ac_in:") < out.index("Prove the tester again")
    assert "Lock INVERTER DC" in out


def test_a_script_reads_the_same(run) -> None:
    told = json.loads(run("isolate", KETCH, "T1", "--format", "json")[1])
    assert told["designation"] == "T1"
    assert [(s["do"], s["designation"]) for s in told["steps"]][:3] == [
        ("switch", "Q11"),
        ("stop", "T1"),
        ("switch", "Q3"),
    ]
    assert told["remains"] == []


def test_what_cannot_be_made_dead_is_said_and_told_by_the_exit_code(run, own_folder: Path) -> None:
    b = Builder()
    b.add("battery_bank", "G1", unit_v=12)
    b.add("load", "E1", dc_v=12)
    b.run("W1", "G1.pos", "E1.in")
    save(b.installation, "boat.linewright")
    code, out, _err = run("isolate", "boat.linewright", "E1")
    assert code == 1
    assert "cannot be made dead" in out


def test_an_unknown_designation_is_one_line(run) -> None:
    code, out, err = run("isolate", LAUNCH, "Q99")
    assert (code, out) == (2, "")
    assert err.strip().count("\n") == 0
    assert "Q99" in err


def test_a_page_is_written_the_same_each_time(run, own_folder: Path) -> None:
    for name in ("one.pdf", "two.pdf"):
        assert run("isolate", KETCH, "T1", "-o", name)[0] == 0
    assert Path("one.pdf").read_bytes() == Path("two.pdf").read_bytes()


def test_the_card_of_a_battery_that_has_shut_itself_off(run, own_folder: Path) -> None:
    code, out, _err = run("battery-card", KETCH, "G1", "-o", "card.pdf")
    assert code == 0
    assert "card.pdf written" in out
    assert Path("card.pdf").read_bytes().startswith(b"%PDF")
    assert run("battery-card", KETCH, "Q3", "-o", "card.pdf")[0] == 2
    assert run("battery-card", LAUNCH, "-o", "card.pdf")[0] == 2  # its bank has no management that could
