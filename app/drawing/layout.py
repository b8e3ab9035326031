"""From a list to placed sheets: sources below, buses across, protective devices over them, loads on top.

DC and AC stand on separate sheets, in the order main distribution, AC sources, branch panels, charging, bonding. Two
layouts of one installation are the same to the byte.
"""

from __future__ import annotations

import math
from collections import Counter
from itertools import pairwise
from typing import NamedTuple

from app.drawing.across import lead_across
from app.drawing.area import drawing_area
from app.drawing.blocks import Item, Part, Room, Track
from app.drawing.pieces import Family, Pieces, take_apart
from app.drawing.systems import CATEGORIES, Category, System, make_systems
from app.drawing.towers import Towers
from app.drawing.trees import grow
from engine.edits import Edit, Put, Several
from engine.equipment.base import Equipment
from engine.geometry import Ground, turns
from engine.installation import Bend, Placement, Route, Sheet, Snapshot
from engine.picture import Box
from engine.words import N_, _

__all__ = ["Drawn", "drawing_area", "laid", "lay_out", "route_bends", "sheet_records"]

_TITLES: dict[Category, str] = {
    "dc main": N_("DC main distribution"),
    "ac main": N_("AC sources and transfer"),
    "dc panel": N_("DC branch circuits"),
    "ac panel": N_("AC branch circuits"),
    "charging": N_("Charging"),
    "bonding": N_("Bonding"),
    "loose": N_("Not connected"),
}
_LARGER = {
    "A4": "A3",
    "A3": "A2",
    "A2": "A1",
    "A1": "A1",
    "Letter": "Tabloid",
    "Tabloid": "ANSI C",
    "ANSI C": "ANSI D",
    "ANSI D": "ANSI D",
}
_SPARSE = 0.5  # share of a sheet, room round everything included, up to which it takes in what is of another kind
_BETWEEN = 3  # steps between systems on one sheet


class _Page:
    """A sheet being filled: what is taken, and what stands where."""

    def __init__(self, size: str, family: Family) -> None:
        self.size = size
        self.family: Family = family
        self.area = drawing_area(size)
        self.ground = Ground(self.area.width, self.area.height)
        self.put: list[tuple[System, int, int]] = []
        self.categories: list[Category] = []

    def suits(self, category: Category, near: set[str]) -> bool:
        """Whether something of that part of the drawing, or joined to it, stands here already."""
        return category in self.categories or any(i.piece in near for s, _x, _y in self.put for i in s.block.items)

    def corner(self, key: str) -> tuple[int, int] | None:
        """Where a piece stands on this sheet, of its symbol's origin; `None` where it does not."""
        for system, x, y in self.put:
            box = system.block.box
            for item in system.block.items:
                if item.piece == key:
                    return x + item.x - math.floor(box.left), y + item.y - math.floor(box.top)
        return None

    def take(self, system: System, beside: tuple[int, int] | None = None) -> bool:
        """Stand a system where its rectangle is free, its first symbol as near as may be to `beside`."""
        if beside is not None:
            item, box = system.block.items[0], system.block.box
            beside = beside[0] - item.x + math.floor(box.left), beside[1] - item.y + math.floor(box.top)
        found = self.ground.room(*system.size, beside)
        if found is not None:
            self.stand(system, *found)
        return found is not None

    def stand(self, system: System, x: int, y: int) -> None:
        """Take the room of everything in it."""
        box = system.block.box
        left, top = x - math.floor(box.left), y - math.floor(box.top)
        boxes = [room.box for room in system.block.rooms]
        for track in system.block.tracks:
            boxes.extend(
                Box(min(ax, bx), min(ay, by), max(ax, bx), max(ay, by)) for (ax, ay), (bx, by) in pairwise(track.points)
            )
        for b in boxes:
            self.ground.take(Box(b.left + left, b.top + top, b.right + left, b.bottom + top).grown(_BETWEEN))
        self.put.append((system, x, y))
        if system.category not in self.categories:
            self.categories.append(system.category)


class Drawn(NamedTuple):
    """A filled sheet: symbols, runs and the room they take, in grid steps from the frame's corner."""

    size: str
    title: str
    items: list[Item]
    tracks: list[Track]
    rooms: list[Room]
    family: Family = "dc"


