"""Fuse links, holders and spares, from the equipment that is new.

A new fuse needs a holder of its class and rating unless it came with its equipment or the record says that it sits in
one. Whether the holder at a position in a panel or enclosure comes with that is not recorded: such a holder is in no
line, and told so. A fuse whose class has no name is called by what its note says of its form. A new holder needs its
link; a new switching module has the fuses of its own on it, and only their spares are ordered. Spares are a part of the
fitted fuses of each class and rating, at least so many; common practice, no source.
"""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Iterator
from fractions import Fraction
from typing import NamedTuple

from app.handover.parts.equipment import facts_of, form
from app.handover.parts.said import as_text, key, listed, name_of
from app.handover.parts.wanted import PartsWanted
from app.paper.table import Column, Table, Value
from engine.equipment.base import Equipment
from engine.equipment.protection.fuse import Fuse
from engine.equipment.protection.fuse_holder import FuseHolder
from engine.equipment.switching.switching_module import SwitchingModule
from engine.installation import Snapshot
from engine.units import number, plain_number
from engine.words import _, ngettext

__all__ = [
    "Holder",
    "Link",
    "Links",
    "called",
    "holder_code",
    "holder_table",
    "holders",
    "link_table",
    "links",
    "spares",
    "unsettled",
]


_USUAL = (PartsWanted().spare_percent, PartsWanted().spare_least)


class Link(NamedTuple):
    """What makes two fuse links the same thing to order. `""`: not known."""

    fuse_class: str
    rating_a: float | None
    ratings: str  # voltage and breaking capacity, in words
    maker: str
    part_number: str
    price: str
    form: str = ""  # of a class without a name, what its note says

    def known(self) -> bool:
        """Whether one can be ordered."""
        return bool(self.part_number) or self.rating_a is not None


class Links(NamedTuple):
    """How many of a link are equipment or come on it, how many go into new holders, how many are spares."""

    fitted: int
    in_holders: int
    spare: int
    names: str

    def order(self) -> int:
        """What is to be ordered beside the list of equipment."""
        return self.in_holders + self.spare


class Holder(NamedTuple):
    """A holder for a fuse of a class and rating. `None`, `""`: not known."""

    fuse_class: str
    rating_a: float | None
    form: str = ""  # of a class without a name, what its note says


class _Fitted(NamedTuple):
    link: Link
    many: int
    apart: bool  # it is no equipment of its own: it comes in no other line
    name: str


def _fitted(snapshot: Snapshot) -> Iterator[_Fitted]:
    """Every link that new equipment holds."""
    for piece in snapshot.equipment.values():
        if piece.status != "new":
            continue
        if isinstance(piece, Fuse):
            price = as_text(piece.price)
            link = Link(
                piece.fuse_class, piece.rating_a, _ratings(piece), piece.maker, piece.part_number, price, form(piece)
            )
            yield _Fitted(link, piece.quantity, False, name_of(piece))
        elif isinstance(piece, FuseHolder):  # its maker and part number are the holder's
            link = Link(piece.link_class, piece.link_a, _ratings(piece), "", "", "")
            yield _Fitted(link, piece.quantity, True, name_of(piece))
        elif isinstance(piece, SwitchingModule):
            for channel in piece.channels:
                if channel.fuse_a is not None:
                    link = Link("", channel.fuse_a, "", "", "", "")
                    yield _Fitted(link, piece.quantity, False, name_of(piece))


def _ratings(piece: Equipment) -> str:
    words = facts_of(piece, ("rated_dc_v", "rated_ac_v", "rated_bare_v", "breaking"))
    return "; ".join(f"{label} {value}" for label, value in words.items())


def spares(fitted: int, wanted: PartsWanted) -> int:
    """How many spare links of a class and rating of which so many are fitted."""
    if fitted <= 0:
        return 0
    share = Fraction(str(wanted.spare_percent)) * fitted / 100
    return max(wanted.spare_least, math.ceil(share))


