"""The page round the fields: what it shows of what is chosen, findings, finding a field, the drawing itself."""

from __future__ import annotations

import itertools
from typing import Any

import pytest
from PySide6.QtCore import Qt
from PySide6.QtWidgets import (
    QAbstractButton,
    QApplication,
    QComboBox,
    QLineEdit,
    QListWidget,
    QWidget,
)

from app.judgement import Judgement
from app.window.particulars.whole import LISTS
from engine.builder import Builder
from engine.check import check
from engine.edits import Put
from engine.equipment import kinds
from engine.installation import Sheet

pytestmark = pytest.mark.qt


def judge(desk: Any) -> Judgement:
    result = check(desk.document.snapshot())
    judgement = Judgement(1, result, {f.key: n + 1 for n, f in enumerate(result.findings)}, {})
    desk.document._judged(judgement)
    return judgement


def shown_fields(desk: Any) -> list[str]:
    return [name for name, row in desk.page.form.rows.items() if not row.isHidden()]


# -- what is chosen -------------------------------------------------------------------------------------------------
def test_it_follows_what_is_chosen(desk: Any) -> None:
    page = desk.page
    assert page._title.text() == "The drawing"
    desk.choose("F1")
    assert (page._title.text(), page._kind.text()) == ("F1", "Fuse")
    desk.choose("W1")
    assert (page._title.text(), page._kind.text()) == ("W1", "Run from G1.pos to F1.in")
    desk.choose("F1", "W1")
    assert (page._title.text(), page._kind.text()) == ("2 things", "F1, W1")
    desk.document.do(Put("equipment", "e500", kinds()["fuse"]()))
    desk.document.select("e500")
    assert page._title.text() == "Fuse e500"
    desk.document.undo()
    assert page._title.text() == "The drawing", "what is gone is shown no longer"


def test_own_facts_come_before_those_of_every_kind_and_purchase_last(desk: Any) -> None:
    desk.choose("F1")
    order = list(desk.page.form.rows)
    assert order[:6] == ["designation", "label", "place", "enclosure", "position", "status"]
    assert order.index("rating_a") < order.index("largest_device_a")
    assert order[-4:] == ["maker", "part_number", "price", "quantity"]
    tops = [desk.page.form.rows[name].y() for name in order]
    QApplication.processEvents()
    assert tops == sorted(tops)


def test_it_goes_to_a_field_wherever_it_is(desk: Any) -> None:
    page = desk.page
    page.go_to_field(desk.id("W2"), "length_m")
    assert desk.document.selection == (desk.id("W2"),)
    assert desk.entry("length_m").hasFocus()
    QApplication.processEvents()
    row = page.form.rows["length_m"]
    top = row.mapTo(page._scroll.viewport(), row.rect().topLeft()).y()
    assert 0 <= top < page._scroll.viewport().height() - row.height() + 1
    page.find.setText("price")
    page.go_to_field(desk.id("F1"), "rating_a")
    assert desk.entry("rating_a").hasFocus()
    assert page.find.text() == ""
    page.go_to_field(desk.id("Saloon"), "temperature_c")
    assert desk.entry("temperature_c").hasFocus()
    assert page._title.text() == "Saloon"
    page.go_to_field("vessel", "coldest_c")
    assert page.whole.forms["vessel"].rows["coldest_c"].entry.hasFocus()
    page.go_to_field(desk.id("W2"), "from_end.lug")
    assert page.form.rows["from_end"].isAncestorOf(QApplication.focusWidget())
    page.go_to_field("e999", "rating_a")  # gone: nothing happens
    assert desk.document.selection == (desk.id("W2"),)


def test_back_leads_to_what_was_chosen(desk: Any) -> None:
    page = desk.page
    desk.choose("W1")
    assert not page.back.isVisible()
    page.show_record("places", desk.id("Saloon"))
    page.show_record("settings", "settings")
    assert page._title.text() == "The drawing"
    desk.click(page.back)
    assert page._title.text() == "Saloon"
    assert page.back.accessibleName() == "Back to W1"
    desk.click(page.back)
    assert page._title.text() == "W1"
    page.show_record("places", desk.id("Saloon"))
    desk.choose("F1")
    assert page._title.text() == "F1"
    page.show_record("places", "p999")
    assert page._title.text() == "F1"


