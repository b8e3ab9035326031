"""`linewright missing` and `check --since` as a person and a script use them."""

from __future__ import annotations

import csv
import io
import json
import subprocess
import sys
from pathlib import Path

import pypdf
import pytest

from engine.builder import Builder
from engine.files.drawing import save

ROOT = Path(__file__).parents[2]
LAUNCH = ROOT / "samples" / "launch" / "launch.linewright"


def boat(path: str = "boat.linewright", *, fuse_a: float | None = 60, size: str = "14 AWG", more: bool = False) -> Path:
    """A lamp behind a fuse, in two places."""
    b = Builder(name="Sandling")
    cable = {"insulation_c": 105, "bundle": 1}
    b.place("Engine room", "diesel machinery", 50)
    b.place("Saloon", "accommodation", 30)
    b.add("battery_bank", "G1", place="Engine room", unit_v=12, unit_ah=100, short_circuit_a=1200)
    b.add("fuse", "F1", place="Saloon", rating_a=fuse_a, rated_dc_v=32, label="Lamp")
    b.add("load", "E1", place="Saloon", dc_v=12, power_w=60)
    b.run("W1", "G1.pos", "F1.in", size="14 AWG", length_m=0.1, places=("Engine room",), **cable)
    b.run("W2", "F1.out", "E1.in", size=size, length_m=3, places=("Saloon",), **cable)
    if more:
        b.add("load", "E2", place="Saloon", dc_v=12, power_w=60)
        b.run("W3", "G1.pos", "E2.in", size="14 AWG", length_m=3, places=("Saloon",), **cable)
    save(b.installation, path)
    return Path(path)


# -- missing --------------------------------------------------------------------------------------------------------
def test_the_list_goes_from_place_to_place_with_a_box_to_tick(run) -> None:
    code, out, _err = run("missing", boat(fuse_a=None, size=""))
    assert code == 1
    assert out.index("Engine room\n---") < out.index("Saloon\n---")
    lines = out.splitlines()
    (row,) = (n for n, text in enumerate(lines) if "rated current of the link" in text)
    assert lines[row].startswith("[ ]  F1 fuse (Lamp)")
    assert lines[row].rstrip().endswith(", A")
    assert lines[row + 1].startswith("     for danger: ")
    assert "conductor size, AWG or mm²" in out
    assert out.index("Saloon\n---") < out.index("F1 fuse") < out.index("Battery fault currents and AC on boats kill")
    assert all(len(text) <= 100 for text in lines)


def test_nothing_missing_is_said_and_is_code_0(run) -> None:
    code, out, _err = run("missing", LAUNCH, "--word", "warning")
    assert code == 0
    assert "Nothing is missing" in out


def test_bad_input_is_code_2_and_one_sentence(run, own_folder) -> None:
    (own_folder / "torn.linewright").write_text("{")
    code, out, err = run("missing", "torn.linewright", boat())
    assert code == 2
    assert "torn.linewright" in err
    assert "Sandling" in out  # the other one is listed all the same
    assert run("missing", "nowhere.linewright")[0] == 2
    code, _out, err = run("missing", boat(), boat("two.linewright"), "-o", "list.pdf")
    assert code == 2
    assert "2 are named" in err
    assert run("missing", boat(), "-o", "list.odt")[0] == 2
    assert run("missing", boat(), "--word", "mild")[0] == 2


def test_json_has_every_fact_in_walking_order(run) -> None:
    code, out, _err = run("missing", boat(fuse_a=None), "--format", "json")
    assert code == 1
    told = json.loads(out)
    assert told["book"] == "trade-na"
    fact = next(f for f in told["facts"] if f["field"] == "F1.rating_a")
    assert (fact["designation"], fact["place"], fact["unit"]) == ("F1", "Saloon", "A")
    words = [u["word"] for u in fact["unlocks"]]
    assert words == sorted(words, key=["danger", "warning", "caution", "notice"].index)
    places = [f["place"] for f in told["facts"] if f["place"]]
    assert places == sorted(places)  # of these two the first recorded comes first
    assert told["summary"]["facts"] == len(told["facts"])
    code, out, _err = run("missing", boat(), boat("two.linewright"), "--format", "json")
    assert [each["file"] for each in json.loads(out)] == ["boat.linewright", "two.linewright"]


