"""Which place every label of a sheet takes; one that finds none beside its own stands off with a leader. In mm.

A label is cut short only where nothing else is left, and what is cut then stands in words in the margin.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import NamedTuple

from app.drawing.room import Room
from app.drawing.spots import Spot
from app.drawing.texts import Words, on_one_line
from engine.geometry import choose_places, within
from engine.picture import Box, Ink, Primitive, line

__all__ = ["Label", "Labelled", "place_labels"]

_OFF = tuple(3.0 + 2.5 * n for n in range(24))  # how far a label with a leader may stand off, mm
_CLEAR = 0.4  # between a leader and what it points at
_INSIDE = 2.0  # of a label's edge, from where its leader may begin


class Label(NamedTuple):
    """What is to be written: places best first; what else may be done where the whole finds no room."""

    owner: str
    spots: list[Spot]
    short: list[Spot]
    ink: Ink = "black"
    link: str = ""
    group: str = ""  # labels of one arrow: where one finds no room, `instead` takes the place of both
    instead: tuple[Spot, ...] = ()
    forms: Callable[[], Sequence[Words]] = tuple  # all of it, broken into lines in other ways
    near: Callable[[Words], list[Spot]] = lambda _words: []  # places of such a form beside its own
    anchors: tuple[Box, ...] = ()  # what a leader may point at
    told: str = ""  # the whole as one text
    put: Spot | None = None  # where a person put it: it stands there whatever it meets, and others keep off


class Labelled(NamedTuple):
    """The labels of a sheet, the room they take, the owners that found no place at all, texts that were cut."""

    primitives: list[Primitive]
    boxes: list[tuple[Box, str]]
    missing: list[str]
    untold: list[str]
    met: list[str]  # sentences: what labels that were put by hand lie on


class _Far(NamedTuple):
    """A place away from what a label belongs to, and the ends of its leader."""

    spot: Spot
    leader: tuple[float, float, float, float]

    @property
    def room(self) -> Box:
        """What the leader takes."""
        a, b, c, d = self.leader
        return Box(min(a, c), min(b, d), max(a, c), max(b, d)).grown(0.3)


def place_labels(
    labels: list[Label],
    taken: list[Box],
    bounds: Box,
    go_on: Callable[[], object] | None = None,
    off: Sequence[float] = _OFF,
) -> Labelled:
    """Every label in the best place that is left to it, off what is taken. `go_on` may raise to stop.

    `off`: how far one with a leader may stand off, mm, the nearest first.
    """
    put = {n: label.put for n, label in enumerate(labels) if label.put is not None}
    taken = [*taken, *(_roomy(spot.box) for spot in put.values())]
    chosen = choose_places([[_roomy(s.box) for s in label.spots] for label in labels], taken, bounds)
    crowded = {labels[n].group for n, at in enumerate(chosen) if at is None and labels[n].group}
    made: dict[int, Spot] = put | {
        n: labels[n].spots[at] for n, at in enumerate(chosen) if at is not None and labels[n].group not in crowded
    }
    late = [n for n, label in enumerate(labels) if n not in made and (label.instead or label.group not in crowded)]
    room = [*taken, *(_roomy(spot.box) for spot in made.values())]

    def beside(of: list[int], spots: Callable[[Label], Sequence[Spot]]) -> list[int]:
        """Choose among more places; those still without one."""
        if go_on is not None:
            go_on()
        wishes = [list(spots(labels[n])) for n in of]
        found = choose_places([[_roomy(s.box) for s in each] for each in wishes], room, bounds)
        for n, each, at in zip(of, wishes, found, strict=True):
            if at is not None:
                made[n] = each[at]
                room.append(_roomy(each[at].box))
        return [n for n in of if n not in made]

    rest = beside(late, lambda label: label.instead)
    rest = beside(rest, lambda label: [spot for form in label.forms() for spot in label.near(form)])
    leaders: dict[int, _Far] = {}
    ground = Room(room) if rest else Room()
    for n in list(rest):
        if go_on is not None:
            go_on()
        far = _far(labels[n], ground, bounds, off)
        if far is not None:
            made[n], leaders[n] = far.spot, far
            more = [_roomy(far.spot.box), far.room]
            room += more
            ground.take(more)
            rest.remove(n)
    cut = rest
    rest = beside(rest, lambda label: label.short)
    out = Labelled([], [], [labels[n].owner for n in rest], [labels[n].told for n in cut if labels[n].told], [])
    for n, spot in sorted(made.items()):
        label = labels[n]
        if spot.upright:
            out.primitives.extend(spot.words.upright(spot.box, label.ink, label.owner, label.link))
        else:
            out.primitives.extend(spot.words.texts(spot.box, spot.align, label.ink, label.owner, label.link))
        out.boxes.append((spot.box, label.owner))
        if n in leaders:
            out.primitives.append(line(*leaders[n].leader, 0.25, "grey", owner=label.owner))
            out.boxes.append((leaders[n].room, label.owner))
    return out


def _roomy(box: Box) -> Box:
    """Type needs a little air round it."""
    return box.grown(0.25)


def _far(label: Label, room: Room, bounds: Box, off: Sequence[float]) -> _Far | None:
    """The nearest free place with a free leader to it."""
    forms = list(label.forms())
    for away in off:
        for anchor in label.anchors:
            for form in forms:
                for far in _standing_off(anchor, form, away):
                    box = _roomy(far.spot.box)
                    if within(box, bounds) and room.is_free(far.room) and room.is_free(box):
                        return far
    return None


def _standing_off(anchor: Box, words: Words, off: float) -> list[_Far]:
    """Places so many mm right, left, above and below of what a label belongs to."""
    w, h = words.width, words.height
    x, y = (anchor.left + anchor.right) / 2, (anchor.top + anchor.bottom) / 2
    made: list[_Far] = []
    levels = dict.fromkeys((y, anchor.top + 1.0, anchor.bottom - 1.0)) if anchor.bottom - anchor.top > 3 else [y]
    for level in levels:
        for top in dict.fromkeys((level - h / 2, level - _INSIDE, level - h + _INSIDE)):
            left = anchor.right + off
            leader = (anchor.right + _CLEAR, level, left - _CLEAR, level)
            made.append(_Far(Spot(Box(left, top, left + w, top + h), "start", words=words), leader))
            right = anchor.left - off
            leader = (anchor.left - _CLEAR, level, right + _CLEAR, level)
            made.append(_Far(Spot(Box(right - w, top, right, top + h), "end", words=words), leader))
    for left in dict.fromkeys((x - w / 2, x - _INSIDE, x - w + _INSIDE)):
        top = anchor.top - off - h
        box = Box(left, top, left + w, top + h)
        made.append(_Far(Spot(box, "middle", words=words), (x, anchor.top - _CLEAR, x, box.bottom + _CLEAR)))
        top = anchor.bottom + off
        box = Box(left, top, left + w, top + h)
        made.append(_Far(Spot(box, "middle", words=words), (x, anchor.bottom + _CLEAR, x, top - _CLEAR)))
    return made


def told(words: Words) -> str:
    """All of a label as one text."""
    return on_one_line(words).plain() if words.lines else ""
