"""A running alternator can be cut off from its only battery.

What it checks
--------------
Every alternator, its rectifier drawn apart or not, that charges a battery: no switch, changeover, breaker or contactor
that a person or a controller can open may leave it with no battery at all, in any permitted position of the others.
Every breaker counts as able to open; a fuse does not. A selector that breaks before it makes, or that passes through
off, cuts off while it is turned. It passes where in every such position

* another battery stays joined to it,
* or a surge absorber made for its output does,
* or its field is opened first: by a contact of the switch, or by its regulator; of a contactor that battery management
  opens, where the management tells the alternator to stop and it does,
* or its maker says that it survives.

What a battery's built-in management does by itself is `charge-not-stopped`.

Why it matters
--------------
An alternator that loses its battery while it runs keeps its field for a moment: its volts rise far above those of the
system, its diodes break through, and whatever else is on that bus is destroyed with it.

What to do
----------
Join the alternator straight to a battery through a fuse, ahead of the switch; or a switch with a field contact; or a
second battery or a surge absorber on its output.

Limits read
-----------
None.

References
----------
Common practice, no source. Surge on loss of the battery: ISO 16750-2 (load dump), from memory, not confirmed.
"""

from __future__ import annotations

import contextlib
from collections.abc import Iterator
from typing import NamedTuple

from engine.circuit.battery_ways import smallest
from engine.circuit.expand import Feed
from engine.circuit.states import TooManyStates
from engine.findings import Finding, Remark, Word
from engine.fixes import Fix
from engine.installation.model import Installation
from engine.rules.energy._alternators import alternator
from engine.rules.energy._stopping import Told, absorbers_for, can_stop, charging_feeds, field_first, harmed
from engine.rules.left_open import left_open
from engine.rules.proved import proved
from engine.rules.rule import Example
from engine.rules.wording import in_condition, listed, named
from engine.study import Study
from engine.words import N_, _

SLUG = "alternator-cut-off"
WORD: Word = "danger"
TITLE = N_("running alternator can be cut off from its only battery")
LOOKS_AT = N_("alternators that charge a battery, and what can be opened between the two")
SEARCHES = True
SOLVES = False

Positions = tuple[tuple[str, tuple[str, ...]], ...]


FEW = 4  # conditions looked at for each device that does it: the smallest come first


class _Cut(NamedTuple):
    """A device whose move leaves the alternator with no battery, and the smallest set of positions in which it does.

    `passing`: it happens while the device passes from `before` to `after`, both of which are joined.
    """

    device: str
    before: str
    after: str
    passing: bool
    positions: Positions
    first: Told  # whether the field is opened first


def check(study: Study) -> Iterator[Remark]:
    """One remark an alternator."""
    for feed, lost in charging_feeds(study):
        if lost.form == "machine":
            yield from _alternator(study, feed)


def _alternator(study: Study, feed: Feed) -> Iterator[Remark]:
    item, ways = feed.equipment, study.battery_ways
    absorbers, unsized = absorbers_for(study, item)
    joined = ways.joined(item, feed.node, ways.banks | absorbers)
    if not any(bank in joined for bank in ways.banks):
        return
    survives = harmed(study, item)
    first = field_first(study, item)
    if survives.value is False or first.value:
        if study.proving:
            yield proved(study, SLUG, item, message=_spared(study, item, survives))
        return
    cuts: list[_Cut] | None = None
    if all(one.whole for one in joined.values()):
        with contextlib.suppress(TooManyStates):
            cuts = _cuts(study, item, {name: one.cubes for name, one in joined.items()})
    if cuts is None:
        yield _undecided(study, item)
        return
    sure = [cut for cut in cuts if cut.first.value is False]
    unsure = [cut for cut in cuts if cut.first.value is None]
    missing = (*survives.missing, *first.missing, *unsized)
    if sure and not missing:
        yield _finding(study, item, sure)
    elif sure or unsure:
        which = sure or unsure
        missing = (*(m for cut in unsure if not sure for m in cut.first.missing), *missing)
        yield left_open(
            study,
            SLUG,
            WORD,
            item,
            *dict.fromkeys(cut.device for cut in which),
            missing=tuple(dict.fromkeys(missing)),
            why=_("whether something spares it when {device} leaves it without a battery is not recorded").format(
                device=listed(list(dict.fromkeys(study.name(cut.device) for cut in which)))
            ),
        )
    elif study.proving:
        if cuts:
            text = _("What can leave {name} without a battery opens its field first.")
        else:
            text = _("Nothing that can be opened leaves {name} without a battery.")
        yield proved(study, SLUG, item, message=text.format(name=named(study, item)))


def _spared(study: Study, item: str, survives: Told) -> str:
    if survives.value is False:
        return _("{name} survives the loss of its battery, as its maker says.").format(name=named(study, item))
    return _("The field of {name} is opened before its battery can be cut off.").format(name=named(study, item))