def laid(snapshot: Snapshot) -> tuple[Pieces, list[Drawn]]:
    """What the whole installation would look like on sheets of its own: its pieces, and the filled sheets."""
    pieces = take_apart(snapshot)
    return pieces, _filled(snapshot, pieces)


def lay_out(snapshot: Snapshot, last_id: int | None = None) -> Edit:
    """The edit that draws the whole installation anew. `last_id`: the last number an id was made with, where known."""
    return Several(tuple(sheet_records(snapshot, last_id)), _("Lay out all sheets"))


def sheet_records(snapshot: Snapshot, last_id: int | None = None) -> list[Put]:
    """The same as single edits: what is drawn goes, then sheets, placements and routes."""
    pieces, sheets = laid(snapshot)
    edits: list[Put] = []
    for table in ("routes", "placements", "sheets"):
        edits.extend(Put(table, item) for item in snapshot.tables[table])
    number = max([last_id or 0, *(_number(item) for table in snapshot.tables.values() for item in table)])

    def new(table: str, letter: str, record: object) -> str:
        nonlocal number
        number += 1
        edits.append(Put(table, f"{letter}{number}", record))
        return f"{letter}{number}"

    count = Counter(p.equipment for p in pieces.pieces.values())
    parts: dict[tuple[str, str], dict[Part, Track]] = {}
    for n, sheet in enumerate(sheets):
        item = new("sheets", "s", Sheet(title=sheet.title, number=n + 1, size=sheet.size))  # type: ignore[arg-type]
        for each in sheet.items:
            piece = pieces.pieces[each.piece]
            whole = count[piece.equipment] == 1
            new(
                "placements",
                "a",
                Placement(
                    equipment=piece.equipment,
                    sheet=item,
                    terminals=() if whole else piece.terminals,
                    x=each.x,
                    y=each.y,
                    rotation=each.rotation,  # type: ignore[arg-type]  # quarter turns
                    mirrored=each.mirrored,
                    length=each.length,
                ),
            )
        for track in sheet.tracks:
            parts.setdefault((track.run, item), {})[track.part] = track
    for (run, item), of in sorted(parts.items(), key=lambda p: (_number(p[0][0]), _number(p[0][1]))):
        bends, gap = route_bends(of)
        new("routes", "t", Route(run=run, sheet=item, bends=bends, gap=gap))
    return edits


def _number(item: str) -> int:
    return int(item[1:]) if item[1:].isdecimal() and item[1:].isascii() else 0


def route_bends(of: dict[Part, Track]) -> tuple[tuple[Bend, ...], int | None]:
    """Corners from the run's `from` end to its `to` end, and how many stand before a gap."""
    if "whole" in of:
        track = of["whole"]
        points = turns(track.points if track.forward else track.points[::-1])
        return tuple(Bend(x=x, y=y) for x, y in points[1:-1]), None
    first = turns(of["from"].points)[1:] if "from" in of else ()
    last = turns(of["to"].points)[1:][::-1] if "to" in of else ()
    gap = len(first) if first and last else None
    return tuple(Bend(x=x, y=y) for x, y in (*first, *last)), gap


def _filled(snapshot: Snapshot, pieces: Pieces) -> list[Drawn]:
    size = snapshot.settings.sheet_size
    area = drawing_area(size)
    systems: list[tuple[Family, System]] = []
    families: tuple[Family, ...] = ("dc", "ac")
    for family in families:
        if any(p.family == family for p in pieces.pieces.values()):
            towers = Towers(snapshot, pieces, grow(snapshot, pieces, family))
            made = make_systems(towers, (area.width, area.height))
            systems.extend((family, s) for s in _main_first(towers, made))
    pages: list[_Page] = []
    latest: dict[str, int] = {}  # of a bus that goes on, the page of its part before
    for category in CATEGORIES:
        for family, system in systems:
            if system.category == category:
                if category == "loose":
                    at = _page_for_loose(snapshot, pieces, pages, family, system)
                else:
                    at = _page_for(pages, family, system, latest.get(system.root, 0), _neighbours(pieces, system))
                if at is None:
                    at = len(pages)
                    pages.append(_new_page(size, family, system))
                latest[system.root] = at
    return [_drawn(snapshot, pieces, page) for page in pages]


