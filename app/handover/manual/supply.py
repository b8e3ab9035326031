"""What feeds her: systems and sources, main disconnects, what to do in an emergency, shore power."""

from __future__ import annotations

from collections.abc import Iterator

from app.handover.manual.words import and_where, figure, items, known_by
from app.handover.panel_door.mains import all_off
from app.handover.panel_door.names import few
from app.handover.panel_door.steps import emergency, still_live
from app.handover.schedules.aboard import Aboard
from app.handover.schedules.systems import of_lines, system_key, system_name
from app.paper.blocks import Block, Gap, Heading, Paragraph, Points
from app.paper.table import Column, Table, Value
from engine.equipment.base import LIVE, Source
from engine.words import _

__all__ = ["disconnects", "in_an_emergency", "shore", "systems"]


def systems(aboard: Aboard) -> Iterator[Block]:
    """Voltages, and what gives each."""
    made: dict[tuple[str, tuple[float, ...]], dict[str, list[Source]]] = {}
    lines: dict[tuple[str, str], set[str]] = {}
    nodes = aboard.study.circuit.nodes
    for feed in aboard.study.circuit.feeds:
        lines.setdefault((feed.equipment, feed.source.terminal), set()).add(nodes[feed.node].conductor)
    for feed in aboard.study.circuit.feeds:
        if nodes[feed.node].conductor in LIVE:
            count = len(lines[feed.equipment, feed.source.terminal] & set(LIVE))
            system = of_lines(aboard.zones.system(feed.node), count)
            made.setdefault(system, {}).setdefault(feed.equipment, []).append(feed.source)
    title = _("Systems and what feeds them")
    if not made:
        yield Heading(title)
        yield Gap(_("No source of energy is drawn: which systems she has is not known."))
        return
    rows: list[tuple[Value, ...]] = []
    for system in sorted(made, key=system_key):
        for item in aboard.sorted(made[system]):
            record = aboard.snapshot.equipment[item]
            rows.append(
                (
                    system_name(*system),
                    known_by(aboard, item),
                    record.label or _(record.NAME),
                    _frequency(made[system][item]),
                    aboard.where(record),
                )
            )
    columns = (
        Column("system", _("System"), width=34),
        Column("source", _("Fed by"), width=46),
        Column("what", _("What it is"), width=46),
        Column("frequency", _("Frequency"), width=24),
        Column("where", _("Stands in"), width=46),
    )
    kept = columns if any(row[3] != _("n/a") for row in rows) else (*columns[:3], columns[4])
    cut = [tuple(row[columns.index(c)] for c in kept) for row in rows]
    yield Table("systems", title, kept, tuple(cut), tuple(_earthing(aboard)))


def _frequency(sources: list[Source]) -> Value:
    if sources[0].system != "ac":
        return _("n/a")
    found = next((s.frequency_hz for s in sources if s.frequency_hz is not None), None)
    return None if found is None else figure(found, "Hz")


def _earthing(aboard: Aboard) -> Iterator[str]:
    """Where negative and earth meet."""
    grounds = [i for i, record in aboard.snapshot.equipment.items() if record.is_ground() is True]
    if grounds:
        yield _("DC negative and earth meet at {items}.").format(items=items(aboard, grounds))
    elif any(feed.source.system == "dc" for feed in aboard.study.circuit.feeds):
        yield _("Where DC negative and earth meet is not drawn.")


# -- switching off ---------------------------------------------------------------------------------------------------
def disconnects(aboard: Aboard) -> Iterator[Block]:
    """Where the main disconnects are and what each cuts off."""
    found = aboard.mains
    title = _("Main disconnects")
    if not found:
        yield Heading(title)
        yield Gap(_("The drawing shows no switch that cuts a source off. Ask an electrician how she is made dead."))
        return
    rows: list[tuple[Value, ...]] = [
        (
            main.number,
            known_by(aboard, main.item),
            aboard.where(aboard.snapshot.equipment[main.item]),
            _(main.position),
            few(aboard.snapshot, main.near, 4),
            few(aboard.snapshot, main.far, 4) if main.far else _("loads only"),
        )
        for main in found
    ]
    columns = (
        Column("number", _("No."), "", "right"),
        Column("switch", _("Switch"), width=40),
        Column("where", _("Stands in"), width=42),
        Column("position", _("Off in"), width=22),
        Column("near", _("Parts"), width=40),
        Column("far", _("from"), width=40),
    )
    yield Table("disconnects", title, columns, tuple(rows))


