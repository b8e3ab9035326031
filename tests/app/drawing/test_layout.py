"""From a list to sheets: what stands where, nothing on anything else, everything shown, the same every time."""

from __future__ import annotations

import itertools
import os
import re
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pytest

from app.drawing.faults import faults, scene_faults, score
from app.drawing.frame import SIZES
from app.drawing.layout import lay_out
from app.drawing.placed import paper, set_scene
from app.drawing.sheets import pictures
from engine.builder import Builder
from engine.edits import Put, apply
from engine.files.drawing import load
from engine.installation import Installation, Snapshot
from engine.picture import Picture, Text

ROOT = Path(__file__).parents[3]
SAMPLES = ("launch", "ketch", "workboat")
LaidOut = Callable[..., Snapshot]


def sample(name: str) -> Snapshot:
    installation = load(ROOT / "samples" / name / f"{name}.linewright").installation
    apply(installation, lay_out(installation.snapshot()))
    return installation.snapshot()


def clean(snapshot: Snapshot) -> tuple[Picture, ...]:
    made = pictures(snapshot)
    assert scene_faults(snapshot) == []
    assert [fault for picture in made for fault in faults(picture)] == []
    assert score(snapshot).unwritten == 0
    return made


@pytest.mark.parametrize("name", SAMPLES)
def test_a_sample_is_drawn_without_a_fault(name: str) -> None:
    clean(sample(name))


@pytest.mark.parametrize("size", ["A3", "A4", "Letter", "Tabloid"])
@pytest.mark.parametrize("boat", ["small", "direct", "alternating"])
def test_a_boat_is_drawn_without_a_fault_on_every_paper(laid_out: LaidOut, boat: str, size: str) -> None:
    snapshot = laid_out(boat, sheet_size=size)
    made = clean(snapshot)
    if size in ("A3", "Tabloid"):
        assert {(p.width, p.height) for p in made} == {SIZES[size]}


def test_a_small_boat_has_one_sheet(laid_out: LaidOut) -> None:
    assert len(laid_out("small").sheets) == 1


def test_dc_and_ac_never_share_a_sheet(laid_out: LaidOut) -> None:
    snapshot = laid_out("alternating")
    scene = set_scene(snapshot)
    for item, _sheet in scene.sheets:
        functions = {snapshot.runs[p.run].function for p in scene.parts_on(item)}
        assert not ("ac" in functions and functions & {"dc pair", "dc positive", "dc negative"})
    titles = [sheet.title for _item, sheet in scene.sheets]
    assert titles[0].startswith("DC")
    assert "AC sources and transfer" in titles


def test_a_converter_stands_on_both_sheets_each_terminal_once(laid_out: LaidOut) -> None:
    snapshot = laid_out("alternating")
    scene = set_scene(snapshot)
    t1 = next(i for i, e in snapshot.equipment.items() if e.designation == "T1")
    shown = sorted(name for p in scene.of[t1] for name in p.placement.terminals)
    assert len(scene.of[t1]) == 2
    assert shown == sorted(t.name for t in snapshot.equipment[t1].terminals())


def test_sources_stand_below_and_loads_above_their_bus(laid_out: LaidOut) -> None:
    snapshot = laid_out("alternating")
    scene = set_scene(snapshot)
    at = {snapshot.name(p.equipment): p for ps in scene.of.values() for p in ps[:1]}
    assert at["G1"].placement.y > at["F1"].placement.y > at["Q1"].placement.y > at["WC1"].placement.y
    assert at["WC2"].placement.y > at["G1"].placement.y
    assert at["XE1"].placement.y > at["WC2"].placement.y
    assert at["WC1"].placement.y > at["F3"].placement.y > at["T1"].placement.y
    assert at["WC3"].placement.y > at["Q20"].placement.y > at["E1"].placement.y
    assert at["X1"].placement.y > at["Q51"].placement.y > at["WA1"].placement.y
    panel = [at[f"Q{20 + n}"].placement for n in range(6)]
    assert len({p.y for p in panel}) == 1, "devices on one bus stand at one height"
    gaps = {b.x - a.x for a, b in itertools.pairwise(panel)}
    assert len(gaps) == 1, "evenly spaced"


def test_the_way_round_the_inverter_is_a_line_and_the_interlock_a_dashed_link(laid_out: LaidOut) -> None:
    snapshot = laid_out("alternating")
    scene = set_scene(snapshot)
    bypass = next(i for i, r in snapshot.runs.items() if r.designation == "WA11")
    assert [p.kind for p in scene.parts if p.run == bypass] == ["whole"]
    number = next(n for n, (_i, s) in enumerate(scene.sheets) if s.title == "AC sources and transfer")
    dashed = [p for p in pictures(snapshot)[number].primitives if getattr(p, "dash", "") == "dashed"]
    assert dashed