def test_csv_leaves_a_column_to_write_in(run) -> None:
    _code, out, _err = run("missing", boat(fuse_a=None), "--format", "csv")
    rows = list(csv.DictReader(io.StringIO(out)))
    (row,) = (r for r in rows if r["Field"] == "F1.rating_a")
    assert (row["Place"], row["Designation"], row["In"], row["As read aboard"]) == ("Saloon", "F1", "A", "")


@pytest.mark.parametrize("ending", ["pdf", "xlsx", "csv", "json"])
def test_the_list_is_written_to_take_along(run, ending: str) -> None:
    code, out, _err = run("missing", boat(fuse_a=None), "-o", f"list.{ending}")
    assert code == 1
    assert "facts are not recorded" in out
    written = Path(f"list.{ending}").read_bytes()
    if ending == "pdf":
        read = "\n".join(page.extract_text() for page in pypdf.PdfReader("list.pdf").pages)
        assert read.index("Engine room") < read.index("Saloon")
        assert "________" in read
        assert "As read aboard" in read
        assert "Isolate and prove" in read
    assert len(written) > 200


@pytest.mark.long
def test_the_list_loads_no_window_and_no_page() -> None:
    code = (
        "import sys; from app import cli; cli.main(['missing', sys.argv[1], '--word', 'danger']);"
        "heavy = [m for m in ('PySide6', 'reportlab', 'scipy', 'shapely', 'fontTools') if m in sys.modules];"
        "sys.exit(', '.join(heavy) if heavy else 0)"
    )
    done = subprocess.run([sys.executable, "-c", code, str(LAUNCH)], cwd=ROOT, capture_output=True, text=True)
    assert done.returncode == 0, done.stderr


# -- since ----------------------------------------------------------------------------------------------------------
def test_since_has_three_sections_and_fails_on_what_is_new(run) -> None:
    code, out, _err = run("check", "--since", boat("old.linewright"), boat(fuse_a=15, more=True))
    assert code == 1
    new, kept, gone = out.index("NEW\n---"), out.index("AS BEFORE\n---"), out.index("GONE\n---")
    assert new < out.index("no-protection  W3") < kept < gone
    assert gone < out.index("rating-above-ampacity  W2")
    assert "To put right" in out[new:kept]
    assert "It is not found any more." in out[gone:]


def test_what_was_there_before_does_not_fail(run) -> None:
    assert run("check", boat())[0] == 1
    code, out, _err = run("check", "--since", boat("old.linewright"), boat(), "--fail-on", "notice")
    assert code == 0
    assert "NEW\n---\nNothing." in out
    assert "rating-above-ampacity  W2, F1" in out


def test_a_changed_figure_is_told_where_it_stands_as_before(run) -> None:
    code, out, _err = run("check", "--since", boat("old.linewright"), boat(fuse_a=80))
    assert "60 A, now 80 A" in out[out.index("AS BEFORE") : out.index("GONE")]
    assert "changed)" in out
    assert code == 0


def test_what_can_newly_not_be_judged_counts_and_is_not_put_right(run) -> None:
    old, new = boat("old.linewright"), boat(fuse_a=None)
    code, out, _err = run("check", "--since", old, new)
    assert code == 1
    assert "It cannot be judged now: it is not known to be put right." in out
    assert run("check", "--since", old, new, "--allow-unknown")[0] == 0


def test_since_as_json(run) -> None:
    _code, out, _err = run("check", "--since", boat("old.linewright"), boat(fuse_a=15, more=True), "--format", "json")
    told = json.loads(out)
    since = told["since"]
    assert since["file"] == "old.linewright"
    assert "no-protection" in {f["rule"] for f in since["new"]}
    assert "rating-above-ampacity" in {f["rule"] for f in since["gone"]}
    assert {"unchanged", "not_judged"} <= since.keys()
    assert len(since["new"]) + len(since["unchanged"]) == len(told["findings"])


def test_since_says_what_it_cannot_do(run, own_folder) -> None:
    old, new = boat("old.linewright"), boat()
    code, _out, err = run("check", "--since", old, new, boat("two.linewright"))
    assert (code, "2 are named" in err) == (2, True)
    code, _out, err = run("check", "--since", old, new, "--format", "sarif")
    assert (code, "sarif" in err) == (2, True)
    code, _out, err = run("check", "--since", "gone.linewright", new)
    assert (code, "gone.linewright" in err) == (2, True)
    for other in (("--fix-list",), ("--why", "F1")):
        code, _out, err = run("check", "--since", old, new, *other)
        assert (code, other[0] in err) == (2, True)
    assert "--since" in run("check", "--help")[1]