def test_what_changes_while_it_is_hidden_is_shown_later(desk: Any) -> None:
    desk.choose("F1")
    desk.page.hide()
    desk.change("F1", rating_a=33)
    desk.choose("F2")
    desk.choose("F1")
    desk.page.show()
    assert desk.entry("rating_a").text() == "33"


# -- what the check says ----------------------------------------------------------------------------------------------
def test_findings_stand_at_the_top_and_lead_to_their_note(qtbot: Any, desk: Any) -> None:
    b = Builder(name="Plover")
    b.add("battery_bank", "G1", unit_v=12, charge_v=14.4)
    b.add("fuse", "F1", rating_a=300, rated_dc_v=10)
    b.add("load", "E1", dc_v=12)
    b.run("W1", "G1.pos", "F1.in", size="14 AWG", length_m=0.1, insulation_c=105, bundle=1)
    b.run("W2", "F1.out", "E1.in", size="14 AWG", length_m=1, insulation_c=105, bundle=1)
    other = type(desk)(qtbot, b.installation)
    other.choose("F1")
    assert not other.page.findings.isVisible()
    judgement = judge(other)
    named = [f for f in judgement.result.findings if other.id("F1") in f.ids]
    assert named
    buttons = other.page.findings.stops()
    own = next(f for f in named if f.ids[0] == other.id("F1"))
    number = judgement.numbers[own.key]
    assert buttons[0].accessibleName().startswith(f"{number} {own.word.capitalize()}: ")
    assert buttons[0].accessibleName().count(". ") == 0, "its first sentence, no more"
    with qtbot.waitSignal(other.page.noted) as told:
        buttons[0].setFocus()
        qtbot.keyClick(buttons[0], Qt.Key.Key_Space)
    assert told.args == [own.key]
    other.choose("G1", "F1")
    assert other.page.findings.isVisible()
    other.choose()
    assert not other.page.findings.isVisible()


def test_fields_that_a_rule_lacks_are_marked(desk: Any) -> None:
    desk.change("F1", rating_a=None)
    desk.choose("F1")
    assert "Needed to judge" not in desk.said("rating_a")
    judgement = judge(desk)
    lacking = {m: n.rule for n in judgement.result.not_judged for m in n.missing}
    rule = lacking["F1.rating_a"]
    assert "Needed to judge: " in desk.said("rating_a")
    assert rule in desk.said("rating_a")
    assert rule in desk.entry("rating_a").accessibleDescription()
    assert "Needed to judge" not in desk.said("label")
    desk.choose("F2")
    assert "Needed to judge" not in desk.said("rating_a")
    desk.choose("F1")
    assert "Needed to judge" in desk.said("rating_a")
    desk.write("rating_a", "10")
    judge(desk)
    assert "Needed to judge" not in desk.said("rating_a")


# -- finding a field -------------------------------------------------------------------------------------------------
def test_a_field_is_found_by_its_words(desk: Any) -> None:
    desk.choose("G1")
    page = desk.page
    everything = shown_fields(desk)
    assert len(everything) > 50
    page.find.setFocus()
    desk.qtbot.keyClicks(page.find, "charg volt")
    assert "charge_v" in shown_fields(desk)
    assert len(shown_fields(desk)) < 12
    page.find.clear()
    assert shown_fields(desk) == everything
    desk.qtbot.mouseClick(page.only_open, Qt.MouseButton.LeftButton, pos=page.only_open.rect().center() / 4)
    page.only_open.setChecked(True)
    assert "charge_v" not in shown_fields(desk)
    assert "float_v" in shown_fields(desk)
    desk.write("float_v", "13.5", end=None)
    desk.change("G1", label="House")
    assert "float_v" in shown_fields(desk), "never taken away under one's hands"
    desk.qtbot.keyClick(desk.entry("float_v"), Qt.Key.Key_Return)
    assert desk.record("G1").float_v == 13.5
    desk.page.show_record("places", desk.id("Saloon"))
    assert set(shown_fields(desk)) == {"name", "kind", "temperature_c", "note"}, "a short page hides nothing"


