"""Every field of every kind of equipment, and of everything else a drawing holds: typed or chosen, stored, undone."""

from __future__ import annotations

from typing import Any

import pytest
from PySide6.QtCore import Qt

from app.window.entries import label_of, record_class
from app.window.particulars.grouping import common_specs
from engine.edits import Put
from engine.equipment import FAMILIES, kinds
from engine.installation import End, Run
from engine.installation.model import LONE, TABLES
from engine.record import FieldSpec, field_specs

pytestmark = pytest.mark.qt

ENTER = Qt.Key.Key_Return


def sample(spec: FieldSpec) -> tuple[str, Any]:
    """A text a person may type for a field, and the value it stands for."""
    if spec.fact.unit == "size":
        return "2/0", "2/0 AWG"
    if spec.shape == "word":
        return f"some {spec.name}", f"some {spec.name}"
    if spec.fact.refers == "photographs":
        return "f2001", ("f2001",)  # the photograph made before
    if spec.shape == "words" and spec.fact.refers:
        return "Q1, E1", ("Q1", "E1")
    if spec.shape == "words":
        return "one, two", ("one", "two")
    low = spec.fact.low if spec.fact.low is not None else 0
    high = spec.fact.high if spec.fact.high is not None else low + 40
    if spec.shape == "whole":
        return str(int(low) + 2), int(low) + 2
    value = round(low + (high - low) * 0.625, 2)
    unit = {"degC": "°C", "ohm": "Ω", "m3/h": "m3/h"}.get(spec.fact.unit, spec.fact.unit)
    return f"{value:.10g}".replace(".", ",") + f" {unit}", value


def fill(desk: Any, entry: Any, spec: FieldSpec) -> Any:
    """Fill a field as a person would, with keys; what should stand in it then."""
    sort = type(entry).__name__
    if sort == "LineEntry":
        text, value = sample(spec)
        desk.write(entry, text)
        return tuple(desk.id(word) for word in value) if spec.fact.refers == "equipment" else value
    if sort == "ChoiceEntry":
        texts = [entry.itemText(i) for i in range(entry.count())]
        other = next(i for i in range(entry.count() - 1, -1, -1) if i != entry.currentIndex())
        value = entry._values[other]
        desk.step(entry, texts[other])
        return value
    if sort == "CheckEntry":
        before = entry.isChecked()
        entry.setFocus()
        desk.qtbot.keyClick(entry, Qt.Key.Key_Space)
        return not before
    if sort == "ChecksEntry":
        box = entry.stops()[-1]
        box.setFocus()
        on = box.isChecked()
        desk.qtbot.keyClick(box, Qt.Key.Key_Space)
        return ... if on else box.text()
    if sort == "RefersEntry":
        names = entry.stops()[0]
        names.setFocus()
        texts = [names.itemText(i) for i in range(names.count())]
        last = max(i for i, text in enumerate(texts) if not text.startswith("New ") and i != names.currentIndex())
        desk.step(names, names.itemText(last))
        return names._values[last]
    return fill_row(desk, entry, spec)


def fill_row(desk: Any, entry: Any, spec: FieldSpec) -> Any:
    """Add a row and fill its cells; the row."""
    if not entry.SINGLE:
        desk.click(entry._add)
    values = {}
    for place, inner in enumerate(field_specs(spec.item)):
        cell = entry._cells[-1][place]
        if entry.SINGLE and inner.name == "equipment":
            continue
        if type(cell).__name__ in ("ChoiceEntry",) and cell.count() < 2:
            continue
        values[inner.name] = fill(desk, cell, inner)
    return values


