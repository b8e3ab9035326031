"""The bill of materials: what is to be ordered for an installation. Only what has the status *new* is.

Equipment with the same maker and part number is one line; without a part number, equipment of one kind with the same
ratings is. Cable is added up by size, colour, type and function, with the drawing's waste; a run of unknown length is
listed as such and adds nothing. Trade practice, no source.
"""

from __future__ import annotations

import math
import re
from collections import defaultdict
from collections.abc import Iterable, Iterator
from pathlib import Path
from typing import Any, NamedTuple

from app.drawing.frame import text_size
from app.drawing.title_block import TitleFields, title_fields
from app.paper.table import Column, Table, Value
from engine.cautions import CAUTIONS
from engine.equipment.base import Breaking, Equipment
from engine.installation import Run, Settings, Snapshot
from engine.record import FieldSpec, field_specs
from engine.units import show, show_size
from engine.words import N_, _, ngettext

__all__ = ["bill", "write_parts"]

# facts that say where and how a piece is fitted, not what is bought
_FITTING = frozenset(
    {
        "designation", "label", "place", "enclosure", "position", "status", "marking", "old_marking", "note",
        "maker", "part_number", "price", "quantity", "in_position", "used_as_switch",
        "covered", "series", "parallel", "strings", "conductor", "year", "links_equal", "unit_protected",
        "midpoint_used", "usable_percent", "remaining_percent", "ventilation_m3_h", "gassing_a", "emergency_access",
        "labelled", "essential", "drop_class",
    }
)  # fmt: skip
_FOOT = 0.3048  # m, exact
_FUNCTIONS = {
    "dc positive": N_("DC positive"),
    "dc negative": N_("DC negative"),
    "dc pair": N_("DC pair"),
    "ac": N_("AC"),
    "earth": N_("protective earth"),
    "bonding": N_("bonding"),
    "signal": N_("signal"),
}


def write_parts(snapshot: Snapshot, path: Path | str, fields: TitleFields | None = None) -> str:
    """Write the bill as PDF, XLSX, CSV or JSON, by the ending of `path`; returns characters drawn as boxes (PDF).

    `fields` carries what the check found for the title block of the PDF. Raises `ValueError` for another ending,
    `OSError` from the disk.
    """
    tables = bill(snapshot)
    block = snapshot.title_block
    ending = Path(path).suffix.lower()
    if ending == ".pdf":
        from app.paper.pages import write_tables

        base = title_fields(snapshot) if fields is None else fields
        size = text_size(snapshot.settings.sheet_size)
        filled = base._replace(
            title=_("Bill of materials"), supplementary_title=base.title, document_type=_("Parts list")
        )
        return write_tables(tables, path, size=size, fields=filled, language=block.language).missing_characters
    # a page carries the cautions in its frame; other forms carry them as notes
    tables = (*tables[:-1], tables[-1]._replace(notes=(*tables[-1].notes, *map(_, CAUTIONS))))
    if ending == ".xlsx":
        from app.paper.xlsx import write_xlsx

        write_xlsx(tables, path, title=_("Bill of materials"), author=block.creator)
    elif ending == ".csv":
        from app.paper.csvfile import write_csv

        write_csv(tables, path)
    elif ending == ".json":
        from app.paper.csvfile import write_json

        write_json(tables, path)
    else:
        raise ValueError(
            _("{path}: expected a name that ends in .pdf, .xlsx, .csv or .json, found {ending!r}").format(
                path=path, ending=Path(path).suffix
            )
        )
    return ""


def bill(snapshot: Snapshot) -> tuple[Table, ...]:
    """Equipment to order and cable to order."""
    return _equipment_table(snapshot), _cable_table(snapshot)


# -- equipment ------------------------------------------------------------------------------------------------------
class _Article(NamedTuple):
    """What makes two pieces the same thing to order. `facts` is empty where a part number says it all."""

    kind: str
    maker: str
    part_number: str
    price: str
    facts: tuple[tuple[str, str], ...]


