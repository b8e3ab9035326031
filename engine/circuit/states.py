"""Switch states as positional cubes: which positions a condition excludes, and what the interlocks allow together.

A condition on switch positions is one Python integer, a *cube*. Every switch owns a field of bits, one a position; a
set bit excludes that position. So

* both conditions together is `a | b`;
* `a` is weaker than `b` (holds wherever `b` holds) when `a & ~b == 0`;
* a condition cannot be met when some field is all ones.

Interlocks say that at most k of some device positions hold at the same time. `States.closed` draws what follows from
them (unit propagation, any k), `States.completion` decides exactly whether a full state exists.

Every device moved by a controller (`Equipment.moves_itself`) is here like any other: each of its positions must be
safe, so a question "can it happen?" may choose them freely. `States.is_automatic` tells which, for the words of a
finding.
"""

from __future__ import annotations

import functools
import itertools
import operator
from collections.abc import Iterable, Sequence
from typing import NamedTuple

from engine.circuit.expand import Circuit
from engine.installation.model import Snapshot

__all__ = ["Device", "Lock", "States", "TooManyStates", "states_of"]

STEPS = 20_000  # how many partial states the exact questions look at before they give up


class TooManyStates(Exception):
    """An exact question about the interlocks was stopped before it could tell."""


class Device(NamedTuple):
    """Something that stands in one of several positions."""

    equipment: str
    positions: tuple[str, ...]
    automatic: bool = False  # moved by a controller


class Lock(NamedTuple):
    """At most `at_most` of `held`, pairs of (equipment, positions), hold at the same time."""

    at_most: int
    held: tuple[tuple[str, frozenset[str]], ...]


