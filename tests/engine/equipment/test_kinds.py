"""What holds for every kind: its record can be stored and read back, and its behaviour speaks only of itself.

Hypothesis fills the fields of every kind by their own annotations, so that behaviour is asked in every combination.
"""

from __future__ import annotations

import math
import string
from pathlib import Path
from typing import Any

import msgspec
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from engine.equipment import FAMILIES, kind_named, kinds
from engine.equipment.base import ALL, Equipment, Source, Terminal
from engine.record import FieldFault, FieldSpec, field_specs, from_builtins, to_builtins
from engine.units import AWG_SIZES, METRIC_SIZES

KINDS = sorted(kinds())
CONDUCTORS = {*ALL, "S"}
ROOT = Path(__file__).parents[3] / "engine" / "equipment"

# the kinds that were promised, by family
PROMISED = {
    "storage": "battery_bank battery_balancer battery_management",
    "generation": "engine alternator alternator_regulator rectifier surge_absorber generator solar_array wind_hydro",
    "shore": "shore_supply shore_inlet shore_adapter",
    "conversion": "charger inverter inverter_charger combined_inverter dc_dc_converter solar_controller"
    " isolation_transformer polarisation_transformer autotransformer galvanic_isolator",
    "protection": "fuse fuse_holder circuit_breaker residual_current_device surge_protection",
    "switching": "battery_switch selector changeover contactor remote_battery_switch switching_module charging_relay"
    " diode_isolator pre_charge float_switch",
    "distribution": "bus_bar terminal junction open_end",
    "measurement": "shunt meter polarity_indicator insulation_monitor",
    "consumption": "load motor socket_outlet",
    "earthing": "earth_point bonding_point anode impressed_current",
}


# -- records of any kind, filled by their annotations ---------------------------------------------------------------
WORDS = st.text(string.ascii_letters + string.digits + " äß°/-.", max_size=8)


def one_value(spec: FieldSpec) -> st.SearchStrategy[Any]:
    low, high = spec.fact.low, spec.fact.high
    if spec.shape == "number":
        bottom = -1e6 if low is None else low
        # a ratio of a tiny and a huge value is 0, which no behaviour can be asked about: sizes that occur aboard
        top = 1e6 if high is None else high
        made: st.SearchStrategy[Any] = st.floats(bottom, top, allow_nan=False).filter(
            lambda v: (v == 0 and spec.fact.above is None) or abs(v) >= 1e-3
        )
    elif spec.shape == "whole":
        bottom = 0 if low is None else int(low)
        made = st.integers(bottom, min(bottom + 6, int(high)) if high is not None else bottom + 6)
    elif spec.shape == "yesno":
        made = st.booleans()
    elif spec.shape == "choice":
        made = st.sampled_from(sorted(spec.literals, key=str))
    elif spec.shape == "words":
        item = st.sampled_from(spec.choices) if spec.choices else WORDS
        made = st.lists(item, max_size=4, unique=True).map(tuple)
    elif spec.shape == "records":
        made = st.lists(struct(spec.item), max_size=3).map(tuple)
    else:
        assert spec.shape == "word", f"{spec.name} has a type no list, page or file understands: {spec.type}"
        made = st.sampled_from(("", *AWG_SIZES, *METRIC_SIZES)) if spec.fact.unit == "size" else WORDS
    return st.none() | made if spec.optional else made


def struct(cls: Any) -> st.SearchStrategy[Any]:
    return st.builds(cls, **{spec.name: one_value(spec) for spec in field_specs(cls)})


def any_of(kind: str) -> st.SearchStrategy[Equipment]:
    cls = kinds()[kind]
    own = [s for s in field_specs(cls) if s.name not in {b.name for b in field_specs(Equipment)}]
    shared = ("quantity", "through_a", "breaking", "in_position", "status", "ignition_protected", "label")
    filled = {s.name: one_value(s) for s in field_specs(cls) if s in own or s.name in shared}
    return st.builds(cls, **filled)


# -- the registry ---------------------------------------------------------------------------------------------------
def test_the_folders_hold_exactly_the_kinds_promised() -> None:
    found: dict[str, set[str]] = {}
    for kind, cls in kinds().items():
        found.setdefault(cls.__module__.split(".")[-2], set()).add(kind)
    assert found == {family: set(names.split()) for family, names in PROMISED.items()}
    assert set(FAMILIES) == set(PROMISED)
    assert list(kinds()) == KINDS


def test_a_file_holds_one_kind_named_like_it() -> None:
    for kind, cls in kinds().items():
        module = cls.__module__.split(".")
        assert module[-1] == kind == cls.KIND
        assert (ROOT / module[-2] / f"{kind}.py").exists()
    assert kind_named("flux_capacitor") is None


@pytest.mark.parametrize("kind", KINDS)
def test_a_kind_says_what_it_is(kind: str) -> None:
    cls = kinds()[kind]
    assert cls.NAME
    assert cls.LETTERS
    assert all(len(letter) == 1 and letter in string.ascii_uppercase for letter in cls.LETTERS)
    assert cls.__doc__
    assert cls.__bases__ == (Equipment,), "a kind is Equipment and nothing between"


