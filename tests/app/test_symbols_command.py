"""`linewright symbols`: the list, JSON, printed sheets, the folder of one's own, and how a drawing shows them."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path

import msgspec
import pypdf
import pytest

from app.drawing.placed import set_scene
from app.drawing.sheets import laid_out, pictures
from app.own_symbols import refreshed
from app.paper.symbol_sheet import symbol_pictures
from app.settings import Settings
from app.symbol_list import chosen_by, listed
from engine.builder import Builder
from engine.equipment import kinds
from engine.installation import Snapshot
from engine.phrases import FAMILY_NAMES
from engine.picture import Path as Stroke
from engine.picture import Text, text_box
from engine.record import field_specs
from symbols import catalogue

Run = Callable[..., tuple[int, str, str]]
BEACON = 'kind = "load"\nname = "Beacon"\nstrokes = [ { rectangle = [-2, -2, 2, 2] }, { circle = [0, 0, 1] } ]\n'


@pytest.fixture
def yard(own_folder: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A folder of own symbols that this test's settings do not name yet."""
    monkeypatch.setenv("XDG_CONFIG_HOME", str(own_folder / "config"))
    folder = own_folder / "yard"
    folder.mkdir()
    (folder / "beacon.toml").write_text(BEACON, "utf-8")
    return folder


def test_every_symbol_is_listed(run: Run, yard: Path) -> None:
    code, out, _err = run("symbols")
    assert code == 0
    assert "thruster" in out
    assert "taken where what it serves: navigation lights" in out
    code, out, _err = run("symbols", "--format", "json")
    every = {each["name"]: each for each in json.loads(out)}
    assert {"fuse", "lamp", "plus"} <= set(every)
    lamp = every["lamp"]
    assert (lamp["kind"], lamp["letters"][0], lamp["own"]) == ("load", "E", False)
    assert lamp["clauses"]["IEC 60617"]["confirmed"] is False
    assert lamp["clauses"]["IEC 60617"]["standing"] == "from memory, not confirmed"
    assert [t["name"] for t in lamp["terminals"]] == ["in", "neg", "earth"]
    assert lamp["chosen_by"] == {"service": ["lighting"]}
    assert every["circuit_breaker"]["positions"] == ["open", "closed"]


def test_what_chooses_a_symbol_are_fields_and_values_of_its_kind() -> None:
    for name in catalogue.variants():
        of = catalogue.symbol(name)
        specs = {spec.name: spec for spec in field_specs(kinds()[of.kind])}
        for field, values in of.when.items():
            assert field in specs, (name, field)
            if specs[field].shape == "choice":
                assert set(values) <= set(specs[field].choices), (name, field)
        assert bool(chosen_by(of)) is bool(of.when)


@pytest.mark.parametrize("size", ["A3", "A4"])
def test_sheets_are_whole_and_nothing_lies_on_anything(size: str) -> None:
    names = {family: str(name) for family, name in FAMILY_NAMES.items()}
    told: list[str] = []
    for picture in symbol_pictures(listed(), names, size=size):
        texts = [(text_box(p).grown(-0.3), p) for p in picture.primitives if isinstance(p, Text)]
        told += [p.text for _box, p in texts]
        for n, (a, p) in enumerate(texts):
            assert a.left > 0
            assert a.right < picture.width, p
            for b, other in texts[n + 1 :]:
                assert not (a.left < b.right and b.left < a.right and a.top < b.bottom and b.top < a.bottom), (p, other)
    said = " ".join(told)
    for each in listed():
        assert each.title.split()[0] in said
    assert "secondary" in told
    assert "Battery fault currents and AC on boats kill. Isolate and prove dead before work." in said


def test_they_are_printed_in_one_standard_or_both(run: Run, yard: Path) -> None:
    code, out, _err = run("symbols", "-o", "symbols.pdf", "--standard", "IEEE")
    assert code == 0
    reader = pypdf.PdfReader("symbols.pdf")
    assert f"{len(reader.pages)} pages" in out
    said = reader.pages[0].extract_text()
    assert "Symbols after IEEE 315" in said
    assert "IEC 60617-" not in said  # no clause of the other standard
    assert run("symbols", "-o", "symbols.txt")[0] == 2


def test_a_folder_is_checked_and_remembered(run: Run, yard: Path) -> None:
    assert run("symbols", "--check", yard)[:2] == (
        0,
        "beacon.toml: Beacon, a symbol for load: in order\n1 symbol in order; 0 faults\n",
    )
    (yard / "bad.svg").write_text("<svg data-kind='load'><script/></svg>", "utf-8")
    code, out, err = run("symbols", "--check", yard)
    assert code == 1
    assert "bad.svg: line 1: <script>: it is not read in a symbol" in err
    assert "1 symbol in order; 1 fault" in out
    assert run("symbols", "--check", "gone")[0] == run("symbols", "--folder", "gone")[0] == 2
    assert refreshed().folder == ""
    code, out, err = run("symbols", "--folder", "yard")
    assert code == 1  # one of them is wrong
    assert "beacon" in out
    assert "bad.svg" in err
    assert Settings().get("symbols_folder") == str(yard)
    assert list(refreshed().symbols) == ["beacon"]
    assert run("symbols", "--folder", "")[0] == 0
    assert refreshed().symbols == {}


def drawn(symbol: str) -> Snapshot:
    b = Builder(name="Sandling")
    b.add("battery_bank", "G1", unit_v=12)
    b.add("load", "E1", service="lighting")
    b.run("W1", "G1.pos", "E1.in")
    snapshot = laid_out(b.installation.snapshot())
    placements = {
        item: msgspec.structs.replace(p, symbol=symbol) if snapshot.name(p.equipment) == "E1" else p
        for item, p in snapshot.placements.items()
    }
    return Snapshot(tables=snapshot.tables | {"placements": placements}, lone=snapshot.lone)


def shape_of(snapshot: Snapshot) -> tuple[object, ...]:
    scene = set_scene(snapshot)
    return next(p.look.shape.primitives for p in scene.pieces.values() if p.record.KIND == "load")


def test_a_drawing_shows_the_symbol_it_names_and_says_where_it_cannot(run: Run, yard: Path) -> None:
    lamp, load = (catalogue.shape(name).primitives for name in ("lamp", "load"))
    assert shape_of(drawn("")) == lamp
    assert shape_of(drawn("load")) == load
    named = drawn("beacon")
    assert shape_of(named) == lamp
    told = " ".join(p.text for picture in pictures(named) for p in picture.primitives if isinstance(p, Text))
    assert "E1: the symbol 'beacon' is not found on this" in told
    assert run("symbols", "--folder", "yard")[0] == 0
    mine = shape_of(named)
    assert mine not in (lamp, load)
    assert sum(isinstance(p, Stroke) for p in mine) == 2
    told = " ".join(p.text for picture in pictures(named) for p in picture.primitives if isinstance(p, Text))
    assert "not found" not in told
    (yard / "beacon.toml").write_text(BEACON.replace("circle = [0, 0, 1]", "circle = [0, 0, 1.5]"), "utf-8")
    again = shape_of(named)
    assert again != mine  # a file that changes is read again
    (yard / "beacon.toml").write_text(
        BEACON.replace('"load"', '"motor"').replace("[-2, -2, 2, 2]", "[-1, -1, 1, 1]"), "utf-8"
    )
    assert shape_of(named) == lamp  # it stands for another kind now
    assert all(p.symbol in ("", "beacon") for p in named.placements.values())  # the drawing keeps the name
