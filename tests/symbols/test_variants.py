"""Symbols that draw a kind otherwise: same ports, chosen by what is recorded, told with their clause."""

from __future__ import annotations

from pathlib import Path

import pytest

from engine.picture import Path as Stroke
from engine.picture import Text, path_box, text_box
from symbols import catalogue
from symbols.catalogue import IEC, IEEE, STANDARDS, SymbolError
from symbols.reading import read

VARIANTS = catalogue.variants()
TAGS = ("(from memory, not confirmed)", "(common practice, no source)")


def test_there_are_symbols_enough_and_each_tells_its_clause() -> None:
    every = (*catalogue.names(), *VARIANTS)
    assert len(every) >= 70
    assert len(set(every)) == len(every)
    assert set(catalogue.variants("motor")) >= {"pump", "fan", "windlass", "winch", "thruster", "starter"}
    for name in every:
        for standard in STANDARDS:
            clause = catalogue.symbol(name).faces[standard].clause
            assert clause.startswith(standard), name
            assert clause.endswith(TAGS), f"{name}: nobody has confirmed {clause}"


@pytest.mark.parametrize("name", VARIANTS)
def test_a_variant_has_the_ports_of_its_kind_and_fits_its_room(name: str) -> None:
    of = catalogue.symbol(name)
    general = catalogue.symbol(of.kind)
    for standard in STANDARDS:
        assert catalogue.shape(name, standard).ports == catalogue.shape(of.kind, standard).ports
        assert set(of.faces[standard].positions) == set(general.faces[standard].positions)
        for position in of.positions() or ("",):
            shape = catalogue.shape(name, standard, position)
            for p in shape.primitives:
                box = path_box(p) if isinstance(p, Stroke) else text_box(p)
                assert shape.box.left - 0.01 <= box.left
                assert box.right <= shape.box.right + 0.01
                assert shape.box.top - 0.01 <= box.top
                assert box.bottom <= shape.box.bottom + 0.01
                if isinstance(p, Text):
                    assert p.height in (2.5, 3.5, 5.0)
                else:
                    assert (p.width, p.ink, p.dash) in {(w, "black", "solid") for w in (0.35, 0.7, 1.0)}
            for port in shape.ports.values():
                at = (port.x * 2.5, port.y * 2.5)
                boxes = [path_box(p).grown(0.1) for p in shape.primitives if isinstance(p, Stroke)]
                assert any(b.left <= at[0] <= b.right and b.top <= at[1] <= b.bottom for b in boxes), port
    whole = catalogue.shape(of.kind).box
    mine = catalogue.shape(name).box
    assert max(abs(v) for v in mine) <= max(abs(v) for v in whole) + 2.5  # labels find the room they found


def test_a_variant_looks_otherwise_than_its_kind_and_than_its_like() -> None:
    seen: dict[object, str] = {}
    for name in (*catalogue.names(), *VARIANTS):
        drawn = (catalogue.symbol(name).kind, catalogue.shape(name).primitives)
        assert drawn not in seen, f"{name} is drawn like {seen.get(drawn)}"
        seen[drawn] = name


def test_what_has_no_shape_in_the_other_standard_says_so() -> None:
    for name in VARIANTS:
        clause = catalogue.symbol(name).faces[IEEE].clause
        if "no shape of its own" in clause:
            assert catalogue.shape(name, IEC).primitives == catalogue.shape(name, IEEE).primitives, name


def test_it_is_chosen_by_what_is_recorded() -> None:
    def by(kind: str, **facts: object) -> str:
        return catalogue.variant_for(kind, facts.get)

    assert by("load", service="navigation lights") == "navigation_light"
    assert by("load", service="other") == "load"
    assert by("motor", service="bilge pump") == by("motor", service="fire pump") == "pump"
    assert by("meter", measures="voltage") == "voltmeter"
    assert by("fuse", fuse_class="class T") == "fuse_cartridge"
    assert by("battery_bank", series=1, cells_per_unit=1) == "battery_cell"
    assert by("battery_bank", series=4, cells_per_unit=1) == "battery_bank"
    assert by("battery_bank", series=True, cells_per_unit=True) == "battery_bank"  # yes is not one
    assert by("socket_outlet", earth_contact=False) == "socket_no_earth"
    assert by("socket_outlet", earth_contact=None) == "socket_outlet"
    assert by("socket_outlet", dc_v=12.0) == "socket_dc"


GOOD = """
kind = "load"
name = "Beacon"
clause = "IEC 60617: lamp"
when.service = ["alarm"]
strokes = [ { circle = [0, 0, 2] } ]
[ieee]
clause = "IEEE 315: lamp"
"""


@pytest.mark.parametrize(
    ("old", "new", "told"),
    [
        ('kind = "load"', 'kind = "lode"', "kind: expected a kind of equipment, found 'lode'"),
        ('kind = "load"', 'kind = "lamp"', "kind: expected a kind of equipment, found 'lamp'"),
        ('kind = "load"', 'kind = "bus_bar"', "kind: expected a kind whose symbol does not stretch, found 'bus_bar'"),
        ('["alarm"]', '"alarm"', "when.service: expected a list of values, or 'recorded', found 'alarm'"),
        ('["alarm"]', "[]", "when.service: expected a list of values"),
        ("when.service", 'ports.in = [0, 3, "bottom"]\nwhen.service', r"ports.in: expected \[0, 2, 'bottom'\], as the"),
        ("when.service", "position.open.strokes = [ { circle = [0, 0, 2] } ]\nwhen.service", "position: expected none"),
        ("[ieee]", "[us]", "ieee: expected a table, found None"),
        ("strokes", "adds = 1 #", "adds: expected a list of strokes, found 1"),
    ],
)
def test_a_fault_of_a_variant_is_told(tmp_path: Path, old: str, new: str, told: str) -> None:
    file = tmp_path / "consumption" / "beacon.toml"
    file.parent.mkdir()
    file.write_text(GOOD, "utf-8")
    assert read(file, catalogue.symbol).slug == "beacon"
    assert old in GOOD
    file.write_text(GOOD.replace(old, new, 1), "utf-8")
    with pytest.raises(SymbolError, match=rf"^symbols/consumption/beacon\.toml: {told}"):
        read(file, catalogue.symbol)
