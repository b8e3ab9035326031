"""Facts, curves and edits of the page of conditions in words: what is not known never reads as good."""

from __future__ import annotations

import math

import msgspec
import pytest

from app.window.figures.curves import day_curve, recharge_curve, ticks
from app.window.figures.edits import hours_of, running_set
from app.window.figures.facts import bank_facts, condition_rows, hours_words, summary
from app.window.figures.rows import load_rows, totals, totals_words
from engine.builder import Builder
from engine.circuit.energy.results import BankEnergy, Charging, Energy, Hour
from engine.edits import Put, SetFields, apply
from engine.equipment.base import Duty
from engine.installation import Condition
from engine.installation.records import ConditionDuty

BANK = BankEnergy(
    bank="e1", designation="G1", nominal_v=12.0, capacity_ah=100.0, usable_ah=50.0, load_wh=240.0, load_ah=20.0,
    source_wh=0.0, mean_a=0.83, autonomy_h=60.0, charge_a=25.0, charge_limit="the bank: 25 A", recharge_h=4.0,
    from_soc=0.5, to_soc=1.0, recharge_curve=((0.0, 0.5), (2.0, 0.9), (4.0, 1.0)),
    charging=(Charging(equipment="e2", designation="G2", rated_a=None, given_a=25.0, why="its rating"),),
    day=tuple(Hour((n + 1) / 2, 1.0 - n / 100, 10.0, 0.0) for n in range(48)),
)  # fmt: skip


def bank(**changes: object) -> BankEnergy:
    return msgspec.structs.replace(BANK, **changes)


def fact(name: str, of: BankEnergy) -> str:
    return dict(bank_facts(of))[name]


@pytest.mark.parametrize(
    ("hours", "words"),
    [(None, "not known"), (math.inf, "without end"), (5.04, "5.04 h"), (80.6, "80.6 h (3 days 9 h)")],
)
def test_hours_in_words(hours: float | None, words: str) -> None:
    assert hours_words(hours) == words


def test_what_lasts_is_held_against_what_is_wanted() -> None:
    assert fact("Lasts", BANK) == "60 h (2 days 12 h)"
    assert fact("Lasts", bank(required_h=60.0)).endswith("60 h wanted: enough")
    assert fact("Lasts", bank(required_h=60.1)).endswith("60.1 h wanted: too short")
    unsure = fact("Lasts", bank(required_h=24.0, missing=("E1.power_w",)))
    assert unsure == "at most 60 h (2 days 12 h); 24 h wanted: not known whether that is enough"
    assert fact("Lasts", bank(required_h=72.0, missing=("E1.power_w",))).endswith("too short")
    assert fact("Lasts", bank(autonomy_h=None, required_h=24.0)) == "not known"
    assert fact("Lasts", bank(autonomy_h=math.inf)) == "without end: what it gives comes back"
    assert fact("Lasts", bank(autonomy_h=math.inf, load_wh=0.0)) == "without end: nothing draws from it"


def test_what_is_known_in_part_is_a_least_value() -> None:
    assert fact("Loads take", bank(missing=("E1.power_w",))) == "at least 240 Wh a day, 20 Ah a day"
    assert fact("Loads take", bank(load_wh=None)) == "not known"
    assert fact("Usable", bank(usable_ah=None, capacity_ah=None, nominal_v=None)) == "not known"
    assert "some is not counted" in fact("Sun and wind bring", bank(missing_weather=("C.peak_sun_h",)))
    (row,) = condition_rows([("At anchor", Energy(condition="c1", name="At anchor", banks=(bank(missing=("x",)),)))])
    assert row[2] == "≥ 240"
    assert condition_rows([("Under way", None)]) == [("Under way", "being worked out", "", "", "")]


def test_refilling_is_held_against_what_is_wanted() -> None:
    assert fact("Refills in", BANK) == "4 h, from 50 % to 100 %"
    assert fact("Refills in", bank(required_recharge_h=4.0)).endswith("4 h wanted: in time")
    assert fact("Refills in", bank(required_recharge_h=3.9)).endswith("3.9 h wanted: too slow")
    late = bank(required_recharge_h=3.0, missing_recharge=("G2.rated_a",))
    assert fact("Refills in", late).endswith("not known whether that is in time")
    assert fact("Refills in", bank(recharge_h=math.inf)).startswith("never: ")
    assert fact("Charging current", BANK) == "25 A; limited by the bank: 25 A"