class States:
    """The devices of one question, their bit fields, their interlocks."""

    def __init__(self, devices: Iterable[Device], locks: Iterable[Lock] = ()) -> None:
        self.devices: tuple[Device, ...] = tuple(devices)
        self.number: dict[str, int] = {d.equipment: i for i, d in enumerate(self.devices)}
        self._shift: list[int] = []
        self.field: list[int] = []  # mask of each device
        bit = 0
        for device in self.devices:
            self._shift.append(bit)
            self.field.append(((1 << len(device.positions)) - 1) << bit)
            bit += len(device.positions)
        # all fields at once: the bit of each last position, and those below it (`is_possible`)
        self._tops = sum(
            1 << (shift + len(d.positions) - 1) for shift, d in zip(self._shift, self.devices, strict=True)
        )
        self._below = ((1 << bit) - 1) & ~self._tops
        self._owner = [i for i, device in enumerate(self.devices) for _position in device.positions]  # by bit
        # what "this device stands in this position" excludes
        self._standing = {
            (device.equipment, position): self.field[i] & ~(1 << (self._shift[i] + place))
            for i, device in enumerate(self.devices)
            for place, position in enumerate(device.positions)
        }
        # interlocks as (at most, [(device, bits of the positions counted)])
        self._locks: list[tuple[int, list[tuple[int, int]]]] = []
        for lock in locks:
            entries = []
            for equipment, positions in lock.held:
                device_number = self.number.get(equipment)
                if device_number is not None:
                    bits = self._bits(device_number, positions)
                    if bits:
                        entries.append((device_number, bits))
            if len(entries) > lock.at_most:
                self._locks.append((lock.at_most, entries))
        counted: dict[int, int] = {}  # of each device that interlocks hold: the positions they count
        for _most, entries in self._locks:
            for device_number, bits in entries:
                counted[device_number] = counted.get(device_number, 0) | bits
        self._counted = sorted(counted.items())
        # every interlock allows one, and every device it holds has one position that none counts: what follows from two
        # conditions together is what follows from each, and one that leaves every device a position can be met
        self.plain = all(
            at_most == 1
            and len({d for d, _bits in entries}) == len(entries)
            and all((self.field[d] & ~bits).bit_count() == 1 for d, bits in entries)
            for at_most, entries in self._locks
        ) and all((self.field[d] & ~bits).bit_count() == 1 for d, bits in counted.items())
        # where that is so: what a device in a position that counts excludes (its one other position is excluded then)
        self._excludes: list[tuple[int, int]] = []
        if self.plain:
            for device_number, bits in self._counted:
                others = 0
                for _most, entries in self._locks:
                    if any(d == device_number for d, _bits in entries):
                        others |= sum(b for d, b in entries if d != device_number and not others & b)
                self._excludes.append((self.field[device_number] & ~bits, others))
        self._exclude = sum(counts for counts, _others in self._excludes)  # each of a field of its own
        # of each interlock: all positions of its devices, where nothing follows from it until one of them is ruled out
        self._quiet = [
            sum(self.field[d] for d in {d for d, _bits in entries})
            if sum(self.field[d] & ~bits == 0 for d, bits in entries) < at_most
            else -1
            for at_most, entries in self._locks
        ]
        self._loud = -1 if -1 in self._quiet else functools.reduce(operator.or_, self._quiet, 0)

    # -- cubes --------------------------------------------------------------------------------------------------
    def _bits(self, device: int, positions: Iterable[str]) -> int:
        names = self.devices[device].positions
        return sum(1 << (self._shift[device] + names.index(p)) for p in set(positions) if p in names)

    def guard(self, equipment: str, positions: Iterable[str]) -> int | None:
        """The cube "this device stands in one of `positions`"; 0 where it always does, `None` where it never can."""
        device = self.number[equipment]
        allowed = self._bits(device, positions)
        return self.field[device] & ~allowed if allowed else None

    def of_positions(self, positions: Iterable[tuple[str, str]]) -> int:
        """The cube of a full or partial state, pairs of (equipment, position); what is no device here is left out."""
        cube = 0
        for standing in positions:
            cube |= self._standing.get(standing, 0)
        return cube

    def is_possible(self, cube: int) -> bool:
        """Whether every device has a position left, interlocks not asked."""
        free = ~cube & (self._below | self._tops)
        # a sum carries into the last position's bit where one below it is free, and never out of the field
        return (((free & self._below) + self._below) | free) & self._tops == self._tops

    def touched(self, cube: int) -> list[int]:
        """Numbers of the devices a cube says something about."""
        numbers = []
        cube &= self._below | self._tops  # a way's cube may carry more above
        while cube:
            number = self._owner[(cube & -cube).bit_length() - 1]
            numbers.append(number)
            cube &= ~self.field[number]
        return numbers

    def left(self, cube: int, device: int) -> tuple[str, ...]:
        """Positions of a device that a cube leaves."""
        shift = self._shift[device]
        return tuple(p for i, p in enumerate(self.devices[device].positions) if not cube >> (shift + i) & 1)

    def positions(self, cube: int) -> tuple[tuple[str, tuple[str, ...]], ...]:
        """A cube as (equipment, positions it leaves), in device order, only devices it speaks of."""
        return tuple((self.devices[i].equipment, self.left(cube, i)) for i in self.touched(cube))

    def is_automatic(self, equipment: str) -> bool:
        """Whether a controller moves it."""
        return self.devices[self.number[equipment]].automatic

    def mixed(self) -> int:
        """Fields of what a controller moves that an interlock holds together with what a hand moves."""
        fields = 0
        for _most, entries in self._locks:
            by_itself = [d for d, _bits in entries if self.devices[d].automatic]
            if len(by_itself) < len(entries):
                for device in by_itself:
                    fields |= self.field[device]
        return fields

    # -- interlocks ---------------------------------------------------------------------------------------------
    def closed(self, cube: int) -> int | None:
        """The cube with everything that follows from the interlocks, `None` when they rule it out.

        Sound for every k; complete only together with `completion`.
        """
        if self.plain:
            for counts, others in self._excludes if cube & self._exclude else ():
                if cube & counts:
                    cube |= others
            return cube if self.is_possible(cube) else None
        changed = self._loud < 0 or bool(cube & self._loud)
        while changed:
            changed = False
            for (at_most, entries), quiet in zip(self._locks, self._quiet, strict=True):
                if quiet >= 0 and not cube & quiet:
                    continue
                # an entry holds for certain when the positions left are all among those it counts
                sure = [(d, bits) for d, bits in entries if self.field[d] & ~cube & ~bits == 0]
                if len(sure) > at_most:
                    return None
                if len(sure) == at_most:
                    for device, bits in entries:
                        if (device, bits) not in sure and bits & ~cube:
                            cube |= bits
                            changed = True
                            if cube & self.field[device] == self.field[device]:
                                return None
        return cube if self.is_possible(cube) else None

    def allows(self, cube: int) -> bool:
        """Whether there is a full state within `cube` that the interlocks allow. As exact as `completion`."""
        return self._complete(cube, [STEPS]) is not None

    def completion(self, cube: int) -> dict[str, str] | None:
        """A full state within `cube` that the interlocks allow, `None` when there is none. Exact.

        Raises `TooManyStates` when it cannot tell within its limit.
        """
        steps = [STEPS]
        full = self._complete(cube, steps)
        if full is None:
            return None
        return {d.equipment: self.left(full, i)[0] for i, d in enumerate(self.devices)}

    def _complete(self, cube: int, steps: list[int]) -> int | None:
        steps[0] -= 1
        if steps[0] < 0:
            raise TooManyStates
        within = self.closed(cube)
        if within is None:
            return None
        for device, counted in self._counted:
            left = self.field[device] & ~within
            if left & ~counted:
                # a position no interlock counts never does harm
                within |= self.field[device] & ~_lowest(left & ~counted)
            elif left != _lowest(left):
                while left:
                    one = _lowest(left)
                    found = self._complete(within | (self.field[device] & ~one), steps)
                    if found is not None:
                        return found
                    left &= ~one
                return None
        return within

    # -- lists of cubes -----------------------------------------------------------------------------------------
    def covers(self, cubes: Sequence[int], cube: int) -> bool:
        """Whether every allowed state within `cube` is within one of `cubes`. `False` too when it cannot tell."""
        try:
            return self._covers(list(cubes), cube, [STEPS])
        except TooManyStates:
            return False

    def outside(self, cubes: Iterable[int], cube: int = 0) -> dict[str, str] | None:
        """A full permitted state within `cube` and in none of `cubes`, `None` when there is none. Exact.

        For *in every state* questions: `cube` is when something must hold, `cubes` are the ways in which it does.
        Raises `TooManyStates` when it cannot tell within its limit.
        """
        found = self._outside(list(cubes), cube, [STEPS])
        return None if found is None else {d.equipment: self.left(found, i)[0] for i, d in enumerate(self.devices)}

    def _outside(self, cubes: list[int], cube: int, steps: list[int]) -> int | None:
        steps[0] -= 1
        if steps[0] < 0:
            raise TooManyStates
        within = self.closed(cube)
        if within is None:
            return None
        near = [c for c in cubes if self.is_possible(c | within)]
        if any(c & ~within == 0 for c in near):
            return None
        if not near:
            return self._complete(within, steps)
        split = next(i for i, field in enumerate(self.field) if near[0] & ~within & field)
        left = self.field[split] & ~within
        while left:
            one = _lowest(left)
            found = self._outside(near, within | (self.field[split] & ~one), steps)
            if found is not None:
                return found
            left &= ~one
        return None

    def _covers(self, cubes: list[int], cube: int, steps: list[int]) -> bool:
        steps[0] -= 1
        if steps[0] < 0:
            raise TooManyStates
        if any(c & ~cube == 0 for c in cubes):
            return True
        near = [c for c in cubes if self.is_possible(c | cube)]
        if not near:
            return self._complete(cube, steps) is None
        split = next(i for i, field in enumerate(self.field) if near[0] & ~cube & field)
        left = self.field[split] & ~cube
        while left:
            one = _lowest(left)
            if not self._covers(near, cube | (self.field[split] & ~one), steps):
                return False
            left &= ~one
        return True

    def weakest(self, cubes: Iterable[int]) -> list[int]:
        """The cubes that no other of the list is weaker than, smallest first."""
        kept: list[int] = []
        for cube in sorted(set(cubes), key=lambda c: (len(self.touched(c)), c.bit_count(), c)):
            if not any(k & ~cube == 0 for k in kept):
                kept = [k for k in kept if cube & ~k != 0]
                kept.append(cube)
        return kept

    def consensus(self, cubes: Iterable[int], limit: int = 200) -> list[int]:
        """Every prime of a list of cubes (multi-valued consensus), smallest first, forbidden states not minded.

        Needed where a device has no off position: {C in 1, x} and {C in 2, x} become {x}. Merges {S in 1, x} and
        {S in 2, x} into {S in 1 or 2, x} as well. Stops growing at `limit` cubes; the list then still covers the same
        permitted states.
        """
        kept = self.weakest([*cubes, *self._forbidden(limit // 4)])
        tried: set[tuple[int, int]] = set()
        grown = True
        while grown and len(kept) <= limit:
            grown = False
            for a in list(kept):
                for b in list(kept):
                    if a >= b or (a, b) in tried:
                        continue
                    tried.add((a, b))
                    for made in self._agree(a, b):
                        if not any(k & ~made == 0 for k in kept):
                            kept = [k for k in kept if made & ~k != 0]
                            kept.append(made)
                            grown = True
        return self.weakest(cube for cube in kept if self._may_hold(cube))

    def _forbidden(self, limit: int) -> list[int]:
        """Cubes that interlocks rule out, at most `limit` of them."""
        made: list[int] = []
        for at_most, entries in self._locks:
            for too_many in itertools.combinations(entries, at_most + 1):
                cube = 0
                for device, bits in too_many:
                    cube |= self.field[device] & ~bits
                if self.is_possible(cube):
                    made.append(cube)
                if len(made) == limit:
                    return made
        return made

    def _may_hold(self, cube: int) -> bool:
        try:
            return self.completion(cube) is not None
        except TooManyStates:
            return True

    def _agree(self, a: int, b: int) -> Iterable[int]:
        both = a | b
        for field in self.field:
            if a & field and b & field and (a ^ b) & field:
                made = (both & ~field) | (a & b & field)
                if self.is_possible(made):
                    yield made

    def widened(self, cube: int, cubes: Sequence[int]) -> int:
        """`cube` with every condition dropped that the list `cubes` and the interlocks make needless.

        What an interlock forces anyway is no part of a witness; nor is a device whose every allowed position does.
        """
        for device in self.touched(cube):
            out = cube & self.field[device]
            while out:
                one = _lowest(out)
                less = cube & ~one
                # the states that are new: the device in this one position. Ask a single one of them first
                new = less | (self.field[device] & ~one)
                if not self._stands_out(cubes, new) and self.covers(cubes, new):
                    cube = less
                out &= ~one
        return cube

    def _stands_out(self, cubes: Sequence[int], cube: int) -> bool:
        """Whether one permitted state within `cube`, most switches open, is in none of `cubes`: a quick no."""
        try:
            state = self.completion(cube)
        except TooManyStates:
            return True
        if state is None:
            return False
        full = self.of_positions(state.items())
        return not any(c & ~full == 0 for c in cubes)


def _lowest(bits: int) -> int:
    return bits & -bits


def states_of(snapshot: Snapshot, circuit: Circuit, protection_opens: bool = False) -> States:
    """The switches of an installation with its interlocks.

    Where closing is the bad event (sources meeting, back-feed) what merely protects is taken as closed and is no device
    here. With `protection_opens` (lost bond, load lost) every breaker counts as able to open.
    """
    devices = [
        Device(item, record.positions(), record.moves_itself() is not False)
        for item, record in snapshot.equipment.items()
        if record.positions() and (protection_opens or circuit.switchable(item))
    ]
    locks = [
        Lock(lock.at_most, tuple((h.equipment, frozenset(h.positions)) for h in lock.held))
        for lock in snapshot.interlocks.values()
    ]
    return States(devices, locks)
