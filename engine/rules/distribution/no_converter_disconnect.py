"""A large inverter has no DC disconnect of its own.

What it checks
--------------
Every inverter above the book's size that a battery can feed: opening one device that a person opens must cut it off
from every battery and cut off nothing else. A switch or a breaker counts, unless the breaker is recorded as not to be
relied on as an isolator; a fuse does not, nor what a controller moves. Inverters built to run in parallel may share
one. The switch must be recorded as reached in an emergency.

Why it matters
--------------
A burning inverter draws on the bank until somebody cuts it off. The battery switch that darkens the boat with it is the
one nobody dares to throw.

What to do
----------
A switch or breaker in the inverter's positive, between its fuse and the inverter, where it is reached without passing
the inverter.

Limits read
-----------
`size` (continuous output).

References
----------
Common practice, no source.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from engine.findings import Figure, Finding, Remark, Word
from engine.fixes import Fix
from engine.installation.model import Installation
from engine.rules.distribution._disconnects import Left, by_hand, left_on, open_position, positives
from engine.rules.example_parts import boat, cable
from engine.rules.left_open import left_open
from engine.rules.proved import proved
from engine.rules.rule import Example
from engine.rules.wording import in_condition, listed, named
from engine.study import Study
from engine.units import show
from engine.words import N_, _, ngettext

SLUG = "no-converter-disconnect"
WORD: Word = "warning"
TITLE = N_("inverter without a DC disconnect of its own")
LOOKS_AT = N_("inverters above the book's size that a battery feeds")
SEARCHES = True
SOLVES = False


def check(study: Study) -> Iterator[Remark]:
    """One remark an inverter."""
    limit = study.book.limit(SLUG, "size")
    if limit is None:
        return
    for item, node in _inverters(study).items():
        record = study.snapshot.equipment[item]
        if record.status in ("spare", "to remove"):
            continue
        output = record.output_va()
        if output is None or output > limit.value:
            yield from _inverter(study, item, node, output, limit.value)


def _inverters(study: Study) -> dict[str, int]:
    """What makes AC from DC and a battery can feed, with the node of its positive."""
    found: dict[str, int] = {}
    for item, conversion in study.circuit.conversions:
        record = study.snapshot.equipment[item]
        made = record.nominal_volts(conversion.target)
        node = study.circuit.node(item, conversion.source, "+")
        if node is None or made is None or made[0] != "ac":
            continue
        if any(feed.source.battery for feed in study.reaching.feeds(node)):
            found.setdefault(item, node)
    return found


def _inverter(study: Study, item: str, node: int, output: float | None, limit_va: float) -> Iterator[Remark]:
    equipment = study.snapshot.equipment

    def parts(other: str) -> bool:
        record = equipment[other]
        return getattr(record, "isolates", None) is not False and by_hand(study, other).value is True

    left = left_on(study, (node,), parts)
    ends = _towards_banks(study, left)
    dark = left_on(study, (node,), lambda other: other in ends)
    near = dict.fromkeys(study.circuit.nodes[n].equipment for n in sorted(left.nodes))
    inside = dict.fromkeys(study.circuit.nodes[n].equipment for n in sorted(dark.nodes))
    banks = [other for other in near if equipment[other].store() is not None]
    others = [other for other in inside if other != item and _counts(study, item, other)]
    name = named(study, item)
    shut = [other for other in ends if equipment[other].parts().reached is False]
    unsaid = [other for other in ends if equipment[other].parts().reached is None]
    at_fault = bool(banks or others or shut)
    if output is None:
        if at_fault or unsaid:
            field = "power_va" if hasattr(equipment[item], "power_va") else "power_w"
            field = field if hasattr(equipment[item], field) else "leg_power_w"
            why = _("whether it is large enough to need a disconnect is not recorded")
            yield left_open(study, SLUG, WORD, item, missing=(f"{study.name(item)}.{field}",), why=why)
        return
    if banks:
        text = _("Nothing that a person can open stands between {inverter} and {banks}.")
        message = text.format(inverter=name, banks=listed([study.name(bank) for bank in banks]))
    elif others:
        message = ngettext(
            "{switches} cuts off {others} together with {inverter}, which has no disconnect of its own.",
            "{switches} cut off {others} together with {inverter}, which has no disconnect of its own.",
            len(ends),
        ).format(
            switches=listed([study.name(end) for end in ends]),
            others=listed([study.name(other) for other in others][:3] + ([_("more")] if len(others) > 3 else [])),
            inverter=name,
        )
    elif shut:
        message = _("{switches} cannot be reached in an emergency; {inverter} has no other disconnect.").format(
            switches=listed([study.name(end) for end in shut]), inverter=name
        )
    elif unsaid:
        why = _("whether its disconnect can be reached in an emergency is not recorded")
        missing = tuple(f"{study.name(other)}.emergency_access" for other in unsaid)
        yield left_open(study, SLUG, WORD, item, missing=missing, why=why)
        return
    else:
        if study.proving:
            text = _("{switches} cuts {inverter} off by itself.")
            switches = listed([study.name(end) for end in ends])
            yield proved(study, SLUG, item, message=text.format(switches=switches, inverter=name))
        return
    positions = tuple((end, open_position(study, end)) for end in ends) if others and not banks else ()
    yield Finding(
        rule=SLUG,
        word=WORD,
        designations=(study.name(item),),
        ids=(item, *(shut or (banks and ()) or ends)),
        message=message,
        condition=in_condition(study, [(end, (position,)) for end, position in positions]) if positions else "",
        positions=positions,
        figures=(Figure("output", output, "VA"), Figure("limit", limit_va, "VA")),
        arithmetic=f"{show(output, 'VA')} > {show(limit_va, 'VA')}",
        fixes=(
            _("fit a switch in the positive of {inverter} alone, where it is reached in an emergency").format(
                inverter=study.name(item)
            ),
        ),
    )


def _towards_banks(study: Study, left: Left) -> list[str]:
    """Of the devices at which the way from the inverter ends, those behind which a battery lies."""
    open_ones = set(left.ends)
    far = left_on(study, study.battery_ways.banks.values(), lambda other: other in open_ones).nodes - left.nodes
    links = positives(study).links
    return [end for end in left.ends if any(link.a in far or link.b in far for link in links.get(end, ()))]


def _counts(study: Study, item: str, other: str) -> bool:
    """Whether it is something else that goes dark with the inverter; one built to run beside it is not."""
    equipment = study.snapshot.equipment
    record = equipment[other]
    if other in getattr(equipment[item], "parallel_with", ()) or item in getattr(record, "parallel_with", ()):
        return False
    return record.use() is not None or (record.ROLE in ("converter", "source") and record.store() is None)


def fixes(study: Study, finding: Finding) -> Iterator[Fix]:
    """A switch in the inverter's positive."""
    from engine.fixing.parting import switch_at

    item = finding.ids[0]
    node = _inverters(study).get(item)
    if node is not None:
        yield from switch_at(study, finding, item, study.circuit.nodes[node].terminal)


