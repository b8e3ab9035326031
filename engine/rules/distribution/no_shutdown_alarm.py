"""A lithium bank goes dark without warning, or what navigation hangs on has no second supply.

What it checks
--------------
Every lithium bank above the book's energy that its management can disconnect: the management, built in or drawn, must
give an alarm before it does. And every load of navigation or communication, as the book names them, of which it is not
recorded whether the boat's safety depends on it: where such a bank alone can feed it, that must be known. A load that
is recorded as essential is `no-alternative`.

Why it matters
--------------
A lead-acid bank fades over an hour. A lithium bank is gone within a second, with plotter, autopilot, radio and lights,
in the worst moment, because that is when the loads are high.

What to do
----------
An alarm that is heard at the helm, wired to the management's output; a second bank for what navigation needs.

Limits read
-----------
`least` (energy of a bank), `services` (loads that navigation needs).

References
----------
E-13, secondary copy: alarm ahead of the shutdown; another source for critical electronics; from 600 Wh on. ISO/TS
23625:2021, from memory, not confirmed.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from engine.findings import Figure, Finding, Remark, Word
from engine.fixes import Fix, set_fields
from engine.installation.model import Installation
from engine.rules.energy._stopping import LITHIUM
from engine.rules.example_parts import boat, cable
from engine.rules.left_open import left_open
from engine.rules.proved import proved
from engine.rules.rule import Example
from engine.rules.wording import named
from engine.study import Study
from engine.units import show
from engine.words import N_, _

SLUG = "no-shutdown-alarm"
WORD: Word = "warning"
TITLE = N_("battery management disconnects without an alarm")
LOOKS_AT = N_("lithium banks that a management can disconnect, and what navigation hangs on")
SEARCHES = True
SOLVES = False


def check(study: Study) -> Iterator[Remark]:
    """One remark a bank; one a load that only such banks can feed."""
    limit = study.book.limit(SLUG, "least")
    least_wh = 0.0 if limit is None else limit.value
    dark: list[str] = []
    for item, record in study.snapshot.equipment.items():
        store = record.store()
        if store is None or store.chemistry not in LITHIUM or record.status == "to remove":
            continue
        volts, hours = store.nominal_v, store.capacity_ah
        energy_wh = None if volts is None or hours is None else volts * hours
        if energy_wh is not None and energy_wh < least_wh:
            continue
        disconnects, unsaid = _disconnects(study, item)
        if disconnects is False:
            continue
        if energy_wh is None:
            name = study.name(item)
            fields = (("unit_v", volts), ("unit_ah", hours))
            unsaid += tuple(f"{name}.{field}" for field, value in fields if value is None)
        elif not unsaid:
            dark.append(item)
        yield from _bank(study, item, energy_wh, least_wh, unsaid)
    if dark:
        yield from _loads(study, dark)


def _managements(study: Study, bank: str) -> list[str]:
    return [
        other
        for other, record in study.snapshot.equipment.items()
        if (governs := record.governs()) is not None and bank in governs.banks
    ]


def _disconnects(study: Study, bank: str) -> tuple[bool | None, tuple[str, ...]]:
    """Whether anything disconnects it by itself, and the field that would tell."""
    store = study.snapshot.equipment[bank].store()
    if _managements(study, bank) or (store is not None and store.disconnects):
        return True, ()
    if store is not None and store.disconnects is False:
        return False, ()
    return None, (f"{study.name(bank)}.{'bms_disconnects' if store is not None and store.bms else 'bms'}",)


def _alarm(study: Study, bank: str) -> tuple[bool | None, tuple[str, ...]]:
    """Whether an alarm is given, by whichever management does, and the fields that would tell."""
    equipment = study.snapshot.equipment
    store = equipment[bank].store()
    told: dict[str, bool | None] = {}
    if store is not None and (store.disconnects or not _managements(study, bank)):
        told[bank] = store.alarm
    for other in _managements(study, bank):
        governs = equipment[other].governs()
        told[other] = None if governs is None else governs.alarm
    if any(told.values()):
        return True, ()
    missing = tuple(f"{study.name(i)}.alarm_before_shutdown" for i, value in told.items() if value is None)
    return (None if missing else False), missing


def _bank(
    study: Study, item: str, energy_wh: float | None, least_wh: float, unsaid: tuple[str, ...]
) -> Iterator[Remark]:
    alarm, missing = _alarm(study, item)
    if alarm:
        if study.proving:
            text = _("Its management gives an alarm before it disconnects {bank}.")
            yield proved(study, SLUG, item, message=text.format(bank=named(study, item)))
    elif alarm is None or unsaid:
        why = _("whether an alarm is given before it is disconnected is not recorded")
        yield left_open(study, SLUG, WORD, item, missing=(*unsaid, *missing), why=why)
    else:
        energy = energy_wh or 0.0
        yield Finding(
            rule=SLUG,
            word=WORD,
            designations=(study.name(item),),
            ids=(item,),
            message=_("{bank} is disconnected by its management without an alarm before it.").format(
                bank=named(study, item)
            ),
            figures=(Figure("energy", energy, "Wh"), Figure("limit", least_wh, "Wh")),
            arithmetic=_("{energy}, not less than {least}").format(
                energy=show(energy, "Wh"), least=show(least_wh, "Wh")
            ),
            fixes=(_("wire the management's alarm output to a buzzer that is heard at the helm"),),
        )


def _loads(study: Study, dark: list[str]) -> Iterator[Remark]:
    """Loads that navigation needs, not recorded as essential or not, which only one such bank can feed."""
    services: list[str] = study.book.option(SLUG, "services", [])
    for item, record in study.snapshot.equipment.items():
        use = record.use()
        if use is None or use.service not in services or use.essential is not None or item not in study.circuit.joined:
            continue
        if record.status in ("spare", "to remove"):
            continue
        fed = study.feeding.fed(item)
        sources = {way.source for way in fed.ways if way.stands_alone}
        if len(sources) == 1 and sources <= set(dark) and not fed.undecided:
            bank = next(iter(sources))
            why = _("only {bank} can feed it, and whether the boat's safety depends on it is not recorded")
            missing = (f"{study.name(item)}.essential",)
            yield left_open(
                study, SLUG, WORD, item, missing=missing, why=why.format(bank=study.name(bank)), detail="supply"
            )


def fixes(study: Study, finding: Finding) -> Iterator[Fix]:
    """An alarm, wired and recorded."""
    item = finding.ids[0]
    places = [item, *_managements(study, item)]
    at = next((one for one in reversed(places) if getattr(study.snapshot.equipment[one], "KIND", "")), item)
    text = _("wire the alarm output of {management} to a buzzer at the helm").format(management=study.name(at))
    yield set_fields(text, "equipment", at, {"alarm_before_shutdown": True})


# -- examples -------------------------------------------------------------------------------------------------------
def _bank_of(hours: float = 100, *, drawn: bool | None = None, **facts: Any) -> Installation:
    b = boat()
    known: dict[str, Any] = {"bms": "one for the bank", "bms_disconnects": True}
    item = b.add("battery_bank", "G1", unit_v=12, unit_ah=hours, chemistry="LFP", **(known | facts))
    if drawn is not None:
        b.add("battery_management", "A1", batteries=(item,), alarm_before_shutdown=drawn)
    b.add("fuse", "F1", rating_a=100)
    b.add("load", "E1", dc_v=12, power_w=50, service="lighting")
    cable(b, "W1", "G1.pos", "F1.in", "2 AWG", 6)
    cable(b, "W2", "F1.out", "E1.in", "2 AWG", 60)
    return b.installation


GOOD = (
    Example("a bank that gives an alarm", lambda: _bank_of(alarm_before_shutdown=True)),
    Example("an alarm by the management drawn", lambda: _bank_of(drawn=True, alarm_before_shutdown=False)),
    Example("a bank just below the size", lambda: _bank_of(49.9, alarm_before_shutdown=False)),
)
BAD = (
    Example("a bank that goes dark without warning", lambda: _bank_of(alarm_before_shutdown=False), (("G1",),)),
    Example("a bank just of the size", lambda: _bank_of(50, alarm_before_shutdown=False), (("G1",),)),
    Example("a management without alarm", lambda: _bank_of(drawn=False, alarm_before_shutdown=False), (("G1",),)),
)
