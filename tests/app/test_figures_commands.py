"""`flow`, `faults`, `energy`, `size` as a person and a script use them."""

from __future__ import annotations

import json
import math
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pytest

from app.figures.lines import amount, table, wrapped
from engine.builder import Builder
from engine.files.drawing import save

ROOT = Path(__file__).parents[2]
LAUNCH = ROOT / "samples" / "launch" / "launch.linewright"


@pytest.fixture
def boat(own_folder: Path) -> Callable[..., Path]:
    """A bank, a fuse and a lamp of 60 W at the end of 5 m of 14 AWG; what is said otherwise is so."""

    def made(name: str = "boat.linewright", *, conditions: bool = True, **run: object) -> Path:
        b = Builder(name="Sandling")
        b.place("Saloon", "accommodation", 30)
        b.add("battery_bank", "G1", unit_v=12, unit_ah=100, internal_resistance_ohm=0.01, short_circuit_a=1200)
        b.add("fuse", "F1", rating_a=10, rated_dc_v=32)
        b.add("load", "E1", dc_v=12, power_w=60, label="Saloon lamp")
        cable = {"insulation_c": 105, "bundle": 1, "places": ("Saloon",)}
        b.run("W1", "G1.pos", "F1.in", size="14 AWG", length_m=0.1, **cable)
        b.run("W2", "F1.out", "E1.in", **{"size": "14 AWG", "length_m": 5.0} | cable | run)
        if conditions:
            b.condition("At anchor")
            b.condition("Under way")
        save(b.installation, name)
        return Path(name)

    return made


# -- flow -----------------------------------------------------------------------------------------------------------
def test_flow_balances_and_repeats_itself(run, boat) -> None:
    code, out, _err = run("flow", boat(), "--condition", "at ANCHOR", "--format", "json")
    assert code == 0
    told = json.loads(out)
    for key in ("condition", "nodes", "runs", "sources_w", "loads_w", "losses_w", "converged"):
        assert key in told
    assert told["condition"] == "At anchor"
    assert told["converged"] is True
    assert abs(told["sources_w"] - told["loads_w"] - told["losses_w"]) < 1e-6
    lamp = next(run for run in told["runs"] if run["designation"] == "W2")
    assert set(lamp) >= {"designation", "amps", "drop_v", "drop_pct", "loss_w"}
    # 60 W of constant power through the loop: I = (E - sqrt(E² - 4 P R)) / 2 R, with R from the losses told
    resistance = told["losses_w"] / lamp["amps"] ** 2
    assert lamp["amps"] == pytest.approx((12 - math.sqrt(144 - 4 * 60 * resistance)) / (2 * resistance), rel=1e-6)
    assert lamp["drop_pct"] == pytest.approx(lamp["drop_v"] / 12 * 100)
    assert {n["at"]: n["volts"] for n in told["nodes"]}["E1.in +"] == pytest.approx(12 - lamp["drop_v"], abs=0.1)
    assert run("flow", boat(), "--condition", "At anchor", "--format", "json")[1] == out


def test_several_conditions_are_a_list_one_is_an_object(run, boat) -> None:
    told = json.loads(run("flow", boat(), "--format", "json")[1])
    assert [one["condition"] for one in told] == ["At anchor", "Under way"]
    alone = json.loads(run("flow", boat("bare.linewright", conditions=False), "--format", "json")[1])
    assert alone["condition"] == "as drawn"


def test_flow_in_words(run, boat) -> None:
    _code, out, _err = run("flow", boat(), "--condition", "Under way")
    assert "Under way" in out
    assert "At anchor" not in out
    assert "Saloon lamp" in out
    assert "60 W" in out
    assert "at their nominal volts." in " ".join(out.split())
    assert "does not certify" in out
    lowest = run("flow", boat(), "--condition", "Under way", "--charge", "lowest")[1]
    assert "at their lowest volts." in " ".join(lowest.split())


def test_a_missing_figure_stops_only_what_needs_it(run, boat) -> None:
    path = boat(length_m=None)
    told = json.loads(run("flow", path, "--condition", "At anchor", "--format", "json")[1])
    of = {run["designation"]: run for run in told["runs"]}
    assert of["W1"]["drop_v"] is not None
    assert of["W2"]["drop_v"] is None
    assert "W2.length_m" in of["W2"]["missing"]
    assert "Not recorded: " in (out := run("flow", path)[1])
    assert "W2.length_m" in out


def test_a_load_too_far_away_collapses_and_that_is_told(run, boat) -> None:
    code, out, _err = run("flow", boat(length_m=200.0, size="20 AWG"), "--condition", "At anchor")
    assert code == 1
    assert "its volts collapse" in out


# -- faults, energy -------------------------------------------------------------------------------------------------
def test_faults_name_their_parts(run, boat) -> None:
    code, out, _err = run("faults", boat())
    assert code == 0
    assert "1200 A, maker's figure" in out
    told = json.loads(run("faults", boat(), "--format", "json")[1])
    device = next(one for one in told["devices"] if one["designation"] == "F1")
    assert told["condition"] is None
    assert 0 < device["min_a"] < device["max_a"] < 1200
    assert device["parts"][0]["designation"] == "G1"


def test_faults_of_one_condition_never_exceed_those_of_all(run) -> None:
    every = json.loads(run("faults", LAUNCH, "--format", "json")[1])
    one = json.loads(run("faults", LAUNCH, "--condition", "unattended", "--format", "json")[1])
    assert one["condition"] == "Unattended"
    most = {(d["designation"], d["terminal"]): d["max_a"] for d in every["devices"]}
    assert one["devices"]
    for device in one["devices"]:
        above = most.get((device["designation"], device["terminal"]))
        assert above is None or device["max_a"] <= above * (1 + 1e-9)


