"""Batteries: what they are, what they may be charged with, how to treat them."""

from __future__ import annotations

from collections.abc import Iterator

from app.handover.manual.words import figure, known_by, yes_no
from app.handover.schedules.aboard import Aboard
from app.paper.blocks import Block, Gap, Heading, Points
from app.paper.table import Column, Table, Value
from engine.equipment.behaviour import Store
from engine.units import number, show
from engine.words import _

__all__ = ["batteries"]

_LITHIUM = ("LFP", "NMC", "other lithium")


def batteries(aboard: Aboard) -> Iterator[Block]:
    """One column a bank; below it what is to be minded."""
    found = {i: store for i, r in aboard.snapshot.equipment.items() if (store := r.store()) is not None}
    title = _("Batteries and charging limits")
    if not found:
        yield Heading(title)
        yield Gap(_("No battery is drawn."))
        return
    order = aboard.sorted(found)
    told = [(item, dict(_facts(aboard, item, found[item]))) for item in order]
    # a line a fact, as an owner looks it up; more than three banks stand below one another
    for start in range(0, len(told), 3):
        part = told[start : start + 3]
        names = list(part[0][1])
        rows: list[tuple[Value, ...]] = [(name, *(facts[name] for _item, facts in part)) for name in names]
        columns = (
            Column("fact", _("Of the bank"), width=66),
            *(Column(f"bank_{n}", known_by(aboard, item), width=60) for n, (item, _facts_) in enumerate(part, 1)),
        )
        yield Table("batteries" if not start else f"batteries-{start // 3 + 1}", title, columns, tuple(rows))
    yield Points(tuple(_minded(aboard, found)))


def _facts(aboard: Aboard, item: str, store: Store) -> Iterator[tuple[str, Value]]:
    record = aboard.snapshot.equipment[item]
    yield _("What it is"), record.label or _(record.NAME)
    yield _("Stands in"), aboard.where(record)
    yield _("Kind"), _(store.chemistry) if store.chemistry else None
    yield _("Nominal volts"), figure(store.nominal_v, "V")
    yield _("Units: in series, strings"), f"{store.series}, {store.strings}"
    yield _("Capacity"), _capacity(store)
    yield _("Part of it that is used"), _("not recorded") if store.usable is None else f"{number(100 * store.usable)} %"
    yield _("Highest charging volts"), figure(store.charge_v, "V")
    yield _("Float volts"), figure(store.float_v, "V")
    yield _("Lowest volts in use"), figure(store.cut_off_v, "V")
    yield _("Largest charging current"), figure(store.charge_limit_a, "A")
    yield _("Largest current drawn"), figure(store.discharge_limit_a, "A")
    cold, hot = getattr(record, "lowest_charge_c", None), getattr(record, "highest_charge_c", None)
    yield _("Charge only from"), _("not known") if cold is None else show(cold, "degC")
    yield _("Charge only up to"), _("not known") if hot is None else show(hot, "degC")
    yield _("Management (BMS)"), _(store.bms) if store.bms else None
    yield _("It may shut the bank off"), yes_no(store.disconnects)
    yield _("Alarm before it does"), yes_no(store.alarm) if store.disconnects is not False else _("n/a")
    yield _("Year of make"), None if store.year is None else str(store.year)


def _capacity(store: Store) -> str:
    if store.capacity_ah is None:
        return _("not known")
    told = figure(store.capacity_ah, "Ah")
    if store.rated_hours_h is not None:
        told = _("{capacity} over {hours} h").format(capacity=told, hours=number(store.rated_hours_h))
    return told


def _minded(aboard: Aboard, found: dict[str, Store]) -> Iterator[str]:
    lithium = [i for i, s in found.items() if s.chemistry in _LITHIUM]
    lead = [i for i, s in found.items() if s.chemistry and s.chemistry not in _LITHIUM]
    unsaid = [i for i, s in found.items() if not s.chemistry]
    yield _("Take off rings and watches; cover one terminal while you are at the other. A short circuit burns.")
    yield _("Replace all units of a bank together, by the same kind, size and age, and have the charging set again.")
    if lead:
        yield _("{items}: gives off explosive gas while charged. Keep the space aired, no flame, no spark.").format(
            items=_listed(aboard, lead)
        )
    if lithium:
        yield _(
            "{items}: charge only within the temperatures above and with sources set for it. After it has shut itself "
            "off, follow its card; do not force it on again and again."
        ).format(items=_listed(aboard, lithium))
    if unsaid:
        yield _("{items}: its kind is not recorded. Charge it only as its maker says.").format(
            items=_listed(aboard, unsaid)
        )
    stops = [i for i, s in found.items() if s.disconnects]
    unsure = [i for i, s in found.items() if s.disconnects is None]
    if stops:
        yield _(
            "{items}: management may disconnect it at sea. Know what then still works: it is on the battery's card."
        ).format(items=_listed(aboard, stops))
    if unsure:
        yield _("{items}: whether it has management that may disconnect it is not recorded.").format(
            items=_listed(aboard, unsure)
        )


def _listed(aboard: Aboard, found: list[str]) -> str:
    return ", ".join(known_by(aboard, item) for item in aboard.sorted(found))