# -- the drawing itself -----------------------------------------------------------------------------------------------
def test_nothing_chosen_shows_vessel_title_block_and_settings(desk: Any) -> None:
    whole = desk.page.whole
    assert [whole.sections[t].head.text() for t in ("vessel", "title_block", "settings")] == [
        "Vessel", "Title block", "Settings of the drawing",
    ]  # fmt: skip
    name = whole.forms["vessel"].rows["name"].entry
    assert name.text() == "Sandling"
    desk.write(name, "Turnstone")
    assert desk.document.snapshot().vessel.name == "Turnstone"
    assert desk.words == "Set name of the vessel of the vessel to Turnstone"
    assert not whole.forms["settings"].isVisible()
    head = whole.sections["settings"].head
    head.setFocus()
    desk.qtbot.keyClick(head, Qt.Key.Key_Space)
    units = whole.forms["settings"].rows["units"].entry
    assert units.isVisible()
    desk.step(units, "US")
    desk.choose("W2")
    assert desk.entry("length_m").text() == "6 ft 6.7 in"


def test_lists_open_make_and_take_out(desk: Any) -> None:
    page = desk.page
    page.whole.open_section("places")
    places = page.whole.lists["places"]
    assert [places.list.item(i).text() for i in range(places.list.count())] == ["Saloon", "Engine room"]
    assert page.whole.sections["places"].head.text() == "Places (2)"
    places.list.setFocus()
    places.list.setCurrentRow(1)
    desk.qtbot.keyClick(places.list, Qt.Key.Key_Return)
    assert page._title.text() == "Engine room"
    desk.write("temperature_c", "140 °F")
    assert desk.record("Engine room").temperature_c == 60
    desk.click(page.back)
    desk.click(places.buttons[1])
    assert page._title.text() == "New place"
    assert desk.entry("name").hasFocus()
    desk.write("name", "Lazarette")
    assert desk.record("Lazarette")
    desk.click(page.back)
    places.list.setCurrentRow(2)
    desk.qtbot.keyClick(places.list, Qt.Key.Key_Delete)
    assert [p.name for p in desk.document.snapshot().places.values()] == ["Saloon", "Engine room"]
    assert desk.words == "Remove place Lazarette"
    desk.document.undo()
    assert page.whole.sections["places"].head.text() == "Places (3)"


def test_what_is_still_needed_is_not_taken_out(desk: Any) -> None:
    page = desk.page
    page.whole.open_section("places")
    places = page.whole.lists["places"]
    places.list.setCurrentRow(1)
    with desk.qtbot.waitSignal(page.refused):
        desk.click(places.buttons[2])
    assert places.fault.text().startswith("Q1 still needs it")
    assert "equipment[" not in places.fault.text()
    assert len(desk.document.snapshot().places) == 2


def test_the_only_sheet_stays(desk: Any) -> None:
    desk.document.do(Put("sheets", "s70", Sheet()))
    desk.page.whole.open_section("sheets")
    sheets = desk.page.whole.lists["sheets"]
    with desk.qtbot.waitSignal(desk.page.refused):
        desk.click(sheets.buttons[2])
    assert "only one" in sheets.fault.text()


@pytest.mark.parametrize("table", [table for table in LISTS if table != "places"])
def test_every_list_makes_a_record_and_takes_it_out_again(desk: Any, table: str) -> None:
    page = desk.page
    desk.document.do(Put("sheets", "s70", Sheet()))
    page.whole.open_section(table)
    records = page.whole.lists[table]
    before = dict(desk.document.snapshot().tables[table])
    QApplication.processEvents()
    desk.click(records.buttons[1])
    made = dict(desk.document.snapshot().tables[table])
    assert len(made) == len(before) + 1
    assert page.form.isVisible()
    desk.click(page.back)
    (item,) = made.keys() - before.keys()
    records.list.setCurrentRow(next(
        i for i in range(records.list.count()) if records.list.item(i).data(Qt.ItemDataRole.UserRole) == item
    ))  # fmt: skip
    desk.click(records.buttons[2])
    assert dict(desk.document.snapshot().tables[table]) == before
    check(desk.document.snapshot())


