"""A conductor is smaller than the smallest the book permits for how it is run.

What it checks
--------------
Every current-carrying run: by itself, in a sheath that its ends leave by no more than the book allows, or inside an
enclosure; each has a smallest size. Excepted, where the book says so, are electronic equipment that takes less than
its limit, component pigtails, and conductors no longer than a stated length. Starter circuits are judged by their
drop, not here.

Why it matters
--------------
A thin strand breaks where it is bent or pulled, long before its ampacity matters.

What to do
----------
The smallest permitted size, or a sheath over its whole length.

Limits read
-----------
`single`, `in_sheath` (smallest sizes), `tail` (length it may leave its sheath), `short` (length up to which the lesser
size will do), `electronics` (amperes below which electronic equipment is excepted).

References
----------
33 CFR 183.425(d) to (g), 2015 edition. 46 CFR 183.340(c), 2015 edition: 14 AWG for power and lighting.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from engine.findings import Figure, Finding, Passed, Remark, Word
from engine.fixes import Fix, changed_run
from engine.installation.model import Installation
from engine.installation.records import Run
from engine.rules.example_parts import INCH, boat, cable
from engine.rules.left_open import left_open
from engine.rules.proved import proved
from engine.rules.rule import Example
from engine.study import Study
from engine.units import AWG_SIZES, METRIC_SIZES, UnitError, area_mm2, show, show_size, spelled
from engine.words import N_, _

SLUG = "too-small"
WORD: Word = "caution"
TITLE = N_("conductor below the smallest permitted size")
LOOKS_AT = N_("current-carrying runs")
SOLVES = False
FUNCTIONS = ("dc pair", "dc positive", "dc negative", "ac")


def check(study: Study) -> Iterator[Remark]:
    """One remark a run."""
    for item, run in study.snapshot.runs.items():
        if run.function not in FUNCTIONS or run.exempt or run.status in ("to remove", "spare") or not run.size:
            continue
        try:
            area = area_mm2(run.size)
        except UnitError:
            continue
        yield from _run(study, item, run, area)


def _run(study: Study, item: str, run: Run, area: float) -> Iterator[Remark]:
    limit = study.book.limit
    single, in_sheath = limit(SLUG, "single"), limit(SLUG, "in_sheath")
    if single is None:
        return
    name = study.name(item)
    if area >= single.value * (1 - 1e-3):
        if study.proving:
            yield _passed(study, item, area, single.value)
        return
    if _is_electronics(study, run):
        return
    less = single.value if in_sheath is None else in_sheath.value
    tail, short = limit(SLUG, "tail"), limit(SLUG, "short")
    is_short = short is not None and run.length_m is not None and run.length_m <= short.value * (1 + 1e-9)
    bare = [p.unsheathed_m for p in run.places]
    tail_m = max((length for length in bare if length is not None), default=0.0)  # of one end
    if area < less * (1 - 1e-3):
        yield _finding(study, item, run, area, less, _("however it is run"))
    elif run.sheath == "bare" and not is_short:
        yield _finding(study, item, run, area, single.value, _("by itself"))
    elif run.sheath == "sheathed" and tail is not None and tail_m > tail.value * (1 + 1e-9):
        leaves = _("its end leaves the sheath by {length}; {allowed} is allowed").format(
            length=show(tail_m, "m", study.snapshot.settings.units), allowed=tail.text
        )
        yield _finding(study, item, run, area, single.value, leaves)
    elif run.sheath == "sheathed" and tail is not None and None in bare and not is_short:
        yield left_open(
            study,
            SLUG,
            WORD,
            item,
            missing=(f"{name}.places",),
            why=_("how far its ends leave the sheath is not recorded"),
        )
    elif not run.sheath and not is_short:
        yield left_open(
            study,
            SLUG,
            WORD,
            item,
            missing=(f"{name}.sheath",),
            why=_("whether it runs by itself or in a sheath is not recorded"),
        )
    elif study.proving:
        yield _passed(study, item, area, less)


def _passed(study: Study, item: str, area: float, least: float) -> Passed:
    return proved(study, SLUG, item, found=("area", area), limit=("least", least), unit="mm2", at_least=True)


def _is_electronics(study: Study, run: Run) -> bool:
    """Whether it ends at electronic equipment that the book excepts."""
    limit, services = study.book.limit(SLUG, "electronics"), study.book.option(SLUG, "electronics_services", ())
    if limit is None:
        return False
    for end in (run.from_end, run.to_end):
        record = study.snapshot.equipment[end.equipment]
        use = record.use()
        if use is None or use.service not in services:
            continue
        if use.service != "electronics" or (use.running_a is not None and use.running_a < limit.value):
            return True
    return False


def _finding(study: Study, item: str, run: Run, area: float, least: float, how: str) -> Finding:
    needed = _size_of(run, least)
    return Finding(
        rule=SLUG,
        word=WORD,
        designations=(study.name(item),),
        ids=(item,),
        message=_("Run {run} is {size}; {least} is the smallest permitted ({how}).").format(
            run=study.name(item), size=show_size(run.size), least=show_size(needed), how=how
        ),
        figures=(Figure("area", area, "mm2"), Figure("least", least, "mm2")),
        arithmetic=spelled(f"{area:.3g} mm² < {least:.4g} mm²"),
        fixes=(_("run {size} or larger").format(size=show_size(needed)),),
    )


def _size_of(run: Run, least: float) -> str:
    """The smallest size of the run's own series that will do."""
    series = AWG_SIZES if "AWG" in run.size else METRIC_SIZES
    return next((size for size in series if area_mm2(size) >= least * (1 - 1e-3)), series[-1])


