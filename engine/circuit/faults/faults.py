"""Prospective fault currents on both sides of every protective device and at every bus.

The current through a device is the prospective one: as if it were a conductor without impedance.

The largest: conductors at 20 degC, banks full, every source running, in every permitted state of the switches that
joins the most (`states`). The smallest: conductors at the class of their insulation, the weakest source by itself
(`_least`). A fault stands between a live conductor and its return, or between lines. What each source gives and by
which method stands in the parts of a fault; where a source's share is not known, the fault's largest current is not.
"""

from __future__ import annotations

from collections.abc import Mapping

from engine.books import Book
from engine.books.ampacity import amps as in_words
from engine.circuit.expand import Circuit
from engine.circuit.faults._least import Least, smallest
from engine.circuit.faults._places import Place, bus_places, device_places
from engine.circuit.faults._state import Found, State
from engine.circuit.faults.results import BusFault, DeviceFault, Faults, Part
from engine.circuit.faults.sources import Behind
from engine.circuit.faults.states import Choices, Positions, choices
from engine.circuit.volts import SystemVolts, system_volts
from engine.installation.model import Snapshot
from engine.words import _

__all__ = ["faults"]


def faults(snapshot: Snapshot, circuit: Circuit, book: Book, held: Mapping[str, str] | None = None) -> Faults:
    """Every fault there is to tell of. Never raises for a drawing that could be opened.

    `held`: the positions of one operating condition, looked at instead of every permitted state.
    """
    devices, buses = device_places(circuit), bus_places(snapshot, circuit)
    if not circuit.feeds or not (devices or buses):
        return Faults()
    volts = system_volts(circuit)
    chosen = choices(snapshot, circuit) if held is None else Choices(dict(held), {"dc": [()], "ac": [()]})
    largest: dict[Place, Found] = {}
    assumed: dict[str, None] = {}
    known: dict[int, Behind] = {}
    for at in _together(chosen.of_system):
        state = State(snapshot, circuit, book, volts, chosen.fixed, at, known)
        assumed.update(dict.fromkeys(state.built.assumed))
        for system in at:
            for place, found in state.look(system, devices, buses).items():
                have = largest.get(place)
                if have is None or found.rank > have.rank:
                    largest[place] = found
    asked = {place.node for both in devices for place in both} | {place.node for place in buses}
    least = smallest(snapshot, circuit, book, volts, asked, held)
    return Faults(
        devices=tuple(_devices(snapshot, volts, devices, largest, least.at_node)),
        buses=tuple(_buses(snapshot, buses, largest, least.at_node)),
        far_ends=least.far_ends,
        series=least.series,
        assumed=tuple(dict.fromkeys((*assumed, *least.assumed))),
    )


def _together(of_system: dict[str, list[Positions] | None]) -> list[dict[str, Positions | None]]:
    """States of both systems taken together where they agree, so that fewer networks are built."""
    made: list[dict[str, Positions | None]] = []
    left: dict[str, list[Positions | None]] = {
        system: [None] if found is None else list(found or [()]) for system, found in of_system.items()
    }
    while any(left.values()):
        at: dict[str, Positions | None] = {}
        stands: dict[str, str] = {}
        for system, mine in left.items():
            for positions in mine:
                if all(stands.get(item, position) == position for item, position in positions or ()):
                    at[system] = positions
                    stands.update(positions or ())
                    mine.remove(positions)
                    break
        made.append(at)
    return made


def _sum(parts: tuple[Part, ...], total: float) -> str:
    """*G1 4600 A + T1 60 A = 4660 A*."""
    words = " + ".join(f"{part.designation or part.equipment} {in_words(part.amps)}" for part in parts)
    return words if len(parts) < 2 else f"{words} = {in_words(total)}"


