"""What feeds equipment lets through more than it may carry, or its device is larger than its maker allows.

What it checks
--------------
Inlets, sockets, transfer relays, inputs of converters and transformers, contactors, shunts, charging relays, fuse
holders, residual-current devices without overcurrent trip, and everything else whose through-current rating is
recorded: the largest current that what feeds it lets through in any permitted switch state, from either side, against
that rating. Devices add up and self-limited sources count at their limit, as for conductors. A galvanic isolator
carries an earth fault of the shore until the breaker ashore clears it, and is held to that breaker. And wherever the
largest device its maker allows is recorded: the one device that protects it, or the sum of several.

Ahead of a main fuse the devices behind say how much passes, and a shunt in a negative drawn apart is held to the
devices in the positives of its batteries. Where nothing at all limits the current, the conductor that brings it is
uncovered and says so. Equipment of these kinds
that is fed and records no rating is not judged.

Why it matters
--------------
A 30 A inlet behind a 50 A breaker melts at 40 A with no device the wiser. A maker's largest device is the one its
product was tested with.

What to do
----------
Fit a smaller device before the equipment, or equipment rated for what feeds it.

Limits read
-----------
None: the limits are those recorded with the equipment.

References
----------
Common practice, no source. E-11 handbook, secondary copy: transformers and inlets protected near their rating.
"""

from __future__ import annotations

from collections.abc import Iterator

from engine.books.ampacity import amps
from engine.circuit.letthrough import Overfed, Within, overfed, within
from engine.findings import Figure, Finding, NotJudged, Remark, Word
from engine.fixes import Fix
from engine.installation.model import Installation
from engine.rules.example_parts import ac_cable, boat, cable, lamp
from engine.rules.protection import _telling as telling
from engine.rules.protection._devices import device, replaced
from engine.rules.proved import proved
from engine.rules.rule import Example
from engine.rules.wording import named
from engine.study import Study
from engine.words import N_, _

SLUG = "equipment-over-protected"
WORD: Word = "danger"  # AC; a warning for DC
TITLE = N_("equipment fed through a device too large for it")
LOOKS_AT = N_("equipment that current passes through, or that takes it in through a device")
THROUGH = ("through_a", "rating_a", "continuous_a", "holder_a")  # fields that say what may pass through equipment


def check(study: Study) -> Iterator[Remark]:
    """At most one finding for the rating and one for the maker's device, of each piece of equipment."""
    for found in overfed(study.coverage):
        word: Word = "warning" if found.conductor in ("+", "-") else WORD
        yield _finding(study, found, word) if found.judged else _gap(study, found, word)
    if study.proving:
        yield from _proofs(study)


def _proofs(study: Study) -> Iterator[Remark]:
    """For each piece of equipment and question what comes nearest to its limit."""
    most: dict[tuple[str, str], Within] = {}
    for one in within(study.coverage):
        before = most.get((one.equipment, one.kind))
        worse = before is None or one.amps * before.limit_a > before.amps * one.limit_a
        # a maker names one device: of several inputs the one whose device is the smallest counts
        if before is None or worse == (one.kind == "through"):
            most[one.equipment, one.kind] = one
    for item, one in ((item, one) for (item, _kind), one in most.items()):
        detail = f"{one.kind} {one.terminal}"
        if one.amps <= one.limit_a * (1 + 1e-9):
            found, limit = ("feed", one.amps), ("allowed", one.limit_a)
            yield proved(study, SLUG, item, found=found, limit=limit, unit="A", detail=detail)
        else:
            message = _("No permitted switch position lets more than {limit} through {name}.")
            told = message.format(limit=amps(one.limit_a), name=named(study, item))
            yield proved(study, SLUG, item, message=told, detail=detail)


