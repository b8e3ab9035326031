"""An essential load falls below the volts it works at while a motor or the engine starts.

What it checks
--------------
In every operating condition, batteries at their lowest: while the largest motor, or an engine's starter, takes its
starting current, the volts at every essential load against the lowest it works at. A motor whose starting current is
not recorded may be the one that pulls lowest: it is not judged.

Why it matters
--------------
The plotter restarts, the autopilot lets go, the VHF falls silent, at the moment the windlass or the engine is started.

What to do
----------
Feed essential loads from a bank that starts nothing, through a converter that rides through, or shorten and thicken
the starting circuit.

Limits read
-----------
None of the book's: the lowest volts stand in the record of the load.

References
----------
Common practice, no source.
"""

from __future__ import annotations

from collections.abc import Iterator

from engine.circuit.flow.results import Start, StartedLoad
from engine.findings import Figure, Finding, NotJudged, Remark, Word
from engine.fixes import Fix
from engine.installation.model import Installation
from engine.rules.example_boats import set_condition
from engine.rules.example_parts import boat, cable
from engine.rules.proved import proved
from engine.rules.rule import Example
from engine.rules.wording import hundredths, in_operation
from engine.study import Study
from engine.units import show
from engine.words import N_, _

SLUG = "dips-on-start"
WORD: Word = "caution"
TITLE = N_("essential load falls below its lowest volts while something starts")
LOOKS_AT = N_("essential loads, where a motor or an engine starts")


def check(study: Study) -> Iterator[Remark]:
    """One remark a load: the start that pulls it lowest."""
    worst: dict[str, tuple[float, Start, StartedLoad]] = {}
    gaps: dict[str, tuple[str, ...]] = {}
    names = {made.condition: made.name for made in study.operations}
    unknown: dict[str, tuple[str, ...]] = {}  # motors that start with nobody knows what
    for start in study.starts:
        if start.amps is None:
            unknown[start.motor] = tuple(dict.fromkeys((*unknown.get(start.motor, ()), *start.missing)))
        for load in start.loads:
            lacks = list(load.missing)
            if load.minimum_v is None:
                lacks.append(f"{load.designation}.minimum_v")
            if load.volts is None or load.minimum_v is None:
                gaps.setdefault(load.equipment, tuple(dict.fromkeys(lacks)))
                continue
            margin = load.volts - load.minimum_v
            if load.equipment not in worst or margin < worst[load.equipment][0]:
                worst[load.equipment] = margin, start, load
    for item in sorted(worst.keys() | gaps.keys()):
        if item in worst and worst[item][0] < 0:
            yield _finding(study, *worst[item][1:], names)
        elif item in gaps:
            yield NotJudged(
                rule=SLUG,
                would_be=WORD,
                designations=(study.name(item),),
                ids=(item,),
                missing=gaps[item],
                why=_("its volts while something starts, or the lowest it works at, are not known"),
            )
        elif study.proving:
            _margin, start, load = worst[item]
            yield proved(
                study,
                SLUG,
                item,
                found=("volts", load.volts or 0.0),
                limit=("lowest", load.minimum_v or 0.0),
                unit="V",
                at_least=True,
                arithmetic=_("while {motor} starts").format(motor=start.designation),
                condition=names.get(start.condition, ""),
            )
    essential = any((use := r.use()) is not None and use.essential for r in study.snapshot.equipment.values())
    for item, missing in sorted(unknown.items()) if essential else ():
        yield NotJudged(
            rule=SLUG,
            would_be=WORD,
            designations=(study.name(item),),
            ids=(item,),
            missing=missing,
            why=_("how low the volts of essential loads fall while it starts is not known"),
        )