def _devices(
    snapshot: Snapshot,
    volts: SystemVolts,
    devices: list[tuple[Place, Place]],
    largest: dict[Place, Found],
    least: dict[int, Least],
) -> list[DeviceFault]:
    """One for each device, or each way of one with several: its pole with the largest current."""
    worst: dict[tuple[str, str, str], tuple[Place, Found, Found]] = {}
    for one, other in devices:
        here, there = largest.get(one), largest.get(other)
        if here is None or there is None:
            continue
        place, main, opposite = (one, here, there) if _is_worse(here, there) else (other, there, here)
        if opposite.through == 0:
            # all comes from the other side: with the device, all its poles, no resistance, what stands there
            main = main._replace(through=max(main.through, opposite.here))
        made = place, main, opposite
        key = one.equipment, one.terminal, other.terminal
        have = worst.get(key)
        if have is None or made[1].rank > have[1].rank:
            worst[key] = made
    return [_device(snapshot, volts, *found, least.get(found[0].node)) for found in worst.values()]


def _is_worse(one: Found, other: Found) -> bool:
    return (one.unknown, one.through, -one.here) >= (other.unknown, other.through, -other.here)


def _device(
    snapshot: Snapshot, volts: SystemVolts, place: Place, main: Found, opposite: Found, far: Least | None
) -> DeviceFault:
    parts, missing, bounded = main.state.parts(main)
    missing_there = opposite.state.parts(opposite)[1] if opposite.unknown else ()
    highest = main.state.emf_v(main) or volts.at(place.node).highest()
    return DeviceFault(
        equipment=place.equipment,
        designation=snapshot.name(place.equipment),
        terminal=place.terminal,
        conductor=place.conductor,
        system=main.system,
        max_a=None if missing or missing_there else main.through,
        min_a=None if far is None else far.amps,
        parts=parts,
        positions=main.state.positions(main.system),
        undecided=main.state.relaxed,
        arithmetic=_sum(parts, main.through),
        assumed=_assumed(parts, far),
        missing=tuple(dict.fromkeys((*missing, *missing_there))),
        bounded=(*bounded, *(far.gaps if far else ())),
        min_missing=far.missing if far else (),
        loop_ohm=None if far is None else far.loop_ohm,
        loop_v=None if far is None else far.volts,
        loop_from="" if far is None else far.source,
        loop_limit_a=None if far is None else far.limit_a,
        other_a=None if missing_there else opposite.through,
        here_a=None if main.unknown else main.here,
        there_a=None if opposite.unknown else opposite.here,
        volts=highest,
    )


def _buses(
    snapshot: Snapshot, buses: list[Place], largest: dict[Place, Found], least: dict[int, Least]
) -> list[BusFault]:
    worst: dict[str, tuple[Place, Found]] = {}
    for place in buses:
        found = largest.get(place)
        have = worst.get(place.equipment)
        if found is not None and (have is None or found.rank > have[1].rank):
            worst[place.equipment] = place, found
    made = []
    for place, found in worst.values():
        far = least.get(place.node)
        parts, missing, bounded = found.state.parts(found)
        made.append(
            BusFault(
                equipment=place.equipment,
                designation=snapshot.name(place.equipment),
                terminal=place.terminal,
                conductor=place.conductor,
                system=found.system,
                max_a=None if missing else found.here,
                min_a=None if far is None else far.amps,
                parts=parts,
                positions=found.state.positions(found.system),
                undecided=found.state.relaxed,
                arithmetic=_sum(parts, found.here),
                assumed=_assumed(parts, far),
                missing=missing,
                bounded=(*bounded, *(far.gaps if far else ())),
                min_missing=far.missing if far else (),
                loop_ohm=None if far is None else far.loop_ohm,
                loop_v=None if far is None else far.volts,
                loop_from="" if far is None else far.source,
                loop_limit_a=None if far is None else far.limit_a,
            )
        )
    return made


def _assumed(parts: tuple[Part, ...], far: Least | None) -> tuple[str, ...]:
    """What rests on a method, in words."""
    told = [
        _("{name}: {how}").format(name=part.designation or part.equipment, how=part.how)
        for part in parts
        if part.assumed
    ]
    return tuple(dict.fromkeys((*told, *(far.assumed if far else ()))))
