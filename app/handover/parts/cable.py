"""Cable to order: added up by size, colour, type and function, with the drawing's waste.

A run of unknown length is listed as such and adds nothing. A DC pair without a sheath is two single cables. Trade
practice, no source.
"""

from __future__ import annotations

import math
import re
from collections import defaultdict
from collections.abc import Iterator
from typing import NamedTuple

from app.handover.parts.said import as_text, key, left_out, listed, totals
from app.paper.table import Column, Table, Value
from engine.colours import COLOURS
from engine.installation import Run, Settings, Snapshot
from engine.units import show, show_size
from engine.words import N_, _, ngettext

__all__ = [
    "FOOT_M",
    "Cable",
    "Length",
    "Lengths",
    "cable_code",
    "cable_table",
    "cables",
    "colours_of",
    "length_unit",
    "lengths_of",
    "size_of",
]

FOOT_M = 0.3048  # exact
_FUNCTIONS = {
    "dc positive": N_("DC positive"),
    "dc negative": N_("DC negative"),
    "dc pair": N_("DC pair"),
    "ac": N_("AC"),
    "earth": N_("protective earth"),
    "bonding": N_("bonding"),
    "signal": N_("signal"),
}


class Cable(NamedTuple):
    """What makes two lengths the same thing to order."""

    cable: str
    colour: str
    kind: str
    function: str
    maker: str
    part_number: str
    price: str  # as text, so that "not known" sorts too
    known: bool  # whether the length is known


class Length(NamedTuple):
    """What one run takes of a cable: `parallel` pieces, together `length_m`."""

    run: Run
    length_m: float | None


class Lengths(NamedTuple):
    """All that is to be ordered of a cable, in the drawing's unit of length, rounded up to a tenth."""

    cable: Cable
    lengths: tuple[Length, ...]
    net: float | None
    gross: float | None  # with waste
    price: float | None  # a metre

    def size(self) -> str:
        """The conductors in words."""
        return self.cable.cable or _("size not known")

    def names(self) -> str:
        """The runs it is for."""
        return listed(each.run.designation for each in self.lengths)


def cables(snapshot: Snapshot) -> tuple[Lengths, ...]:
    """What is new, alike together."""
    settings = snapshot.settings
    groups: dict[Cable, list[Length]] = defaultdict(list)
    for run in snapshot.runs.values():
        if run.status == "new":
            for cable, length in lengths_of(run):
                groups[cable].append(Length(run, length))
    made = []
    for cable in sorted(groups, key=lambda c: tuple(key(part) for part in c)):
        lengths = tuple(groups[cable])
        net = math.fsum(each.length_m for each in lengths if each.length_m is not None) if cable.known else None
        gross = None if net is None else _up(net * (1 + settings.waste_percent / 100), settings)
        shown = None if net is None else _up(net, settings)
        made.append(Lengths(cable, lengths, shown, gross, lengths[0].run.price))
    return tuple(made)


def cable_table(snapshot: Snapshot) -> Table:
    """Cable to order."""
    settings = snapshot.settings
    rows: list[tuple[Value, ...]] = []
    unknown = 0
    for line in cables(snapshot):
        cable = line.cable
        ordered_m = None if line.gross is None else line.gross * (FOOT_M if settings.units == "US" else 1)
        unknown += 0 if cable.known else len({id(each.run) for each in line.lengths})
        rows.append(
            (
                line.size(),
                cable.colour,
                cable.kind,
                _(cable.function),
                cable.maker,
                cable.part_number,
                line.net,
                line.gross,
                line.names(),
                line.price,
                None if line.price is None or ordered_m is None else round(line.price * ordered_m, 2),
            )
        )
    unit = length_unit(settings)
    columns = (
        Column("cable", _("Cable")),
        Column("colour", _("Colour")),
        Column("type", _("Type")),
        Column("function", _("Function")),
        Column("maker", _("Maker")),
        Column("part_number", _("Part number")),
        Column("length", _("Length"), unit, "right", 1),
        Column("order", _("With waste"), unit, "right", 1),
        Column("runs", _("Runs")),
        Column("price_per_m", _("Price a metre"), settings.currency, "right", 2, blank=True),
        Column("price", _("Price"), settings.currency, "right", 2, blank=True),
    )
    notes = [
        _("Waste {percent:g} %. Lengths are rounded up. A DC pair without a sheath is two single cables.").format(
            percent=settings.waste_percent
        )
    ]
    if unknown:
        notes.append(
            ngettext(
                "{n} run has no known length and is in no sum.",
                "{n} runs have no known length and are in no sum.",
                unknown,
            ).format(n=unknown)
        )
    notes.extend(totals(rows, settings.currency))
    notes.extend(left_out(snapshot.runs.values()))
    return Table("cable", _("Cable to order"), columns, tuple(rows), tuple(notes))


