"""A battery bank that no switch cuts off, or something that stays on with every battery switch open.

What it checks
--------------
Every bank with more cold cranking amperes than the book allows without a switch, and every bank of a chemistry that the
book names: with every battery switch open, nothing may stay on it but what the book permits upstream of the switch,
charging equipment, and meters. Banks joined for good are one bank. A breaker counts where it is recorded as operated as
a switch; a contactor where a person's switch breaks its coil; a charging relay and a float switch close by themselves
and do not count. A converter to other DC volts is looked through: what hangs on it counts. A large inverter without a
disconnect is `no-converter-disconnect`.

Why it matters
--------------
A fire in the wiring is fed for as long as the battery is joined to it. Nobody finds the right fuse in the smoke.

What to do
----------
A battery switch in the positive, near the bank and reached in an emergency, with everything but bilge pumps, alarms,
memories and chargers behind it.

Limits read
-----------
`cca` (cold cranking amperes), `permitted` (services upstream of the switch), `always` (chemistries).

References
----------
E-11 11.6.1.2.1, secondary copy. 46 CFR 183.380(i), 2015 edition. ISO 13297:2020, from memory, not confirmed.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from engine.builder import Builder
from engine.findings import Figure, Finding, Remark, Word
from engine.fixes import Fix
from engine.installation.model import Installation
from engine.rules.distribution._disconnects import By, Left, by_hand, charges, left_on, open_position
from engine.rules.left_open import left_open
from engine.rules.proved import proved
from engine.rules.rule import Example
from engine.rules.wording import in_condition, listed, named
from engine.study import Study
from engine.units import show
from engine.words import N_, _, ngettext

SLUG = "no-battery-switch"
WORD: Word = "warning"
TITLE = N_("battery not cut off by its switch")
LOOKS_AT = N_("battery banks, and what stays on with every battery switch open")
SEARCHES = True
SOLVES = False

MANY = 4


def check(study: Study) -> Iterator[Remark]:
    """One remark a bank, or banks joined for good."""
    limit = study.book.limit(SLUG, "cca")
    if limit is None:
        return
    told: dict[str, By] = {}

    def parts(item: str) -> bool:
        if item not in told:
            told[item] = by_hand(study, item) if study.circuit.switchable(item) else By(False)
        return told[item].value is not False or hasattr(study.snapshot.equipment[item], "limits_current")

    done: set[str] = set()
    for item, node in study.battery_ways.banks.items():
        if item in done or study.snapshot.equipment[item].status == "to remove":
            continue
        left = left_on(study, (node,), parts, onward=True)
        group = [one for one, at in study.battery_ways.banks.items() if at in left.nodes]
        done.update(group)
        yield from _bank(study, group, left, told, limit.value)


def _bank(study: Study, banks: list[str], left: Left, told: dict[str, By], limit_a: float) -> Iterator[Remark]:
    asked, amps, unsaid = _asked(study, banks, limit_a)
    if asked is False:
        return
    first = banks[0]
    on, unsure = _stays(study, left)
    doubtful = tuple(m for end in left.ends for m in told[end].missing if end in told)
    names = listed([named(study, bank) for bank in banks])
    if (on or unsure or doubtful) and (asked is None or not on):
        missing = (*unsaid, *doubtful, *unsure)
        why = _("whether {bank} must be cut off from all that stays on it is not recorded")
        yield left_open(study, SLUG, WORD, first, missing=missing, why=why.format(bank=study.name(first)))
    elif on:
        yield _finding(study, banks, names, left, on, amps, limit_a)
    elif study.proving:
        text = _("With every battery switch open, nothing stays on {bank} but what may.")
        yield proved(study, SLUG, first, message=text.format(bank=names))


def _asked(study: Study, banks: list[str], limit_a: float) -> tuple[bool | None, float | None, tuple[str, ...]]:
    """Whether the book asks for a switch, the cranking amperes, and the fields that would tell."""
    stores = [(bank, store) for bank in banks if (store := study.snapshot.equipment[bank].store()) is not None]
    always: list[str] = study.book.option(SLUG, "always", [])
    known = [store.cranking_a for _bank, store in stores if store.cranking_a is not None]
    amps = sum(known) if known else None
    if limit_a <= 0 or any(store.chemistry in always for _bank, store in stores) or (amps or 0.0) > limit_a:
        return True, amps, ()
    missing = tuple(f"{study.name(bank)}.cca_a" for bank, store in stores if store.cranking_a is None)
    return (None if missing else False), amps, missing


def _stays(study: Study, left: Left) -> tuple[list[str], list[str]]:
    """What stays on and may not, and the fields that would tell of the rest of what stays on."""
    permitted: list[str] = study.book.option(SLUG, "permitted", [])
    on: list[str] = []
    unsure: list[str] = []
    for item in dict.fromkeys(study.circuit.nodes[node].equipment for node in sorted(left.nodes)):
        record = study.snapshot.equipment[item]
        use = record.use()
        if use is not None:
            if not use.service:
                unsure.append(f"{study.name(item)}.service")
            elif use.service not in permitted:
                on.append(item)
        elif (told := record.converter()) is not None and told.charges is None and hasattr(record, "charges_battery"):
            unsure.append(f"{study.name(item)}.charges_battery")
        elif record.ROLE == "converter" and not charges(study, item):
            onward = [study.circuit.node(item, c.target, "+") for of, c in study.circuit.conversions if of == item]
            is_looked_through = any(node in left.nodes for node in onward if node is not None)
            if not is_looked_through and not record.balances() and not _told_elsewhere(study, item):
                on.append(item)
    return on, unsure


def _told_elsewhere(study: Study, item: str) -> bool:
    return any(item in remark.ids for remark in study.outcome("no-converter-disconnect").remarks)


def _finding(
    study: Study, banks: list[str], names: str, left: Left, on: list[str], amps: float | None, limit_a: float
) -> Finding:
    first = banks[0]
    parts = [named(study, item) for item in on]
    what = listed(parts if len(parts) <= MANY else [*parts[: MANY - 1], _("more")])
    opened = tuple((item, open_position(study, item)) for item in left.ends)
    switches = [pair for pair in opened if by_hand(study, pair[0]).value]
    if switches:
        text = ngettext(
            "{what} stays on {bank} with every battery switch open.",
            "{what} stay on {bank} with every battery switch open.",
            len(on),
        )
    else:
        text = _("No battery switch cuts {bank} off from {what}.")
    figures: tuple[Figure, ...] = ()
    arithmetic = ""
    if limit_a > 0 and amps is not None and amps > limit_a:
        figures = (Figure("cold cranking current", amps, "A"), Figure("limit", limit_a, "A"))
        arithmetic = f"{show(amps, 'A')} > {show(limit_a, 'A')}"
    return Finding(
        rule=SLUG,
        word=WORD,
        designations=tuple(study.name(bank) for bank in banks),
        ids=(*banks, *on),
        message=text.format(what=what, bank=names),
        condition=in_condition(study, [(item, (position,)) for item, position in switches]) if switches else "",
        positions=tuple(switches),
        figures=figures,
        arithmetic=arithmetic,
        fixes=(
            _("lead {what} behind a battery switch").format(
                what=listed([study.name(item) for item in on[:MANY]] + ([_("the rest")] if len(on) > MANY else []))
            ),
            _("where one of them must stay on and the book permits it, record what it serves"),
        )
        if switches
        else (_("fit a battery switch in the positive of {bank}").format(bank=study.name(first)),),
    )


def fixes(study: Study, finding: Finding) -> Iterator[Fix]:
    """A switch in the one run that leaves the bank, or in that to each thing that stays on."""
    from engine.fixing.parting import switch_at

    banks = [item for item in finding.ids if item in study.battery_ways.banks]
    if not finding.positions and len(banks) == 1:
        terminal = study.circuit.nodes[study.battery_ways.banks[banks[0]]].terminal
        yield from switch_at(study, finding, banks[0], terminal)
    left = [item for item in finding.ids if item not in banks]
    if len(left) == 1:
        for place in study.snapshot.equipment[left[0]].terminals():
            if study.circuit.node(left[0], place.name, "+") is not None:
                yield from switch_at(study, finding, left[0], place.name)


# -- examples -------------------------------------------------------------------------------------------------------
def _boat(amps: float | None = 900) -> Builder:
    b = Builder()
    b.add("battery_bank", "G1", unit_v=12, chemistry="AGM", cca_a=amps)
    b.add("fuse", "F1", rating_a=200)
    b.run("W1", "G1.pos", "F1.in", size="2 AWG", length_m=0.1)
    return b


def _load(service: str, *, ahead: bool, switch: bool = True, amps: float = 900) -> Installation:
    b = _boat(amps)
    b.add("load", "E1", dc_v=12, power_w=50, service=service)
    if switch:
        b.add("battery_switch", "Q1")
        b.add("load", "E2", dc_v=12, power_w=50, service="lighting")
        b.run("W2", "F1.out", "Q1.in", size="2 AWG", length_m=0.5)
        b.run("W3", "Q1.out", "E2.in", size="2 AWG", length_m=0.5)
    b.add("fuse", "F2", rating_a=10)
    b.run("W4", "F1.out" if ahead else "Q1.out", "F2.in", size="14 AWG", length_m=0.1)
    b.run("W5", "F2.out", "E1.in", size="14 AWG", length_m=2)
    return b.installation


def _contactor(**management: Any) -> Installation:
    b = _boat()
    item = b.add("contactor", "K1")
    bank = next(i for i, r in b.installation.snapshot().equipment.items() if r.designation == "G1")
    b.add("battery_management", "A1", batteries=(bank,), opens=(item,), **management)
    b.add("load", "E1", dc_v=12, power_w=50, service="lighting")
    b.run("W2", "F1.out", "K1.in", size="2 AWG", length_m=0.5)
    b.run("W3", "K1.out", "E1.in", size="2 AWG", length_m=2)
    return b.installation


GOOD = (
    Example("everything behind the switch", lambda: _load("lighting", ahead=False)),
    Example("a bilge pump ahead of the switch", lambda: _load("bilge pump", ahead=True)),
    Example("a bank of just 800 A without a switch", lambda: _load("lighting", ahead=True, switch=False, amps=800)),
    Example("a contactor whose coil a switch breaks", lambda: _contactor(remote_cuts_coil=True)),
)
BAD = (
    Example(
        "a refrigerator ahead of the switch", lambda: _load("refrigeration", ahead=True), (("G1",),), condition="Q1"
    ),
    Example(
        "a bank of 801 A without a switch", lambda: _load("lighting", ahead=True, switch=False, amps=801), (("G1",),)
    ),
    Example("a contactor that only the management opens", lambda: _contactor(remote_cuts_coil=False), (("G1",),)),
)
