"""Each kind of equipment has a symbol whose ports are the kind's terminals, and each symbol has its kind."""

from __future__ import annotations

import pytest

from engine.equipment import kinds
from engine.equipment.base import Equipment
from engine.equipment.switching.changeover import Changeover
from engine.equipment.switching.switching_module import Channel, SwitchingModule
from symbols import catalogue


def test_every_kind_has_a_symbol_and_every_symbol_a_kind() -> None:
    assert set(catalogue.names()) == set(kinds())


@pytest.mark.parametrize("kind", sorted(kinds()))
def test_they_stand_in_the_same_family(kind: str) -> None:
    assert kinds()[kind].__module__ == f"engine.equipment.{catalogue.symbol(kind).family}.{kind}"


def piece(kind: str, **fields: object) -> Equipment:
    return kinds()[kind](**fields)


@pytest.mark.parametrize("kind", sorted(kinds()))
def test_ports_are_the_terminals(kind: str) -> None:
    terminals = tuple(t.name for t in piece(kind).terminals())
    for standard in catalogue.STANDARDS:
        assert set(catalogue.shape(kind, standard, terminals=terminals).ports) == set(terminals)


def test_a_module_shows_the_channels_it_has() -> None:
    module = SwitchingModule(channels=tuple(Channel(number=n) for n in (1, 2, 5, 8, 24)))
    terminals = tuple(t.name for t in module.terminals())
    assert set(catalogue.shape("switching_module", terminals=terminals).ports) == set(terminals) >= {"ch24", "supply"}


def test_a_changeover_without_off_is_drawn_in_its_two_positions() -> None:
    for has_off in (True, False):
        positions = Changeover(has_off=has_off).positions()
        assert ("0" in positions) is has_off
        assert len({catalogue.shape("changeover", position=p).primitives for p in positions}) == len(positions)


@pytest.mark.parametrize("kind", sorted(kinds()))
def test_every_position_can_be_drawn(kind: str) -> None:
    positions = piece(kind).positions()
    drawn = catalogue.symbol(kind).positions()
    if drawn:
        assert set(positions) == set(drawn)
    for position in ("", *positions):
        assert catalogue.shape(kind, position=position).primitives
