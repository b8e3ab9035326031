"""Equipment that a person works on cannot be made dead.

What it checks
--------------
* Consumers, converters and buses. From every source that can feed one, in any position of whatever else moves, there
  must be something that a person can open: a switch, a changeover with an off, a breaker, a plug, a fuse to draw; or
  the source must be one that a person can end: a generator or an engine that is stopped and kept from starting, an
  array that is covered, a cord that is pulled out, a wind or water generator with a brake.
* What a controller moves parts nothing, since it may close at any time, unless it is recorded as worked by hand or as
  letting go when its control is taken away. A breaker recorded as no isolator parts nothing.
* A converter is parted on every side: an inverter's battery keeps its output live, the windings of a transformer feed
  back, a charger feeds its battery side.

Items that one source keeps live through the same devices are one finding: one switch puts them right. A bank itself,
and a bus joined to its posts by nothing but conductors, are always live and not looked at. Where nothing protects the
way either, or where the bank or the converter lacks the switch its own rule asks for, that rule speaks.

Why it matters
--------------
Whoever works on it works on live parts, or undoes a conductor at a battery post, under load, with a spanner.

What to do
----------
Put a switch, a breaker or a fuse that can be drawn between the source and the equipment, where it can be reached and
locked. `linewright isolate FILE DESIGNATION` tells what makes something dead, in which order.

Limits read
-----------
None.

References
----------
E-11 11.5.5.7, secondary copy: a disconnect for all sources at one place. Common practice, no source: nothing is worked
on that cannot be made dead.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from engine.builder import Builder
from engine.findings import Finding, Remark, Word
from engine.installation.model import Installation
from engine.rules.left_open import left_open
from engine.rules.proved import proved
from engine.rules.rule import Example
from engine.rules.transfer._never_dead import Stays, looked_at, stays_live
from engine.rules.wording import in_condition, listed, named
from engine.study import Study
from engine.words import N_, _, ngettext

SLUG = "cannot-be-isolated"
WORD: Word = "warning"
TITLE = N_("equipment that no switch drawn makes dead")
LOOKS_AT = N_("consumers, converters and buses")
SEARCHES = True
SPEAK_BEFORE = ("no-protection", "no-battery-switch", "no-converter-disconnect")
FEW = 4  # of several items are named


def check(study: Study) -> Iterator[Remark]:
    """One finding for what one source keeps live through the same devices."""
    told: set[str] = set()
    for stays in stays_live(study):
        told.update(stays.items)
        if stays.undecided:
            yield _undecided(study, stays)
        elif stays.missing:
            yield left_open(
                study,
                SLUG,
                WORD,
                *stays.items,
                missing=stays.missing,
                why=_("whether {names} can be parted from {source} depends on {fields}, not recorded").format(
                    names=_named(study, stays.items), source=named(study, stays.source), fields=", ".join(stays.missing)
                ),
                detail=stays.source,
            )
        else:
            items = [item for item in stays.items if not _is_told(study, stays, item)]
            if items:
                yield _live(study, stays._replace(items=tuple(items)))
    if study.proving:
        for item in looked_at(study):
            if item not in told and not any(o.undrawn and o.equipment == item for o in study.upstream.origins):
                dead = _("Whatever feeds {name}, a person can part it from that or end it.")
                yield proved(study, SLUG, item, message=dead.format(name=named(study, item)))


def _is_told(study: Study, stays: Stays, item: str) -> bool:
    """Whether another rule says that something is lacking on the same way."""
    from engine.rules import rules

    for slug in SPEAK_BEFORE:
        for remark in study.outcome(slug).remarks if slug in rules() else ():
            of = {stays.source, item} if slug != "no-protection" else stays.runs
            if isinstance(remark, Finding) and remark.ids and of & set(remark.ids[:1]):
                return True
    return False


def _named(study: Study, items: tuple[str, ...]) -> str:
    if len(items) > FEW:
        some = [study.name(item) for item in items[:FEW]]
        more = ngettext("{count} more", "{count} more", len(items) - FEW).format(count=len(items) - FEW)
        return listed([*some, more])
    return listed([named(study, item) for item in items])


def _undecided(study: Study, stays: Stays) -> Finding:
    return Finding(
        rule=SLUG,
        word=WORD,
        designations=_designations(study, stays),
        ids=(*stays.items, stays.source),
        message=_(
            "Whether {names} can be parted from {source} is not decided: the search was stopped before it could tell."
        ).format(names=_named(study, stays.items), source=named(study, stays.source)),
        fixes=(_("put a switch between the two, so that fewer switches lie on the way"),),
        undecided=True,
        detail=stays.source,
    )


def _live(study: Study, stays: Stays) -> Finding:
    equipment = study.snapshot.equipment
    moved = [item for item, _positions in stays.closed if equipment[item].moves_itself() is not False]
    kept = [item for item, _positions in stays.closed if item not in moved]
    name = study.name(stays.source)
    if equipment[stays.source].store() is None:
        message = _("{names} cannot be made dead: nothing that a person can open or stop parts them from {source}.")
        one = _("{names} cannot be made dead: nothing that a person can open or stop parts it from {source}.")
    else:
        message = _("{names} cannot be made dead: no switch, breaker, plug or fuse parts them from {source}.")
        one = _("{names} cannot be made dead: no switch, breaker, plug or fuse parts it from {source}.")
    text = (one if len(stays.items) == 1 else message).format(
        names=_named(study, stays.items), source=named(study, stays.source)
    )
    if moved:
        text += " " + ngettext(
            "{devices} is moved by a controller, which may close it at any time.",
            "{devices} are moved by controllers, which may close them at any time.",
            len(moved),
        ).format(devices=listed([study.name(item) for item in moved]))
    if kept:
        text += " " + ngettext(
            "{devices} is recorded as no isolator.", "{devices} are recorded as no isolators.", len(kept)
        ).format(devices=listed([study.name(item) for item in kept]))
    return Finding(
        rule=SLUG,
        word=WORD,
        designations=_designations(study, stays),
        ids=(*stays.items, stays.source),
        message=text,
        condition=in_condition(study, stays.closed, moved),
        positions=tuple((item, positions[-1]) for item, positions in stays.closed),
        fixes=(
            _("put a switch, a breaker or a fuse that can be drawn between {source} and {names}").format(
                source=name, names=study.name(stays.items[0]) if len(stays.items) == 1 else _("them")
            ),
        ),
        detail=stays.source,
    )


def _designations(study: Study, stays: Stays) -> tuple[str, ...]:
    return tuple(study.name(item) for item in (*stays.items, stays.source))


# -- examples -------------------------------------------------------------------------------------------------------
def _wind(*, brake: bool | None, parts: str = "", **fields: Any) -> Installation:
    """A wind generator on the bus of a switched bank, straight or by way of something."""
    b = Builder()
    b.add("battery_bank", "G1", unit_v=12)
    b.add("fuse", "F1", rating_a=60)
    b.add("battery_switch", "Q1")
    b.add("bus_bar", "W1")
    b.add("wind_hydro", "G2", driven_by="wind", dc_v=12, rating_a=20, self_limiting=True, brake=brake)
    b.add("load", "E1", dc_v=12, power_w=60)
    b.run("W11", "G1.pos", "F1.in", size="6 AWG", length_m=0.1)
    b.run("W12", "F1.out", "Q1.in", size="6 AWG", length_m=1)
    b.run("W13", "Q1.out", "W1.bar", size="6 AWG", length_m=1)
    if parts:
        b.add(parts, "X2", **fields)
        b.run("W14", "G2.pos", "X2.in", size="6 AWG", length_m=3)
        b.run("W16", "X2.out", "W1.bar", size="6 AWG", length_m=1)
    else:
        b.run("W14", "G2.pos", "W1.bar", size="6 AWG", length_m=3)
    b.run("W15", "W1.bar", "E1.in", size="6 AWG", length_m=3)
    return b.installation


def _generator(*, panel: bool) -> Installation:
    """A generator that starts by itself, straight on a bus."""
    b = Builder()
    b.add("generator", "G1", ac_v=230, breaker_a=20, starting="automatic", manual_panel=panel)
    b.add("bus_bar", "W1")
    b.add("load", "E1", ac_v=230, power_w=500)
    b.run("W11", "G1.out", "W1.bar", function="ac", size="10 AWG", length_m=1)
    b.run("W12", "W1.bar", "E1.in", function="ac", size="10 AWG", length_m=1)
    return b.installation


def _inverter(*, isolates: bool) -> Installation:
    """An inverter whose one breaker is recorded as an isolator or as none."""
    b = Builder()
    b.add("battery_bank", "G1", unit_v=12)
    b.add("circuit_breaker", "F1", rating_a=60, isolates=isolates)
    b.add("inverter", "T1", dc_v=12, ac_v=230, power_w=300)
    b.add("load", "E1", ac_v=230, power_w=100)
    b.run("W11", "G1.pos", "F1.in", size="6 AWG", length_m=0.1)
    b.run("W12", "F1.out", "T1.dc", size="6 AWG", length_m=1)
    b.run("W13", "T1.ac_out", "E1.in", function="ac", size="14 AWG", length_m=1)
    return b.installation


GOOD = (
    Example("a wind generator with a brake", lambda: _wind(brake=True)),
    Example("a wind generator without a brake, behind a switch", lambda: _wind(brake=False, parts="battery_switch")),
    Example("behind a fuse, which can be drawn", lambda: _wind(brake=False, parts="fuse", rating_a=30)),
    Example(
        "behind a contactor that lets go when its control is taken away",
        lambda: _wind(brake=False, parts="contactor", on_loss="opens"),
    ),
    Example("a generator that starts by itself, with a panel to stop that", lambda: _generator(panel=True)),
    Example("an inverter behind a breaker that is an isolator", lambda: _inverter(isolates=True)),
)
BAD = (
    Example(
        "a wind generator without brake or switch: bus and load stay live",
        lambda: _wind(brake=False),
        (("W1", "E1", "G2"),),
    ),
    Example(
        "behind a contactor that stays closed without its control, and that no hand moves",
        lambda: _wind(brake=False, parts="contactor", on_loss="stays", manual_override=False),
        (("W1", "E1", "G2"),),
        condition="X2 closed by itself",
    ),
    Example(
        "a generator that starts by itself, without a panel of its own or a breaker",
        lambda: _generator(panel=False),
        (("W1", "E1", "G1"),),
    ),
    Example(
        "a breaker recorded as no isolator",
        lambda: _inverter(isolates=False),
        (("T1", "E1", "G1"),),
        condition="F1 closed",
    ),
)