def links(snapshot: Snapshot, wanted: PartsWanted) -> dict[Link, Links]:
    """Every link new equipment holds, with its spares, by class and rating. Of unknown rating there are no spares."""
    groups: dict[Link, list[_Fitted]] = defaultdict(list)
    for each in _fitted(snapshot):
        groups[each.link].append(each)
    made = {}
    for link in sorted(groups, key=lambda k: (k.fuse_class == "", k.fuse_class, _amps(k.rating_a), *map(key, k[2:]))):
        fitted = sum(each.many for each in groups[link] if not each.apart)
        apart = sum(each.many for each in groups[link] if each.apart)
        spare = spares(fitted + apart, wanted) if link.known() else 0
        made[link] = Links(fitted, apart, spare, listed(each.name for each in groups[link]))
    return made


def _amps(rating_a: float | None) -> float:
    return math.inf if rating_a is None else rating_a


def holders(snapshot: Snapshot) -> tuple[dict[Holder, tuple[int, str]], dict[str, str]]:
    """Holders to order with what they are for; and of the fuses that need none, why -> which.

    Those at a position in a panel are in neither: `unsettled` has them.
    """
    groups: dict[Holder, list[Fuse]] = defaultdict(list)
    none: dict[str, list[str]] = defaultdict(list)
    for piece in snapshot.equipment.values():
        if not isinstance(piece, Fuse) or piece.status != "new":
            continue
        if piece.supplied_with_equipment:
            none[_("came with the equipment they serve")].append(name_of(piece))
        elif piece.holder_a is not None:
            none[_("sit in a holder, as recorded")].append(name_of(piece))
        elif not (piece.position and piece.enclosure in snapshot.enclosures):
            groups[Holder(piece.fuse_class, piece.rating_a, form(piece))].append(piece)
    order = sorted(groups, key=lambda h: (h.fuse_class == "", h.fuse_class, _amps(h.rating_a), h.form))
    found = {h: (sum(piece.quantity for piece in groups[h]), listed(map(name_of, groups[h]))) for h in order}
    return found, {why: listed(names) for why, names in sorted(none.items())}


def unsettled(snapshot: Snapshot) -> tuple[tuple[str, tuple[str, ...]], ...]:
    """Panels and boxes that new equipment stands in, each with the new fuses whose holders no line has.

    The drawing does not record whether an enclosure is bought or aboard, nor what it comes with.
    """
    found: dict[str, list[str]] = {}
    for piece in snapshot.equipment.values():
        if piece.status == "new" and piece.enclosure in snapshot.enclosures:
            here = found.setdefault(piece.enclosure, [])
            alone = isinstance(piece, Fuse) and piece.holder_a is None and not piece.supplied_with_equipment
            if alone and piece.position:
                here.append(name_of(piece))
    named = [(snapshot.name(item), tuple(sorted(here, key=key))) for item, here in found.items()]
    return tuple(sorted(named, key=lambda pair: key(pair[0])))


def holder_code(holder: Holder) -> str:
    """What a price list may call it: HOLDER-CLASST-300A; `""` where class or rating is not known."""
    if not holder.fuse_class or holder.fuse_class == "other" or holder.rating_a is None:
        return ""
    form = "".join(holder.fuse_class.partition(" ISO")[0].split())  # without the standard's number
    return f"HOLDER-{form}-{plain_number(holder.rating_a)}A".upper()