def _finding(study: Study, found: Overfed, word: Word) -> Finding:
    by = telling.listed(telling.feeders(study, found.supplied))
    fixes = [_("fit a device of {limit} or less before {name}")]
    if found.undecided:
        text = _("Whether some switch position lets more than {limit} through {name} is not decided.")
    elif found.conductor == "-":
        text = _("{name} is good for {limit}; {amps} can return through it from what {devices} protects.")
        fixes[0] = _("fit a device of {limit} or less in the positive")
    elif found.onward:
        text = _("{name} is good for {limit}; {amps} can pass through it to {devices}, with nothing smaller before it.")
    elif found.kind == "through":
        text = _("{name} is good for {limit}; {amps} can pass through it from {devices}.")
    else:
        text = _("{name} allows a device of {limit} at most; {devices} protects it.")
    ids = telling.equipment_of(found.supplied)
    given = () if found.supplied is None else (*found.supplied.devices, *found.supplied.sources)
    if found.kind == "through":
        fixes.append(_("fit equipment good for {amps} or more"))
    if found.supplied is not None and len(found.supplied.devices) == 1 and not found.supplied.sources:
        one = device(study, *found.supplied.devices[0])
        if one.kind == "ashore" or one.ratio != 1.0:
            fixes[0] = replaced(study, one, found.limit_a)
    others = tuple(dict.fromkeys(item for item in ids if item != found.equipment))
    told = {
        "name": named(study, found.equipment),
        "limit": amps(found.limit_a),
        "devices": by,
        "amps": amps(found.amps),
    }
    return Finding(
        rule=SLUG,
        word=word,
        designations=(study.name(found.equipment), *(study.name(item) for item in others)),
        ids=(found.equipment, *others),
        message=text.format(**told),
        condition=telling.condition(study, found.positions),
        positions=found.positions,
        figures=(
            Figure("feed", round(found.amps, 3), "A"),
            Figure("allowed", round(found.limit_a, 3), "A"),
        ),
        arithmetic=" + ".join(amps(a) for _item, a in given) + f" = {amps(found.amps)}" if len(given) > 1 else "",
        fixes=tuple(text.format(**(told | {"name": study.name(found.equipment)})) for text in fixes),
        undecided=found.undecided,
        detail=f"{found.kind} {found.terminal}",
    )


def _gap(study: Study, found: Overfed, word: Word) -> NotJudged:
    return NotJudged(
        rule=SLUG,
        would_be=word,
        designations=(study.name(found.equipment),),
        ids=(found.equipment,),
        missing=found.missing,
        why=_("what feeds {name} cannot be compared with what it may carry").format(name=study.name(found.equipment)),
        detail=f"{found.kind} {found.terminal}",
    )


def fixes(study: Study, finding: Finding) -> Iterator[Fix]:
    """A smaller device before it, equipment rated for what feeds it, an interlock against what feeds it together."""
    from engine.fixing.covering import locked_out
    from engine.fixing.ratings import larger_of, smaller_devices

    item, *devices = finding.ids
    feed, allowed = finding.figures[0].value, finding.figures[1].value
    if len(devices) == 1:
        yield from smaller_devices(study, finding, devices[0], allowed)
    field = next((f for f in THROUGH if getattr(study.snapshot.equipment[item], f, None) == allowed), "")
    if finding.detail.startswith("through") and field and feed is not None:
        yield from larger_of(study, finding, item, field, feed)
    yield from locked_out(study, finding)


# -- examples -------------------------------------------------------------------------------------------------------
def _inlet(breaker_a: float, rated_a: float = 30) -> Installation:
    """A shore inlet behind the breaker ashore."""
    b = boat()
    b.add("shore_supply", "G3", ac_v=120, breaker_a=breaker_a)
    b.add("shore_inlet", "X1", ac_v=120, rating_a=rated_a)
    b.add("load", "E1", ac_v=120, power_w=500, power_factor=1.0)
    ac_cable(b, "W11", "G3.out", "X1.shore", "6 AWG", 200)
    ac_cable(b, "W12", "X1.out", "E1.in", "6 AWG", 200)
    return b.installation


def _contactor(fuse_a: float, *, second: bool = False, rating_a: float | None = 100) -> Installation:
    """A contactor behind one fuse, or between two banks."""
    b = boat()
    b.add("battery_bank", "G1", unit_v=12.8)
    b.add("fuse", "F1", rating_a=fuse_a)
    b.add("contactor", "K1", continuous_a=rating_a)
    cable(b, "W11", "G1.pos", "F1.in", "1/0 AWG", 6)
    cable(b, "W12", "F1.out", "K1.in", "1/0 AWG", 60)
    if second:
        b.add("battery_bank", "G2", unit_v=12.8)
        b.add("fuse", "F2", rating_a=100)
        cable(b, "W13", "K1.out", "F2.out", "1/0 AWG", 60)
        cable(b, "W14", "G2.pos", "F2.in", "1/0 AWG", 6)
    else:
        b.add("bus_bar", "X2")
        cable(b, "W13", "K1.out", "X2.bar", "1/0 AWG", 60)
        lamp(b, "E1", "X2.bar")
    return b.installation