def _equipment_table(snapshot: Snapshot) -> Table:
    groups: dict[_Article, list[Equipment]] = defaultdict(list)
    for piece in snapshot.equipment.values():
        if piece.status == "new" and piece.pieces():
            facts = () if piece.part_number else tuple(_facts(piece).items())
            groups[_Article(piece.KIND, piece.maker, piece.part_number, _number(piece.price), facts)].append(piece)
    rows: list[tuple[Value, ...]] = []
    for article, ratings in _told_apart(groups).items():
        pieces = groups[article]
        quantity = sum(piece.pieces() for piece in pieces)
        price = pieces[0].price
        rows.append(
            (
                quantity,
                _(pieces[0].NAME),
                "; ".join(ratings),
                article.maker,
                article.part_number,
                _listed(f"{p.designation} {p.label}".strip() for p in pieces),
                price,
                None if price is None else round(price * quantity, 2),
            )
        )
    rows.sort(key=lambda row: [_natural(value) for value in row[1:6]])
    currency = snapshot.settings.currency
    columns = (
        Column("quantity", _("Quantity"), align="right"),
        Column("what", _("What")),
        Column("ratings", _("Ratings")),
        Column("maker", _("Maker")),
        Column("part_number", _("Part number")),
        Column("designations", _("Designations")),
        Column("price_each", _("Price each"), currency, "right", 2, blank=True),
        Column("price", _("Price"), currency, "right", 2, blank=True),
    )
    notes = [*_totals(rows, currency), *_left_out(snapshot.equipment.values())]
    return Table("equipment", _("Equipment to order"), columns, tuple(rows), tuple(notes))


def _told_apart(groups: dict[_Article, list[Equipment]]) -> dict[_Article, tuple[str, ...]]:
    """The ratings of every article; where two would read alike, the facts in which they differ are added."""
    alike: dict[tuple[Any, ...], list[_Article]] = defaultdict(list)
    for article, pieces in groups.items():
        alike[article[:4], _ratings(pieces)].append(article)
    made: dict[_Article, tuple[str, ...]] = {}
    for (_same, ratings), articles in alike.items():
        every = [dict(article.facts) for article in articles]
        names = [name for name in dict.fromkeys(n for facts in every for n in facts) if not _agree(every, name)]
        for article, facts in zip(articles, every, strict=True):
            made[article] = (*ratings, *(f"{name} {facts.get(name, _('not known'))}" for name in names))
    return made


def _agree(every: list[dict[str, str]], name: str) -> bool:
    return len({facts.get(name) for facts in every}) == 1


def _ratings(pieces: list[Equipment]) -> tuple[str, ...]:
    """What an order names: the kind's own words, then rated voltages and ignition protection."""
    unknown = _("not known")
    found = dict.fromkeys(part for piece in pieces for part in piece.article() if unknown not in part)
    for name in ("rated_dc_v", "rated_ac_v", "rated_bare_v", "ignition_protected"):
        for piece in pieces:
            facts = _facts(piece, (name,))
            found.update(dict.fromkeys(f"{label} {value}" for label, value in facts.items()))
    return tuple(found)


def _facts(piece: Equipment, names: tuple[str, ...] = ()) -> dict[str, str]:
    """What is known of a piece apart from where and how it is fitted, in words by the help's first phrase."""
    found = {}
    for spec in field_specs(type(piece)):
        if spec.name in names if names else not (spec.name in _FITTING or spec.fact.refers):
            said = _said(spec, getattr(piece, spec.name))
            if said:
                found[re.split("[:,] (?!DC|AC)", _(spec.fact.help))[0]] = said
    return found


def _said(spec: FieldSpec, value: Any) -> str:
    """One fact as words, `""` for what is not known or says nothing about the piece itself."""
    if value is None or value in ("", ()):
        return ""
    if spec.item is Breaking:
        return ", ".join(f"{show(b.amps, 'A')} at {show(b.volts, 'V')} {b.kind}" for b in value)
    if spec.shape == "number":
        return show(value, spec.fact.unit)
    if spec.shape == "yesno":
        return (_("yes") if value else _("no")) if spec.optional or value else ""
    if spec.shape == "words":
        return " ".join(value)
    if spec.shape in ("whole", "choice", "word"):
        return show_size(value) if spec.fact.unit == "size" else str(value)
    return ""  # records within the record: channels, hours


# -- cable ------------------------------------------------------------------------------------------------------------
class _Cable(NamedTuple):
    """What makes two lengths the same thing to order."""

    cable: str
    colour: str
    kind: str
    function: str
    maker: str
    part_number: str
    price: str  # as text, so that "not known" sorts too
    known: bool  # whether the length is known


class _Length(NamedTuple):
    run: Run
    length_m: float | None


