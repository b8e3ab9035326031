"""Sheets that did not fit the paper asked for, in sentences."""

from __future__ import annotations

from collections.abc import Sequence

from engine.picture import Picture
from engine.words import _

__all__ = ["larger_sheets"]


def larger_sheets(made: Sequence[Picture], wanted: str | None) -> list[str]:
    """A line for every sheet that is of another size than wanted; none where each sheet has its own."""
    if wanted is None:
        return []
    from app.drawing.frame import SIZES

    names = {size: name for name, size in SIZES.items()}
    told = _("sheet {n} is {size}: {title} does not fit {wanted}")
    return [
        told.format(n=n, size=names[picture.width, picture.height], title=picture.title, wanted=wanted)
        for n, picture in enumerate(made, 1)
        if (picture.width, picture.height) != SIZES[wanted]
    ]
