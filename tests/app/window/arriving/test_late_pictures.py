"""A picture of a sheet that comes after the next edit is not taken for the drawing as it is now, were it the first."""

from __future__ import annotations

import pytest

from app.drawing.screen import Screen
from app.judgement import SheetPicture
from app.window.arriving import Arriving
from app.worker_pictures import drawn_parts
from engine.builder import Builder
from engine.edits import Put, apply
from engine.installation import Placement, Sheet

pytestmark = pytest.mark.qt


def picture(at: int) -> SheetPicture:
    b = Builder()
    b.add("fuse", "F1", rating_a=10)
    apply(b.installation, Put("sheets", "s90", Sheet(number=1)))
    fuse = b.installation.find("F1")[0][1]
    apply(b.installation, Put("placements", "a91", Placement(equipment=fuse, sheet="s90", x=20, y=20)))
    screen = Screen()
    screen.set(b.installation.snapshot())
    return screen.picture("s90", at)


def test_a_picture_older_than_the_last_edit_is_not_told_though_it_is_the_first() -> None:
    arriving = Arriving()
    (late,) = drawn_parts(picture(3), None)
    assert arriving.picture(late, 4, "s90") is None
    (same,) = drawn_parts(picture(4), picture(3).of)
    told = arriving.picture(same, 4, "s90")
    assert told is not None, "what is the same is told too, as nothing was"
    assert told.of == picture(4).of
