"""The tables of the cards: each panel by position, the main disconnects, how switches stand in each condition."""

from __future__ import annotations

from typing import NamedTuple

from app.handover.panel_door.card import plain
from app.handover.panel_door.mains import Main
from app.handover.panel_door.names import few, name, rating, said, short
from app.handover.panel_door.net import Join, Joins, essential_of, live_net
from app.paper.table import Column, Table
from engine.circuit.flow.operating import positions_in
from engine.installation.model import Snapshot
from engine.naming import natural
from engine.words import _

__all__ = ["Conditions", "Panel", "Position", "conditions", "conditions_table", "mains_table", "panel_table", "panels"]

_PANEL_ROLES = ("protection", "switch")


class Position(NamedTuple):
    """What stands at one position of a panel. `essential`: yes, no, not known or no load behind it."""

    position: str
    legend: str
    device: str
    rating: str
    feeds: str
    essential: bool | None
    item: str = ""  # "" where nothing is fitted
    unsaid: bool = False  # it has loads, and whether one is essential is not recorded


class Panel(NamedTuple):
    """An enclosure with its positions; `unplaced`: devices in it whose position is not recorded."""

    enclosure: str
    title: str
    positions: tuple[Position, ...]
    unplaced: tuple[str, ...]


class Conditions(NamedTuple):
    """Operating conditions by id, and rows of what does not stand alike in all: (what, where in each)."""

    order: tuple[str, ...]
    rows: tuple[tuple[str, tuple[str, ...]], ...]
    alike: bool  # nothing differs


def panels(snapshot: Snapshot, chosen: str = "") -> tuple[Panel, ...]:
    """Every enclosure by name; those called `chosen` where that is named."""
    made = []
    joins = live_net(snapshot)
    for item, record in sorted(snapshot.enclosures.items(), key=lambda e: (natural(e[1].name), e[1].name)):
        if chosen and plain(record.name).casefold() != plain(chosen).casefold():
            continue
        made.append(_panel(snapshot, joins, item))
    return tuple(made)


def _panel(snapshot: Snapshot, joins: Joins, enclosure: str) -> Panel:
    record = snapshot.enclosures[enclosure]
    legends = {plain(each.position): each for each in record.legend}
    fitted: dict[str, list[str]] = {}
    unplaced = []
    for item, each in snapshot.equipment.items():
        if each.enclosure != enclosure:
            continue
        if plain(each.position):
            fitted.setdefault(plain(each.position), []).append(item)
        elif each.ROLE in _PANEL_ROLES and each.status != "to remove":
            unplaced.append(item)
    rows = []
    for position in sorted({*legends, *fitted}, key=lambda p: (natural(p), p)):
        legend = legends.get(position)
        text = plain(legend.text) if legend is not None else ""
        for item in sorted(fitted.get(position, []), key=lambda i: natural(snapshot.name(i))):
            rows.append(_position(snapshot, joins, position, text, item))
        if position not in fitted:
            spare = legend is not None and legend.spare
            told = _("nothing fitted") if spare else _("what is fitted is not recorded")
            rows.append(Position(position, text, "", "", told, None))
    title = short(record.name)
    place = snapshot.places.get(record.place)
    if place is not None and plain(place.name):
        title = f"{title}, {short(place.name)}"
    by_name = sorted(unplaced, key=lambda i: natural(snapshot.name(i)))
    return Panel(enclosure, title, tuple(rows), tuple(by_name))


def _position(snapshot: Snapshot, joins: Joins, position: str, legend: str, item: str) -> Position:
    record = snapshot.equipment[item]
    legend = legend or plain(record.marking) or plain(record.label)
    device = short(record.designation)
    if record.status == "to remove":
        return Position(position, legend, device, "", _("to be removed"), None, item)
    feeds, loads = _feeds(snapshot, joins, item)
    if record.status == "spare":
        feeds = _("spare")
    needed = essential_of(snapshot.equipment, loads)
    return Position(position, legend, device, rating(record), feeds, needed, item, bool(loads) and needed is None)


def _feeds(snapshot: Snapshot, joins: Joins, item: str) -> tuple[str, list[str]]:
    """What hangs behind a device, in words and as loads; between two supplied sides, what is next on each."""
    equipment = snapshot.equipment
    ends = joins.get(item, [])
    sides: list[tuple[list[str], bool]] = []
    seen = {item}
    for join in ends:
        if join.item not in seen:
            sides.append(_side(snapshot, joins, join, seen))
    behind = [part for part, supplied in sides if not supplied]
    if behind and len(ends) > 1:
        buses = [i for part in behind for i in part if equipment[i].ROLE == "bus"]
        loads = [i for part in behind for i in part if equipment[i].use() is not None]
        if buses:
            return few(snapshot, buses, 3), loads
        return (few(snapshot, loads, 6) if loads else _("nothing connected")), loads
    near = list(dict.fromkeys(_nearest(snapshot, joins, join, item) for join in ends))
    if len(near) > 1:
        return _("between {one} and {other}").format(one=said(snapshot, near[0]), other=few(snapshot, near[1:], 3)), []
    return _("nothing connected"), []


