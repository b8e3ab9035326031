"""A bypass leaves the unit it goes round connected on one side.

What it checks
--------------
Every inverter/charger, transformer or other unit that takes alternating current in and gives it out, and every set of
switch positions in which a source that can feed its input feeds a load of its output side round it. While the bypass
feeds that load, some permitted position of the other switches and breakers must part the unit from every source, at
its input and at its output. Its own relay is not relied on, nor is what a controller moves; a fuse is no switch.
Bypasses that join two sources are `sources-meet`. Its side of direct current is `no-converter-disconnect`; a switch
between two banks round a DC-DC converter is no bypass of it but a way to start the engine.

Why it matters
--------------
The bypass is closed because the unit has failed. If its input stays on the live bus, whoever opens it works on live
terminals, and a short circuit in it opens the breaker that now feeds everything.

What to do
----------
A breaker or switch at the input and one at the output, with a slide that lets the bypass close only when both are
open; or a changeover that parts both sides.

Limits read
-----------
None.

References
----------
Common practice, no source.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from engine.builder import Builder
from engine.circuit.switching.bypasses import Bypass
from engine.findings import Finding, Remark, Word
from engine.fixes import Fix
from engine.installation.model import Installation
from engine.rules.proved import proved
from engine.rules.rule import Example
from engine.rules.wording import in_condition, listed, named
from engine.study import Study
from engine.words import N_, _

SLUG = "bypass-incomplete"
WORD: Word = "warning"
TITLE = N_("a bypass leaves the failed unit connected on one side")
LOOKS_AT = N_("units with a bypass round them")
SEARCHES = True


def check(study: Study) -> Iterator[Remark]:
    """One remark a unit: the bypass with the fewest positions."""
    units: dict[str, list[Bypass]] = {}
    for one in study.bypasses:
        units.setdefault(one.unit, []).append(one)
    for unit, some in units.items():
        left = [one for one in some if one.live]
        doubtful = [one for one in some if one.undecided]
        if left:
            yield _finding(study, min(left, key=lambda one: len(one.positions)))
        elif doubtful:
            yield _undecided(study, doubtful[0])
        elif study.proving:
            text = _("With its bypass closed {unit} can be parted from every source on both sides.")
            yield proved(study, SLUG, unit, message=text.format(unit=named(study, unit)))


def _finding(study: Study, found: Bypass) -> Finding:
    name = study.name(found.unit)
    inputs = [t for t in found.live if not _gives(study, found.unit, t)]
    outputs = [t for t in found.live if t not in inputs]
    if inputs and outputs:
        message = _("With its bypass closed {unit} stays connected to {source}, at its input or at its output.")
    elif inputs:
        message = _("With its bypass closed the input of {unit} stays connected to {source}.")
    else:
        message = _("With its bypass closed the output of {unit} stays connected to {source}.")
    fixes = []
    if inputs:
        fixes.append(_("put a breaker or switch before the input of {unit}, behind the bypass").format(unit=name))
    if outputs:
        fixes.append(_("put a breaker or switch behind the output of {unit}, ahead of the bypass").format(unit=name))
    switches = [study.name(item) for item, _every in found.positions]
    fixes.append(_("interlock it with {switches}").format(switches=listed(switches)))
    return Finding(
        rule=SLUG,
        word=WORD,
        designations=(name, study.name(found.source)),
        ids=(found.unit, found.source),
        message=message.format(unit=named(study, found.unit), source=named(study, found.source)),
        condition=in_condition(study, found.positions, found.automatic),
        positions=found.witness,
        fixes=tuple(fixes),
    )


def _gives(study: Study, item: str, terminal: str) -> bool:
    joined = study.circuit.joined.get(item, frozenset())
    return any(source.terminal == terminal for source in study.snapshot.equipment[item].sources(joined))


def _undecided(study: Study, found: Bypass) -> Finding:
    return Finding(
        rule=SLUG,
        word=WORD,
        designations=(study.name(found.unit), study.name(found.source)),
        ids=(found.unit, found.source),
        message=_("Whether {unit} can be parted from every source while its bypass is closed is not decided.").format(
            unit=named(study, found.unit)
        ),
        condition=in_condition(study, found.positions, found.automatic),
        positions=found.witness,
        fixes=(_("interlock the bypass directly with a switch on each side of the unit"),),
        undecided=True,
    )


def fixes(study: Study, finding: Finding) -> Iterator[Fix]:
    """A breaker in the conductor at the terminal that stays live, of the rating of what feeds it."""
    from engine.fixing.pieces import device_for, in_run
    from engine.fixing.trial import first_sound

    unit = finding.ids[0]
    machine = study.snapshot.equipment[finding.ids[1]].machine()
    live = {t for one in study.bypasses if one.unit == unit for t in one.live}
    if machine is None or not machine.rated_a or finding.undecided:
        return
    for item, run in study.snapshot.runs.items():
        for end, at in (("to", run.to_end), ("from", run.from_end)):
            if at.equipment == unit and at.terminal in live and run.is_ac():
                record = device_for(study.snapshot, run, machine.rated_a)
                text = _("fit a breaker {device} in {run}, at {at}")
                yield from first_sound(study, finding, in_run(study, item, end, record, text))


# -- examples -------------------------------------------------------------------------------------------------------
def _aboard(*sides: str, fused: str = "", **facts: Any) -> Installation:
    """An inverter/charger with a bypass Q3; breakers Q1 before it and Q2 behind it, those named in `sides`."""
    b = Builder()
    b.add("shore_inlet", "X1", ac_v=120, supply_breaker_a=30)
    b.add("inverter_charger", "T1", dc_v=24, ac_v=120)
    b.add("bus_bar", "X2")
    b.add("bus_bar", "X3")
    b.add("load", "E1", ac_v=120, power_w=500)
    known: dict[str, Any] = {"rating_a": 30, "poles": ("L1", "N"), "used_as_switch": True}
    b.add("circuit_breaker", "Q3", in_position="open", **(known | facts))
    ways = {"Q1": ("X2.bar", "T1.ac_in"), "Q2": ("T1.ac_out", "X3.bar")}
    for number, (name, (start, end)) in enumerate(ways.items()):
        if name not in sides and name != fused:
            _ac(b, f"W1{number}", start, end)
            continue
        b.add("fuse" if name == fused else "circuit_breaker", name, **({"rating_a": 30} if name == fused else known))
        _ac(b, f"W1{number}", start, f"{name}.in")
        _ac(b, f"W2{number}", f"{name}.out", end)
    _ac(b, "W1", "X1.out", "X2.bar")
    _ac(b, "W2", "X2.bar", "Q3.in")
    _ac(b, "W3", "Q3.out", "X3.bar")
    _ac(b, "W4", "X3.bar", "E1.in")
    if "Q2" in sides:
        b.interlock("Q2", "Q3", name="slide")
    return b.installation


def _ac(b: Builder, name: str, start: str, end: str) -> None:
    b.run(name, start, end, function="ac", size="10 AWG", length_m=1)


def _changeover(*, breaker: bool) -> Installation:
    """A changeover, inverter or bypass, behind the unit; before it a breaker of its own or none."""
    b = Builder()
    b.add("shore_inlet", "X1", ac_v=120, supply_breaker_a=30)
    b.add("inverter_charger", "T1", dc_v=24, ac_v=120)
    b.add("bus_bar", "X2")
    b.add("changeover", "S1", poles=("L1", "N"), has_off=True)
    b.add("load", "E1", ac_v=120, power_w=500)
    _ac(b, "W1", "X1.out", "X2.bar")
    if breaker:
        b.add("circuit_breaker", "F1", rating_a=30, poles=("L1", "N"))
        _ac(b, "W2", "X2.bar", "F1.in")
        _ac(b, "W3", "F1.out", "T1.ac_in")
    else:
        _ac(b, "W2", "X2.bar", "T1.ac_in")
    _ac(b, "W4", "T1.ac_out", "S1.one")
    _ac(b, "W5", "X2.bar", "S1.two")
    _ac(b, "W6", "S1.common", "E1.in")
    return b.installation


GOOD = (
    Example("breakers on both sides, a slide with the bypass", lambda: _aboard("Q1", "Q2")),
    Example("a changeover behind it, a breaker before it", lambda: _changeover(breaker=True)),
)
BAD = (
    Example(
        "nothing before the input",
        lambda: _aboard("Q2"),
        (("T1", "X1"),),
        condition="Q3 closed",
    ),
    Example("a fuse before the input", lambda: _aboard("Q2", fused="Q1"), (("T1", "X1"),)),
    Example("a changeover behind it, nothing before it", lambda: _changeover(breaker=False), (("T1", "X1"),)),
)