# -- behaviour speaks only of the kind's own terminals --------------------------------------------------------------
def check_behaviour(made: Equipment) -> None:
    terminals = made.terminals()
    carried = {t.name: set(t.conductors) for t in terminals}
    assert len(carried) == len(terminals), "each terminal once"
    for terminal in terminals:
        assert terminal.conductors
        assert set(terminal.conductors) <= CONDUCTORS
        assert terminal.help
    check_positions(made)
    check_contacts(made, carried)
    for joined in (frozenset[str](), frozenset(carried)):
        for source in made.sources(joined):
            check_source(made, source, carried)
    for conversion in made.conversions():
        assert conversion.source in carried
        assert conversion.target in carried
        assert conversion.positions is None or conversion.positions <= set(made.positions())
        assert conversion.efficiency is None or 0 <= conversion.efficiency <= 1
        assert conversion.ratio is None or conversion.ratio > 0
    for draw in made.draws():
        assert draw.terminal in carried
        assert set(draw.conductors) <= carried[draw.terminal]
        assert (draw.value is None) <= bool(draw.missing), "what is not known names the field that would settle it"
        assert 0 <= draw.power_factor <= 1
        check_fields(made, draw.missing)
    check_limits(made, terminals)


def check_positions(made: Equipment) -> None:
    positions = made.positions()
    assert len(set(positions)) == len(positions)
    assert made.drawn_position() in positions or (not positions and made.drawn_position() == "")
    if positions:
        assert made.normal_position() in positions
    moves = made.moves()
    assert all(a in positions and b in positions and a != b for a, b in moves)
    assert {(b, a) for a, b in moves} == set(moves), "what moves there moves back"
    reached, wanted = set(positions[:1]), set(positions)
    for _each in positions:
        reached |= {b for a, b in moves if a in reached}
    assert reached == wanted, "every position can be reached"


def check_contacts(made: Equipment, carried: dict[str, set[str]]) -> None:
    for contact in made.contacts():
        assert contact.a in carried
        assert contact.b in carried
        both = carried[contact.a] & carried[contact.b]
        if contact.cross is not None:
            assert contact.cross[0] in carried[contact.a]
            assert contact.cross[1] in carried[contact.b]
            assert (contact.a, contact.cross[0]) != (contact.b, contact.cross[1])
            assert not contact.straight
        else:
            assert contact.a != contact.b
            assert both, f"{contact.a} and {contact.b} share no conductor"
            assert contact.poles is None or set(contact.poles) <= both
        assert contact.positions is None or contact.positions <= set(made.positions())
        if contact.protection is not None and contact.protection.rating_a is None:
            check_fields(made, (contact.protection.missing,))


def check_source(made: Equipment, source: Source, carried: dict[str, set[str]]) -> None:
    assert source.conductor in carried[source.terminal]
    assert source.system == ("dc" if source.conductor == "+" else "ac")
    assert source.positions is None or source.positions <= set(made.positions())
    if source.limited and source.limit_a is None:
        assert source.missing, "a limit not known names the field that would settle it"
    assert source.limit_a is None or source.limit_a >= 0
    check_fields(made, source.missing)
    if source.protection is not None and source.protection.rating_a is None:
        check_fields(made, (source.protection.missing,))


def check_limits(made: Equipment, terminals: tuple[Terminal, ...]) -> None:
    check_fields(made, made.missing_for_current())
    limits = [made.through_limit(t.name) for t in terminals]
    assert all(limit is None or limit >= 0 for limit in limits)
    if all(limit is not None for limit in limits):
        assert made.missing_for_current() == ()
    for terminal in terminals:
        system = made.nominal_volts(terminal.name)
        if system is not None:
            wanted = {"+", "-"} if system[0] == "dc" else {"L1", "L2", "L3", "N"}
            assert set(terminal.conductors) & wanted
            assert system[1] is None or system[1] >= 0
    for line in (*made.summary(), *made.article()):
        assert line.strip() == line != ""
        assert "None" not in line
    assert made.pieces() >= 0


def check_fields(made: Equipment, names: tuple[str, ...]) -> None:
    known = {spec.name for spec in field_specs(type(made))}
    assert {name.partition("[")[0] for name in names} <= known, f"{names} are no fields of {made.KIND}"


@pytest.mark.parametrize("kind", KINDS)
def test_nothing_recorded_is_no_trouble(kind: str) -> None:
    made = kinds()[kind]()
    check_behaviour(made)
    assert to_builtins(made) == {}
    for source in made.sources(frozenset()):
        assert source.limit_a is None
        assert source.nominal_v is None


@pytest.mark.parametrize("kind", KINDS)
@settings(max_examples=12)
@given(data=st.data())
def test_whatever_is_recorded_behaviour_speaks_of_its_own_terminals(kind: str, data: st.DataObject) -> None:
    check_behaviour(data.draw(any_of(kind)))


@pytest.mark.parametrize("kind", KINDS)
@settings(max_examples=6)
@given(data=st.data())
def test_what_is_stored_comes_back(kind: str, data: st.DataObject) -> None:
    check_round_trip(kind, data.draw(any_of(kind)))


@settings(max_examples=30)
@given(made=struct(kinds()["bus_bar"]))
def test_the_common_facts_come_back(made: Equipment) -> None:
    check_round_trip("bus_bar", made)


def check_round_trip(kind: str, made: Equipment) -> None:
    faults: list[FieldFault] = []
    text = msgspec.json.encode(to_builtins(made))
    back = from_builtins(kinds()[kind], msgspec.json.decode(text), kind, faults)
    assert faults == []
    assert back == made


@pytest.mark.parametrize("kind", KINDS)
def test_every_refusal_of_a_number_says_why(kind: str) -> None:
    """A figure outside its range is not taken, and the message gives found and expected."""
    for spec in field_specs(kinds()[kind]):
        for edge, step in ((spec.fact.low, -1), (spec.fact.high, 1)):
            if edge is None:
                continue
            faults: list[FieldFault] = []
            from_builtins(kinds()[kind], {spec.file_name: math.trunc(edge) + step}, kind, faults)
            assert [f.path for f in faults] == [f"{kind}.{spec.file_name}"]
            assert "found" in faults[0].why
