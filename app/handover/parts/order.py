"""Every line of the order in one list: equipment, cable, what goes on its ends, holders, links, spares, labels."""

from __future__ import annotations

from collections.abc import Sequence
from decimal import Decimal
from typing import NamedTuple

from app.handover.labels.signs import Sign
from app.handover.parts.cable import cable_code, cables, length_unit
from app.handover.parts.ends import code, lugs, shrink_mm, sleeve_code, sleeves
from app.handover.parts.equipment import ordered
from app.handover.parts.fuses import called, holder_code, holders, links, unsettled
from app.handover.parts.labels import labels
from app.handover.parts.wanted import PartsWanted
from engine.installation import Snapshot
from engine.units import number, show, show_size
from engine.words import N_, _

__all__ = ["SECTIONS", "Line", "lines"]

# the order of the lines, and what their part is called
SECTIONS: dict[str, str] = {
    "equipment": N_("Equipment"),
    "cable": N_("Cable"),
    "ends": N_("Lugs and heat-shrink"),
    "fuses": N_("Fuse holders, links and spares"),
    "labels": N_("Labels"),
}


_MOST = 1e12  # a figure beyond is a slip of the pen


class Line(NamedTuple):
    """Something to be bought. `quantity`: `None` where it is not known; `unit`: pc, m or ft.

    `price` is what the drawing records for one piece or one metre. `code` is the bill's own where the drawing has no
    part number; either may be `""`.
    """

    section: str
    quantity: Decimal | None
    unit: str
    what: str
    maker: str = ""
    part_number: str = ""
    code: str = ""
    price: Decimal | None = None
    unknown: str = ""  # why it cannot be ordered as it stands

    def key(self) -> str:
        """What a price list has it under."""
        return self.part_number or self.code


def lines(snapshot: Snapshot, wanted: PartsWanted, signs: Sequence[Sign] = ()) -> tuple[Line, ...]:
    """Every line, in the order of the bill."""
    return (
        *_equipment(snapshot),
        *_enclosures(snapshot),
        *_cable(snapshot),
        *_ends(snapshot, wanted),
        *_fuses(snapshot, wanted),
        *(Line("labels", Decimal(each.many), "pc", each.what, code=each.code) for each in labels(snapshot, signs)),
    )


def _exact(value: float | None) -> Decimal | None:
    """The number a person typed: 12.1 is 12.1, not what binary makes of it. `None` for what nobody buys or pays."""
    return Decimal(repr(value)) if value is not None and 0 <= value <= _MOST else None


def _joined(*parts: str) -> str:
    return ", ".join(part for part in parts if part)


def _equipment(snapshot: Snapshot) -> list[Line]:
    return [
        Line(
            "equipment", Decimal(each.quantity), "pc", _joined(each.what, *each.ratings),
            each.article.maker, each.article.part_number, price=_exact(each.price),
        )
        for each in ordered(snapshot)
    ]  # fmt: skip


def _enclosures(snapshot: Snapshot) -> list[Line]:
    """Panels and boxes, and the holders in them, that the drawing says nothing of: named, so that none is forgotten."""
    why = _("the drawing does not record whether it is bought")
    return [
        Line(
            "equipment", None, "pc",
            _joined(
                _("Enclosure {name}").format(name=name),
                _("fuse holders for {fuses}").format(fuses=", ".join(fuses)) if fuses else "",
            ),
            unknown=why,
        )
        for name, fuses in unsettled(snapshot)
    ]  # fmt: skip


def _cable(snapshot: Snapshot) -> list[Line]:
    unit = length_unit(snapshot.settings)
    made = []
    for each in cables(snapshot):
        cable = each.cable
        size = _("size not known") if not cable.cable else ""
        length = _("length not known") if each.gross is None else ""
        what = _joined(_("Cable {size}").format(size=each.size()), cable.colour, cable.kind, _(cable.function))
        if each.names() and (size or length):
            what = _joined(what, each.names())
        made.append(
            Line(
                "cable", _exact(each.gross), unit, what, cable.maker, cable.part_number, cable_code(cable),
                _exact(each.price), _joined(size, length),
            )
        )  # fmt: skip
    return made


def _ends(snapshot: Snapshot, wanted: PartsWanted) -> list[Line]:
    made = []
    for lug, (count, _runs) in lugs(snapshot).items():
        size = show_size(lug.size) if lug.size else _("size not known")
        stud = _("for stud {stud}").format(stud=lug.stud) if lug.stud else ""
        what = _joined(_("Lug for {size}").format(size=size), stud, lug.fitting)
        unknown = "" if lug.known() else _("stud and fitting, or size, not known")
        made.append(Line("ends", Decimal(count), "pc", what, code=code(lug), unknown=unknown))
    for sleeve, count in sleeves(snapshot).items():
        each_mm = Decimal(repr(shrink_mm(sleeve.size, wanted)))
        what = _joined(_("Heat-shrink for {size}").format(size=show_size(sleeve.size)), sleeve.colour)
        what = _joined(what, _("{mm} mm on each of {n} lugs").format(mm=number(float(each_mm)), n=count))
        made.append(Line("ends", (each_mm * count / 1000).normalize(), "m", what, code=sleeve_code(sleeve)))
    return made


def _fuses(snapshot: Snapshot, wanted: PartsWanted) -> list[Line]:
    made = []
    for holder, (count, names) in holders(snapshot)[0].items():
        what = _joined(
            _("Fuse holder, {fuse_class}").format(fuse_class=called(holder) or _("class not known")),
            show(holder.rating_a, "A"),
            names,
        )
        unknown = "" if holder.fuse_class and holder.rating_a is not None else _("class or rating not known")
        made.append(Line("fuses", Decimal(count), "pc", what, code=holder_code(holder), unknown=unknown))
    for link, many in links(snapshot, wanted).items():
        what = _joined(called(link) or _("class not known"), show(link.rating_a, "A"), link.ratings)
        price = _exact(float(link.price)) if link.price else None
        if not link.known():
            # of a fuse that is equipment the equipment's own line is enough
            if many.in_holders:
                told = _joined(_("Fuse link"), what, many.names)
                made.append(Line("fuses", Decimal(many.in_holders), "pc", told, unknown=_("rating not known")))
            continue
        if many.in_holders:
            told = _joined(_("Fuse link"), what)
            made.append(Line("fuses", Decimal(many.in_holders), "pc", told, link.maker, link.part_number, price=price))
        if many.spare:
            told = _joined(_("Spare fuse"), what)
            made.append(Line("fuses", Decimal(many.spare), "pc", told, link.maker, link.part_number, price=price))
    return made
