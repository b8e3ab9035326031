"""What flows, as text: sources, loads, runs, devices and buses of each condition, then what starts."""

from __future__ import annotations

from app.figures.lines import amount, assumptions, gaps, names, section, signs, table, titled, wrapped
from app.text_report import cautions
from engine.circuit.flow.results import Flow, LoadFlow, Start
from engine.study import Study
from engine.words import N_, _

__all__ = ["flow_report"]

CHARGES = {
    "full": N_("Batteries rested and full."),
    "nominal": N_("Batteries at their nominal volts."),
    "lowest": N_("Batteries at their lowest volts."),
}
NOTHING_A = 1e-6


def flow_report(file: str, study: Study, flows: list[Flow], starts: dict[str, tuple[Start, ...]], width: int) -> str:
    """The whole report."""
    told = _("Currents, volts and losses, every load of a condition drawing at the same time.")
    charge = _(CHARGES[flows[0].charge]) if flows else ""
    parts = [titled(file, study.snapshot, f"{told} {charge}", width)]
    for flow in flows:
        parts += _one(study, flow, starts.get(flow.condition, ()), width)
    parts += [signs(width), cautions(width)]
    return "\n\n".join(part for part in parts if part)


def _one(study: Study, flow: Flow, starts: tuple[Start, ...], width: int) -> list[str]:
    parts = [section(flow.name)]
    if not (flow.sources or flow.loads or flow.runs):
        return [*parts, _("Nothing is drawn that current could flow in.")]
    if not flow.converged:
        parts.append(wrapped(_("No steady state was found: the figures below are where the search stopped."), width))
    parts.append(
        _("Sources give {sources}; loads take {loads}, {losses} are lost.").format(
            sources=amount(flow.sources_w, "W"), loads=amount(flow.loads_w, "W"), losses=amount(flow.losses_w, "W")
        )
    )
    if flow.not_solved:
        parts.append(
            "\n".join(wrapped(f"{study.name(item)}: {why}.", width, "", "  ") for item, why in flow.not_solved)
        )
    parts.append(_sources(study, flow, width))
    parts += _loads(study, flow, width)
    parts += _runs(study, flow, width)
    parts.append(_devices(study, flow, width))
    parts.append(_buses(flow, width))
    parts += _starts(study, starts, width)
    parts += gaps((m for of in (flow.runs, flow.loads, flow.sources) for one in of for m in one.missing), width)
    parts += assumptions(flow.assumed, width)
    return parts


def _sources(study: Study, flow: Flow, width: int) -> str:
    rows = [
        (
            s.designation,
            f"{s.terminal} {s.conductor}",
            amount(s.volts, "V"),
            amount(s.amps, "A", s.at_least),
            amount(s.watts, "W", s.at_least),
            "" if not s.share else amount(100 * s.share, "%"),
            _("at its limit") if s.is_limited else (_("being charged") if s.amps < -NOTHING_A else ""),
            names(study.snapshot, s.equipment),
        )
        for s in flow.sources
        if abs(s.amps) > NOTHING_A or not s.by_conversion
    ]
    heads = (_("source"), _("at"), _("volts"), _("current"), _("power"), _("share"), "", "")
    return table(heads, rows, width, "llrrrrww")


def _loads(study: Study, flow: Flow, width: int) -> list[str]:
    fed = [one for one in flow.loads if not _is_dead(one)]
    rows = [
        (
            one.designation,
            amount(one.volts, "V"),
            amount(one.amps, "A", one.at_least),
            amount(one.watts, "W"),
            amount(one.drop_v, "V"),
            amount(one.drop_pct, "%"),
            _("its volts collapse") if one.collapsed else names(study.snapshot, one.equipment),
        )
        for one in fed
    ]
    heads = (_("load"), _("volts"), _("current"), _("power"), _("lost on the way"), "", "")
    parts = [table(heads, rows, width, "lrrrrrw")]
    dead = list(dict.fromkeys(one.designation or study.name(one.equipment) for one in flow.loads if _is_dead(one)))
    if dead:
        parts.append(wrapped(_("Not fed here: {items}.").format(items=", ".join(dead)), width))
    return parts


def _is_dead(load: LoadFlow) -> bool:
    return load.collapsed and load.volts is None


def _runs(study: Study, flow: Flow, width: int) -> list[str]:
    flowing = [run for run in flow.runs if run.amps is None or abs(run.amps) > NOTHING_A or run.at_least]
    rows = [
        (
            run.designation or study.name(run.run),
            amount(run.amps, "A", run.at_least),
            amount(run.own_drop_v, "V"),
            amount(run.drop_v, "V"),
            amount(run.drop_pct, "%"),
            amount(run.loss_w, "W"),
            _between(study, run.run),
        )
        for run in flowing
    ]
    heads = (_("run"), _("current"), _("lost in it"), _("from its source"), "", _("heat"), _("between"))
    parts = [table(heads, rows, width, "lrrrrrw")]
    still = [run.designation or study.name(run.run) for run in flow.runs if run not in flowing]
    if still:
        parts.append(wrapped(_("No current in: {runs}.").format(runs=", ".join(still)), width))
    return parts


def _between(study: Study, run: str) -> str:
    record = study.snapshot.runs[run]
    return f"{study.name(record.from_end.equipment)}, {study.name(record.to_end.equipment)}"


def _devices(study: Study, flow: Flow, width: int) -> str:
    rows = [
        (d.designation, amount(d.amps, "A", d.at_least), names(study.snapshot, d.equipment))
        for d in flow.devices
        if abs(d.amps) > NOTHING_A
    ]
    return table((_("through"), _("current"), ""), rows, width, "lrw") or _("Nothing flows through any device.")


def _buses(flow: Flow, width: int) -> str:
    rows = [
        (
            f"{bus.designation} {bus.conductor}",
            ", ".join(amount(a, "A") for a in bus.sections_a),
            "" if bus.order_known else _("order of the studs not recorded: the worst one"),
        )
        for bus in flow.buses
        if any(abs(a) > NOTHING_A for a in bus.sections_a)
    ]
    return table((_("bus"), _("between its studs"), ""), rows, width, "lww")


def _starts(study: Study, starts: tuple[Start, ...], width: int) -> list[str]:
    parts = []
    for start in starts:
        what = _("While {item} starts, batteries at their lowest: {amps}, {volts} at itself.").format(
            item=_called(study, start.motor), amps=amount(start.amps, "A"), volts=amount(start.own_volts, "V")
        )
        rows = [
            (
                load.designation,
                amount(load.volts, "V"),
                amount(load.minimum_v, "V"),
                ", ".join(load.missing) or names(study.snapshot, load.equipment),
            )
            for load in start.loads
        ]
        heads = (_("essential load"), _("volts"), _("works down to"), "")
        parts.append("\n".join(part for part in (wrapped(what, width), table(heads, rows, width, "lrrw")) if part))
        if start.missing:
            parts += gaps(start.missing, width)
    return parts


def _called(study: Study, item: str) -> str:
    label = names(study.snapshot, item)
    return f"{study.name(item)} ({label})" if label else study.name(item)