def test_a_bus_with_more_branches_than_fit_goes_on(
    laid_out: LaidOut, builders: dict[str, Callable[..., Builder]]
) -> None:
    snapshot = laid_out(builders["direct"](24))
    scene = set_scene(snapshot)
    panel = next(i for i, e in snapshot.equipment.items() if e.designation == "WC3")
    bars = scene.of[panel]
    assert len(bars) > 1
    assert [scene.number[b.placement.sheet] for b in bars] == sorted(scene.number[b.placement.sheet] for b in bars)
    clean(snapshot)


@pytest.mark.parametrize("boat", ["direct", "alternating"])
def test_every_reference_names_the_sheet_and_zone_it_leads_to(laid_out: LaidOut, boat: str) -> None:
    snapshot = laid_out(boat)
    made = pictures(snapshot)
    scene = set_scene(snapshot)
    anchors = {name: (n, x, y) for n, picture in enumerate(made) for name, x, y in picture.anchors}
    seen = 0
    for picture in made:
        for text in picture.primitives:
            found = isinstance(text, Text) and text.link and re.search(r"sheet (\d+) / ([A-Z]\d)", text.text)
            if not found:
                continue
            assert isinstance(text, Text)
            seen += 1
            sheet, x, y = anchors[text.link]
            assert int(found[1]) == sheet + 1
            # the far end begins within a step or two of its own arrow's line
            run, _colon, kind = text.link.rpartition(":")
            frame = paper(scene.sheets[sheet][1].size)
            if run == "piece":  # a bus that goes on: the near end of its next part
                ends = [(frame.border.left + u * 2.5, frame.border.top + v * 2.5) for u, v in scene.pieces[kind].ends()]
                assert found[2] in {frame.zone(*end) for end in ends}
                continue
            part = next(p for p in scene.parts if p.run == run and p.kind == kind)
            start = (frame.border.left + part.points[0][0] * 2.5, frame.border.top + part.points[0][1] * 2.5)
            assert found[2] == frame.zone(*start)
            assert abs(x - start[0]) + abs(y - start[1]) < 120
    assert seen >= 2


def test_two_layouts_are_the_same_whatever_the_hash_seed() -> None:
    told = []
    for seed in ("0", "1", "77"):
        done = subprocess.run(  # its own interpreter, our own file
            [sys.executable, "-c", _PROGRAM, str(ROOT / "samples/workboat/workboat.linewright")],
            env={**os.environ, "PYTHONHASHSEED": seed, "PYTHONPATH": str(ROOT)},
            cwd=ROOT,
            capture_output=True,
            text=True,
            check=True,
        )
        told.append(done.stdout)
    assert len(told[0]) == 65
    assert len(set(told)) == 1


_PROGRAM = """
import hashlib, sys
from app.drawing.layout import lay_out
from app.drawing.sheets import pictures
from engine.edits import Put, apply
from engine.files.drawing import load
installation = load(sys.argv[1]).installation
apply(installation, lay_out(installation.snapshot()))
text = "".join(p.dump() for p in pictures(installation.snapshot()))
print(hashlib.sha256(text.encode()).hexdigest())
"""


def test_laying_out_again_draws_the_same_and_uses_no_id_twice(laid_out: LaidOut) -> None:
    first = laid_out("small")
    again = Installation()
    for table in ("vessel", "settings", "equipment", "runs", "sheets", "placements", "routes"):
        records = first.lone if table in first.lone else first.tables[table]
        for item, record in [(table, records[table])] if table in first.lone else records.items():
            apply(again, Put(table, item, record))
    apply(again, lay_out(first, last_id=500))
    second = again.snapshot()
    assert not set(second.placements) & set(first.placements)
    assert min(int(item[1:]) for item in second.placements) > 500
    assert [p.dump() for p in pictures(second)] == [p.dump() for p in pictures(first)]


def test_a_drawing_of_nothing_has_no_sheets() -> None:
    b = Builder()
    apply(b.installation, lay_out(b.installation.snapshot()))
    assert not b.installation.snapshot().sheets
    assert pictures(b.installation.snapshot()) == ()


def test_check_loads_neither_shapely_nor_fonts() -> None:
    program = "import sys, engine.check; print([m for m in ('shapely', 'fontTools') if m in sys.modules])"
    done = subprocess.run([sys.executable, "-c", program], cwd=ROOT, capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "[]"
