"""Insulation that is not permitted where a run passes, or not hot enough for it.

What it checks
--------------
Every current-carrying run: in a machinery space, the temperature class of its insulation against the book's least; in
any place, against the temperature recorded for it. And where the book lists the types of insulation for conductors from
a voltage up, the type recorded.

Why it matters
--------------
Insulation below its class grows hard and cracks; one that is not made for damp or oil lets current creep.

What to do
----------
Cable of a higher class or a listed type, or another way for it.

Limits read
-----------
`machinery_c` (least class in machinery spaces), `from_v` (volts from which the type is asked for), `types` (listed).

References
----------
33 CFR 183.435(a), 2015 edition. E-11, from memory, not confirmed: 75 °C in machinery spaces.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from typing import Any

from engine.books.ampacity import MACHINERY
from engine.findings import Figure, Finding, Passed, Remark, Word
from engine.fixes import Fix, changed_run
from engine.installation.model import Installation
from engine.installation.records import Run
from engine.rules.example_parts import boat, cable
from engine.rules.left_open import left_open
from engine.rules.proved import proved
from engine.rules.rule import Example
from engine.rules.safety._boats import alongside, circuit
from engine.study import Study
from engine.units import show
from engine.words import N_, _

SLUG = "wrong-insulation"
WORD: Word = "warning"
TITLE = N_("insulation not permitted where the run passes")
LOOKS_AT = N_("current-carrying runs, by the places they pass")
SOLVES = False
FUNCTIONS = ("dc pair", "dc positive", "dc negative", "ac")


def check(study: Study) -> Iterator[Remark]:
    """One remark a run; runs of which the type is not recorded together."""
    untold: list[str] = []
    for item, run in study.snapshot.runs.items():
        if run.function not in FUNCTIONS or run.status in ("to remove", "spare"):
            continue
        told: Remark | str | None = _heat(study, item, run)
        if told is None or isinstance(told, Passed):
            told = _type(study, item, run) or told
        if isinstance(told, str):
            untold.append(item)
        elif told is not None:
            yield told
    if untold:
        names = tuple(study.name(item) for item in untold)
        yield left_open(
            study,
            SLUG,
            WORD,
            *untold,
            missing=tuple(f"{name}.insulation" for name in names),
            why=_("the type of their insulation is not recorded"),
        )


def _heat(study: Study, item: str, run: Run) -> Remark | None:
    """Against the class asked for in machinery spaces, and the temperature of each place."""
    least = study.book.limit(SLUG, "machinery_c")
    name = study.name(item)
    asked: list[tuple[float, str]] = []
    for passage in run.places:
        place = study.snapshot.places.get(passage.place)
        if place is None:
            continue
        if place.kind in MACHINERY and least is not None:
            asked.append((least.value, place.name))
        if place.temperature_c is not None:
            asked.append((place.temperature_c, place.name))
    if not asked:
        return None
    hottest, where = max(asked)
    if run.insulation_c is None:
        return left_open(
            study,
            SLUG,
            WORD,
            item,
            missing=(f"{name}.insulation_c",),
            why=_("the temperature class of its insulation is not recorded"),
        )
    if run.insulation_c < hottest:
        return Finding(
            rule=SLUG,
            word=WORD,
            designations=(name,),
            ids=(item,),
            message=_("Run {run} has insulation of {have} in {place}; {asked} is asked for there.").format(
                run=name, have=show(run.insulation_c, "degC"), place=where, asked=show(hottest, "degC")
            ),
            figures=(Figure("insulation_c", run.insulation_c, "degC"), Figure("least", hottest, "degC")),
            arithmetic=f"{show(run.insulation_c, 'degC')} < {show(hottest, 'degC')}",
            fixes=(
                _("run cable of {asked} or more").format(asked=show(hottest, "degC")),
                _("or lead it round {place}").format(place=where),
            ),
            detail="class",
        )
    if not study.proving:
        return None
    return proved(
        study,
        SLUG,
        item,
        found=("insulation_c", run.insulation_c),
        limit=("least", hottest),
        unit="degC",
        at_least=True,
    )


def _type(study: Study, item: str, run: Run) -> Remark | str | None:
    """Against the book's list; the name of a run whose type is not recorded."""
    types, from_v = study.book.option(SLUG, "types", ()), study.book.limit(SLUG, "from_v")
    if not types or from_v is None or _volts(study, run) < from_v.value:
        return None
    if not run.insulation:
        return item
    told = run.insulation.upper()
    if any(re.search(rf"(?<![A-Z0-9]){re.escape(kind.upper())}(?![A-Z0-9])", told) for kind in types):
        return None
    name = study.name(item)
    return Finding(
        rule=SLUG,
        word=WORD,
        designations=(name,),
        ids=(item,),
        message=_("Run {run} has insulation {kind}, which is none of those permitted from {volts} up.").format(
            run=name, kind=run.insulation, volts=from_v.text
        ),
        fixes=(_("run cable of a permitted type: {types}").format(types=", ".join(types)),),
        detail="type",
    )


