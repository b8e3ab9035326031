"""Lugs and heat-shrink, from the ends of the new runs: one lug for each conductor, each parallel one too, at both ends.

A conductor that passes a device which has no pole for it is not cut there and has no lug (`through`). What fits is told
by the conductor's size and the stud; an end whose stud and fitting are not recorded is counted as such and guessed no
further. Heat-shrink is as long on every lug as stated; common practice, no source.
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterator
from typing import NamedTuple

from app.handover.parts.cable import colours_of, size_of
from app.handover.parts.said import key, listed, name_of
from app.handover.parts.through import passing
from app.handover.parts.wanted import PartsWanted
from app.paper.table import Column, Table, Value
from engine.installation import Run, Snapshot
from engine.units import UnitError, area_mm2, show_size
from engine.words import _, ngettext

__all__ = ["Lug", "Sleeve", "code", "lug_table", "lugs", "shrink_mm", "sleeve_code", "sleeve_table", "sleeves"]

# heat-shrink on one lug by the largest conductor, mm² -> mm; common practice, no source
_SHRINK_MM = ((10.0, 30.0), (50.0, 50.0), (float("inf"), 75.0))
_STUD = re.compile(r"\bM\d{1,2}(?:[.,]5)?\b|(?<![\d/])#\d{1,2}\b|(?<![\d/])\d/\d{1,2}(?: ?in\b| ?\")?", re.IGNORECASE)


# crimped without a sleeve of its own; common practice, no source
_BARE = re.compile(r"\b(ferrules?|pins?)\b", re.IGNORECASE)


class Lug(NamedTuple):
    """What is crimped on the end of a conductor. `""`: not known."""

    size: str
    stud: str
    fitting: str  # what the record calls it

    def known(self) -> bool:
        """Whether an order can be written for it."""
        return bool(self.size and (self.stud or self.fitting))


class Sleeve(NamedTuple):
    """Heat-shrink for the lugs of one conductor size in one colour."""

    size: str
    colour: str


class _At(NamedTuple):
    """One conductor at one end of a run."""

    lug: Lug
    colour: str
    run: Run


def _ends(snapshot: Snapshot) -> Iterator[_At]:
    """Every conductor end of what is new, where something is to be fastened: a loose end has no lug."""
    joined = passing(snapshot).joined
    for item, run in snapshot.runs.items():
        if run.status != "new":
            continue
        colours = colours_of(run)
        for name, end in (("from_end", run.from_end), ("to_end", run.to_end)):
            piece = snapshot.equipment.get(end.equipment)
            if piece is not None and piece.KIND == "open_end":
                continue
            stud, fitting = _stud(end.stud, end.lug), " ".join(end.lug.split())
            for core, colour in zip(run.conductors(), colours, strict=True):
                if (item, name, core) in joined:
                    continue
                for _parallel in range(run.parallel):
                    yield _At(Lug(size_of(run, core), stud, fitting), colour, run)


def _stud(stud: str, fitting: str) -> str:
    """The stud's size, spelt one way; where none is recorded, what the fitting's own name says (`M8 ring`)."""
    text = " ".join(stud.split())
    if not text:
        found = _STUD.search(fitting)
        text = " ".join(found.group().split()) if found else ""
    return text.upper().replace(",", ".") if re.fullmatch(r"m ?\d.*", text, re.IGNORECASE) else text


def lugs(snapshot: Snapshot) -> dict[Lug, tuple[int, tuple[Run, ...]]]:
    """How many of each lug, and for which runs, in order of size and stud."""
    count: Counter[Lug] = Counter()
    runs: dict[Lug, list[Run]] = {}
    spelt: dict[tuple[str, str, str], Lug] = {}
    for at in sorted(_ends(snapshot), key=lambda at: at.lug):
        lug = spelt.setdefault((at.lug.size, at.lug.stud, at.lug.fitting.casefold()), at.lug)
        count[lug] += 1
        runs.setdefault(lug, []).append(at.run)
    return {lug: (count[lug], tuple(runs[lug])) for lug in sorted(count, key=_order)}


def _order(lug: Lug) -> tuple[object, ...]:
    return not lug.known(), _area(lug.size), key(lug.stud), key(lug.fitting)


def _area(size: str) -> float:
    try:
        return area_mm2(size)
    except UnitError:  # not known, or nothing that is a size
        return float("inf")


def shrink_mm(size: str, wanted: PartsWanted) -> float:
    """How much heat-shrink a lug on a conductor of `size` gets, mm."""
    if wanted.shrink_mm is not None:
        return wanted.shrink_mm
    return next(length for upto, length in _SHRINK_MM if _area(size) <= upto)


def sleeves(snapshot: Snapshot) -> dict[Sleeve, int]:
    """How many lugs of each size and colour are to be sleeved: those that are known, no ferrules or pins."""
    count = Counter(
        Sleeve(at.lug.size, at.colour) for at in _ends(snapshot) if at.lug.known() and not _BARE.search(at.lug.fitting)
    )
    return {sleeve: count[sleeve] for sleeve in sorted(count, key=lambda s: (_area(s.size), key(s.colour)))}


def lug_table(snapshot: Snapshot) -> Table:
    """Lugs to order."""
    found = lugs(snapshot)
    rows: list[tuple[Value, ...]] = [
        (
            count,
            show_size(lug.size) if lug.size else None,
            lug.stud or None,
            lug.fitting or None,
            code(lug),
            listed(map(name_of, runs)),
        )
        for lug, (count, runs) in found.items()
    ]
    columns = (
        Column("quantity", _("Quantity"), align="right"),
        Column("conductor", _("Conductor")),
        Column("stud", _("Stud")),
        Column("fitting", _("Fitting as recorded")),
        Column("code", _("Code of this bill")),
        Column("runs", _("Runs")),
    )
    notes = [_("One for each conductor, and each parallel one, at both ends of every new run; a loose end has none.")]
    through = passing(snapshot)
    if through.past:
        notes.append(
            _(
                "What has no terminal at a device passes it uncut, as the return does at a single-pole fuse or switch: "
                "no lugs for it at {names}."
            ).format(names=through.past)
        )
    if through.open_ends:
        notes.append(
            ngettext(
                "{n} conductor end is counted at a device that has no terminal for it, {names}: another cable or none "
                "goes on there, and how they are joined is not recorded.",
                "{n} conductor ends are counted at devices that have no terminal for them, {names}: another cable or "
                "none goes on there, and how they are joined is not recorded.",
                through.open_ends,
            ).format(n=through.open_ends, names=through.at)
        )
    if not rows:
        notes.insert(0, _("No run is new: no lugs to order."))
    unknown = sum(count for lug, (count, _runs) in found.items() if not lug.known())
    if unknown:
        notes.append(
            ngettext(
                "Of {n} conductor end stud and fitting, or size, are not known: see what is there before ordering.",
                "Of {n} conductor ends stud and fitting, or size, are not known: see what is there before ordering.",
                unknown,
            ).format(n=unknown)
        )
    return Table("lugs", _("Lugs to order"), columns, tuple(rows), tuple(notes))


def sleeve_table(snapshot: Snapshot, wanted: PartsWanted) -> Table:
    """Heat-shrink to order, m."""
    rows: list[tuple[Value, ...]] = []
    for sleeve, count in sleeves(snapshot).items():
        each = shrink_mm(sleeve.size, wanted)
        rows.append(
            (show_size(sleeve.size), sleeve.colour or None, count, each, count * each / 1000, sleeve_code(sleeve))
        )
    columns = (
        Column("conductor", _("For conductor")),
        Column("colour", _("Colour")),
        Column("lugs", _("Lugs"), align="right"),
        Column("each_mm", _("On each"), "mm", "right"),
        Column("length_m", _("Length"), "m", "right", 2),
        Column("code", _("Code of this bill")),
    )
    if wanted.shrink_mm is not None:
        source = _("Length on each lug as asked for.")
    else:
        source = _("30 mm on a lug up to 10 mm², 50 mm up to 50 mm², 75 mm above: common practice, no source.")
    notes = [source, _("No waste is in it; ferrules, pins and ends whose fitting is not known have none.")]
    if not rows:
        notes.insert(0, _("No new run has a lug that is known: no heat-shrink to order."))
    return Table("heat_shrink", _("Heat-shrink to order"), columns, tuple(rows), tuple(notes))


def code(lug: Lug) -> str:
    """What a price list may call a lug that has no part number: LUG-4/0AWG-M10-RING; `""` where it is not known."""
    if not lug.known():
        return ""
    form = lug.fitting.casefold().replace(lug.stud.casefold(), "") if lug.stud else lug.fitting
    return "-".join(("LUG", *_words(lug.size), *_words(lug.stud), *_words(form))).upper()


def sleeve_code(sleeve: Sleeve) -> str:
    """What a price list may call heat-shrink: SHRINK-4/0AWG-RED."""
    return "-".join(("SHRINK", *_words(sleeve.size), *_words(sleeve.colour))).upper()


def _words(text: str) -> tuple[str, ...]:
    return ("".join(text.split()),) if text.strip() else ()
