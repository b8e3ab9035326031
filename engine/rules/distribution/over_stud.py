"""More cable terminals on a stud than it may take.

What it checks
--------------
Every stud, by the studs that runs name at a bus, or by the terminal where there is one: how many cable terminals stand
on it, parallel conductors counted one by one, each conductor of a pair on the bar or post of its own. Compared with
what its maker allows, else with the book. Where a bus does not say which run stands on which stud, its studs together
are compared.

Why it matters
--------------
The lowest terminal of a tall stack is clamped through all the others; when one creeps, all of them heat.

What to do
----------
Spread them over more studs, or a bus with more.

Limits read
-----------
`most` (terminals on a stud).

References
----------
E-11 11.14.6.9, secondary copy: no more than four.
"""

from __future__ import annotations

from collections.abc import Iterator

from engine.findings import Figure, Finding, Remark, Word
from engine.installation.model import Installation
from engine.rules.example_parts import boat, cable
from engine.rules.left_open import left_open
from engine.rules.proved import proved
from engine.rules.rule import Example
from engine.rules.wording import named
from engine.study import Study
from engine.words import N_, _

SLUG = "over-stud"
WORD: Word = "caution"
TITLE = N_("too many terminals on a stud")
LOOKS_AT = N_("studs and posts that runs arrive at")
SOLVES = False
WITHOUT = ("junction", "control", "earth", "load")  # spliced, plugged or clamped: no stud that stacks


def check(study: Study) -> Iterator[Remark]:
    """The fullest stud of a piece of equipment."""
    limit = study.book.limit(SLUG, "most")
    stacked = _stacked(study)
    for item, studs in stacked.items():
        record = study.snapshot.equipment[item]
        fullest = max(studs, key=lambda key: studs[key])
        terminal, stud, conductor = fullest
        own, field = record.terminals_on(terminal)
        if record.ROLE in WITHOUT and not field:
            continue
        most = own if own is not None else int(limit.value) if limit is not None else None
        if most is None:
            continue
        store = record.store()
        if store is not None:
            most *= store.strings  # as many posts as strings
        count = studs[fullest]
        if count <= most:
            if study.proving:
                yield proved(study, SLUG, item, found=("terminals", float(count)), limit=("most", float(most)))
            continue
        yield from _too_many(study, item, fullest, count, most, (stud, conductor))


def _stacked(study: Study) -> dict[str, dict[tuple[str, int | None, str], int]]:
    """Equipment -> (terminal, stud, conductor) -> terminals there."""
    found: dict[str, dict[tuple[str, int | None, str], int]] = {}
    for run in study.snapshot.runs.values():
        if run.status == "to remove":
            continue
        for end in (run.from_end, run.to_end):
            at = found.setdefault(end.equipment, {})
            is_bank = study.snapshot.equipment[end.equipment].store() is not None
            for conductor in run.conductors():
                # a bank has one negative post, wherever the run is drawn
                terminal = "neg" if is_bank and conductor == "-" else end.terminal
                key = (terminal, end.stud_number, conductor)
                at[key] = at.get(key, 0) + run.parallel
    return dict(sorted(found.items()))


def _too_many(
    study: Study,
    item: str,
    fullest: tuple[str, int | None, str],
    count: int,
    most: int,
    where: tuple[int | None, str],
) -> Iterator[Remark]:
    record, name = study.snapshot.equipment[item], study.name(item)
    stud, _conductor = where
    studs = record.stud_count()
    if stud is None and record.terminals_on(fullest[0])[1] == "terminals_per_stud":
        if studs is None or count <= studs * most:
            yield left_open(
                study,
                SLUG,
                WORD,
                item,
                missing=(f"{name}.studs",) if studs is None else (),
                why=_("on which stud each run stands is not recorded"),
            )
            return
        most *= studs
        on = _("its {count} studs").format(count=studs)
    else:
        on = _("stud {number}").format(number=stud) if stud is not None else _("{terminal}").format(terminal=fullest[0])
    yield Finding(
        rule=SLUG,
        word=WORD,
        designations=(name,),
        ids=(item,),
        message=_("{item} has {count} terminals on {on}; {most} may stand there.").format(
            item=named(study, item), count=count, on=on, most=most
        ),
        figures=(Figure("terminals", float(count), ""), Figure("most", float(most), "")),
        arithmetic=f"{count} > {most}",
        fixes=(_("spread them over more studs, or fit a bus bar"),),
    )


# -- examples -------------------------------------------------------------------------------------------------------
def _post(count: int, parallel: int = 1) -> Installation:
    b = boat()
    b.add("battery_bank", "G1", unit_v=12)
    for number in range(1, count + 1):
        b.add("fuse", f"F{number}", rating_a=20)
        cable(b, f"W{number}", "G1.pos", f"F{number}.in", "8 AWG", 6, parallel=parallel)
    return b.installation


def _bar(count: int, studs: int) -> Installation:
    b = boat()
    b.add("battery_bank", "G1", unit_v=12)
    b.add("fuse", "F0", rating_a=100)
    b.add("bus_bar", "X1", studs=studs, terminals_per_stud=2)
    cable(b, "W0", "G1.pos", "F0.in", "2 AWG", 6)
    cable(b, "W99", "F0.out", "X1.bar", "2 AWG", 6)
    for number in range(1, count):
        b.add("fuse", f"F{number}", rating_a=10)
        cable(b, f"W{number}", "X1.bar", f"F{number}.in", "8 AWG", 6)
    return b.installation


GOOD = (
    Example("four terminals on a battery post", lambda: _post(4)),
    Example("a bus of six studs with one run", lambda: _bar(2, 6)),
)
BAD = (
    Example("five terminals on a battery post", lambda: _post(5), (("G1",),)),
    Example("three runs of two conductors on a post", lambda: _post(3, 2), (("G1",),)),
    Example("more runs than a bus has places for", lambda: _bar(9, 4), (("X1",),)),
)
