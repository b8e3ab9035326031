"""Conductors in parallel differ, or are smaller than may be paralleled.

What it checks
--------------
Runs of one function between the same two terminals, and runs of several equal conductors: they must be of one size and
one material, of lengths no further apart than the book allows, and no smaller than it lets conductors be paralleled.

Why it matters
--------------
Current divides by resistance: the shorter or the thicker one carries more than its share, and what protects them
together protects neither.

What to do
----------
One larger conductor, or equal ones cut to one length.

Limits read
-----------
`smallest` (least size that may be paralleled), `lengths` (share by which lengths may differ).

References
----------
NFPA 70 310.10(G), from memory, not confirmed: 1/0 AWG and larger, of one length, material and size.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from engine.findings import Figure, Finding, Remark, Word
from engine.fixes import Fix, changed_run
from engine.installation.model import Installation
from engine.rules.example_parts import boat, cable
from engine.rules.left_open import left_open
from engine.rules.proved import proved
from engine.rules.rule import Example
from engine.rules.wording import listed
from engine.study import Study
from engine.units import UnitError, area_mm2, show, show_size
from engine.words import N_, _

SLUG = "parallel-unequal"
WORD: Word = "danger"
TITLE = N_("unequal conductors in parallel")
LOOKS_AT = N_("runs in parallel between the same two terminals, and runs of several conductors")
SOLVES = False
FUNCTIONS = ("dc pair", "dc positive", "dc negative", "ac")


def check(study: Study) -> Iterator[Remark]:
    """One remark a set of parallel runs; one a run of several conductors that are too small."""
    sets: dict[tuple[object, ...], list[str]] = {}
    for item, run in study.snapshot.runs.items():
        if run.function not in FUNCTIONS or run.status in ("to remove", "spare"):
            continue
        ends = sorted((end.equipment, end.terminal) for end in (run.from_end, run.to_end))
        sets.setdefault((*ends, run.conductors()), []).append(item)
    for items in sets.values():
        if len(items) > 1:
            yield from _set(study, items)
        elif study.snapshot.runs[items[0]].parallel > 1:
            yield from _several(study, items)


def _set(study: Study, items: list[str]) -> Iterator[Remark]:
    runs = [study.snapshot.runs[item] for item in items]
    names = [study.name(item) for item in items]
    materials = {run.conductor.replace("tinned ", "") or "copper" for run in runs}
    sizes = {run.size for run in runs}
    for values, detail, shown in (
        (sizes, "size", [show_size(size) for size in sorted(sizes)]),
        (materials, "material", [_(material) for material in sorted(materials)]),
    ):
        known = {value for value in values if value}
        if len(known) > 1:
            message = _("Runs {runs} stand in parallel and are of {what}.").format(
                runs=listed(names), what=listed([text for text in shown if text])
            )
            yield _finding(study, items, message, detail)
            return
    lengths = [run.length_m for run in runs]
    allowed = study.book.limit(SLUG, "lengths")
    missing = [f"{name}.size" for name, run in zip(names, runs, strict=True) if not run.size]
    missing += [f"{name}.length_m" for name, length in zip(names, lengths, strict=True) if length is None]
    known_m = [length for length in lengths if length is not None]
    longest = max(known_m, default=0.0)
    apart = (longest - min(known_m, default=0.0)) / longest if longest else 0.0
    if allowed is not None and apart > allowed.value * (1 + 1e-9):
        units = study.snapshot.settings.units
        message = _("Runs {runs} stand in parallel and are {lengths} long.").format(
            runs=listed(names), lengths=listed([show(length, "m", units) for length in known_m])
        )
        figures = (Figure("apart", apart, ""), Figure("limit", allowed.value, ""))
        yield _finding(study, items, message, "length", figures)
    elif missing:
        yield left_open(
            study,
            SLUG,
            WORD,
            *items,
            missing=tuple(missing),
            why=_("sizes and lengths of runs in parallel are not all recorded"),
        )
    else:
        yield from _several(study, items)


def _several(study: Study, items: list[str]) -> Iterator[Remark]:
    """Equal conductors: large enough to be paralleled."""
    least = study.book.limit(SLUG, "smallest")
    run, names = study.snapshot.runs[items[0]], [study.name(item) for item in items]
    if least is None or not run.size:
        return
    try:
        area = area_mm2(run.size)
    except UnitError:
        return
    if area < least.value * (1 - 1e-3):
        message = _("In parallel at {runs} stand conductors of {size}; {least} is the smallest that may be.").format(
            runs=listed(names), size=show_size(run.size), least=least.text
        )
        figures = (Figure("area", area, "mm2"), Figure("least", least.value, "mm2"))
        yield _finding(study, items, message, "small", figures)
    elif study.proving:
        yield proved(study, SLUG, *items, found=("area", area), limit=("least", least.value), unit="mm2", at_least=True)


def _finding(study: Study, items: list[str], message: str, detail: str, figures: tuple[Figure, ...] = ()) -> Finding:
    fixes = {
        "small": _("run one larger conductor"),
        "length": _("cut them to one length"),
    }
    return Finding(
        rule=SLUG,
        word=WORD,
        designations=tuple(study.name(item) for item in items),
        ids=tuple(items),
        message=message,
        figures=figures,
        fixes=(fixes.get(detail, _("run equal conductors, or one larger one")),),
        detail=detail,
    )


def fixes(study: Study, finding: Finding) -> Iterator[Fix]:
    """One conductor where several small ones stood: the size is chosen by what it must carry, not here."""
    if finding.detail == "length" and len(finding.ids) == 2:
        one, other = (study.snapshot.runs[item] for item in finding.ids)
        if one.length_m is not None and other.length_m is not None:
            shorter = finding.ids[0] if one.length_m < other.length_m else finding.ids[1]
            longest = max(one.length_m, other.length_m)
            yield changed_run(finding.fixes[0], study, shorter, length_m=longest, status="new")


# -- examples -------------------------------------------------------------------------------------------------------
def _two(first: str, second: str, *, inches: tuple[float, float] = (60, 60), **facts: Any) -> Installation:
    b = boat()
    b.add("battery_bank", "G1", unit_v=12)
    b.add("fuse", "F1", rating_a=300)
    b.add("bus_bar", "X1", purpose="positive")
    cable(b, "W1", "G1.pos", "F1.in", "4/0 AWG", 6)
    cable(b, "W2", "F1.out", "X1.bar", first, inches[0], **facts)
    cable(b, "W3", "F1.out", "X1.bar", second, inches[1], **facts)
    return b.installation


def _several_in_one(size: str) -> Installation:
    b = boat()
    b.add("battery_bank", "G1", unit_v=12)
    b.add("fuse", "F1", rating_a=100)
    cable(b, "W1", "G1.pos", "F1.in", size, 6, parallel=2)
    return b.installation


GOOD = (
    Example("two equal conductors", lambda: _two("2/0 AWG", "2/0 AWG")),
    Example("as far apart in length as is allowed", lambda: _two("2/0 AWG", "2/0 AWG", inches=(60, 57))),
    Example("two conductors of 1/0 AWG in one run", lambda: _several_in_one("1/0 AWG")),
)
BAD = (
    Example("two sizes", lambda: _two("2/0 AWG", "1/0 AWG"), (("W2", "W3"),)),
    Example("two lengths", lambda: _two("2/0 AWG", "2/0 AWG", inches=(60, 56)), (("W2", "W3"),)),
    Example("two conductors of 2 AWG in one run", lambda: _several_in_one("2 AWG"), (("W1",),)),
)