def check_every_field(desk: Any, table: str, item: str) -> None:
    record = desk.document.installation.get(table, item)
    for spec in common_specs([record]):
        if spec.name in ("arrivals",) or (table == "remarks" and spec.name in ("sheet", "points_at")):
            continue  # a remark stands on some sheet, and points at what has a designation
        before = desk.document.installation.get(table, item)
        marks = len(desk.document.history._done)
        form = desk.page.form if desk.page.shown else desk.page.whole.forms[table]
        entry = form.rows[spec.name].entry
        expected = fill(desk, entry, spec)
        after = getattr(desk.document.installation.get(table, item), spec.name)
        where = f"{type(before).__name__}.{spec.name}: {form.rows[spec.name].fault}"
        if isinstance(expected, dict):
            row = after if entry.SINGLE else after[-1]
            for name, value in expected.items():
                held = getattr(row, name)
                if value is ...:
                    continue
                assert held == (pytest.approx(value) if isinstance(value, float) else value) or value in held, where
        elif spec.shape == "words" and isinstance(expected, str):
            assert expected in after, where
        elif expected is not ...:
            assert after == (pytest.approx(expected) if isinstance(expected, float) else expected), where
        edits = len(desk.document.history._done) - marks
        assert edits >= 1, where
        if spec.shape not in ("records", "record"):
            assert edits == 1, where
        for _n in range(edits):
            assert desk.document.history.undo_words, where
            desk.document.undo()
        assert desk.document.installation.get(table, item) == before, where


@pytest.mark.parametrize("family", FAMILIES)
def test_every_field_of_every_kind_takes_what_is_typed(desk: Any, family: str) -> None:
    desk.document.do(Put("enclosures", "b900", record_class("enclosures")(name="DC panel")))
    here = [cls for cls in kinds().values() if f".{family}." in cls.__module__]
    assert here
    for number, cls in enumerate(here):
        item = f"e{1000 + number}"
        desk.document.do(Put("equipment", item, cls(designation=f"X{number}", place=desk.id("Saloon"))))
        desk.document.select(item)
        shown = {spec.name for spec in common_specs([desk.record(item)])}
        assert set(desk.page.form.rows) == shown
        assert shown >= {s.name for s in field_specs(cls)} - {"in_position"}
        check_every_field(desk, "equipment", item)


def test_every_field_of_everything_else_takes_what_is_typed(desk: Any) -> None:
    ends = (End(equipment=desk.id("G1"), terminal="pos"), End(equipment=desk.id("Q1"), terminal="in"))
    desk.document.do(Put("runs", "r2000", Run(from_end=ends[0], to_end=ends[1])))
    desk.document.select("r2000")
    check_every_field(desk, "runs", "r2000")
    needed = {
        "places": {"name": "Lazarette"},
        "enclosures": {"name": "AC panel"},
        "sheets": {},
        "remarks": {"sheet": next(iter(desk.document.installation.tables["sheets"]), "s2001")},
        "conditions": {"name": "Under way"},
        "interlocks": {},
        "revisions": {"index": "A"},
        "waivers": {"rule": "unconnected"},
        "surveys": {},
        "photographs": {"sha256": "0" * 64},
        "deficiencies": {},
        "inspections": {},
        "instruments": {},
        "readings": {},
    }
    assert needed.keys() == TABLES.keys() - {"equipment", "runs", "placements", "routes"}
    desk.document.do(Put("surveys", "y3000", record_class("surveys")()))  # for the other one to follow
    for table, fields in needed.items():
        desk.document.do(Put(table, f"{TABLES[table][1]}2001", record_class(table)(**fields)))
        desk.page.show_record(table, f"{TABLES[table][1]}2001")
        check_every_field(desk, table, f"{TABLES[table][1]}2001")
    desk.document.select()
    for table in LONE:
        desk.page.show_record(table, table)
        check_every_field(desk, table, table)


def test_no_two_fields_of_a_record_are_called_the_same() -> None:
    for cls in [*kinds().values(), *(cls for cls, _letter in TABLES.values()), *LONE.values()]:
        labels = [label_of(cls, spec) for spec in field_specs(cls)]
        assert all(labels)
        assert len(set(labels)) == len(labels), cls
        assert max(map(len, labels)) <= 80
