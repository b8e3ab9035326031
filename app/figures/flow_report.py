"""What flows, as text: sources, loads, runs, devices and buses of each condition, then what starts."""

from __future__ import annotations

from app.figures.lines import amount, section, table, wrapped
from app.text_report import cautions
from engine.circuit.flow.results import Flow, Start
from engine.study import Study
from engine.words import _

__all__ = ["flow_report"]


def flow_report(file: str, study: Study, flows: list[Flow], starts: dict[str, tuple[Start, ...]], width: int) -> str:
    """The whole report."""
    vessel = study.snapshot.vessel.name
    parts = [f"{file} ({vessel})" if vessel else file]
    for flow in flows:
        parts += _one(study, flow, starts.get(flow.condition, ()), width)
    parts.append(cautions(width))
    return "\n\n".join(parts)


def _one(study: Study, flow: Flow, starts: tuple[Start, ...], width: int) -> list[str]:
    parts = [section(flow.name)]
    if not flow.converged:
        parts.append(wrapped(_("No solution was found: the figures below are where the search stopped."), width))
    parts.append(
        _("Sources give {sources}; loads take {loads}, {losses} are lost.").format(
            sources=amount(flow.sources_w, "W"), loads=amount(flow.loads_w, "W"), losses=amount(flow.losses_w, "W")
        )
    )
    if flow.not_solved:
        parts.append("\n".join(wrapped(f"{why}.", width) for _item, why in flow.not_solved))
    if flow.sources:
        parts.append(_sources(flow, width))
    if flow.loads:
        parts.append(_loads(flow, width))
    if flow.runs:
        parts.append(_runs(flow, width))
    if flow.devices:
        parts.append(_devices(flow, width))
    if flow.buses:
        parts.append(_buses(flow, width))
    if starts:
        parts.append(_starts(starts, width))
    gaps = sorted({m for of in (flow.runs, flow.loads, flow.sources) for one in of for m in one.missing})
    if gaps:
        parts.append(wrapped(_("Not recorded: {fields}.").format(fields=", ".join(gaps)), width))
    if flow.assumed:
        parts.append(wrapped(_("Assumptions taken: {list}.").format(list="; ".join(flow.assumed)), width))
    return parts


def _sources(flow: Flow, width: int) -> str:
    rows = [
        (
            s.designation,
            f"{s.terminal} {s.conductor}",
            amount(s.volts, "V"),
            amount(s.amps, "A", s.at_least),
            amount(s.watts, "W", s.at_least),
            "" if s.share is None else amount(100 * s.share, "%"),
            _("at its limit") if s.is_limited else (_("being charged") if s.amps < 0 else ""),
        )
        for s in flow.sources
    ]
    return table((_("source"), _("at"), _("volts"), _("current"), _("power"), _("share"), ""), rows, width, "llrrrrl")


def _loads(flow: Flow, width: int) -> str:
    rows = [
        (
            one.designation,
            amount(one.volts, "V"),
            amount(one.amps, "A", one.at_least),
            amount(one.watts, "W"),
            amount(one.drop_v, "V"),
            amount(one.drop_pct, "%"),
            _("not fed, or its volts collapse") if one.collapsed else "",
        )
        for one in flow.loads
    ]
    heads = (_("load"), _("volts"), _("current"), _("power"), _("lost"), "%", "")
    return table(heads, rows, width, "lrrrrrl")


def _runs(flow: Flow, width: int) -> str:
    rows = [
        (
            run.designation,
            amount(run.amps, "A", run.at_least),
            amount(run.own_drop_v, "V"),
            amount(run.drop_v, "V"),
            amount(run.drop_pct, "%"),
            amount(run.loss_w, "W"),
        )
        for run in flow.runs
    ]
    heads = (_("run"), _("current"), _("lost in it"), _("from its source"), "%", _("heat"))
    return table(heads, rows, width, "lrrrrr")


def _devices(flow: Flow, width: int) -> str:
    rows = [(d.designation, amount(d.amps, "A", d.at_least)) for d in flow.devices if d.amps]
    return table((_("through"), _("current")), rows, width, "lr") if rows else _("Nothing flows through any device.")


def _buses(flow: Flow, width: int) -> str:
    rows = [
        (
            f"{bus.designation} {bus.conductor}",
            ", ".join(amount(a, "A") for a in bus.sections_a),
            "" if bus.order_known else _("worst order"),
        )
        for bus in flow.buses
        if any(bus.sections_a)
    ]
    if not rows:
        return _("No bus carries anything.")
    return table((_("bus"), "", _("sections, stud by stud")), [(a, c, b) for a, b, c in rows], width)


def _starts(starts: tuple[Start, ...], width: int) -> str:
    rows = []
    for start in starts:
        for load in start.loads:
            rows.append(
                (
                    start.designation,
                    amount(start.amps, "A"),
                    load.designation,
                    amount(load.volts, "V"),
                    amount(load.minimum_v, "V"),
                )
            )
        if not start.loads:
            rows.append((start.designation, amount(start.amps, "A"), "", amount(start.own_volts, "V"), ""))
    heads = (_("starting"), _("current"), _("essential load"), _("volts"), _("works down to"))
    return table(heads, rows, width, "lrlrr")