def _ahead(fuse_a: float, *, spare: bool = False) -> Installation:
    """A main contactor between the bank and its fuse, a spare way beside it."""
    b = boat()
    b.add("battery_bank", "G1", unit_v=12.8)
    b.add("contactor", "K1", continuous_a=100)
    b.add("fuse", "F1", rating_a=fuse_a)
    b.add("bus_bar", "X1")
    cable(b, "W11", "G1.pos", "K1.in", "1/0 AWG", 2)
    cable(b, "W12", "K1.out", "X1.bar", "1/0 AWG", 2)
    cable(b, "W13", "X1.bar", "F1.in", "1/0 AWG", 2)
    b.add("load", "E1", dc_v=12, current_a=50.0)
    cable(b, "W14", "F1.out", "E1.in", "1/0 AWG", 60)
    if spare:
        b.add("fuse", "F2", rating_a=100)
        cable(b, "W15", "X1.bar", "F2.in", "1/0 AWG", 2)
    return b.installation


def _shunt(rating_a: float, *, lamp_beside: bool = False) -> Installation:
    """A shunt in the negative of a bank behind a 100 A fuse; what returns beside the shunt is none of its."""
    b = boat()
    b.add("battery_bank", "G1", unit_v=12.8)
    b.add("fuse", "F1", rating_a=100)
    b.add("shunt", "R1", rating_a=rating_a)
    b.add("load", "E1", dc_v=12, current_a=50.0)
    cable(b, "W11", "G1.pos", "F1.in", "2 AWG", 6)
    cable(b, "W12", "F1.out", "E1.in", "2 AWG", 60)
    cable(b, "W13", "G1.neg", "R1.in", "2 AWG", 6, function="dc negative")
    cable(b, "W14", "R1.out", "E1.neg", "2 AWG", 60, function="dc negative")
    if lamp_beside:
        b.add("fuse", "F2", rating_a=20)
        b.add("load", "E2", dc_v=12, current_a=2.0)
        cable(b, "W15", "G1.pos", "F2.in", "10 AWG", 6)
        cable(b, "W16", "F2.out", "E2.in", "10 AWG", 60)
        cable(b, "W17", "E2.neg", "G1.neg", "10 AWG", 60, function="dc negative")
    return b.installation


def _maker(fuse_a: float) -> Installation:
    """A plotter whose maker allows 5 A at most."""
    b = boat()
    b.add("battery_bank", "G1", unit_v=12.8)
    b.add("fuse", "F1", rating_a=fuse_a)
    b.add("load", "P1", dc_v=12, current_a=1.5, largest_device_a=5)
    cable(b, "W11", "G1.pos", "F1.in", "14 AWG", 6)
    cable(b, "W12", "F1.out", "P1.in", "14 AWG", 60)
    return b.installation


def _transfer(*, interlocked: bool) -> Installation:
    """A 30 A transfer relay fed by one of two 30 A breakers, or by both."""
    b = boat()
    b.add("inverter_charger", "T1", ac_v=120, dc_v=12, through_a=30, output_limit_a=20, charge_a=50, self_limiting=True)
    b.add("bus_bar", "X2")
    for number in (1, 2):
        b.add("generator", f"G{number}", ac_v=120, power_va=3600, self_limiting=False)
        b.add("circuit_breaker", f"Q{number}", rating_a=30, poles=("L1", "N"), used_as_switch=True)
        b.set(f"Q{number}", in_position="closed" if number == 1 else "open")
        ac_cable(b, f"W{number}1", f"G{number}.out", f"Q{number}.in", "6 AWG", 20)
        ac_cable(b, f"W{number}2", f"Q{number}.out", "X2.bar", "6 AWG", 40)
    ac_cable(b, "W13", "X2.bar", "T1.ac_in", "6 AWG", 40)
    b.add("load", "E1", ac_v=120, power_w=500, power_factor=1.0)
    ac_cable(b, "W14", "T1.ac_out", "E1.in", "6 AWG", 40)
    if interlocked:
        b.interlock("Q1", "Q2")
    return b.installation