def _cable_table(snapshot: Snapshot) -> Table:
    settings = snapshot.settings
    groups: dict[_Cable, list[_Length]] = defaultdict(list)
    for run in snapshot.runs.values():
        if run.status == "new":
            for cable, length in _lengths(run):
                groups[cable].append(_Length(run, length))
    rows: list[tuple[Value, ...]] = []
    unknown = 0
    for cable in sorted(groups, key=lambda c: tuple(_natural(str(part)) for part in c)):
        lengths = groups[cable]
        net = math.fsum(each.length_m for each in lengths if each.length_m is not None) if cable.known else None
        gross = None if net is None else _up(net * (1 + settings.waste_percent / 100), settings)
        price = lengths[0].run.price
        ordered_m = None if gross is None else gross * (_FOOT if settings.units == "US" else 1)
        unknown += 0 if cable.known else len({id(each.run) for each in lengths})
        rows.append(
            (
                cable.cable or _("size not known"),
                cable.colour,
                cable.kind,
                _(cable.function),
                cable.maker,
                cable.part_number,
                None if net is None else _up(net, settings),
                gross,
                _listed(each.run.designation for each in lengths),
                price,
                None if price is None or ordered_m is None else round(price * ordered_m, 2),
            )
        )
    unit = "ft" if settings.units == "US" else "m"
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
    notes.extend(_totals(rows, settings.currency))
    notes.extend(_left_out(snapshot.runs.values()))
    return Table("cable", _("Cable to order"), columns, tuple(rows), tuple(notes))


def _lengths(run: Run) -> Iterator[tuple[_Cable, float | None]]:
    """The cables of a run, each with the length it takes, m."""
    cores = run.conductors()
    colours = [part.strip() for part in re.split(r"[/,;+]| and ", run.colour) if part.strip()]
    length = None if run.length_m is None else run.length_m * run.parallel
    kind = ", ".join(
        part
        for part in (run.conductor, run.insulation, "" if run.insulation_c is None else show(run.insulation_c, "degC"))
        if part
    )

    def cable(text: str, colour: str, function: str) -> _Cable:
        return _Cable(
            text, colour, kind, _FUNCTIONS[function], run.maker, run.part_number, _number(run.price), length is not None
        )

    size = show_size(run.size) if run.size else ""
    singles = run.function == "dc pair" and run.sheath != "sheathed"
    if singles or (run.function == "ac" and run.sheath == "bare"):
        for n, core in enumerate(cores):
            colour = colours[n] if len(colours) == len(cores) else run.colour
            function = {"+": "dc positive", "-": "dc negative", "PE": "earth"}.get(core, "ac")
            own = show_size(run.earth_size) if core == "PE" and run.earth_size else size
            yield cable(own, colour, function), length
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
    length = length_m / _FOOT if settings.units == "US" else length_m
    return math.ceil(round(length * 10, 6)) / 10


# -- both -------------------------------------------------------------------------------------------------------------
def _totals(rows: Iterable[tuple[Value, ...]], currency: str) -> list[str]:
    """The sum of the last column, and how many lines are not in it."""
    every = [row[-1] for row in rows]
    if not every:
        return [_("Nothing is new: nothing to order.")]
    prices = [price for price in every if isinstance(price, (int, float))]
    without = len(every) - len(prices)
    if not prices:
        return [_("No line has a price.")]
    total = f"{math.fsum(prices):.2f} {currency}".strip()
    if not without:
        return [_("Total {total}; every line has a price.").format(total=total)]
    return [
        ngettext(
            "Total {total}; {n} line has no price and is not in it.",
            "Total {total}; {n} lines have no price and are not in it.",
            without,
        ).format(total=total, n=without)
    ]


def _left_out(records: Iterable[Any]) -> list[str]:
    """How many records have another status than new."""
    counts: dict[str, int] = defaultdict(int)
    for record in records:
        counts[record.status] += 1
    said = [
        f"{counts[status]} {_(words)}"
        for status, words in (
            ("existing", N_("existing")),
            ("to remove", N_("to remove")),
            ("by others", N_("by others")),
            ("spare", N_("spare")),
        )
        if counts[status]
    ]
    return [_("Not ordered: {counts}.").format(counts=", ".join(said))] if said else []


def _listed(names: Iterable[str]) -> str:
    """Names once each, F2 before F10."""
    return ", ".join(sorted({name for name in names if name}, key=_natural))


def _natural(value: Value) -> tuple[tuple[int, float, str], ...]:
    """A sorting key that reads numbers within text as numbers."""
    parts = re.findall(r"\d+|\D+", str(value))
    return tuple((0, float(p), "") if p.isdecimal() else (1, 0.0, p) for p in parts)


def _number(price: float | None) -> str:
    return "" if price is None else repr(price)