def _volts(study: Study, run: Run) -> float:
    """Nominal volts of its circuit, 0 where they are not known."""
    found = 0.0
    for conductor in run.conductors():
        if conductor in ("PE", "N", "-", "S"):
            continue
        node = study.circuit.node(run.from_end.equipment, run.from_end.terminal, conductor)
        found = max(found, *study.volts.at(node).nominal(), 0.0)
    return found


def fixes(study: Study, finding: Finding) -> Iterator[Fix]:
    """Cable of the class asked for, by the classes the book's table has; of the first type listed."""
    item = finding.ids[0]
    if finding.detail == "type":
        types = study.book.option(SLUG, "types", ())
        yield changed_run(finding.fixes[0], study, item, insulation=types[0], status="new")
        return
    least = finding.figures[1].value or 0.0
    classes = sorted({column for row in study.book.ampacity.rows.values() for column in row})
    chosen = next((column for column in classes if column >= least), None)
    if chosen is not None:
        yield changed_run(finding.fixes[0], study, item, insulation_c=chosen, status="new")


# -- examples -------------------------------------------------------------------------------------------------------
def _engine_space(insulation_c: float | None, kind: str = "diesel machinery", hot: float | None = None) -> Installation:
    b = boat()
    b.place("engine space", kind, hot)
    b.add("battery_bank", "G1", unit_v=12)
    b.add("fuse", "F1", rating_a=10)
    b.add("load", "E1", dc_v=12, current_a=2)
    cable(b, "W1", "G1.pos", "F1.in", "14 AWG", 6)
    cable(b, "W2", "F1.out", "E1.in", "14 AWG", 100, places=("engine space",), insulation_c=insulation_c)
    return b.installation


def _typed(insulation: str) -> Installation:
    b = alongside(book="us-33cfr183", vessel={"engine_fuel": "petrol"})
    circuit(b, "load", "E1")
    for item, run in b.installation.items("runs"):
        if run.function == "ac":
            _set(b, item, insulation)
    return b.installation


def _set(b: Any, item: str, insulation: str) -> None:
    from engine.edits import SetFields, apply

    apply(b.installation, SetFields("runs", item, (("insulation", insulation),)))


GOOD = (
    Example("75 °C in an engine space", lambda: _engine_space(75)),
    Example("60 °C elsewhere", lambda: _engine_space(60, "accommodation")),
    Example("a listed type on 120 V", lambda: _typed("UL 1426 boat cable"), book="us-33cfr183"),
)
BAD = (
    Example("60 °C in an engine space", lambda: _engine_space(60), (("W2",),)),
    Example("75 °C where it is hotter", lambda: _engine_space(75, "other", 80), (("W2",),)),
    Example(
        "household cord on 120 V",
        lambda: _typed("SPT"),
        (("W1",), ("W2",), ("WE11",), ("WE12",)),
        book="us-33cfr183",
    ),
)
