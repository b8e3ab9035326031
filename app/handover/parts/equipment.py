"""Equipment to order: only what has the status *new*.

Equipment with the same maker and part number is one line; without a part number, equipment of one kind with the same
ratings is. Trade practice, no source.
"""

from __future__ import annotations

import re
from collections import defaultdict
from typing import Any, NamedTuple

from app.handover.parts.said import as_text, key, left_out, listed, totals
from app.paper.table import Column, Table, Value
from engine.equipment.base import Breaking, Equipment
from engine.installation import Snapshot
from engine.record import FieldSpec, field_specs
from engine.units import show, show_size
from engine.words import _

__all__ = ["Article", "Ordered", "article_of", "equipment_table", "facts_of", "form", "ordered"]

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


class Article(NamedTuple):
    """What makes two pieces the same thing to order. `facts` is empty where a part number says it all."""

    kind: str
    maker: str
    part_number: str
    price: str
    facts: tuple[tuple[str, str], ...]


class Ordered(NamedTuple):
    """A line of the order: so many of one article. `pieces`: the equipment it is for."""

    article: Article
    what: str
    ratings: tuple[str, ...]
    quantity: int
    price: float | None  # each
    pieces: tuple[Equipment, ...]

    def names(self) -> str:
        """Designations and labels of what it is for."""
        return listed(f"{p.designation} {p.label}".strip() for p in self.pieces)


def article_of(piece: Equipment) -> Article:
    """What is to be bought for a piece."""
    facts = () if piece.part_number else tuple(facts_of(piece).items())
    if facts and form(piece):
        facts = (*facts, (_("form"), form(piece)))
    return Article(piece.KIND, piece.maker, piece.part_number, as_text(piece.price), facts)


def form(piece: Equipment) -> str:
    """What tells a fuse of no named class apart: its note. `""` for all else, and where nothing is noted."""
    return " ".join(piece.note.split()) if getattr(piece, "fuse_class", "") == "other" else ""


def ordered(snapshot: Snapshot) -> tuple[Ordered, ...]:
    """What is new, alike together."""
    groups: dict[Article, list[Equipment]] = defaultdict(list)
    for piece in snapshot.equipment.values():
        if piece.status == "new" and piece.pieces():
            groups[article_of(piece)].append(piece)
    made = []
    for article, ratings in _told_apart(groups).items():
        pieces = tuple(groups[article])
        quantity = sum(piece.pieces() for piece in pieces)
        made.append(Ordered(article, _(pieces[0].NAME), ratings, quantity, pieces[0].price, pieces))
    return tuple(sorted(made, key=_order))


def _order(line: Ordered) -> list[Any]:
    article = line.article
    return [
        key(part) for part in (line.what, "; ".join(line.ratings), article.maker, article.part_number, line.names())
    ]


def equipment_table(snapshot: Snapshot) -> Table:
    """Equipment to order."""
    currency = snapshot.settings.currency
    rows: list[tuple[Value, ...]] = [
        (
            line.quantity,
            line.what,
            "; ".join(line.ratings),
            line.article.maker,
            line.article.part_number,
            line.names(),
            line.price,
            None if line.price is None else round(line.price * line.quantity, 2),
        )
        for line in ordered(snapshot)
    ]
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
    notes = [*totals(rows, currency), *left_out(snapshot.equipment.values())]
    boxes = listed(
        snapshot.enclosures[piece.enclosure].name
        for piece in snapshot.equipment.values()
        if piece.status == "new" and piece.enclosure in snapshot.enclosures
    )
    if boxes:
        notes.append(
            _(
                "In no line: the enclosures that new equipment stands in, {names}. Whether they are aboard or to be "
                "bought is not recorded."
            ).format(names=boxes)
        )
    return Table("equipment", _("Equipment to order"), columns, tuple(rows), tuple(notes))


def _told_apart(groups: dict[Article, list[Equipment]]) -> dict[Article, tuple[str, ...]]:
    """The ratings of every article; where two would read alike, the facts in which they differ are added."""
    alike: dict[tuple[Any, ...], list[Article]] = defaultdict(list)
    for article, pieces in groups.items():
        alike[article[:4], _ratings(pieces)].append(article)
    made: dict[Article, tuple[str, ...]] = {}
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
    found.update(dict.fromkeys(form(piece) for piece in pieces if form(piece)))
    for name in ("rated_dc_v", "rated_ac_v", "rated_bare_v", "ignition_protected"):
        for piece in pieces:
            facts = facts_of(piece, (name,))
            found.update(dict.fromkeys(f"{label} {value}" for label, value in facts.items()))
    return tuple(found)


def facts_of(piece: Equipment, names: tuple[str, ...] = ()) -> dict[str, str]:
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