def cable_code(cable: Cable) -> str:
    """What a price list may call a cable that has no part number: CABLE-2X10AWG-RED+BLACK-TINNEDCOPPER-105C."""
    if not cable.cable:
        return ""
    parts = ("CABLE", cable.cable.replace("×", "x").replace("²", "2"), cable.colour, *cable.kind.split(", "))
    return "-".join(re.sub(r"[^\w./+]", "", part) for part in parts if part).upper()


def length_unit(settings: Settings) -> str:
    """The drawing's unit of length on an order."""
    return "ft" if settings.units == "US" else "m"


def colours_of(run: Run) -> tuple[str, ...]:
    """The colour of each conductor of a run, in the order of `conductors()`; the run's own where it is not told."""
    cores = run.conductors()
    colours = tuple(part.strip() for part in re.split(r"[/,;+]| and ", run.colour) if part.strip())
    return tuple(map(_spoken, colours if len(colours) == len(cores) else (run.colour,) * len(cores)))


def _spoken(text: str) -> str:
    """A colour written one way: RD, Red and red are one cable. Shades and stripes stay as they are written."""
    parts = []
    for part in re.split(r"\s*\+\s*", text.strip()):
        name = COLOURS.get(part.upper()) or (part.lower() if part.lower() in COLOURS.values() else "")
        parts.append(_(name) if name else part)
    return " + ".join(parts)


def size_of(run: Run, core: str) -> str:
    """The recorded size of one conductor of a run, `""` where it is not known."""
    return run.earth_size if core == "PE" and run.earth_size else run.size


def lengths_of(run: Run) -> Iterator[tuple[Cable, float | None]]:
    """The cables of a run, each with the length it takes, m."""
    cores = run.conductors()
    colours = colours_of(run)
    length = None if run.length_m is None else run.length_m * run.parallel
    kind = ", ".join(
        part
        for part in (run.conductor, run.insulation, "" if run.insulation_c is None else show(run.insulation_c, "degC"))
        if part
    )

    def cable(text: str, colour: str, function: str) -> Cable:
        return Cable(
            text,
            _spoken(colour),
            kind,
            _FUNCTIONS[function],
            run.maker,
            run.part_number,
            as_text(run.price),
            length is not None,
        )

    size = show_size(run.size) if run.size else ""
    singles = run.function == "dc pair" and run.sheath != "sheathed"
    if singles or (run.function == "ac" and run.sheath == "bare"):
        for n, core in enumerate(cores):
            function = {"+": "dc positive", "-": "dc negative", "PE": "earth"}.get(core, "ac")
            own = show_size(size_of(run, core)) if size_of(run, core) else ""
            yield cable(own, colours[n], function), length
        return
    if not size:
        yield cable("", run.colour, run.function), length
    elif len(cores) == 1:
        yield cable(size, run.colour, run.function), length
    elif "PE" in cores and run.earth_size and run.earth_size != run.size:
        text = f"{len(cores) - 1} × {size} + {show_size(run.earth_size)}"
        yield cable(text, run.colour, run.function), length
    else:
        yield cable(f"{len(cores)} × {size}", run.colour, run.function), length


def _up(length_m: float, settings: Settings) -> float:
    """A length in the drawing's unit, rounded up to a tenth."""
    length = length_m / FOOT_M if settings.units == "US" else length_m
    return math.ceil(round(length * 10, 6)) / 10
