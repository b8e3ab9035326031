"""Geometry of a sheet over plain boxes and grid points: overlaps, places for labels, routes. Knows no symbol.

Boxes are `engine.picture.Box` in any one unit; routes run on a grid of whole steps, x right, y down. The only user of
shapely; imported by the drawing alone, so that a check never loads it.
"""

from __future__ import annotations

from engine.geometry.boxes import overlaps, struck, within
from engine.geometry.ground import Ground
from engine.geometry.places import choose_places
from engine.geometry.roads import EAST, NORTH, SOUTH, WEST, Found, Pin, Roads, squared, turns

__all__ = [
    "EAST",
    "NORTH",
    "SOUTH",
    "WEST",
    "Found",
    "Ground",
    "Pin",
    "Roads",
    "choose_places",
    "overlaps",
    "squared",
    "struck",
    "turns",
    "within",
]