def _main_first(towers: Towers, systems: list[System]) -> list[System]:
    """The largest system with a battery first, the rest of the main distribution by size, then all others."""
    forest = towers.forest
    weights = {s.root: len(forest.under(s.root)) for s in systems}
    stores = [s.root for s in systems if any(forest.is_storage(i.piece) for i in s.block.items)]
    first = max(stores, key=lambda r: weights[r], default="")
    return sorted(systems, key=lambda s: (s.root != first, -weights[s.root] if s.category == "dc main" else 0))


def _page_for(pages: list[_Page], family: Family, system: System, after: int, near: set[str]) -> int | None:
    """The first sheet of its family where a system belongs and has found room; it stands there then."""
    for n in range(after, len(pages)):
        page = pages[n]
        if page.family == family and page.suits(system.category, near) and page.take(system):
            return n
    if system.category == "bonding":  # a sheet of its own only where no other is half empty
        for n in reversed(range(len(pages))):
            if pages[n].family == family and pages[n].ground.share() < _SPARSE and pages[n].take(system):
                return n
    return None


def _page_for_loose(
    snapshot: Snapshot, pieces: Pieces, pages: list[_Page], family: Family, system: System
) -> int | None:
    """What is joined to nothing stands beside the nearest way of its panel, else on the last sheet with room.

    Sheets of its own family come first, those of bonding last.
    """
    mine = pieces.records(snapshot, system.root)
    mates = [key for key in pieces.pieces if key != system.root and _one_panel(mine, pieces.records(snapshot, key))]
    for key in sorted(mates, key=lambda k: _apart(mine, pieces.records(snapshot, k))):
        for n, page in enumerate(pages):
            at = page.corner(key)
            if at is not None and page.take(system, at):
                return n
    order = sorted(range(len(pages)), key=lambda n: (pages[n].family != family, pages[n].categories == ["bonding"], -n))
    return next((n for n in order if pages[n].take(system)), None)


def _one_panel(one: Equipment, other: Equipment) -> bool:
    """Whether two things are built into one enclosure."""
    return bool(one.enclosure) and one.enclosure == other.enclosure


def _apart(one: Equipment, other: Equipment) -> tuple[bool, float]:
    """How far two things of one enclosure stand apart: another kind is further, positions not numbered furthest."""
    numbered = one.position.isdecimal() and other.position.isdecimal()
    return one.KIND != other.KIND, abs(int(one.position) - int(other.position)) if numbered else math.inf


def _new_page(size: str, family: Family, system: System) -> _Page:
    """A sheet that begins with a system, larger than the others where it must be."""
    page = _Page(size, family)
    while not page.take(system) and _LARGER[page.size] != page.size:
        page = _Page(_LARGER[page.size], family)
    if not page.put:  # larger than the largest sheet: it stands there all the same
        page.stand(system, 0, 0)
    return page


def _neighbours(pieces: Pieces, system: System) -> set[str]:
    """Pieces that a run joins to a system."""
    return {j.piece for item in system.block.items for j in pieces.joins[item.piece]}


def _drawn(snapshot: Snapshot, pieces: Pieces, page: _Page) -> Drawn:
    """A page spread out over its sheet, its runs led across where there is a clear way."""
    items: list[Item] = []
    tracks: list[Track] = []
    rooms: list[Room] = []
    wide = max((x + s.size[0] for s, x, _y in page.put), default=0)
    high = max((y + s.size[1] for s, _x, y in page.put), default=0)
    dx = page.area.left + max(0, (page.area.width - wide) // 2)
    dy = page.area.top + max(0, (page.area.height - high) // 2)
    for system, x, y in page.put:
        box = system.block.box
        left, top = dx + x - math.floor(box.left), dy + y - math.floor(box.top)
        items.extend(i._replace(x=i.x + left, y=i.y + top) for i in system.block.items)
        tracks.extend(t.moved(left, top) for t in system.block.tracks)
        for room in system.block.rooms:
            b = room.box
            rooms.append(
                room._replace(
                    box=b._replace(left=b.left + left, top=b.top + top, right=b.right + left, bottom=b.bottom + top)
                )
            )
    lead_across(snapshot, pieces, page.area, items, tracks, rooms)
    title = _TITLES[page.categories[0]] if page.categories else ""
    if page.categories[:2] == ["dc main", "dc panel"]:
        title = N_("DC distribution")
    title = _(title)
    if "bonding" in page.categories[1:]:
        title = _("{title}, bonding").format(title=title)
    return Drawn(page.size, title, items, tracks, rooms, page.family)