def in_an_emergency(aboard: Aboard) -> Iterator[Block]:
    """Fire, smoke, water: everything off, in order."""
    yield Heading(_("In an emergency: fire, smoke, water over the boards"))
    found = all_off(aboard.study, aboard.mains)
    if found is None:
        yield Gap(_("From the drawing it cannot be told how everything is cut off."))
        return
    for n, step in enumerate(emergency(aboard.study, found), 1):
        about = "; ".join(text for text in step.about if text)
        yield Paragraph(f"{n}. {step.deed}" + (f" ({about})" if about else ""), bold=True)
    left = tuple(still_live(aboard.study, found))
    if left:
        yield Paragraph(_("Still live after that, by intent or not:"), bold=True)
        yield Points(left)
    if found.remains:
        yield Paragraph(
            _("Nothing drawn cuts these sources off: {items}.").format(items=items(aboard, found.remains)), bold=True
        )
    yield Paragraph(
        _(
            "A battery cannot be switched off inside: its terminals stay live whatever the switches say. Fight an "
            "electrical fire with powder or carbon dioxide, not with water (common practice, no source)."
        )
    )


# -- shore -----------------------------------------------------------------------------------------------------------
def shore(aboard: Aboard) -> Iterator[Block]:
    """How the cord is connected and taken away."""
    equipment = aboard.snapshot.equipment
    found = [i for i, r in equipment.items() if r.ashore() is not None]
    yield Heading(_("Shore power"))
    if not found:
        yield Paragraph(_("No shore supply is drawn."))
        return
    inlets = [i for i in found if (at := equipment[i].ashore()) is not None and at.inlet]
    supplies = [i for i in found if i not in inlets]
    told = [and_where(aboard, item) + _rated(aboard, item) for item in aboard.sorted(inlets)]
    told += [
        _("{supply}, ashore, as drawn: {rating}").format(
            supply=known_by(aboard, item), rating=_rated(aboard, item).strip(" ,")
        )
        for item in aboard.sorted(supplies)
        if _rated(aboard, item)
    ]
    told += _too_large(aboard, inlets)
    if told:
        yield Points(tuple(told))
    if not inlets:
        yield Gap(_("The boat's shore inlet is not drawn."))
    devices = _shore_switches(aboard, found)
    off = _("Switch off {items}.").format(items=items(aboard, devices)) if devices else _("Switch off the shore main.")
    on = _("Switch on {items}.").format(items=items(aboard, devices)) if devices else _("Switch on the shore main.")
    polarity = [i for i, r in equipment.items() if r.shows_polarity()]
    yield Paragraph(_("To connect:"), bold=True)
    yield Points(
        (
            _("Look at cord, plugs and inlet: nothing burnt, cracked, wet or bent. Volts and hertz must be hers."),
            off,
            _("Plug the cord into the boat first, then into the shore. Close covers and rings; let it hang slack."),
            _polarity(aboard, polarity),
            on,
        )
    )
    yield Paragraph(_("To disconnect:"), bold=True)
    yield Points(
        (
            off,
            _("Pull the plug ashore first, then the one at the boat. Close the cover of the inlet tight."),
        )
    )
    yield Paragraph(
        _(
            "Never change the plugs of the cord or lead it through water. Do not swim near boats that are on shore "
            "power: stray current in the water paralyses and kills."
        ),
        bold=True,
    )


def _rated(aboard: Aboard, item: str) -> str:
    lines = "; ".join(aboard.snapshot.equipment[item].summary())
    return f", {lines}" if lines else ""


def _too_large(aboard: Aboard, inlets: list[str]) -> Iterator[str]:
    """What is found of inlets that more can pass through than they are good for."""
    for found in aboard.job.result.findings:
        if found.rule == "equipment-over-protected" and found.ids and found.ids[0] in inlets:
            told = _(
                "Not as it is to be: {finding} Use no outlet ashore whose breaker is larger than the inlet allows."
            )
            yield told.format(finding=found.message)


def _shore_switches(aboard: Aboard, found: list[str]) -> list[str]:
    """Main disconnects of the shore: those with nothing but the shore before them, else those with the least."""
    after = [main for main in aboard.mains if set(main.near) & set(found)]
    first = [main.item for main in after if set(main.near) <= set(found)]
    least = min((len(main.near) for main in after), default=0)
    return first or [main.item for main in after if len(main.near) == least]


def _polarity(aboard: Aboard, polarity: list[str]) -> str:
    if not polarity:
        return _("No indicator of wrong polarity is drawn: have the outlet ashore tried before it is used.")
    return _("If {items} shows wrong polarity, pull the plug ashore at once and use another outlet.").format(
        items=items(aboard, polarity)
    )