def test_energy_in_words_and_as_json(run) -> None:
    code, out, _err = run("energy", LAUNCH, "--condition", "Unattended")
    assert code == 0
    assert "Bank G1 (Battery)" in out
    assert "of that used" in out
    told = json.loads(run("energy", LAUNCH, "--condition", "Unattended", "--format", "json")[1])
    bank = told["banks"][0]
    assert bank["load_ah"] == pytest.approx(bank["load_wh"] / bank["nominal_v"], rel=1e-3)
    assert len(bank["day"]) == 48


# -- size -----------------------------------------------------------------------------------------------------------
def test_size_names_what_decides(run, boat) -> None:
    code, out, _err = run("size", boat(length_m=15.0))
    assert code == 0
    row = next(line for line in out.splitlines() if line.startswith("W2"))
    assert "too small" in row
    assert "voltage drop" in row
    _code, whole, _err = run("size", boat(length_m=15.0), "w2")
    assert "W2: conductor" in whole
    assert "ampacity:" in whole
    assert "W1" not in whole.split("ampacity")[0]
    told = json.loads(run("size", boat(length_m=15.0), "W2", "--format", "json")[1])
    assert told["suffices"] is False
    assert told["decided_by"] == "voltage drop"
    assert dict(map(tuple, told["fields"]))["size"] == told["needs"]


def test_several_of_a_name_are_all_told(run, boat) -> None:
    b = Builder(name="Sandling")
    b.add("battery_bank", "G1", unit_v=12)
    for name in ("E1", "E2"):
        b.add("load", name, dc_v=12, power_w=60)
        b.run("W7", "G1.pos", f"{name}.in", size="14 AWG", length_m=3)
    save(b.installation, "twice.linewright")
    assert len(json.loads(run("size", "twice.linewright", "W7", "--format", "json")[1])) == 2


# -- what cannot be done --------------------------------------------------------------------------------------------
@pytest.mark.parametrize(
    ("arguments", "told"),
    [
        (("flow", "--condition", "Ashore"), "no operating condition 'Ashore'; there are: At anchor, Under way"),
        (("faults", "--condition", "Ashore"), "no operating condition 'Ashore'; there are: At anchor, Under way"),
        (("energy", "--condition", "Ashore"), "no operating condition 'Ashore'; there are: At anchor, Under way"),
        (("flow", "--charge", "half"), "expected one of full, nominal, lowest, found 'half'"),
        (("energy", "--format", "xml"), "expected one of text, json, found 'xml'"),
    ],
)
def test_what_is_not_there_is_one_sentence(run, boat, arguments: tuple[str, ...], told: str) -> None:
    command, *rest = arguments
    code, out, err = run(command, boat(), *rest)
    assert code == 2
    assert not out
    assert told in err
    assert err.count("\n") == 1


def test_a_name_nothing_has(run, boat) -> None:
    code, _out, err = run("size", boat(), "W77")
    assert code == 2
    assert "nothing is called 'W77'" in err


@pytest.mark.parametrize("command", ["flow", "faults", "energy", "size"])
def test_an_empty_drawing_is_told_as_such(run, own_folder, command: str) -> None:
    save(Builder(name="Sandling").installation, "empty.linewright")
    code, out, _err = run(command, "empty.linewright")
    assert code == 0
    assert "does not certify" in out
    assert json.loads(run(command, "empty.linewright", "--format", "json")[1]) is not None


@pytest.mark.parametrize("width", [80, 120])
@pytest.mark.parametrize("command", ["flow", "faults", "energy", "size"])
def test_no_line_is_wider_than_the_terminal(run, monkeypatch, command: str, width: int) -> None:
    monkeypatch.setattr("app.text_report.width_of", lambda _stream: width)
    out = run(command, LAUNCH)[1]
    assert max(len(line) for line in out.splitlines()) <= width


def test_flow_loads_nothing_of_the_window_or_of_paper() -> None:
    code = (
        "import sys; from app.cli import main; "
        f"assert main(['flow', {str(LAUNCH)!r}, '--condition', 'Unattended']) == 0; "
        "bad = [m for m in ('PySide6', 'reportlab', 'shapely', 'scipy') if m in sys.modules]; "
        "print(bad, file=sys.stderr)"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, cwd=ROOT, check=True)
    assert done.stderr.strip() == "[]"


@pytest.mark.parametrize(
    ("arguments", "begins"),
    [
        (("flow", LAUNCH, "--condition", "Unattended"), "Sources give 43.2 W"),
        (("size", ROOT / "samples" / "ketch" / "ketch.linewright", "W18"), "W18: conductor"),
    ],
)
def test_the_readme_shows_what_the_program_says(run, arguments: tuple[object, ...], begins: str) -> None:
    readme = (ROOT / "README.md").read_text(encoding="utf-8")
    shown = begins + readme.split(f"```\n{begins}")[1].split("\n```")[0]
    assert shown in run(*arguments)[1]


# -- tables ---------------------------------------------------------------------------------------------------------
def test_figures_keep_their_unit_beside_them() -> None:
    assert wrapped("about 12.5 A of it", 11).split("\n") == ["about", "12.5 A of", "it"]
    assert amount(2e-9, "A") == "0 A"
    assert amount(None, "A") == "–"
    assert amount(3.14159, "A", True) == "≥ 3.14 A"
    assert amount(0.0, "A", True) == "–"


def test_words_wrap_and_columns_without_anything_go() -> None:
    made = table(("a", "none", "what"), [("1 A", "", "one two three four")], 15, "rlw")
    assert made.split("\n") == ["  a  what", "1 A  one two", "     three four"]
