"""A charging source goes on when the battery management disconnects the bank, and cannot be told to stop first.

What it checks
--------------
Every bank that battery management can disconnect, built in or through a contactor, and every charging source that can
reach it: the management must be able to tell the source to stop before it opens, and the source must obey. It is listed
as one the management stops or whose current it sets; where nothing is listed, the management is recorded as telling
charging sources first. For an alternator its regulator may obey. Severity goes by the source:

* a machine an engine drives: *danger*;
* sun, wind or water whose maker forbids loss of the battery: *warning*;
* a mains charger, or one fed from another battery: *notice*, unless its maker says that it may run without battery.

It passes where in every position in which the source is joined to the bank another battery is, of which no management
disposes, or a surge absorber made for the machine is; and where the loss harms nothing. A contactor that leaves an
alternator without battery is `alternator-cut-off`; here only what is built into the bank counts for an alternator.

Why it matters
--------------
A lithium bank that is full or cold is disconnected within a second, just while it is being charged hardest. What
charges it then finds no battery: an alternator's volts rise until its diodes break through, with whatever hangs on the
bus.

What to do
----------
A wired contact or data link from the management to the source's stop input; or a source that obeys; or a lead-acid
battery that stays on the source.

Limits read
-----------
None.

References
----------
E-13, secondary copy, asks for a management that acts before the bank is lost. The rest is common practice, no source.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any, NamedTuple

from engine.circuit.battery_ways import Joined, smallest
from engine.circuit.expand import Feed
from engine.circuit.states import TooManyStates
from engine.equipment.parting import BatteryLost
from engine.findings import Finding, Remark, Word
from engine.fixes import Fix, set_fields
from engine.installation.model import Installation
from engine.rules.energy._alternators import lithium
from engine.rules.energy._stopping import LITHIUM, absorbers_for, can_stop, charging_feeds, field_first, harmed
from engine.rules.left_open import left_open
from engine.rules.proved import proved
from engine.rules.rule import Example
from engine.rules.wording import in_condition, named
from engine.study import Study
from engine.words import N_, _

SLUG = "charge-not-stopped"
WORD: Word = "danger"
TITLE = N_("charging source not told to stop before the battery is disconnected")
LOOKS_AT = N_("banks that battery management can disconnect, and the sources that charge them")
SOLVES = False

WORDS: dict[str, Word] = {"machine": "danger", "weather": "warning", "mains": "notice", "battery": "notice"}


class _Bank(NamedTuple):
    """A bank that is, or may be, disconnected by its management."""

    item: str
    node: int
    built_in: bool | None  # by itself; None: not recorded
    drawn: bool  # through a contactor that is drawn
    field: str  # that would tell of the built-in one


def check(study: Study) -> Iterator[Remark]:
    """One remark a bank and source."""
    banks = [bank for item, node in study.battery_ways.banks.items() if (bank := _bank(study, item, node)) is not None]
    if not banks:
        return
    for feed, lost in charging_feeds(study):
        reached = study.battery_ways.joined(feed.equipment, feed.node, {bank.item: bank.node for bank in banks})
        for bank in banks:
            if bank.item in reached:
                yield from _source(study, bank, feed, lost, reached[bank.item])


def _bank(study: Study, item: str, node: int) -> _Bank | None:
    store = study.snapshot.equipment[item].store()
    if store is None:
        return None
    drawn = False
    for other, record in study.snapshot.equipment.items():
        governs = record.governs()
        if governs is not None and item in governs.banks:
            commanded = any(getattr(one, "controlled_by", "") == other for one in study.snapshot.equipment.values())
            drawn = drawn or bool(governs.opens) or commanded
    built_in = store.disconnects
    if built_in is None and not store.bms and (drawn or store.chemistry not in LITHIUM):
        built_in = False  # nothing says that a lead-acid bank has a management at all
    if built_in is False and not drawn:
        return None
    return _Bank(item, node, built_in, drawn, "bms" if not store.bms else "bms_disconnects")


def _source(study: Study, bank: _Bank, feed: Feed, lost: BatteryLost, joined: Joined) -> Iterator[Remark]:
    item, word = feed.equipment, WORDS[lost.form]
    if lost.form == "machine" and bank.built_in is False:
        return  # the contactor is drawn: alternator-cut-off
    stop, harm = can_stop(study, bank.item, item), harmed(study, item)
    first = field_first(study, item) if lost.form == "machine" else None
    if stop.value or harm.value is False or (first is not None and first.value):
        if study.proving:
            yield proved(study, SLUG, bank.item, item, message=_spared(study, bank, item, stop.value, harm.value))
        return
    missing = [*stop.missing]
    if bank.built_in is None and not bank.drawn:
        missing.append(f"{study.name(bank.item)}.{bank.field}")
    if lost.form in ("machine", "weather"):
        missing += harm.missing
    missing += () if first is None else first.missing
    fit, unsized = absorbers_for(study, item) if lost.form == "machine" else ({}, ())
    held, whole = _alone(study, bank, feed, joined, fit, unsure=False)
    if held is not None and whole:
        unsure = _alone(study, bank, feed, joined, fit, unsure=True)
        if unsure[0] is not None:
            held = unsure[0]  # true whatever is not recorded
        elif unsure[1]:
            missing += [f"{study.name(other.item)}.{other.field}" for other in _others(study, bank, feed, unsure=True)]
    if held is None and whole:
        if study.proving:
            text = _("Wherever {source} is joined to {bank}, another battery or a surge absorber is too.")
            message = text.format(source=named(study, item), bank=study.name(bank.item))
            yield proved(study, SLUG, bank.item, item, message=message)
    elif missing or unsized:
        yield left_open(
            study,
            SLUG,
            word,
            bank.item,
            item,
            missing=tuple(dict.fromkeys((*missing, *unsized))),
            why=_("whether {source} is stopped, or harmed, when {bank} is disconnected is not recorded").format(
                source=study.name(item), bank=study.name(bank.item)
            ),
        )
    else:
        yield _finding(study, bank, item, lost, word, held)


def _spared(study: Study, bank: _Bank, item: str, stops: bool | None, harm: bool | None) -> str:
    if stops:
        text = _("{source} is told to stop before {bank} is disconnected.")
    elif harm is False:
        text = _("{source} may run without {bank}, as its maker says.")
    else:
        text = _("The field of {source} is opened before it can lose {bank}.")
    return text.format(source=named(study, item), bank=study.name(bank.item))


def _others(study: Study, bank: _Bank, feed: Feed, *, unsure: bool) -> list[_Bank]:
    """Banks that no management disposes of; `unsure`: those of which that is not recorded."""
    made = []
    for item, node in study.battery_ways.banks.items():
        if item not in (bank.item, feed.equipment):
            other = _bank(study, item, node)
            if other is None and not unsure:
                made.append(_Bank(item, node, False, False, ""))
            elif other is not None and unsure and other.built_in is None and not other.drawn:
                made.append(other)
    return made


def _alone(
    study: Study, bank: _Bank, feed: Feed, joined: Joined, fit: dict[str, int], *, unsure: bool
) -> tuple[int | None, bool]:
    """The smallest condition in which the source has no battery but this one; and whether the search was whole."""
    ways = study.battery_ways
    left_on = _others(study, bank, feed, unsure=False) + (_others(study, bank, feed, unsure=True) if unsure else [])
    others = {other.item: other.node for other in left_on}
    found = ways.joined(feed.equipment, feed.node, others | fit)
    cubes = [cube for one in found.values() for cube in one.cubes]
    try:
        for cube in joined.cubes:
            left = ways.states.outside(cubes, cube)
            if left is not None:
                return smallest(ways.states, ways.states.of_positions(left.items()), cubes, keep=cube), True
    except TooManyStates:
        return 0, False
    return None, joined.whole and all(one.whole for one in found.values())


def _finding(study: Study, bank: _Bank, item: str, lost: BatteryLost, word: Word, held: int | None) -> Finding:
    states = study.battery_ways.states
    positions = states.positions(held or 0)
    name = study.name(bank.item)
    if held is None:
        message = _(
            "Whether {source} always has a battery besides {bank} is not decided: the search was stopped before it"
            " could tell."
        )
    elif lost.form == "machine":
        message = _("{source} is not stopped when {bank} disconnects itself, and is left without a battery.")
    elif lost.form == "weather":
        message = _("{source} is not stopped when {bank} is disconnected; its maker forbids running it without.")
    else:
        message = _("{source} is not told to stop before {bank} is disconnected.")
    return Finding(
        rule=SLUG,
        word=word,
        designations=(name, study.name(item)),
        ids=(bank.item, item),
        message=message.format(source=named(study, item), bank=name),
        condition=in_condition(study, positions, [i for i, _p in positions if states.is_automatic(i)]),
        positions=tuple((device, allowed[0]) for device, allowed in positions),
        fixes=(
            _("let the battery management stop {source} before it disconnects").format(source=study.name(item)),
            _("or keep a lead-acid battery on {source}").format(source=study.name(item)),
        ),
        undecided=held is None,
    )


def fixes(study: Study, finding: Finding) -> Iterator[Fix]:
    """A source that obeys, listed with the management drawn."""
    bank, item = finding.ids
    if getattr(study.snapshot.equipment[item], "obeys_stop", True) is not True:
        return
    for other, record in study.snapshot.equipment.items():
        governs = record.governs()
        if governs is not None and bank in governs.banks and governs.linked:
            text = _("wire {source} to {management} so that it is told to stop").format(
                source=study.name(item), management=study.name(other)
            )
            yield set_fields(text, "equipment", other, {"stops": (*governs.stops, item)})


# -- examples -------------------------------------------------------------------------------------------------------
def _alternator(*, stops_first: bool = False, obeys: bool = True, second: bool = False) -> Installation:
    b = lithium(stops_sources_first=stops_first)
    b.add("alternator", "G2", dc_v=12, survives_cut_off=False, field_opens_first=False, obeys_stop=obeys)
    b.run("W3", "F1.out", "G2.pos", size="2 AWG", length_m=2)
    if second:
        b.add("battery_bank", "G3", unit_v=12, chemistry="AGM")
        b.add("fuse", "F3", rating_a=150)
        b.run("W4", "G3.pos", "F3.in", size="2 AWG", length_m=0.1)
        b.run("W5", "F3.out", "G2.pos", size="2 AWG", length_m=2)
    return b.installation


def _sun(**facts: Any) -> Installation:
    b = lithium()
    b.add("solar_controller", "T1", dc_v=12, obeys_stop=False, **facts)
    b.run("W3", "F1.out", "T1.dc", size="8 AWG", length_m=2)
    return b.installation


def _mains(*, needs: bool | None) -> Installation:
    b = lithium()
    b.add("charger", "T1", dc_v=12, obeys_stop=False, needs_battery=needs)
    b.run("W3", "F1.out", "T1.dc", size="8 AWG", length_m=2)
    return b.installation


def _commanded(*, listed: bool) -> Installation:
    b = lithium()
    machine = b.add("alternator", "G2", dc_v=12, survives_cut_off=False, field_opens_first=False, obeys_stop=True)
    other = b.add("charger", "T1", dc_v=12, obeys_stop=True)
    bank = next(i for i, r in b.installation.snapshot().equipment.items() if r.designation == "G1")
    b.add("battery_management", "A1", batteries=(bank,), stops=(machine,) if listed else (other,))
    b.set("A1", link="wired contact")
    b.run("W3", "F1.out", "G2.pos", size="2 AWG", length_m=2)
    return b.installation


GOOD = (
    Example("an alternator that the bank tells to stop", lambda: _alternator(stops_first=True)),
    Example("one that is not told, with a lead-acid battery of its own", lambda: _alternator(second=True)),
    Example("a management that lists the alternator", lambda: _commanded(listed=True)),
    Example("sun that may lose its battery", lambda: _sun(needs_battery=False)),
    Example("a mains charger that may run without battery", lambda: _mains(needs=False)),
)
BAD = (
    Example("an alternator on a bank that does not tell it", _alternator, (("G1", "G2"),)),
    Example("told, but it does not obey", lambda: _alternator(stops_first=True, obeys=False), (("G1", "G2"),)),
    Example("a management that lists another source", lambda: _commanded(listed=False), (("G1", "G2"),)),
    Example("sun whose maker forbids loss of the battery", lambda: _sun(needs_battery=True), (("G1", "T1"),)),
    Example("a mains charger", lambda: _mains(needs=None), (("G1", "T1"),)),
)
