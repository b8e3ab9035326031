"""The colour of a conductor's insulation is kept for another function.

What it checks
--------------
The colours recorded for each core of a run, read as words or as the letters of IEC 60757, against those the book keeps
for each function. A cable of several cores with one colour recorded is not judged by it: that is its sheath. Where
black stands for an AC live and for a DC negative aboard the same boat, that is found once.

Why it matters
--------------
The next person trusts the colour. A black wire that is the negative on one side of a panel and the live on the other
kills.

What to do
----------
Mark the ends with sleeves of the right colour, or change the cable.

Limits read
-----------
`colours` (colours kept for each function, in the order of preference).

References
----------
IEC 60757: letters, secondary copy. Colours by function of E-11, secondary copy: DC under 50 V, and AC.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from engine.colours import COLOURS, read_colours, show_colours
from engine.findings import Finding, Remark, Word
from engine.fixes import Fix, changed_run
from engine.installation.model import Installation
from engine.installation.records import Run
from engine.rules.example_parts import boat, cable
from engine.rules.left_open import left_open
from engine.rules.proved import proved
from engine.rules.rule import Example
from engine.rules.safety._boats import alongside
from engine.rules.wording import listed
from engine.study import Study
from engine.words import N_, _

SLUG = "wrong-colour"
WORD: Word = "notice"
TITLE = N_("insulation colour kept for another function")
LOOKS_AT = N_("runs whose colour is recorded")
SOLVES = False
FUNCTION = {"+": "positive", "-": "negative", "N": "neutral", "PE": "earth", "L1": "live", "L2": "live", "L3": "live"}
DIRECT = ("positive", "negative", "earth")
ALTERNATING = ("live", "neutral", "earth")
FUNCTION_NAMES = {
    "positive": N_("a DC positive"),
    "negative": N_("a DC negative"),
    "neutral": N_("an AC neutral"),
    "earth": N_("an earth"),
    "live": N_("an AC live"),
}


def check(study: Study) -> Iterator[Remark]:
    """One remark a run; one for black on both sides; runs without colour together."""
    kept = {name: tuple(codes) for name, codes in study.book.option(SLUG, "colours", ())}
    if not kept:
        return
    unknown: list[str] = []
    untold: list[str] = []
    black: dict[str, list[str]] = {"live": [], "negative": []}
    for item, run in study.snapshot.runs.items():
        if run.function == "signal" or run.status in ("to remove", "spare"):
            continue
        if not run.colour:
            unknown.append(item)
            continue
        cores = read_colours(run.colour)
        if cores is None:
            untold.append(item)
        elif len(cores) == len(run.conductors()):
            for core, conductor in zip(_ordered(run, cores, kept), run.conductors(), strict=True):
                if core == "BK" and FUNCTION[conductor] in black:
                    black[FUNCTION[conductor]].append(item)
            yield from _run(study, item, run, cores, kept)
    if black["live"] and black["negative"]:
        yield _both(study, black)
    for items, why in (
        (unknown, _("the colour of their insulation is not recorded")),
        (untold, _("the colour recorded is none that is known")),
    ):
        if items:
            yield left_open(
                study, SLUG, WORD, *items, missing=tuple(f"{study.name(item)}.colour" for item in items), why=why
            )


def _ordered(run: Run, cores: tuple[str, ...], kept: dict[str, tuple[str, ...]]) -> tuple[str, ...]:
    """Cores in the order of the run's conductors: each where its colour is kept, else as written."""
    left, placed = list(cores), []
    for conductor in run.conductors():
        fits = next((core for core in left if core in kept.get(FUNCTION[conductor], ())), None)
        placed.append(fits)
        if fits is not None:
            left.remove(fits)
    return tuple(left.pop(0) if core is None else core for core in placed)


def _run(
    study: Study, item: str, run: Run, cores: tuple[str, ...], kept: dict[str, tuple[str, ...]]
) -> Iterator[Remark]:
    name = study.name(item)
    for core, conductor in zip(_ordered(run, cores, kept), run.conductors(), strict=True):
        function = FUNCTION[conductor]
        if core in kept.get(function, ()):
            continue
        near = DIRECT if function in DIRECT[:2] else ALTERNATING
        taken = [other for other in near if core in kept.get(other, ())]
        if not taken and function == "positive":
            continue  # a positive may have a colour of its own by what it feeds
        allowed = [show_colours((code,)) for code in kept.get(function, ())]
        message = _("Run {run} is {colour} as {function}").format(
            run=name, colour=_in_words(core), function=_(FUNCTION_NAMES[function])
        )
        if taken:
            message += _("; that is kept for {other}").format(other=listed([_(FUNCTION_NAMES[one]) for one in taken]))
        yield Finding(
            rule=SLUG,
            word=WORD,
            designations=(name,),
            ids=(item,),
            message=message + ".",
            fixes=(_("mark its ends {colours}").format(colours=_(" or ").join(allowed)),),
            detail=conductor,
        )
        return
    if study.proving:
        text = _("The colours of run {run} suit what it carries.").format(run=name)
        yield proved(study, SLUG, item, message=text)


