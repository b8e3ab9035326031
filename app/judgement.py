"""What the study process tells of a drawing: findings, pictures, what is live, figures. Plain values, no Qt."""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

import msgspec

from engine.picture import Box, Primitive

if TYPE_CHECKING:
    from engine.check import CheckResult

__all__ = [
    "LAYERS",
    "BusFigure",
    "FaultFigure",
    "FaultFigures",
    "FlowFigures",
    "Judgement",
    "Layer",
    "LiveParts",
    "LoadFigure",
    "RunFigure",
    "SheetPicture",
    "SourceFigure",
]

LAYERS = ("flow", "faults")  # what may lie over a sheet: currents and drops, fault currents


class Judgement(NamedTuple):
    """What a check found, and where its notes stand."""

    at: int  # number of the drawing's state it is true for
    result: CheckResult
    numbers: dict[str, int]  # `Finding.key` -> number in the note's circle, over the whole set
    homes: dict[str, str]  # `Finding.key` -> id of the sheet whose margin tells it, "" where there is no sheet


class SheetPicture(NamedTuple):
    """A sheet's display list, by owner.

    An owner is the id of the equipment or run that is shown, `note:N` for a finding's note in the margin, `flag:N` for
    its circle at the thing, "" for the frame, the title block and all else. Within an owner the order is that of
    painting; "" is painted first, flags last.
    """

    sheet: str
    at: int
    width: float  # mm
    height: float
    of: dict[str, tuple[Primitive, ...]]
    note_boxes: dict[int, Box] = {}  # where each note stands in the margin, mm; of deficiency 3 by -3


class LiveParts(NamedTuple):
    """What is live in the chosen condition: fed by a source that may give voltage, whatever its protection."""

    at: int
    condition: str  # id, "" as drawn
    live: frozenset[str]  # equipment and run ids of which some conductor is live
    doubtful: frozenset[str] = frozenset()  # those that may be: what feeds them is not recorded
    way: frozenset[str] = frozenset()  # equipment and runs between what meets in the state that is shown
    sources: dict[str, tuple[str, ...]] = {}  # by id, what gives on its conductors: sources, converters that are fed
    fed: dict[str, tuple[str, ...]] = {}  # by converter that gives, the sources it is fed from in the end
    together: frozenset[str] = frozenset()  # on whose conductors AC sources meet that are not built for it
    still: tuple[str, ...] = ()  # sources that give nothing


# -- figures ----------------------------------------------------------------------------------------------------------
class RunFigure(NamedTuple):
    """What flows in a run; drops are from the source to its farther end, there and back."""

    amps: float | None
    drop_v: float | None = None
    drop_pct: float | None = None
    at_least: bool = False
    is_over: bool = False  # a finding says that it is too much


class LoadFigure(NamedTuple):
    """What arrives at a consumer."""

    volts: float | None
    amps: float | None = None
    drop_v: float | None = None
    drop_pct: float | None = None
    at_least: bool = False
    has_collapsed: bool = False  # below what it works at, or nothing feeds it


class SourceFigure(NamedTuple):
    """What a source gives; negative where it is being charged."""

    amps: float
    volts: float
    watts: float
    share: float | None = None  # of all that the sources of its system give
    at_least: bool = False
    is_over: bool = False


class BusFigure(NamedTuple):
    """The currents in the sections of a bus, of that conductor that carries most."""

    most_a: float
    sections_a: tuple[float, ...] = ()
    runs: tuple[str, ...] = ()  # ids, one more than sections, in the order of the studs
    order_known: bool = False
    at_least: bool = False
    is_over: bool = False


class FlowFigures(msgspec.Struct, frozen=True, kw_only=True):
    """What flows in one operating condition, by id."""

    condition: str
    converged: bool
    sources_w: float
    loads_w: float
    losses_w: float
    runs: dict[str, RunFigure] = {}
    loads: dict[str, LoadFigure] = {}
    sources: dict[str, SourceFigure] = {}
    buses: dict[str, BusFigure] = {}
    devices: dict[str, tuple[float, bool]] = {}  # (amperes, at least)
    missing: tuple[str, ...] = ()  # fields without which some figure is not known
    not_solved: tuple[tuple[str, str], ...] = ()  # (id, sentence)
    assumed: tuple[str, ...] = ()


class FaultFigure(NamedTuple):
    """The largest fault current through a device or at a bus, the smallest in what it protects."""

    max_a: float | None
    min_a: float | None
    at_most: bool = False  # the search among states was stopped: `max_a` is an upper bound
    far: str = ""  # id of the run at whose far end the smallest is


class FaultFigures(msgspec.Struct, frozen=True, kw_only=True):
    """Fault currents at protective devices and buses, by id."""

    devices: dict[str, FaultFigure] = {}
    buses: dict[str, FaultFigure] = {}
    missing: tuple[str, ...] = ()
    assumed: tuple[str, ...] = ()


class Layer(NamedTuple):
    """Figures over a sheet, by owner: `figure:ID` of the equipment or run they belong to."""

    at: int
    sheet: str
    condition: str
    what: str  # one of `LAYERS`
    of: dict[str, tuple[Primitive, ...]]
    unplaced: tuple[str, ...] = ()  # ids whose figure found no room
