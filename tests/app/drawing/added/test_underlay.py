"""Where the points of a picture under a sheet lie, and which file it is."""

from __future__ import annotations

import math
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from app.drawing.added.underlay import corners, fitted, path_from, path_of, pinned, scaled, to_picture, to_sheet, turned
from app.drawing.changes import add_sheet
from app.drawing.changes.underlaying import lay_under, rebased, set_under, take_away
from engine.edits import EditError, apply
from engine.files.drawing import dump, load
from engine.installation import Installation, Underlay
from engine.picture import Box

UNDER = Underlay(file="photo.jpg", left_mm=10, top_mm=20, mm_per_unit=0.1, turned_deg=30)
coordinates = st.floats(-400, 400)
points = st.tuples(coordinates, coordinates)


@settings(max_examples=25)
@given(points, st.floats(-180, 180), st.floats(0.001, 10))
def test_a_point_comes_back_to_itself(at: tuple[float, float], turn: float, k: float) -> None:
    under = Underlay(file="a", left_mm=3, top_mm=-7, mm_per_unit=k, turned_deg=turn)
    assert to_picture(under, *to_sheet(under, *at)) == pytest.approx(at, abs=1e-6)


@settings(max_examples=25)
@given(points, points, points, points)
def test_two_points_come_to_lie_where_they_belong(
    a: tuple[float, float], b: tuple[float, float], c: tuple[float, float], d: tuple[float, float]
) -> None:
    if math.dist(a, b) < 1 or math.dist(c, d) < 1:
        return
    one, other = to_picture(UNDER, *a), to_picture(UNDER, *b)
    made = pinned(UNDER, (a, b), (c, d))
    assert to_sheet(made, *one) == pytest.approx(c, abs=0.01)
    assert to_sheet(made, *other) == pytest.approx(d, abs=0.01)


def test_scaled_by_a_distance_the_first_point_stays() -> None:
    a, b = (100.0, 100.0), (180.0, 160.0)  # 100 mm apart
    one, other = to_picture(UNDER, *a), to_picture(UNDER, *b)
    made = scaled(UNDER, a, b, 64.0)
    assert made.mm_per_unit == pytest.approx(0.064)
    assert made.turned_deg == pytest.approx(30)
    assert to_sheet(made, *one) == pytest.approx(a, abs=1e-3)
    assert math.dist(to_sheet(made, *one), to_sheet(made, *other)) == pytest.approx(64.0, abs=1e-3)


def test_turned_about_its_middle_and_fitted_into_a_box() -> None:
    box = Box(30, 10, 230, 110)
    made = fitted(UNDER, 4000, 1000, box)
    assert corners(made, 4000, 1000)[0] == pytest.approx((30, 35), abs=1e-3)
    assert corners(made, 4000, 1000)[2] == pytest.approx((230, 85), abs=1e-3)
    upright = turned(made, 4000, 1000, 1)
    assert upright.turned_deg == 90
    xs = [x for x, _y in corners(upright, 4000, 1000)]
    assert (min(xs), max(xs)) == pytest.approx((105, 155), abs=1e-3)
    back = turned(turned(turned(upright, 4000, 1000, 1), 4000, 1000, 1), 4000, 1000, 1)
    assert back.turned_deg == 0
    assert corners(back, 4000, 1000)[0] == pytest.approx((30, 35), abs=1e-2)


def test_a_file_near_the_drawing_is_named_from_there() -> None:
    folder = Path("/boats/gull")
    assert path_from(Path("/boats/gull/photo.jpg"), folder) == "photo.jpg"
    assert path_from(Path("/boats/gull/photos/a b.jpg"), folder) == "photos/a b.jpg"
    assert path_from(Path("/boats/photos/a.jpg"), folder) == "../photos/a.jpg"
    assert path_from(Path("/elsewhere/far/a.jpg"), Path("/boats/gull/drawings")) == "/elsewhere/far/a.jpg"
    assert path_from(Path("/boats/gull/photo.jpg"), None) == "/boats/gull/photo.jpg"
    for file in ("photo.jpg", "../photos/a.jpg", "/elsewhere/a.jpg"):
        path = path_of(Underlay(file=file), folder)
        assert path.is_absolute()
        assert path_from(path, folder).split("/")[-1] == file.split("/")[-1]


def test_each_change_is_one_edit_that_can_be_taken_back(tmp_path: Path) -> None:
    made = Installation()
    (sheet,) = add_sheet(made.snapshot(), 0).items
    apply(made, add_sheet(made.snapshot(), made.last_id).edit)
    empty = dump(made)
    back = apply(made, lay_under(made.snapshot(), sheet, UNDER))
    path = tmp_path / "a.linewright"
    path.write_bytes(dump(made))
    assert load(path).installation.tables["sheets"][sheet].underlay == UNDER
    edit = set_under(made.snapshot(), sheet, "stronger", strength_percent=60.0)
    assert edit is not None
    apply(made, edit)
    assert made.tables["sheets"][sheet].underlay.strength_percent == 60.0
    assert set_under(made.snapshot(), sheet, "the same", strength_percent=60.0) is None
    moved = rebased(made.snapshot(), tmp_path, tmp_path / "deeper")
    assert moved is not None
    apply(made, moved)
    assert made.tables["sheets"][sheet].underlay.file == "../photo.jpg"
    apply(made, take_away(made.snapshot(), sheet))
    assert dump(made) == empty
    with pytest.raises(EditError, match="No picture lies under sheet 1"):
        take_away(made.snapshot(), sheet)
    assert back is not None