def test_the_summary_says_when_it_is_behind() -> None:
    energy = Energy(condition="c1", name="x", banks=(BANK,))
    assert summary(energy, False, "") == "G1 lasts 60 h (2 days 12 h)."
    assert summary(energy, True, "").startswith("Being worked out… Before the last change: G1")
    assert summary(None, False, "") == "Being worked out…"
    assert summary(None, False, "KeyError").endswith("could not be worked out: KeyError")
    assert summary(Energy(condition="", name="x"), False, "") == "No bank feeds anything in this condition."


def test_curves_say_what_they_show_and_why_there_is_none() -> None:
    day = day_curve(BANK)
    assert day.points[0] == (0.0, 100.0)
    assert day.points[-1][0] == 24.0
    assert day.marks[0].text == "50 % is to stay in it"
    assert day.words.endswith("lowest 53 % at 24 h.")
    refill = recharge_curve(bank(required_recharge_h=10.0))
    assert refill.hours >= 10.0
    assert refill.marks[0].text == "10 h wanted"
    assert refill.words == "G1: refilling: 50 % after 0 h, 90 % after 2 h, 100 % after 4 h."
    assert "nothing charges it" in recharge_curve(bank(recharge_curve=(), recharge_h=math.inf)).words
    assert "not known" in recharge_curve(bank(recharge_curve=(), recharge_h=None)).words
    assert not day_curve(bank(day=())).points


@pytest.mark.parametrize(("end", "most"), [(24.0, 9), (4.08, 9), (0.3, 4), (400.0, 7), (10_000.0, 6)])
def test_an_axis_has_not_more_marks_than_fit(end: float, most: int) -> None:
    marks = ticks(end, most)
    assert 2 <= len(marks) <= most + 1
    assert marks[0] == 0
    assert marks[-1] <= end + 1e-9


def boat() -> Builder:
    b = Builder(name="Sandling")
    apply(b.installation, Put("conditions", "c9", Condition(name="At anchor")))
    b.add("battery_bank", "G1", unit_v=12.0, unit_ah=100.0)
    b.add("load", "E1", dc_v=12, power_w=10, duty=(Duty("c9", 3.0),))
    b.add("load", "E2", dc_v=12, power_w=None)
    b.add("load", "E3", dc_v=12, power_w=10, status="spare")
    (found,) = b.installation.find("E2")
    duties = (ConditionDuty(equipment=found[1], hours_a_day=2.0),)
    apply(b.installation, SetFields("conditions", "c9", (("duties", duties),)))
    return b


def test_hours_recorded_at_the_load_itself_are_taken_out_there_too() -> None:
    b = boat()
    snapshot = b.installation.snapshot()
    e1 = next(item for item, record in snapshot.equipment.items() if record.designation == "E1")
    rows = {row.name: row for row in load_rows(snapshot, "c9", None, None)}
    assert set(rows) == {"E1", "E2"}
    assert rows["E1"].hours == 3.0
    assert rows["E2"].watts is None
    over = hours_of(snapshot, "c9", e1, "5")
    assert over is not None
    apply(b.installation, over)
    assert {r.name: r.hours for r in load_rows(b.installation.snapshot(), "c9", None, None)}["E1"] == 5.0
    out = hours_of(b.installation.snapshot(), "c9", e1, "")
    assert out is not None
    back = apply(b.installation, out)
    assert {r.name: r.hours for r in load_rows(b.installation.snapshot(), "c9", None, None)}["E1"] is None
    assert hours_of(b.installation.snapshot(), "c9", e1, " ") is None
    apply(b.installation, back)
    assert {r.name: r.hours for r in load_rows(b.installation.snapshot(), "c9", None, None)}["E1"] == 5.0


def test_what_stands_there_already_is_no_edit() -> None:
    snapshot = boat().installation.snapshot()
    e2 = next(item for item, record in snapshot.equipment.items() if record.designation == "E2")
    assert hours_of(snapshot, "c9", e2, "2 h") is None
    assert hours_of(snapshot, "c9", e2, "120 min") is None
    assert running_set(snapshot, "c9", e2, False) is None


def test_sums_say_of_how_many_something_is_not_known() -> None:
    rows = load_rows(boat().installation.snapshot(), "c9", None, None)
    assert totals_words(totals(rows)).endswith("Of 2 something is not known: the sums are least values.")
    assert totals_words(totals([])) == "No load has hours in this condition."