def holder_table(snapshot: Snapshot) -> Table:
    """Fuse holders to order."""
    found, none = holders(snapshot)
    rows: list[tuple[Value, ...]] = [
        (count, called(holder) or None, holder.rating_a, holder_code(holder), names)
        for holder, (count, names) in found.items()
    ]
    columns = (
        Column("quantity", _("Quantity"), align="right"),
        Column("fuse_class", _("For fuses of")),
        Column("rating_a", _("Rating"), "A", "right"),
        Column("code", _("Code of this bill")),
        Column("fuses", _("Fuses")),
    )
    notes = [_("A new fuse needs a holder of its class unless the drawing says that it sits in one.")]
    if not rows:
        notes.insert(0, _("No holder is to be ordered."))
    for why, names in none.items():
        notes.append(_("No holder is ordered for those that {why}: {names}.").format(why=why, names=names))
    gaps = [f"{name} ({', '.join(fuses)})" for name, fuses in unsettled(snapshot) if fuses]
    if gaps:
        notes.append(
            _(
                "In no line: holders at a position in {names}. Whether they come with the enclosure or are to be "
                "bought is not recorded."
            ).format(names="; ".join(gaps))
        )
    unknown = sum(
        count for holder, (count, _names) in found.items() if not holder.fuse_class or holder.rating_a is None
    )
    if unknown:
        notes.append(
            ngettext(
                "Of {n} holder the class or rating is not known.",
                "Of {n} holders the class or rating is not known.",
                unknown,
            ).format(n=unknown)
        )
    return Table("holders", _("Fuse holders to order"), columns, tuple(rows), tuple(notes))


def link_table(snapshot: Snapshot, wanted: PartsWanted) -> Table:
    """Links for new holders, and spares."""
    found = links(snapshot, wanted)
    rows: list[tuple[Value, ...]] = [
        (
            many.order() if link.known() else None,
            called(link) or None,
            link.rating_a,
            link.ratings,
            link.maker,
            link.part_number,
            many.fitted,
            many.in_holders,
            many.spare if link.known() else None,
            many.names,
        )
        for link, many in found.items()
    ]
    columns = (
        Column("quantity", _("To order"), align="right"),
        Column("fuse_class", _("Class")),
        Column("rating_a", _("Rating"), "A", "right"),
        Column("ratings", _("Ratings")),
        Column("maker", _("Maker")),
        Column("part_number", _("Part number")),
        Column("fitted", _("Fitted new"), align="right"),
        Column("in_holders", _("For new holders"), align="right"),
        Column("spare", _("Spare"), align="right"),
        Column("where", _("Where")),
    )
    percent, least = wanted.spare_percent, wanted.spare_least
    notes = [
        _(
            "Spares of each class and rating: {percent:g} % of what is new, rounded up, at least {least} ({source}). "
            "What stands in the list of equipment is not counted again."
        ).format(
            percent=percent,
            least=least,
            source=_("common practice, no source") if (percent, least) == _USUAL else _("as asked for"),
        )
    ]
    if not rows:
        notes.insert(0, _("No fuse is new: no links and no spares to order."))
    aboard = _aboard(snapshot)
    if aboard:
        notes.append(
            _(
                "No spares are ordered here of the fuses that are aboard already: {names}. Whether spares of them are "
                "aboard is not recorded: count them, and buy what is missing."
            ).format(names=aboard)
        )
    unknown = sum(many.in_holders + many.fitted for link, many in found.items() if not link.known())
    if unknown:
        notes.append(
            ngettext(
                "Of {n} link the rating is not known: neither it nor its spares can be ordered.",
                "Of {n} links the rating is not known: neither they nor their spares can be ordered.",
                unknown,
            ).format(n=unknown)
        )
    return Table("links", _("Fuse links and spares to order"), columns, tuple(rows), tuple(notes))


def called(article: Link | Holder) -> str:
    """The class in words; of one without a name what its note says of its form. `""`: not known."""
    return article.form or (_(article.fuse_class) if article.fuse_class else "")


def _aboard(snapshot: Snapshot) -> str:
    """Fuses of known rating that stay and are not new, by class and rating: `blade ISO 8820-3 15 A (F13)`."""
    groups: dict[str, list[str]] = defaultdict(list)
    for piece in snapshot.equipment.values():
        if isinstance(piece, Fuse) and piece.status == "existing" and piece.rating_a is not None:
            kind = form(piece) or (_(piece.fuse_class) if piece.fuse_class else _("class not known"))
            groups[f"{kind} {number(piece.rating_a)} A"].append(name_of(piece))
    return "; ".join(f"{what} ({listed(names)})" for what, names in sorted(groups.items(), key=lambda p: key(p[0])))