def fixes(study: Study, finding: Finding) -> Iterator[Fix]:
    """The smallest permitted size; where its tails are not recorded, that of a conductor by itself."""
    item, least = finding.ids[0], finding.figures[1].value
    run, single = study.snapshot.runs[item], study.book.limit(SLUG, "single")
    if least is None:
        return
    if run.sheath == "sheathed" and single is not None and any(p.unsheathed_m is None for p in run.places):
        least = single.value
    size = _size_of(run, least)
    yield changed_run(_("run {size} or larger").format(size=show_size(size)), study, item, size=size, status="new")


# -- examples -------------------------------------------------------------------------------------------------------
def _lamp(size: str, amps: float = 3.0, **facts: Any) -> Installation:
    b = boat()
    known = {"service": facts.pop("service", "lighting")}
    b.add("battery_bank", "G1", unit_v=12)
    b.add("fuse", "F1", rating_a=5)
    b.add("load", "E1", dc_v=12, current_a=amps, **known)
    cable(b, "W1", "G1.pos", "F1.in", "14 AWG", 6)
    cable(b, "W2", "F1.out", "E1.in", size, 100, **facts)
    return b.installation


def _tail(inches: float) -> Installation:
    from engine.installation import Passage

    b = boat()
    saloon = b.place("saloon")
    b.add("battery_bank", "G1", unit_v=12)
    b.add("fuse", "F1", rating_a=5)
    b.add("load", "E1", dc_v=12, current_a=3.0, service="lighting")
    cable(b, "W1", "G1.pos", "F1.in", "14 AWG", 6)
    passage = Passage(place=saloon, length_m=100 * INCH, unsheathed_m=inches * INCH)
    cable(b, "W2", "F1.out", "E1.in", "18 AWG", 100, sheath="sheathed", places=(passage,))
    return b.installation


GOOD = (
    Example("16 AWG by itself", lambda: _lamp("16 AWG")),
    Example("18 AWG in a sheath that it leaves by 30 in", lambda: _tail(30)),
    Example("a radio of 0.8 A on 20 AWG", lambda: _lamp("20 AWG", 0.8, service="communication")),
)
BAD = (
    Example("18 AWG by itself", lambda: _lamp("18 AWG"), (("W2",),)),
    Example("18 AWG that leaves its sheath by 31 in", lambda: _tail(31), (("W2",),)),
    Example("20 AWG in a sheath", lambda: _lamp("20 AWG", sheath="sheathed"), (("W2",),)),
)