def _cuts(study: Study, item: str, joined: dict[str, tuple[int, ...]]) -> list[_Cut]:
    """Every device that can do it, once, those that need fewest other positions first."""
    states = study.battery_ways.states
    banks = study.battery_ways.banks
    every = states.weakest(cube for cubes in joined.values() for cube in cubes)
    had = states.weakest(cube for bank, cubes in joined.items() if bank in banks for cube in cubes)
    found: dict[str, _Cut] = {}
    looked: dict[str, int] = {}
    for cube in had:
        for number in states.touched(cube):
            device = states.devices[number].equipment
            if looked.get(device, 0) >= FEW:
                continue
            for cut in _moves(study, item, device, cube, every):
                if cut.first.value is not None:
                    looked[device] = looked.get(device, 0) + (1 if len(cut.positions) > 1 else FEW)
                if device not in found or _worth(cut) < _worth(found[device]):
                    found[device] = cut
    return sorted(found.values(), key=lambda cut: (len(cut.positions), cut.device))


def _worth(cut: _Cut) -> tuple[bool, int]:
    """What is known goes before what is not, fewer positions before more."""
    return cut.first.value is None, len(cut.positions)


def _moves(study: Study, item: str, device: str, cube: int, every: list[int]) -> Iterator[_Cut]:
    """Moves of one device away from what a condition asks of it, or that break it on the way."""
    states = study.battery_ways.states
    number = states.number[device]
    field = states.field[number]
    held = states.left(cube, number)
    record = study.snapshot.equipment[device]
    first: Told | None = None
    for before, after in record.moves():
        here, there = states.guard(device, (before,)), states.guard(device, (after,))
        if before not in held or here is None or there is None:
            continue
        joined = states.closed(cube | here)
        if joined is None:
            continue
        makes_first = record.parts().makes_first
        if after not in held:
            least = _left(study, every, joined, field, here, there)
            if least is not None:
                first = first or _first(study, item, device)
                yield _Cut(device, before, after, False, states.positions(least), first)
                continue
        if makes_first or not hasattr(record, "makes_before_breaks"):
            continue
        # both are joined, through this device alone: while it passes nothing is
        least = _left(study, [c for c in every if not c & field], joined, field, there, here)
        if least is not None:
            first = first or _first(study, item, device)
            if makes_first is None and not first.value:
                yield _Cut(
                    device,
                    before,
                    after,
                    True,
                    states.positions(least),
                    Told(None, (*first.missing, f"{study.name(device)}.makes_before_breaks")),
                )
            else:
                yield _Cut(device, before, after, True, states.positions(least), first)


def _left(study: Study, cubes: list[int], joined: int, field: int, before: int, after: int) -> int | None:
    """The smallest condition with the device `after`, within none of `cubes`, where `joined` held `before` it moved."""
    states = study.battery_ways.states
    left = states.outside(cubes, joined & ~field | after)
    if left is None:
        return None
    full = states.of_positions(left.items())
    # no permitted state before the move: another condition finds it, where there is one
    return smallest(states, full, cubes, keep=after) if states.allows(full & ~field | before) else None


def _first(study: Study, item: str, device: str) -> Told:
    """Whether the alternator's field is opened before the device opens."""
    equipment = study.snapshot.equipment
    told = equipment[device].parts().field_first
    if told:
        return Told(True)
    commanded = getattr(equipment[device], "controlled_by", "")
    stops: list[Told] = []
    for other, record in equipment.items():
        governs = record.governs()
        if governs is not None and (device in governs.opens or commanded == other):
            stops += [can_stop(study, bank, item) for bank in governs.banks]
    if stops and all(one.value for one in stops):
        return Told(True)
    missing = tuple(m for one in stops for m in one.missing)
    if stops and any(one.value is None for one in stops) and not any(one.value is False for one in stops):
        return Told(None, missing)
    return Told(None, (f"{study.name(device)}.field_contact",)) if told is None else Told(False)


def _finding(study: Study, item: str, cuts: list[_Cut]) -> Finding:
    first = cuts[0]
    automatic = [i for i, _p in first.positions if study.battery_ways.states.is_automatic(i)]
    chosen = tuple(
        (device, first.before if device == first.device and first.passing else positions[0])
        for device, positions in first.positions
    )
    devices = list(dict.fromkeys(cut.device for cut in cuts))
    names = listed([study.name(device) for device in devices])
    ways = [_how(study, cut) for cut in cuts]
    return Finding(
        rule=SLUG,
        word=WORD,
        designations=(study.name(item), *(study.name(device) for device in devices)),
        ids=(item, *devices),
        message=_("{alternator} is left without a battery while it runs when {ways}.").format(
            alternator=named(study, item), ways=_(" or when ").join(ways)
        ),
        condition=in_condition(study, first.positions, automatic),
        positions=chosen,
        fixes=(
            _("join {alternator} straight to a battery through a fuse, ahead of {devices}").format(
                alternator=study.name(item), devices=names
            ),
            _("or let {devices} open its field first").format(devices=names),
            _("or fit a surge absorber made for its output"),
        ),
    )


