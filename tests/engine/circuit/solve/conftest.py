"""Random networks as boats have them, and as nobody would draw them."""

from __future__ import annotations

import random
from collections.abc import Callable

import pytest

from engine.circuit.solve.network import CURRENT, POWER, RESISTANCE, Network

Maker = Callable[..., Network]


@pytest.fixture(scope="session")
def two_wire() -> Maker:
    """A network of plus and minus trees, `chords` more conductors across each, `banks` sources; loads between them."""

    def make(size: int, seed: int, chords: int = 0, banks: int = 1, is_ac: bool = False) -> Network:
        dice = random.Random(seed)
        emf = 230.0 if is_ac else 12.8
        network = Network(2, complex if is_ac else float)

        def z(low: float, high: float) -> complex | float:
            resistance = dice.uniform(low, high)
            return complex(resistance, dice.uniform(0.1, 0.6) * resistance) if is_ac else resistance

        sides = ([0], [1])
        while network.size < size:
            at = dice.randrange(max(0, len(sides[0]) - 12), len(sides[0]))
            for side in sides:
                point = network.point()
                network.branch(*dice.sample((side[at], point), 2), z(1e-4, 1e-2))
                side.append(point)
        for side in sides:
            for _ in range(chords):
                network.branch(dice.choice(side), dice.choice(side), z(1e-3, 1e-2))
        for number in range(banks):
            at = 0 if number == 0 else dice.randrange(len(sides[0]))
            share = emf * dice.uniform(0.98, 1.02)
            network.source(sides[0][at], sides[1][at], share, z(2e-3, 2e-2))
        count = max(1, size // 6)
        for _ in range(count):
            at = dice.randrange(len(sides[0]))
            kind = dice.choice((CURRENT, POWER, RESISTANCE))
            amps = dice.uniform(5, 60) / count * 3
            lag = complex(1, -dice.uniform(0, 0.6)) if is_ac else 1.0
            value = {CURRENT: amps * lag, POWER: amps * emf * lag.conjugate(), RESISTANCE: emf / (amps * lag)}[kind]
            floor_v = 0.0 if kind == RESISTANCE else 0.7 * emf
            network.load(sides[0][at], sides[1][at], kind, value, floor_v)
        return network

    return make
