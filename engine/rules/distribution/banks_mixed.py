"""Batteries that differ are joined in parallel for good.

What it checks
--------------
Banks whose positives are joined through nothing that a person opens to part them: of different chemistry it is a
*danger*; of ages or capacities further apart than the book allows, a *caution*. And strings of one bank whose links
are recorded as unequal. Banks of different nominal volts are `voltage-mismatch`.

Why it matters
--------------
They share neither charge nor load: one is overcharged while the other starves, and a lithium bank pours its whole
current into a lead one.

What to do
----------
Part them by a switch, a charging relay or a converter; replace all units of a bank together; links of one length.

Limits read
-----------
`years` (difference of age), `capacity` (share by which capacities may differ).

References
----------
Common practice, no source.
"""

from __future__ import annotations

from collections.abc import Iterator
from itertools import combinations
from typing import Any

from engine.circuit.ways import Step
from engine.findings import Figure, Finding, NotJudged, Remark, Word
from engine.installation.model import Installation
from engine.rules.example_parts import boat, cable
from engine.rules.left_open import left_open
from engine.rules.proved import proved
from engine.rules.rule import Example
from engine.rules.wording import named
from engine.study import Study
from engine.units import number
from engine.words import N_, _

SLUG = "banks-mixed"
WORD: Word = "danger"
TITLE = N_("unlike batteries in parallel for good")
LOOKS_AT = N_("battery banks that are joined for good, and banks of several strings")
SOLVES = False


def check(study: Study) -> Iterator[Remark]:
    """One remark a pair; one a bank with unequal links."""
    banks: dict[str, int] = {}
    for feed in study.circuit.feeds:
        if study.snapshot.equipment[feed.equipment].store() is not None:
            banks[feed.equipment] = feed.node
    joined = {item: _joined(study, node) for item, node in banks.items()} if len(banks) > 1 else {}
    for one, other in combinations(banks, 2):
        if banks[other] in joined[one]:
            yield from _pair(study, one, other)
    for item in banks:
        yield from _links(study, item)


def _joined(study: Study, node: int) -> set[int]:
    """Nodes its positive is joined to by what nobody opens; a fuse alone parts nothing."""
    ways, links = study.ways, study.circuit.links

    def passes(step: Step) -> bool:
        if ways.conductor(step.start) != "+" or ways.conductor(step.to) != "+":
            return False
        if step.link < 0:
            return True
        link = links[step.link]
        return not link.supposed and not link.one_way and not study.circuit.switchable(link.equipment)

    return set(ways.reach([node], passes))


def _pair(study: Study, one: str, other: str) -> Iterator[Remark]:
    a, b = study.snapshot.equipment[one].store(), study.snapshot.equipment[other].store()
    if a is None or b is None:
        return
    names = (study.name(one), study.name(other))
    missing = tuple(f"{name}.chemistry" for name, store in zip(names, (a, b), strict=True) if not store.chemistry)
    if missing:
        why = _("their chemistry is not recorded")
        yield NotJudged(rule=SLUG, would_be=WORD, designations=names, ids=(one, other), missing=missing, why=why)
        return
    if a.chemistry != b.chemistry:
        yield _finding(
            study,
            (one, other),
            WORD,
            _("{a} ({first}) and {b} ({second}) are joined for good.").format(
                a=names[0], first=_(a.chemistry), b=names[1], second=_(b.chemistry)
            ),
            "chemistry",
        )
        return
    years, share = study.book.limit(SLUG, "years"), study.book.limit(SLUG, "capacity")
    if years is not None and a.year is not None and b.year is not None and abs(a.year - b.year) > years.value:
        yield _finding(
            study,
            (one, other),
            "caution",
            _("{a} of {first} and {b} of {second} are joined for good.").format(
                a=names[0], first=a.year, b=names[1], second=b.year
            ),
            "age",
            (Figure("years", float(abs(a.year - b.year)), ""), Figure("limit", years.value, "")),
        )
    elif share is not None and a.capacity_ah and b.capacity_ah and _apart(a.capacity_ah, b.capacity_ah) > share.value:
        yield _finding(
            study,
            (one, other),
            "caution",
            _("{a} ({first} Ah) and {b} ({second} Ah) are joined for good.").format(
                a=names[0], first=number(a.capacity_ah), b=names[1], second=number(b.capacity_ah)
            ),
            "capacity",
            (Figure("apart", _apart(a.capacity_ah, b.capacity_ah), ""), Figure("limit", share.value, "")),
        )
    elif study.proving:
        text = _("{a} and {b} are joined for good and alike.").format(a=names[0], b=names[1])
        yield proved(study, SLUG, one, other, message=text)


