"""A device opens one conductor of a circuit and leaves another live one closed.

What it checks
--------------
Every device that opens AC conductors by hand, by overcurrent or by a controller:

* it opens one live conductor and leaves another that goes through it;
* it opens a neutral and leaves the live conductors, a fuse in a neutral too;
* several devices open the live conductors of one consumer, each without the others;
* the first device behind a source that the book names opens the live conductors and not the neutral with them;
* a device behind a shore supply recorded as not polarised opens one pole. A fuse can open no more than one. Where the
  book says so, a polarity indicator on the same conductors suffices.

A branch of a polarised supply that opens its one live conductor is in order: whether reversed polarity is told is
`no-polarity-indication`. A fuse in each of several lives is not counted, nor is the neutral of a transfer, which is
`neutral-not-switched`.

Why it matters
--------------
Somebody opens the breaker, finds the lamp dark and takes hold of a conductor that is live through the other pole. With
the neutral open alone, everything behind it stands at full voltage, and two legs share their volts as they please.

What to do
----------
One device with a pole for every live conductor of the circuit, and for the neutral where the supply asks for it.

Limits read
-----------
`mains` (sources whose main must open the neutral too, by line), `indicator_suffices` (whether a polarity indicator
permits single poles on a supply that is not polarised).

References
----------
E-11 11.10.2.6.1 and 11.10.2.8.2, secondary copy. ISO 13297:2020 13.1.1, 13.1.2 and 13.2, secondary copy. 46 CFR
183.380(b) and 28.365, 2015 edition.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from engine.builder import Builder
from engine.circuit.poles import Opening, openings
from engine.equipment.base import LIVE
from engine.findings import Finding, NotJudged, Remark, Word
from engine.fixes import Fix
from engine.installation.model import Installation
from engine.rules.left_open import left_open
from engine.rules.protection._poles import (
    Main,
    Parted,
    apart,
    consumers_parted,
    mains,
    neutral_alone,
    single_pole,
)
from engine.rules.proved import proved
from engine.rules.rule import Example
from engine.rules.safety._shore import inlets, is_live_step
from engine.rules.wording import listed, named
from engine.study import Study
from engine.words import N_, _, ngettext

SLUG = "poles-open-apart"
WORD: Word = "danger"
TITLE = N_("a device leaves a live conductor closed")
LOOKS_AT = N_("devices that open conductors of alternating current")
SEARCHES = True


def check(study: Study) -> Iterator[Remark]:
    """One finding a device; one for several that part a consumer; one a source of which the main leaves the neutral."""
    equipment = study.snapshot.equipment
    every = [o for o in openings(study.circuit) if equipment[o.equipment].ROLE in ("protection", "switch")]
    every = [o for o in every if any(c in o.opens for c in (*LIVE[1:], "N"))]
    transfers = {item for remark in study.outcome("neutral-not-switched").remarks for item in remark.ids[2:]}
    told: set[str] = set()
    for o in every:
        for parted in (neutral_alone(o), apart(o)):
            if parted is not None and o.equipment not in told:
                told.add(o.equipment)
                yield _device(study, parted)
    for parted in consumers_parted(study, [o for o in every if o.equipment not in told]):
        told.update(parted.devices)
        yield _consumers(study, parted)
    for main in mains(study, every, study.book.option(SLUG, "mains", ())):
        remark = _main(study, main, told | transfers)
        if remark is not None:
            told.update(main.leaving)
            yield remark
    for remark in _unpolarised(study, every, told | transfers):
        told.update(remark.ids[1:])
        yield remark
    if study.proving:
        for item in dict.fromkeys(o.equipment for o in every):
            if item not in told | transfers:
                message = _("{device} leaves no live conductor of its circuit closed when it opens.")
                yield proved(study, SLUG, item, message=message.format(device=named(study, item)))


def _device(study: Study, parted: Parted) -> Finding:
    item = parted.devices[0]
    name = named(study, item)
    if parted.leaves:
        message = _("{device} opens {opens} and leaves {leaves} closed.").format(
            device=name, opens=listed(list(parted.opens)), leaves=listed(list(parted.leaves))
        )
    else:
        message = _("{device} opens a neutral alone.").format(device=name)
    poles = listed([*parted.opens, *parted.leaves] if parted.leaves else [_("every live conductor"), "N"])
    return Finding(
        rule=SLUG,
        word=WORD,
        designations=(study.name(item),),
        ids=(item,),
        message=message,
        fixes=(
            _("fit one device that opens {poles} together in place of {device}").format(
                poles=poles, device=study.name(item)
            ),
            *((_("or leave the neutral unbroken there"),) if "N" in parted.opens else ()),
        ),
        detail="neutral" if "N" in parted.opens else "lives",
    )


def _consumers(study: Study, parted: Parted) -> Finding:
    names = listed([study.name(item) for item in parted.devices])
    fed = listed([named(study, item) for item in parted.consumers[:3]])
    return Finding(
        rule=SLUG,
        word=WORD,
        designations=tuple(study.name(item) for item in (*parted.devices, parted.consumers[0])),
        ids=(*parted.devices, *parted.consumers),
        message=ngettext(
            "{devices} opens {opens} of {consumer} and leaves {leaves} closed.",
            "{devices} open {opens} of {consumer} one without the other.",
            len(parted.devices),
        ).format(devices=names, opens=listed(list(parted.opens)), consumer=fed, leaves=listed(list(parted.leaves))),
        fixes=(_("fit one device with a pole for each of them in place of {devices}").format(devices=names),),
        detail="consumer",
    )


def _main(study: Study, main: Main, told: set[str]) -> Finding | NotJudged | None:
    leaving = tuple(item for item in main.leaving if item not in told)
    record: Any = study.snapshot.equipment[main.item]
    if not leaving:
        return None
    if record.ashore() is None and getattr(record, "breaker_a", None) is not None:
        # a main inside the source
        poles = record.breaker_poles
        if poles is None:
            return left_open(
                study,
                SLUG,
                WORD,
                main.item,
                *leaving,
                missing=(f"{study.name(main.item)}.breaker_poles",),
                why=_("whether the device inside it opens the neutral is not recorded"),
                detail="main",
            )
        if poles > len(main.live):
            return None
    names = [study.name(item) for item in leaving]
    return Finding(
        rule=SLUG,
        word=WORD,
        designations=(study.name(main.item), *names),
        ids=(main.item, *leaving),
        message=ngettext(
            "The main of {source}, {devices}, opens {live} and leaves the neutral closed.",
            "The first devices behind {source}, {devices}, open {live} and leave the neutral closed.",
            len(leaving),
        ).format(
            source=named(study, main.item),
            devices=listed(names if len(names) < 5 else [*names[:4], _("more")]),
            live=listed(list(main.live)),
        ),
        fixes=(
            _("fit {devices} with a pole for the neutral too").format(devices=listed(names))
            if len(names) == 1
            else _("fit a main that opens the neutral too before them"),
        ),
        detail="main",
    )


def _unpolarised(study: Study, every: list[Opening], told: set[str]) -> Iterator[Finding | NotJudged]:
    """Devices that open one pole of a shore supply of which live and neutral can be exchanged."""
    circuit, equipment = study.circuit, study.snapshot.equipment
    suffices = study.book.option(SLUG, "indicator_suffices", False)
    for inlet in inlets(study):
        if inlet.told.polarised or inlet.neutral is None:
            continue
        reached = study.ways.reach(inlet.live, lambda step: is_live_step(study, step))
        single = tuple(item for item in single_pole(study, every, reached) if item not in told)
        shown = any(equipment[circuit.nodes[node].equipment].shows_polarity() for node in reached)
        if not single or (suffices and shown):
            continue
        if inlet.told.polarised is None:
            yield left_open(
                study,
                SLUG,
                WORD,
                inlet.item,
                *single,
                missing=(f"{study.name(inlet.item)}.polarised",),
                why=_("whether live and neutral can be exchanged is not recorded"),
                detail="unpolarised",
            )
            continue
        names = [study.name(item) for item in single]
        yield Finding(
            rule=SLUG,
            word=WORD,
            designations=(study.name(inlet.item), *names),
            ids=(inlet.item, *single),
            message=ngettext(
                "{devices} opens one pole of {inlet}, of which live and neutral can be exchanged.",
                "{devices} open one pole of {inlet}, of which live and neutral can be exchanged.",
                len(single),
            ).format(
                devices=listed(names if len(names) < 5 else [*names[:4], _("more")]), inlet=named(study, inlet.item)
            ),
            fixes=(
                _("fit breakers that open both poles"),
                *((_("or fit a polarity indicator at the panel"),) if suffices else ()),
            ),
            detail="unpolarised",
        )


def fixes(study: Study, finding: Finding) -> Iterator[Fix]:
    """Devices that open the neutral with the live conductors."""
    from engine.fixing.leading import all_poles

    if finding.detail in ("main", "unpolarised"):
        yield from all_poles(study, finding, finding.ids[1:])


# -- examples -------------------------------------------------------------------------------------------------------
def _circuit(
    poles: Any,
    phases: str = "L1",
    kind: str = "circuit_breaker",
    main: Any = None,
    book: str = "trade-na",
    **inlet: Any,
) -> Installation:
    """An inlet, a main that opens every pole, one device and a load."""
    b = Builder(book)
    lives = tuple(phases.split())
    b.add("shore_inlet", "X1", ac_v=120, phases=phases, **({"polarised": True} | inlet))
    b.add("circuit_breaker", "F1", rating_a=30, poles=main or (*lives, "N"))
    made = {"conductor": poles[0]} if kind == "fuse" else {"poles": poles}
    b.add(kind, "F2", rating_a=15, **made)
    b.add("load", "E1", ac_v=240 if len(lives) > 1 else 120, phases=phases, power_w=1000)
    for name, start, end in (("W1", "X1.out", "F1.in"), ("W2", "F1.out", "F2.in"), ("W3", "F2.out", "E1.in")):
        b.run(name, start, end, function="ac", phases=phases, size="10 AWG", length_m=1.0)
    return b.installation


def _two_legs(*, together: bool) -> Installation:
    """A load on both legs, behind one device of two poles or two of one."""
    b = Builder()
    b.add("shore_inlet", "X1", ac_v=120, phases="L1 L2", polarised=True)
    b.add("circuit_breaker", "F1", rating_a=30, poles=("L1", "L2", "N"))
    b.add("bus_bar", "X2")
    b.run("W1", "X1.out", "F1.in", function="ac", phases="L1 L2")
    b.run("W2", "F1.out", "X2.bar", function="ac", phases="L1 L2")
    b.add("load", "E1", ac_v=240, phases="L1 L2", power_w=3000)
    for name, phases in (("F2", "L1 L2"),) if together else (("F2", "L1"), ("F3", "L2")):
        b.add("circuit_breaker", name, rating_a=15, poles=tuple(phases.split()))
        for number, start, end in ((1, "X2.bar", f"{name}.in"), (2, f"{name}.out", "E1.in")):
            b.run(f"{name}{number}", start, end, function="ac", phases=phases, neutral=False)
    return b.installation


GOOD = (
    Example("a branch of a polarised supply that opens its one live conductor", lambda: _circuit(("L1",))),
    Example("a load on both legs behind a device of two poles", lambda: _two_legs(together=True)),
    Example(
        "breakers that open both poles of a supply that is not polarised",
        lambda: _circuit(("L1", "N"), book="metric", polarised=False),
        book="metric",
    ),
)
BAD = (
    Example("one pole for two live conductors", lambda: _circuit(("L1",), "L1 L2"), (("F2",),)),
    Example("two devices, each in one leg of a load", lambda: _two_legs(together=False), (("F2", "F3", "E1"),)),
    Example("a fuse in the neutral", lambda: _circuit(("N",), kind="fuse"), (("F2",),)),
    Example("a switch in the neutral alone", lambda: _circuit(("N",)), (("F2",),)),
    Example("a shore main that leaves the neutral", lambda: _circuit(("L1",), main=("L1",)), (("X1", "F1"),)),
    Example(
        "a branch of one pole where polarity is not kept", lambda: _circuit(("L1",), polarised=False), (("X1", "F2"),)
    ),
    Example(
        "a fuse where polarity is not kept",
        lambda: _circuit(("L1",), kind="fuse", book="metric", polarised=False),
        (("X1", "F2"),),
        book="metric",
    ),
    Example("a branch of one pole, polarity not recorded", lambda: _circuit(("L1",), polarised=None), (("X1", "F2"),)),
)