def _both(study: Study, black: dict[str, list[str]]) -> Finding:
    live, negative = black["live"][0], black["negative"][0]
    return Finding(
        rule=SLUG,
        word=WORD,
        designations=(study.name(live), study.name(negative)),
        ids=(live, negative),
        message=_("Black is an AC live in run {live} and a DC negative in run {negative}.").format(
            live=study.name(live), negative=study.name(negative)
        ),
        fixes=(_("use yellow for DC negatives, where AC lives are black"),),
        detail="black",
    )


def _in_words(core: str) -> str:
    """`GNYE` as *green and yellow*."""
    return listed([_(COLOURS[core[at : at + 2]]) for at in range(0, len(core), 2)])


def fixes(study: Study, finding: Finding) -> Iterator[Fix]:
    """Marked with the first colour kept for it."""
    kept = {name: tuple(codes) for name, codes in study.book.option(SLUG, "colours", ())}
    if finding.detail == "black":
        item = finding.ids[1]
        codes = [code for code in kept.get("negative", ()) if code != "BK"]
        if codes and len(study.snapshot.runs[item].conductors()) == 1:
            yield changed_run(finding.fixes[0], study, item, colour=codes[0])
        return
    item = finding.ids[0]
    run = study.snapshot.runs[item]
    cores = list(_ordered(run, read_colours(run.colour) or (), kept))
    if len(cores) == len(run.conductors()):
        for at, conductor in enumerate(run.conductors()):
            codes = list(kept.get(FUNCTION[conductor], ()))
            if codes and cores[at] not in codes and (conductor == finding.detail or cores[at] not in codes):
                cores[at] = codes[0]
        yield changed_run(finding.fixes[0], study, item, colour=show_colours(tuple(cores)))


# -- examples -------------------------------------------------------------------------------------------------------
def _lamp(positive: str, negative: str) -> Installation:
    b = boat()
    b.add("battery_bank", "G1", unit_v=12)
    b.add("fuse", "F1", rating_a=10)
    b.add("load", "E1", dc_v=12, current_a=2)
    cable(b, "W1", "G1.pos", "F1.in", "14 AWG", 6, colour=positive)
    cable(b, "W2", "F1.out", "E1.in", "14 AWG", 60, colour=positive)
    cable(b, "W3", "E1.neg", "G1.neg", "14 AWG", 60, colour=negative, function="dc negative")
    return b.installation


def _boat(live: str, negative: str) -> Installation:
    b = alongside()
    b.add("battery_bank", "G1", unit_v=12)
    b.add("load", "E1", dc_v=12, current_a=2)
    b.add("load", "E2", ac_v=120, power_w=100, exposed_metal=False)
    known: dict[str, Any] = {"size": "14 AWG", "length_m": 2.0}
    b.run("W20", "G1.neg", "E1.neg", function="dc negative", colour=negative, **known)
    b.run("W21", "X2.bar", "E2.in", function="ac", colour=live, **known)
    for item, run in list(b.installation.items("runs")):
        if not run.colour:
            _coloured(b, item, "GNYE" if run.function == "earth" else "BN+WH+GNYE")
    return b.installation


def _coloured(b: Any, item: str, colour: str) -> None:
    from engine.edits import SetFields, apply

    apply(b.installation, SetFields("runs", item, (("colour", colour),)))


GOOD = (
    Example("red and yellow", lambda: _lamp("red", "yellow")),
    Example("a lamp's own dark blue", lambda: _lamp("dark blue", "black")),
    Example("brown, white and green with yellow for AC", lambda: _boat("brown + white + green/yellow", "black")),
)
BAD = (
    Example("a green negative", lambda: _lamp("red", "green"), (("W3",),)),
    Example("a yellow positive", lambda: _lamp("yellow", "yellow"), (("W1",), ("W2",))),
    Example("black for an AC live and a DC negative", lambda: _boat("BK+WH+GN", "black"), (("W21", "W20"),)),
)