# -- keys and a screen reader -----------------------------------------------------------------------------------------
CONTROLS = (QLineEdit, QComboBox, QAbstractButton, QListWidget)


def controls(page: QWidget) -> list[QWidget]:
    found = [w for w in page.findChildren(QWidget) if isinstance(w, CONTROLS) and w.isVisibleTo(page)]
    return [w for w in found if w.objectName() not in ("qt_spinbox_lineedit",) and not w.objectName().startswith("_q")]


def named(page: QWidget) -> None:
    from PySide6.QtGui import QAccessible

    for control in controls(page):
        inside_a_box = isinstance(control.parentWidget(), QComboBox) or isinstance(control.parent(), QLineEdit)
        if inside_a_box:
            continue
        interface = QAccessible.queryAccessibleInterface(control)
        assert interface is not None
        name = control.accessibleName() or interface.text(QAccessible.Text.Name)
        assert name.strip(), (type(control).__name__, control.parent())
        assert interface.role() != QAccessible.Role.NoRole


def test_every_control_has_a_name_and_every_entry_says_its_range(desk: Any) -> None:
    desk.change("F1", breaking=({"amps": 5000, "volts": 32},))
    for names in (("F1",), ("G1",), ("W1",), ("Q1",), ("F1", "F2"), ("At anchor",), ()):
        desk.choose(*names)
        judge(desk)
        for section in desk.page.whole.sections.values() if not names else ():
            section.open_up(True)
        named(desk.page)
        for name, row in desk.page.form.rows.items():
            if not names:
                continue
            spec = row.spec
            assert row.title.text() == row.label
            for stop in row.entry.stops()[:1]:
                spoken = stop.accessibleName()
                assert row.label in spoken, name
                if spec.shape not in ("records", "record"):
                    assert stop.accessibleDescription(), name
            if spec.shape == "number" and spec.fact.high is not None:
                assert f"{spec.fact.high:g}" in row.entry.accessibleDescription()


def test_every_kind_has_named_controls_only(desk: Any) -> None:
    for number, cls in enumerate(kinds().values()):
        desk.document.do(Put("equipment", f"e{3000 + number}", cls(designation=f"X{number}")))
        desk.document.select(f"e{3000 + number}")
        named(desk.page)


def test_tab_goes_from_top_to_bottom(desk: Any) -> None:
    for name in ("G1", "F1", "W1"):  # rows made for one are used again for the next
        desk.choose(name)
        QApplication.processEvents()
        desk.page.find.setFocus()
        seen: list[QWidget] = []
        for _n in range(300):
            desk.qtbot.keyClick(QApplication.focusWidget(), Qt.Key.Key_Tab)
            now = QApplication.focusWidget()
            if now is desk.page.find or now in seen:
                break
            seen.append(now)
        inside = [w for w in seen if desk.page.form.isAncestorOf(w)]
        corners = [w.mapTo(desk.page.form, w.rect().topLeft()) for w in inside]
        tops = [c.y() for c in corners]
        assert len(inside) > 20
        assert all(b >= a - 14 for a, b in itertools.pairwise(tops)), [
            (w.accessibleName(), t) for w, t in zip(inside, tops, strict=True)
        ]
        rows = {row for row in desk.page.form.rows.values() if any(row.isAncestorOf(w) for w in inside)}
        assert rows == set(desk.page.form.rows.values()), "every field is reached"


def test_the_foot_tells_of_the_field_one_stands_in(desk: Any) -> None:
    desk.choose("F1")
    desk.entry("rating_a").setFocus()
    told = "Rated current of the link. A current such as 1.2 kA; more than 0 A. Leave it empty where it is not known."
    assert desk.page._help.text() == told
    assert desk.entry("rating_a").toolTip() == told
    desk.entry("status").setFocus()
    assert desk.page._help.text() == "Status. Existing, new, to remove, by others, spare."
