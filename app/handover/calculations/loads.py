"""The load analysis of every condition as tables: loads, and what is asked of every source."""

from __future__ import annotations

from collections.abc import Iterator

from app.handover.calculations.words import percent, titled
from app.paper.blocks import Block, Gap, Heading, Paragraph
from app.paper.table import Column, Table, Value
from engine.calculations.load import Stage
from engine.study import Study
from engine.units import number
from engine.words import _

__all__ = ["load_blocks", "load_table", "source_table"]


def load_blocks(study: Study, stages: tuple[Stage, ...]) -> Iterator[Block]:
    """Every condition, then every stage of the work."""
    yield Paragraph(
        _(
            "Energy of a load: E = P · h · s, P its power, h the hours a day, s the share of them in which it draws. "
            "Its bank gives Eb = E / η, η the efficiency of the converters between. Demand of a source: what all "
            "loads of the condition take of it at the same time, solved with the losses; no diversity is taken off. "
            "Mean: the energy of a day over 24 h."
        )
    )
    if not study.snapshot.conditions:
        yield Gap(
            _(
                "No operating condition is recorded: hours of loads, demand and autonomy by condition cannot be told. "
                "Missing: conditions.duties. The figures below are those of the drawing as it stands."
            )
        )
    for n, stage in enumerate(stages):
        if titled(stage.name) != stage.name:
            yield Paragraph(_("Condition: {condition}").format(condition=stage.name), bold=True)
        table = load_table(study, stage, n)
        if table.rows:
            yield table
        else:
            yield Heading(_named(stage), 2)
            yield Gap(_("No load has hours in {condition}: nothing is counted.").format(condition=stage.name))
        table = source_table(stage, n)
        if table.rows:
            yield table
        assumed = dict.fromkeys((*stage.energy.assumed, *stage.flow.assumed))
        if assumed:
            yield Paragraph(_("Assumed: {what}.").format(what="; ".join(text.rstrip(".") for text in assumed)))
        missing = dict.fromkeys(
            (
                *(field for load in stage.loads for field in load.missing),
                *(field for demand in stage.demands for field in demand.missing),
            )
        )
        if missing:
            yield Gap(
                _("{condition}: sums are least values for lack of {fields}.").format(
                    condition=stage.name, fields=", ".join(missing)
                )
            )


def _named(stage: Stage) -> str:
    """Its name on one line."""
    name = titled(stage.name)
    return _("{stage} (stage of the work)").format(stage=name) if stage.is_work else name


def load_table(study: Study, stage: Stage, n: int) -> Table:
    """What draws in a condition, with its energy a day."""
    columns = (
        Column("load", _("Load")),
        Column("label", _("What it is"), width=45.0),
        Column("power_w", "P", "W", "right"),
        Column("hours", "h", "", "right"),
        Column("share", "s", "", "right"),
        Column("energy_wh", "E", "Wh", "right"),
        Column("fed_by", _("Fed by")),
        Column("efficiency", "η", "", "right"),
        Column("bank_wh", "Eb", "Wh", "right"),
    )
    rows: list[tuple[Value, ...]] = []
    for load in stage.loads:
        efficiency = 1.0
        for _converter, each in load.chain:
            efficiency *= each
        by = study.name(load.bank or load.source) if load.bank or load.source else _("nothing")
        rows.append(
            (
                load.designation,
                load.label,
                _rounded(load.watts),
                _rounded(load.hours_a_day),
                _rounded(load.share),
                _rounded(load.wh_a_day),
                by,
                _rounded(efficiency) if load.bank else "",
                _rounded(load.bank_wh) if load.bank else "",
            )
        )
    title = _("Loads in {condition}").format(condition=_named(stage))
    return Table(f"loads-{n + 1}", title, columns, tuple(rows))


def source_table(stage: Stage, n: int) -> Table:
    """What is asked of every source in a condition, and what is left of it."""
    columns = (
        Column("source", _("Source")),
        Column("connected_w", _("Connected"), "W", "right"),
        Column("energy_wh", _("A day"), "Wh", "right"),
        Column("mean_w", _("Mean"), "W", "right"),
        Column("at_once_w", _("All at once"), "W", "right"),
        Column("gives", _("It gives"), "", "right"),
        Column("rated", _("Rated"), "", "right"),
        Column("margin", _("Margin"), "", "right"),
    )
    rows: list[tuple[Value, ...]] = []
    for demand in stage.demands:
        least = _(" or more") if demand.at_least else ""
        at_once = "" if demand.at_once_w is None else f"{number(demand.at_once_w, 4)}{least}"
        gives = "" if demand.given is None else f"{number(demand.given, 4)} {demand.unit}{least}"
        rated = None if demand.rated is None else f"{number(demand.rated, 5)} {demand.unit}"
        rows.append(
            (
                demand.designation,
                *(
                    _rounded(value) if demand.feeds else _("no load")
                    for value in (demand.connected_w, demand.day_wh, demand.mean_w)
                ),
                at_once or _("does not run"),
                gives or _("does not run"),
                rated,
                percent(demand.margin) or None,
            )
        )
    title = _("Sources in {condition}").format(condition=_named(stage))
    note = _("A bank that is charged gives less than nothing. Its limits stand in its own block below.")
    return Table(f"sources-{n + 1}", title, columns, tuple(rows), (note,) if rows else ())


def _rounded(value: float | None) -> float | None:
    """To the figures that are printed, so that what is printed adds up as printed."""
    return None if value is None else float(number(value, 5))