def _side(snapshot: Snapshot, joins: Joins, first: Join, seen: set[str]) -> tuple[list[str], bool]:
    """What is joined to one side of a device, and whether something there supplies it."""
    supplied = False
    seen.add(first.item)
    part = [first.item]
    enters = [first.there]
    for at, enter in zip(part, enters, strict=False):  # both grow
        record = snapshot.equipment[at]
        made = {c.target for c in record.conversions()} | {c.source for c in record.conversions() if c.both_ways}
        made |= {t for c in record.contacts() if record.conversions() for t in (c.a, c.b)}
        if record.ROLE == "source" or enter in made:
            supplied = True
        for onward in joins[at]:
            if onward.item not in seen:
                seen.add(onward.item)
                part.append(onward.item)
                enters.append(onward.there)
    return part, supplied


def _nearest(snapshot: Snapshot, joins: Joins, first: Join, item: str) -> str:
    """The first bus, source or converter to that side of a device; where there is none, what is next to it."""
    seen = {item, first.item}
    part = [first.item]
    for at in part:
        if snapshot.equipment[at].ROLE in ("source", "converter", "bus"):
            return at
        for onward in joins[at]:
            if onward.item not in seen:
                seen.add(onward.item)
                part.append(onward.item)
    return first.item


def panel_table(panel: Panel, number: int) -> Table:
    """A panel as a table for other programs."""
    return Table(
        f"panel_{number}",
        panel.title,
        (
            Column("position", _("Position")),
            Column("legend", _("Legend")),
            Column("device", _("Device")),
            Column("rating", _("Rating")),
            Column("feeds", _("Feeds")),
            Column("essential", _("Essential")),
        ),
        tuple((p.position, p.legend, p.device, p.rating, p.feeds, p.essential) for p in panel.positions),
    )


# -- main disconnects -----------------------------------------------------------------------------------------------
def parted(snapshot: Snapshot, main: Main) -> str:
    """What a main disconnect parts, in a sentence: sources from buses where there are such."""
    equipment = snapshot.equipment
    near = [i for i in main.near if equipment[i].ROLE == "source"] or list(main.near)
    far = [i for i in main.far if equipment[i].ROLE != "source"] or list(main.far)
    if not far:
        return _("cuts off {near}").format(near=few(snapshot, near, 3))
    return _("cuts {near} off from {far}").format(near=few(snapshot, near, 3), far=few(snapshot, far, 3))


def mains_table(snapshot: Snapshot, found: tuple[Main, ...]) -> Table:
    """Main disconnects as a table for other programs."""
    from app.figures.order_report import where

    return Table(
        "main_disconnects",
        _("Main disconnects"),
        (
            Column("number", _("No.")),
            Column("marking", _("Marking")),
            Column("device", _("Device")),
            Column("where", _("Where")),
            Column("off", _("Off is")),
            Column("parts", _("What it does")),
        ),
        tuple(
            (
                main.number,
                name(snapshot, main.item),
                plain(snapshot.equipment[main.item].designation),
                where(snapshot, main.item) or None,
                main.position,
                parted(snapshot, main),
            )
            for main in found
        ),
    )


# -- operating conditions -------------------------------------------------------------------------------------------
def conditions(snapshot: Snapshot) -> Conditions:
    """What stands differently from one condition of use to another; stages of the work are left out."""
    order = tuple(
        item
        for item, record in sorted(
            snapshot.conditions.items(), key=lambda c: (c[1].order, natural(c[1].name), natural(c[0]))
        )
        if not record.work_stage
    )
    stands = [positions_in(snapshot, item) for item in order]
    rows: list[tuple[str, tuple[str, ...]]] = []
    every = sorted({item for each in stands for item in each}, key=lambda i: natural(snapshot.name(i)))
    for item in every:
        record = snapshot.equipment[item]
        if record.CLOSES_ON_NEED:
            continue  # of a float switch: nobody puts it where it stands
        told = tuple(each.get(item, "") for each in stands)
        if len(set(told)) > 1:
            rows.append((_called(snapshot, item), tuple(_(t) for t in told)))
    running = [set(snapshot.conditions[item].running) & set(snapshot.equipment) for item in order]
    for item in sorted(set().union(*running), key=lambda i: natural(snapshot.name(i))):
        plug = snapshot.equipment[item].ashore() is not None
        on, off = (_("plugged in"), _("unplugged")) if plug else (_("runs"), _("stopped"))
        told = tuple(on if item in each else off for each in running)
        if len(set(told)) > 1:
            rows.append((_called(snapshot, item), told))
    return Conditions(order, tuple(rows), not rows)


def _called(snapshot: Snapshot, item: str) -> str:
    """Marking and designation; whether it goes, since until then somebody still works it."""
    record = snapshot.equipment[item]
    what, own = name(snapshot, item), short(record.designation)
    called = what if what == own or not own else f"{what} ({own})"
    return _("{name}, to be removed").format(name=called) if record.status == "to remove" else called


def conditions_table(snapshot: Snapshot, of: Conditions) -> Table:
    """Conditions as a table for other programs."""
    return Table(
        "operating_conditions",
        _("Operating conditions"),
        (
            Column("switch", _("Switch or source")),
            *(Column(f"condition_{n}", plain(snapshot.conditions[item].name)) for n, item in enumerate(of.order, 1)),
        ),
        tuple((what, *told) for what, told in of.rows),
    )


def label_of(snapshot: Snapshot, item: str) -> str:
    """What is read on a card for a device that has no position."""
    return f"{said(snapshot, item)} ({short(snapshot.equipment[item].designation)})"