def _isolator(rating_a: float) -> Installation:
    """A galvanic isolator in the earth of a 30 A shore supply; a generator on board has nothing to do with it."""
    b = boat()
    b.add("shore_supply", "G3", ac_v=120, breaker_a=30, neutral_earthed=True)
    b.add("shore_inlet", "X1", ac_v=120, rating_a=30)
    b.add("galvanic_isolator", "F9", rating_a=rating_a)
    b.add("earth_point", "X9")
    b.add("load", "E1", ac_v=120, power_w=500, power_factor=1.0)
    ac_cable(b, "W11", "G3.out", "X1.shore", "10 AWG", 200)
    ac_cable(b, "W12", "X1.out", "E1.in", "10 AWG", 200, earth=False)
    b.run("W13", "X1.out", "F9.in", function="earth", size="10 AWG", length_m=1.0)
    b.run("W14", "F9.out", "X9.at", function="earth", size="10 AWG", length_m=1.0)
    b.run("W15", "E1.earth", "X9.at", function="earth", size="10 AWG", length_m=1.0)
    b.add("generator", "G6", ac_v=120, power_va=6000, self_limiting=False, breaker_a=50)
    b.run("W16", "G6.earth", "X9.at", function="earth", size="10 AWG", length_m=1.0)
    b.add("load", "E2", ac_v=120, power_w=500, power_factor=1.0)
    ac_cable(b, "W17", "G6.out", "E2.in", "8 AWG", 200)
    return b.installation


def _diodes(alternator_a: float) -> Installation:
    """An isolator for 100 A between an alternator and two banks, each behind 125 A: nothing comes back through it."""
    b = boat()
    b.add("alternator", "G3", dc_v=12, rating_a=alternator_a, self_limiting=True)
    b.add("diode_isolator", "R1", rating_a=100)
    cable(b, "W11", "G3.pos", "R1.in", "1/0 AWG", 20)
    for n in ("1", "2"):
        b.add("battery_bank", f"G{n}", unit_v=12)
        b.add("fuse", f"F{n}", rating_a=125)
        cable(b, f"W2{n}", f"R1.out{n}", f"F{n}.out", "1/0 AWG", 60)
        cable(b, f"W3{n}", f"G{n}.pos", f"F{n}.in", "1/0 AWG", 6)
    return b.installation


GOOD = (
    Example("an inlet behind a breaker of its own rating", lambda: _inlet(30)),
    Example(
        "a contactor between two banks: each side feeds 100 A, never both through it",
        lambda: _contactor(100, second=True),
    ),
    Example("a main contactor ahead of a fuse of its rating, a spare way beside it", lambda: _ahead(100, spare=True)),
    Example("a shunt in the negative, a lamp returning beside it", lambda: _shunt(100, lamp_beside=True)),
    Example("a device of just the size the maker allows", lambda: _maker(5)),
    Example("a galvanic isolator of the rating of the breaker ashore", lambda: _isolator(30)),
    Example("a transfer relay fed by one breaker at a time", lambda: _transfer(interlocked=True)),
    Example("a diode isolator before larger fuses of the banks it charges", lambda: _diodes(100)),
)
BAD = (
    Example("a 30 A inlet behind a 50 A breaker", lambda: _inlet(50), (("X1", "G3"),)),
    Example("a contactor behind a fuse just above its rating", lambda: _contactor(101), (("K1", "F1"),)),
    Example("a main contactor ahead of a fuse above its rating", lambda: _ahead(101), (("K1", "F1"),)),
    Example("a shunt in the negative below the fuse in the positive", lambda: _shunt(99), (("R1", "F1"),)),
    Example("a galvanic isolator below the rating of the breaker ashore", lambda: _isolator(16), (("F9", "G3"),)),
    Example("a device just above what the maker allows", lambda: _maker(6), (("P1", "F1"),)),
    Example("an alternator larger than the diode isolator behind it", lambda: _diodes(110), (("R1", "G3"),)),
    Example(
        "a transfer relay that two breakers can feed at once",
        lambda: _transfer(interlocked=False),
        (("T1", "Q1", "Q2"),),
        condition="Q1 closed, Q2 closed",
    ),
)
