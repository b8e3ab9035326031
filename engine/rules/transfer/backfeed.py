"""Energy can come in from behind, where nobody looks for it.

What it checks
--------------
* Two AC sources that some permitted switch state joins through the windings of a transformer: the one on the side of
  the primary is energised backwards. With the shore's cord pulled out, the pins of the inlet are live.
* The AC output of a converter whose own relay is open: another source that reaches it by a permitted state.
* A solar array that a battery can drive current into, where the controller between them is recorded as blocking
  nothing: a *caution*, since it costs charge and touches nobody.

Two sources that meet without a winding between them are `sources-meet`. Sources recorded as built to run in parallel
are left out, and so is a bridge that supports what its relay passes: it parts from the input by itself when that fails.

Why it matters
--------------
A transformer works both ways. Pins that everyone takes for dead carry full voltage, behind a breaker that protects
them for nothing; an inverter fed at its output is wrecked when it starts.

What to do
----------
Interlock the breakers, or a changeover that opens every conductor; a controller or a diode that blocks.

Limits read
-----------
None.

References
----------
E-11 11.5.5.6, secondary copy. 46 CFR 183.390, 2015 edition: shore power interlocked with sources on board.
"""

from __future__ import annotations

from collections.abc import Iterator

from engine.builder import Builder
from engine.findings import Finding, NotJudged, Remark, Word
from engine.fixes import Fix
from engine.installation.model import Installation
from engine.rules.left_open import left_open
from engine.rules.proved import proved
from engine.rules.rule import Example
from engine.rules.transfer._back import Back, Discharge, at_idle_outputs, into_arrays, through_windings, told_of_meeting
from engine.rules.wording import in_condition, listed, named
from engine.study import Study
from engine.words import N_, _

SLUG = "backfeed"
WORD: Word = "danger"
TITLE = N_("energy can come in from behind")
LOOKS_AT = N_("AC sources behind transformers and relays, and solar arrays whose controllers block nothing")
SEARCHES = True


def check(study: Study) -> Iterator[Remark]:
    """One finding a pair of sources; one an array."""
    bad = {item for pair in told_of_meeting(study) for item in pair}
    for back in through_windings(study):
        bad |= {back.source, back.target}
        yield _undecided(study, back) if back.conflict is None else _windings(study, back)
    for back in at_idle_outputs(study):
        bad |= {back.source, back.target}
        yield _undecided(study, back) if back.conflict is None else _output(study, back)
    for one in into_arrays(study):
        yield _array(study, one)
    if study.proving and not study.meeting.locked:
        for item in dict.fromkeys(party.equipment for party in study.meeting.sources):
            if item not in bad and len({p.equipment for p in study.meeting.sources}) > 1:
                message = _("No permitted switch position brings energy to {source} from behind.")
                yield proved(study, SLUG, item, message=message.format(source=named(study, item)))


def _windings(study: Study, back: Back) -> Finding:
    assert back.conflict is not None
    told = study.snapshot.equipment[back.target].ashore()
    if told is not None:
        message = _("{source} can energise the pins of {target} backwards through {through}, its cord pulled out.")
    else:
        message = _("{source} can energise {target} backwards through {through}.")
    inlet = _inlet(study, back)
    return Finding(
        rule=SLUG,
        word=WORD,
        designations=(study.name(back.source), study.name(back.target)),
        ids=(back.source, back.target, *back.through),
        message=message.format(
            source=named(study, back.source),
            target=named(study, inlet if told is not None else back.target),
            through=listed([study.name(item) for item in back.through]),
        ),
        condition=_condition(study, back),
        positions=back.conflict.witness(),
        fixes=tuple(_parting(study, back)),
        detail="windings",
    )


def _inlet(study: Study, back: Back) -> str:
    """The boat's inlet on the way to a supply ashore, the supply itself where none is drawn."""
    assert back.conflict is not None
    equipment = study.snapshot.equipment
    on_board = [i for i in back.conflict.way if (told := equipment[i].ashore()) is not None and told.inlet]
    return on_board[0] if on_board else back.target


def _output(study: Study, back: Back) -> Finding:
    assert back.conflict is not None
    return Finding(
        rule=SLUG,
        word=WORD,
        designations=(study.name(back.source), study.name(back.target)),
        ids=(back.source, back.target),
        message=_("{source} can energise the AC output of {target} while its own relay is open.").format(
            source=named(study, back.source), target=named(study, back.target)
        ),
        condition=_condition(study, back),
        positions=back.conflict.witness(),
        fixes=tuple(_parting(study, back)),
        detail="output",
    )


def _condition(study: Study, back: Back) -> str:
    assert back.conflict is not None
    conflict = back.conflict
    positions = conflict.positions + tuple((item, (position,)) for item, position in conflict.protection)
    return in_condition(study, positions, conflict.automatic)


def _moved(study: Study, back: Back) -> list[tuple[str, tuple[str, ...]]]:
    """What a hand moves on the way, with the positions that join."""
    assert back.conflict is not None
    conflict = back.conflict
    moved = [(i, every) for i, every in conflict.positions if i not in conflict.automatic]
    if len(moved) < 2:
        moved += [(item, (position,)) for item, position in conflict.protection]
    return moved


def _parting(study: Study, back: Back) -> Iterator[str]:
    names = [study.name(item) for item, _every in _moved(study, back)]
    if len(names) > 1:
        yield _("interlock {names} so that not all of them can stand so at once").format(names=listed(names))
    yield _("put a changeover switch that opens every live conductor between {source} and {target}").format(
        source=study.name(back.source), target=study.name(back.through[-1] if back.through else back.target)
    )