# -- examples -------------------------------------------------------------------------------------------------------
def _fed(watts: float, *, switch: bool, beside: bool = False, **facts: Any) -> Installation:
    b = boat()
    b.add("battery_bank", "G1", unit_v=12, chemistry="AGM")
    b.add("fuse", "F1", rating_a=300)
    b.add("inverter", "T1", dc_v=12, ac_v=120, power_w=watts)
    cable(b, "W1", "G1.pos", "F1.in", "4/0 AWG", 6)
    if switch:
        b.add("battery_switch", "Q1", **({"emergency_access": True} | facts))
        cable(b, "W2", "F1.out", "Q1.in", "4/0 AWG", 20)
        cable(b, "W3", "Q1.out", "T1.dc", "4/0 AWG", 40)
    else:
        cable(b, "W2", "F1.out", "T1.dc", "4/0 AWG", 40)
    if beside:
        b.add("load", "E1", dc_v=12, power_w=60, service="lighting")
        cable(b, "W4", "Q1.out", "E1.in", "4/0 AWG", 40)
    return b.installation


GOOD = (
    Example("an inverter with a switch of its own", lambda: _fed(2000, switch=True)),
    Example("one just of the size that needs none", lambda: _fed(1000, switch=False)),
)
BAD = (
    Example("an inverter on a fuse alone", lambda: _fed(2000, switch=False), (("T1",),)),
    Example("one just above the size", lambda: _fed(1001, switch=False), (("T1",),)),
    Example("a switch that darkens the lights too", lambda: _fed(2000, switch=True, beside=True), (("T1",),)),
    Example("a switch out of reach", lambda: _fed(2000, switch=True, emergency_access=False), (("T1",),)),
)
