"""A template on its sheets: nothing lies over anything, every run is drawn, and it stands where it was wanted."""

from __future__ import annotations

import re
from itertools import combinations
from pathlib import Path

import pytest

from app.drawing.area import drawing_area
from app.drawing.changes import Made, draw_template
from app.drawing.changes.room import area_of
from app.drawing.changes.scenes import scene_of
from app.drawing.placed import set_scene
from app.drawing.routes import find_missing
from engine.books import load
from engine.builder import Builder
from engine.edits import Put, apply
from engine.files.drawing import dump
from engine.files.drawing import load as opened
from engine.installation import Installation, Sheet, Snapshot
from engine.templates import fit, templates

NAMES = tuple(templates())
KETCH = Path(__file__).parents[3] / "samples" / "ketch" / "ketch.linewright"


def draw(
    installation: Installation,
    name: str,
    sheet: str = "",
    near: tuple[int, int] | None = None,
    **given: str,
) -> Made:
    """Place a template; its edit is done."""
    snapshot = installation.snapshot()
    book = load(snapshot.settings.book)
    made = draw_template(snapshot, fit(snapshot, installation.last_id, templates()[name], given, book), sheet, near)
    apply(installation, made.edit)
    return made


def held(installation: Installation) -> bytes:
    """Its file without the last id: an id that was taken is never given again."""
    return re.sub(rb'"last_id": \d+', b"", dump(installation), count=1)


def overlaps(snapshot: Snapshot, items: tuple[str, ...]) -> list[tuple[str, str]]:
    """Symbols that lie over others, at least one of them of `items`."""
    found = []
    for sheet in snapshot.sheets:
        for a, b in combinations(scene_of(snapshot, sheet).on(sheet), 2):
            if {a.equipment, b.equipment} & set(items) and a.box.grown(-0.1).meets(b.box.grown(-0.1)):
                found.append((snapshot.name(a.equipment), snapshot.name(b.equipment)))
    return found


def undrawn(snapshot: Snapshot, runs: set[str]) -> set[str]:
    """Runs that no sheet shows, as a line or as arrows."""
    scene = set_scene(snapshot)
    find_missing(scene, {sheet: area_of(snapshot, sheet) for sheet in snapshot.sheets})  # as every picture does
    return runs - {part.run for sheet in snapshot.sheets for part in scene.parts_on(sheet)}


@pytest.mark.parametrize("name", NAMES)
def test_in_an_empty_drawing_it_makes_the_sheets_it_needs(name: str) -> None:
    installation = Builder("trade-na").installation
    made = draw(installation, name)
    snapshot = installation.snapshot()
    assert {p.equipment for p in snapshot.placements.values()} == set(made.items) == set(snapshot.equipment)
    assert overlaps(snapshot, made.items) == []
    assert undrawn(snapshot, set(snapshot.runs)) == set()
    for sheet, record in snapshot.sheets.items():
        area = drawing_area(record.size)
        for piece in scene_of(snapshot, sheet).on(sheet):
            assert area.left <= piece.box.left
            assert piece.box.right <= area.left + area.width
            assert area.top <= piece.box.top
            assert piece.box.bottom <= area.top + area.height


@pytest.mark.parametrize("name", NAMES)
def test_in_a_full_drawing_it_lies_over_nothing_and_undo_gives_the_file_back(name: str) -> None:
    installation = opened(KETCH).installation
    before, runs = held(installation), set(installation.runs)
    snapshot = installation.snapshot()
    fitted = fit(snapshot, installation.last_id, templates()[name], {}, load("trade-na"))
    made = draw_template(snapshot, fitted, next(iter(snapshot.sheets)))
    back = apply(installation, made.edit)
    now = installation.snapshot()
    assert overlaps(now, made.items) == []
    assert undrawn(now, set(now.runs) - runs) == set()
    apply(installation, back)
    assert held(installation) == before


def test_it_stands_where_it_was_clicked() -> None:
    middles = []
    for near in ((30, 30), (60, 30)):
        installation = Builder("trade-na").installation
        apply(installation, Put("sheets", installation.new_id("sheets"), Sheet()))
        (sheet,) = installation.snapshot().sheets
        draw(installation, "charging-relay", sheet, near)
        snapshot = installation.snapshot()
        assert list(snapshot.sheets) == [sheet]
        xs = [p.x for p in snapshot.placements.values()]
        middles.append(sum(xs) / len(xs))
    assert middles[1] - middles[0] == pytest.approx(30, abs=1)


def test_where_its_sheet_has_no_room_it_goes_to_another() -> None:
    installation = Builder("trade-na").installation
    item = installation.new_id("sheets")
    apply(installation, Put("sheets", item, Sheet(size="A4")))
    for _n in range(4):
        made = draw(installation, "bypass", item)
        assert overlaps(installation.snapshot(), made.items) == []
    assert len(installation.snapshot().sheets) > 1


def test_what_it_joins_on_the_same_sheet_is_led_to_with_a_line() -> None:
    installation = Builder("trade-na").installation
    draw(installation, "solar")
    snapshot = installation.snapshot()
    bus = next(i for i, r in snapshot.equipment.items() if r.KIND == "bus_bar")
    (sheet,) = snapshot.sheets
    made = draw(installation, "remote-panel", sheet, bus=snapshot.equipment[bus].designation)
    now = installation.snapshot()
    (lead,) = (
        i for i, r in now.runs.items() if bus in (r.from_end.equipment, r.to_end.equipment) and i not in snapshot.runs
    )
    assert len(now.sheets) == 1
    kinds = {part.kind for part in scene_of(now, sheet).parts_on(sheet) if part.run == lead}
    assert kinds == {"whole"}
    assert overlaps(now, made.items) == []