def _how(study: Study, cut: _Cut) -> str:
    name = study.name(cut.device)
    if cut.passing:
        return _("{name}, which breaks before it makes, passes from {before} to {after}").format(
            name=name, before=cut.before, after=cut.after
        )
    if cut.after == "open":
        return _("{name} opens").format(name=name)
    return _("{name} is turned to {after}").format(name=name, after=cut.after)


def _undecided(study: Study, item: str) -> Finding:
    return Finding(
        rule=SLUG,
        word=WORD,
        designations=(study.name(item),),
        ids=(item,),
        message=_(
            "Whether {alternator} can be cut off from every battery is not decided: the search was stopped before it"
            " could tell."
        ).format(alternator=named(study, item)),
        fixes=(_("join the alternator to a battery so that fewer switches lie between them"),),
        undecided=True,
    )


def fixes(study: Study, finding: Finding) -> Iterator[Fix]:
    """Switches with a field contact in place of those that have none."""
    from engine.fixing.parting import of_form

    text = _("fit {name} with a contact that opens the alternator's field first")
    yield from of_form(study, finding.ids[1:], "field_contact", True, text)


# -- examples -------------------------------------------------------------------------------------------------------
def _switched(*, contact: bool = False) -> Installation:
    b = alternator()
    b.add("battery_switch", "Q1", field_contact=contact)
    b.run("W3", "F1.out", "Q1.in", size="2 AWG", length_m=0.5)
    b.run("W4", "G2.pos", "Q1.out", size="2 AWG", length_m=2)
    return b.installation


def _straight() -> Installation:
    b = alternator()
    b.run("W3", "F1.out", "G2.pos", size="2 AWG", length_m=2)
    b.add("battery_switch", "Q1", field_contact=False)
    b.run("W4", "F1.out", "Q1.in", size="2 AWG", length_m=0.5)
    b.add("load", "E1", dc_v=12, power_w=50)
    b.run("W5", "Q1.out", "E1.in", size="2 AWG", length_m=2)
    return b.installation


def _absorbed(largest_a: float) -> Installation:
    b = alternator(rating_a=80)
    b.add("battery_switch", "Q1", field_contact=False)
    b.add("surge_absorber", "F9", dc_v=12, largest_alternator_a=largest_a)
    b.run("W3", "F1.out", "Q1.in", size="2 AWG", length_m=0.5)
    b.run("W4", "G2.pos", "Q1.out", size="2 AWG", length_m=2)
    b.run("W5", "G2.pos", "F9.pos", size="10 AWG", length_m=0.2)
    return b.installation


def _selected(*, contact: bool, makes_first: bool = True) -> Installation:
    b = alternator()
    b.add("battery_bank", "G3", unit_v=12, chemistry="AGM")
    b.add("selector", "S1", field_contact=contact, makes_before_breaks=makes_first)
    b.add("fuse", "F3", rating_a=150)
    b.run("W3", "F1.out", "S1.one", size="2 AWG", length_m=0.5)
    b.run("W4", "G3.pos", "F3.in", size="2 AWG", length_m=0.1)
    b.run("W5", "F3.out", "S1.two", size="2 AWG", length_m=0.5)
    b.run("W6", "G2.pos", "S1.common", size="2 AWG", length_m=2)
    return b.installation


def _changed_over(*, makes_first: bool) -> Installation:
    """A changeover without an off position."""
    b = alternator()
    b.add("battery_bank", "G3", unit_v=12, chemistry="AGM")
    b.add("changeover", "S1", has_off=False, makes_before_breaks=makes_first)
    b.add("fuse", "F3", rating_a=150)
    b.run("W3", "F1.out", "S1.one", function="dc positive", size="2 AWG", length_m=0.5)
    b.run("W4", "G3.pos", "F3.in", size="2 AWG", length_m=0.1)
    b.run("W5", "F3.out", "S1.two", function="dc positive", size="2 AWG", length_m=0.5)
    b.run("W6", "G2.pos", "S1.common", function="dc positive", size="2 AWG", length_m=2)
    return b.installation


GOOD = (
    Example("an alternator on its battery through a fuse, the switch behind it", _straight),
    Example("a switch with a field contact", lambda: _switched(contact=True)),
    Example("a surge absorber made for just that output", lambda: _absorbed(80)),
    Example("a selector with a field contact", lambda: _selected(contact=True)),
    Example("a changeover without off that makes before it breaks", lambda: _changed_over(makes_first=True)),
)
BAD = (
    Example("a battery switch between the two", _switched, (("G2", "Q1"),), condition="Q1 open"),
    Example("a surge absorber an ampere too small", lambda: _absorbed(79), (("G2", "Q1"),)),
    Example("a selector with an off", lambda: _selected(contact=False), (("G2", "S1"),), condition="S1 in off"),
    Example("a changeover that breaks before it makes", lambda: _changed_over(makes_first=False), (("G2", "S1"),)),
)
