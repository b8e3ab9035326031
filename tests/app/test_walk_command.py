"""`linewright walk` as a person and a script use it."""

from __future__ import annotations

import csv
import io
import json
from pathlib import Path

import pypdf

from engine.builder import Builder
from engine.edits import Put, apply
from engine.files.drawing import save
from engine.installation.surveying import Survey
from engine.survey.answers import answered, system_answered
from engine.survey.checklist import Walk

KETCH = Path(__file__).parents[2] / "samples" / "ketch" / "ketch.linewright"


def _boat(path: str = "boat.linewright", *, done: bool = False) -> Path:
    """A lamp behind a fuse, surveyed: all but the lamp seen, or all of it."""
    b = Builder(name="Sandling")
    b.add("battery_bank", "G1", place="Engine room", unit_v=12)
    b.add("fuse", "F1", place="Engine room", rating_a=60)
    b.add("load", "E1", place="Saloon", dc_v=12, label="Lamp")
    b.run("W1", "G1.pos", "F1.in", size="14 AWG")
    b.run("W2", "F1.out", "E1.in", size="14 AWG")
    made = b.installation
    survey = made.new_id("surveys")
    apply(made, Put("surveys", survey, Survey(date="2026-05-02")))
    walk = Walk(made.snapshot())
    lamp = next(i for i, r in made.items("equipment") if r.designation == "E1")
    points = [point for group in walk.groups for point in group.points if done or point.item != lamp]
    apply(made, answered(made.snapshot(), made.last_id, survey, points, seen="seen"))
    apply(made, system_answered(made.snapshot(), made.last_id, survey, walk.systems[0], energised="energised"))
    save(made, path)
    return Path(path)


def test_the_list_goes_from_place_to_place_with_boxes(run) -> None:
    code, out, _err = run("walk", _boat())
    assert code == 0
    assert out.index("Engine room\n---") < out.index("Saloon\n---") < out.index("Systems of voltage\n---")
    assert "[ ] E1 load (Lamp)" in out
    assert "60 A on the device itself" in out
    assert "Battery fault currents and AC on boats kill" in out
    assert all(len(text) <= 100 for text in out.splitlines())


def test_what_a_survey_leaves_open_is_code_1_and_nothing_left_code_0(run) -> None:
    for name in ("last", "2026-05-02"):
        code, out, _err = run("walk", _boat(), "--survey", name)
        assert code == 1
        assert "Survey 2026-05-02: 7 seen, 0 not seen, 0 not accessible, 1 open." in out
        assert "E1 load (Lamp)" in out
        assert "F1" not in out
    code, out, _err = run("walk", _boat(done=True), "--survey", "last")
    assert code == 0
    assert "Nothing is left open." in out


def test_bad_input_is_one_sentence_and_code_2(run) -> None:
    code, _out, err = run("walk", _boat(), "--survey", "gull")
    assert code == 2
    assert "no survey is called 'gull': 2026-05-02 (" in err
    assert len(err.strip().splitlines()) == 1
    code, _out, err = run("walk", KETCH, "--survey", "last")
    assert (code, err.strip()) == (2, "linewright: no survey is recorded in this drawing")
    assert run("walk", _boat(), "-o", "boat.linewright")[0] == 2
    assert run("walk", _boat(), "-o", "list.docx")[0] == 2
    assert run("walk", "missing.linewright")[0] == 2


def test_a_script_reads_all_of_it(run) -> None:
    code, out, _err = run("walk", _boat(), "--survey", "last", "--format", "json")
    told = json.loads(out)
    assert code == 1
    assert [(p["place"], p["designation"], p["seen"]) for p in told["points"]] == [("Saloon", "E1", "")]
    assert told["summary"] == {"seen": 7, "not_seen": 0, "not_accessible": 0, "open": 1}
    assert told["cautions"]
    rows = list(csv.DictReader(io.StringIO(run("walk", KETCH, "--format", "csv")[1])))
    assert len(rows) == 285 + 3  # systems of voltage
    assert {row["Place"] for row in rows} >= {"Battery locker", "Electrical locker", "Systems of voltage"}


def test_it_is_printed_to_take_along(run) -> None:
    code, out, _err = run("walk", KETCH, "-o", "walk.pdf")
    assert code == 0
    assert "walk.pdf written: 285 things to look at" in out
    text = "\n".join(page.extract_text() for page in pypdf.PdfReader("walk.pdf").pages)
    assert "Not accessible" in text
    assert "House bank main fuse" in text
    assert "Energised" in text
    assert "it does not certify" in text
    for ending in ("csv", "xlsx", "json"):
        assert run("walk", KETCH, "-o", f"walk.{ending}")[0] == 0
        assert Path(f"walk.{ending}").stat().st_size > 1000