def _undecided(study: Study, back: Back) -> Finding:
    return Finding(
        rule=SLUG,
        word=WORD,
        designations=(study.name(back.source), study.name(back.target)),
        ids=(back.source, back.target),
        message=_("Whether {source} can energise {target} from behind is not decided.").format(
            source=named(study, back.source), target=named(study, back.target)
        ),
        fixes=(_("interlock the sources directly, or split the network so that fewer switches lie between them"),),
        undecided=True,
    )


def _array(study: Study, one: Discharge) -> Finding | NotJudged:
    if one.missing:
        return left_open(
            study,
            SLUG,
            "caution",
            one.controller,
            one.array,
            missing=tuple(f"{study.name(item)}.{field}" for item, field in one.missing),
            why=_("whether battery current is kept out of the array is not recorded"),
            detail="array",
        )
    return Finding(
        rule=SLUG,
        word="caution",
        designations=(study.name(one.controller), study.name(one.array)),
        ids=(one.controller, one.array, one.battery),
        message=_("{battery} can discharge through {controller} into {array} in the dark.").format(
            battery=named(study, one.battery), controller=study.name(one.controller), array=named(study, one.array)
        ),
        condition=in_condition(study, one.positions, one.automatic),
        positions=one.witness,
        fixes=(
            _("fit a controller that blocks current back into the array"),
            _("or a diode in each string of {array}").format(array=study.name(one.array)),
        ),
        detail="array",
    )


def fixes(study: Study, finding: Finding) -> Iterator[Fix]:
    """An interlock over the switches that join them."""
    from engine.fixing.pieces import interlocked
    from engine.fixing.trial import first_sound

    if finding.detail not in ("windings", "output") or finding.undecided:
        return
    for back in (*through_windings(study), *at_idle_outputs(study)):
        if back.conflict is not None and (back.source, back.target) == finding.ids[:2]:
            yield from first_sound(study, finding, interlocked(study, _moved(study, back)))
            return


# -- examples -------------------------------------------------------------------------------------------------------
def _ac(b: Builder, name: str, start: str, end: str) -> None:
    b.run(name, start, end, function="ac", size="10 AWG", length_m=1)


def _transformer(*, interlocked: bool) -> Installation:
    """A generator on the panel behind an isolation transformer."""
    b = Builder()
    b.add("shore_inlet", "X1", ac_v=120)
    b.add("isolation_transformer", "T1", primary_v=120, secondary_v=120)
    b.add("generator", "G1", ac_v=120)
    for name in ("Q1", "Q2"):
        b.add("circuit_breaker", name, rating_a=30, poles=("L1", "N"))
    b.add("bus_bar", "W90")
    _ac(b, "W11", "X1.out", "T1.primary")
    _ac(b, "W12", "T1.secondary", "Q1.in")
    _ac(b, "W13", "Q1.out", "W90.bar")
    _ac(b, "W14", "G1.out", "Q2.in")
    _ac(b, "W15", "Q2.out", "W90.bar")
    if interlocked:
        b.interlock("Q1", "Q2", name="slide")
    return b.installation


def _idle(*, parted: bool) -> Installation:
    """A bypass that an interlock lets close while the unit is off or passes, or one that parts the unit from it."""
    b = Builder()
    b.add("shore_inlet", "X1", ac_v=120)
    b.add("inverter_charger", "T1", dc_v=24, ac_v=120)
    b.add("contactor", "K1", poles=("L1", "N"))
    b.add("contactor", "K2", poles=("L1", "N"))
    b.add("bus_bar", "W91")
    b.add("bus_bar", "W92")
    _ac(b, "W11", "X1.out", "W91.bar")
    _ac(b, "W12", "W91.bar", "T1.ac_in")
    _ac(b, "W15", "W91.bar", "K2.in")
    _ac(b, "W16", "K2.out", "W92.bar")
    if parted:
        _ac(b, "W13", "T1.ac_out", "K1.in")
        _ac(b, "W14", "K1.out", "W92.bar")
        b.interlock("K1", "K2", kind="electrical")
    else:
        _ac(b, "W13", "T1.ac_out", "W92.bar")
        b.interlock("T1:invert", "K2", kind="electrical")
    return b.installation


def _solar(*, blocks: bool | None, diodes: bool | None = False) -> Installation:
    b = Builder()
    b.add("battery_bank", "G1", unit_v=12)
    b.add("solar_array", "G2", blocking_diodes=diodes)
    b.add("solar_controller", "T1", method="shunt", dc_v=12, common="negative", blocks_reverse=blocks)
    b.run("W1", "G2.pos", "T1.pv", size="10 AWG", length_m=3)
    b.run("W2", "T1.dc", "G1.pos", size="10 AWG", length_m=2)
    return b.installation


GOOD = (
    Example("a transformer and a generator with a slide between them", lambda: _transformer(interlocked=True)),
    Example("a bypass and the unit's output, held by contactors that lock each other", lambda: _idle(parted=True)),
    Example("a controller that blocks", lambda: _solar(blocks=True)),
    Example("diodes in the strings, a controller that blocks nothing", lambda: _solar(blocks=False, diodes=True)),
)
BAD = (
    Example(
        "a generator that reaches the shore's pins through a transformer",
        lambda: _transformer(interlocked=False),
        (("G1", "X1"),),
        condition="Q1 closed, Q2 closed",
    ),
    Example(
        "a bypass closed, the unit off",
        lambda: _idle(parted=False),
        (("X1", "T1"),),
        condition="K2 closed by itself, T1 in off by itself",
    ),
    Example("a controller that blocks nothing", lambda: _solar(blocks=False), (("T1", "G2"),)),
    Example("a controller of which it is not recorded", lambda: _solar(blocks=None), (("T1", "G2"),)),
)