def _apart(a: float, b: float) -> float:
    return abs(a - b) / max(a, b)


def _links(study: Study, item: str) -> Iterator[Remark]:
    store = study.snapshot.equipment[item].store()
    if store is None or store.strings < 2:
        return
    name = study.name(item)
    if store.links_equal is False:
        yield _finding(
            study,
            (item,),
            "caution",
            _("The strings of {bank} are joined by unequal links.").format(bank=named(study, item)),
            "links",
        )
    elif store.links_equal is None:
        yield left_open(
            study,
            SLUG,
            "caution",
            item,
            missing=(f"{name}.links_equal",),
            why=_("whether the links of its strings are equal is not recorded"),
            detail="links",
        )
    elif study.proving:
        text = _("The strings of {bank} are joined by equal links.").format(bank=named(study, item))
        yield proved(study, SLUG, item, message=text, detail="links")


def _finding(
    study: Study, ids: tuple[str, ...], word: Word, message: str, detail: str, figures: tuple[Figure, ...] = ()
) -> Finding:
    fixes = {
        "links": (_("take the load from opposite ends of the bank, or make the links equal"),),
        "chemistry": (_("part them by a switch, a charging relay with a current limit or a converter"),),
    }
    return Finding(
        rule=SLUG,
        word=word,
        designations=tuple(study.name(item) for item in ids),
        ids=ids,
        message=message,
        figures=figures,
        fixes=fixes.get(detail, (_("replace both with units of one kind and age, or part them"),)),
        detail=detail,
    )


# -- examples -------------------------------------------------------------------------------------------------------
def _two(first: dict[str, Any], second: dict[str, Any], *, switch: bool = False) -> Installation:
    b = boat()
    known: dict[str, Any] = {"unit_v": 12, "unit_ah": 100, "chemistry": "AGM", "year": 2024}
    b.add("battery_bank", "G1", **(known | first))
    b.add("battery_bank", "G2", **(known | second))
    b.add("fuse", "F1", rating_a=200)
    b.add("fuse", "F2", rating_a=200)
    b.add("bus_bar", "X1", purpose="positive")
    cable(b, "W1", "G1.pos", "F1.in", "4/0 AWG", 6)
    cable(b, "W2", "G2.pos", "F2.in", "4/0 AWG", 6)
    cable(b, "W3", "F1.out", "X1.bar", "4/0 AWG", 20)
    if switch:
        b.add("battery_switch", "Q1", continuous_a=300)
        cable(b, "W4", "F2.out", "Q1.in", "4/0 AWG", 10)
        cable(b, "W5", "Q1.out", "X1.bar", "4/0 AWG", 10)
    else:
        cable(b, "W4", "F2.out", "X1.bar", "4/0 AWG", 20)
    return b.installation


GOOD = (
    Example("two like banks in parallel", lambda: _two({}, {})),
    Example("a lithium bank that a switch parts from a lead one", lambda: _two({}, {"chemistry": "LFP"}, switch=True)),
    Example("just as far apart in age as is allowed", lambda: _two({}, {"year": 2025})),
)
BAD = (
    Example("lead and lithium on one bus", lambda: _two({}, {"chemistry": "LFP"}), (("G1", "G2"),)),
    Example("two years apart", lambda: _two({}, {"year": 2022}), (("G1", "G2"),)),
    Example(
        "strings with unequal links", lambda: _two({"parallel": 2, "links_equal": False}, {"unit_ah": 200}), (("G1",),)
    ),
)