def _finding(study: Study, start: Start, load: StartedLoad, names: dict[str, str]) -> Finding:
    condition = names.get(start.condition, "")
    assert load.volts is not None  # asked only where both are known
    return Finding(
        rule=SLUG,
        word=WORD,
        designations=(load.designation, start.designation),
        ids=(load.equipment, start.motor),
        message=_("{load} falls to {volts} V while {motor} starts {where}; it works down to {least}.").format(
            load=load.designation,
            volts=hundredths(load.volts),
            motor=start.designation,
            where=in_operation(start.condition, condition),
            least=show(load.minimum_v, "V"),
        ),
        condition=condition,
        figures=(Figure("volts", load.volts, "V"), Figure("lowest", load.minimum_v, "V")),
        arithmetic=_("{motor} takes {amps} from batteries at their lowest").format(
            motor=start.designation, amps=show(start.amps, "A")
        ),
        fixes=(
            _("feed it from a bank that starts nothing"),
            _("thicken or shorten the conductors they share"),
        ),
    )


def fixes(study: Study, finding: Finding) -> Iterator[Fix]:
    """Thicker conductors where most is lost while it starts."""
    from engine.fixing.ratings import thicker

    motor = finding.ids[1]
    starting = next(
        (s for s in study.starts if s.motor == motor and finding.ids[0] in {o.equipment for o in s.loads}), None
    )
    if starting is not None:
        # what is led to the motor alone lowers no other load's volts
        shared = [(run, amps) for run, amps in starting.runs if not _leads_to(study, run, motor)]
        most = max((amps for _run, amps in shared), default=0.0)
        shared = [entry for entry in sorted(shared, key=lambda entry: (-entry[1], entry[0])) if entry[1] > most / 4]
        yield from thicker(study, finding, [run for run, _amps in shared[:3]])


def _leads_to(study: Study, run: str, item: str) -> bool:
    record = study.snapshot.runs[run]
    return item in (record.from_end.equipment, record.to_end.equipment)


# -- examples -------------------------------------------------------------------------------------------------------
def _starting(size: str, minimum: float | None = 9.0, starting_a: float | None = 200.0) -> Installation:
    """A windlass taking 200 A at its start, and a plotter, behind one main cable; bank of 5 milliohm at 11.7 V."""
    b = boat()
    b.add("battery_bank", "G1", unit_v=12.0, unit_ah=100.0, chemistry="AGM", internal_resistance_ohm=0.005)
    b.add("fuse", "F1", rating_a=300)
    b.add("bus_bar", "X1", rating_a=300)
    b.add("motor", "M1", dc_v=12, running_a=50.0, starting_a=starting_a, service="windlass")
    b.add("load", "A1", dc_v=12, power_w=30, essential=True, minimum_v=minimum)
    cable(b, "W1", "G1.pos", "F1.in", size, 6, function="dc pair")
    cable(b, "W2", "F1.out", "X1.bar", size, 60, function="dc pair")
    cable(b, "W3", "X1.bar", "M1.in", "2/0 AWG", 120, function="dc pair")
    cable(b, "W4", "X1.bar", "A1.in", "14 AWG", 120, function="dc pair")
    set_condition(b, "Anchoring", {"M1": 0.1, "A1": 5.0})
    return b.installation


GOOD = (
    Example("a heavy main cable", lambda: _starting("4/0 AWG")),
    # 11.7 V - 200 A x (5 + 1.7 + 0.3) milliohm and the lamp's own: some 10.2 V
    Example("just above what it needs", lambda: _starting("4/0 AWG", 10.0)),
)
BAD = (
    Example("a thin main cable", lambda: _starting("10 AWG"), (("A1", "M1"),), condition="Anchoring"),
    Example(
        "what the windlass takes when it starts is not recorded", lambda: _starting("4/0 AWG", 9.0, None), (("M1",),)
    ),
    Example("the lowest volts it works at are not recorded", lambda: _starting("4/0 AWG", None), (("A1",),)),
    Example("just below what it needs", lambda: _starting("4/0 AWG", 10.5), (("A1", "M1"),)),
)
