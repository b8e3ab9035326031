"""A switch moves where its mechanism and the interlocks let it; the sentence says what holds it."""

from __future__ import annotations

import pytest

from engine.builder import Builder
from engine.edits import EditError, apply
from engine.edits.operating import operate, positions_in


def bypass() -> tuple[Builder, str]:
    b = Builder()
    b.add("circuit_breaker", "QII", used_as_switch=True)
    b.add("circuit_breaker", "QBP", used_as_switch=True, in_position="open")
    b.add("fuse", "F1")
    b.add("selector", "Q1")
    b.add("changeover", "Q2")
    b.interlock("QII", "QBP", name="source / bypass")
    condition = b.condition("At anchor", QII="closed", QBP="open")
    return b, condition


def ids(b: Builder) -> dict[str, str]:
    return {r.designation: i for i, r in b.installation.equipment.items()}


def test_the_interlock_is_named_with_what_holds_it() -> None:
    b, condition = bypass()
    for where in ("", condition):
        operated = operate(b.installation.snapshot(), ids(b)["QBP"], where)
        assert operated.edit is None
        assert operated.why == (
            "QBP does not close: interlock “source / bypass” (mechanical) allows one of QII closed and QBP closed, "
            "and QII is closed."
        )


def test_the_switch_moves_once_the_other_is_open() -> None:
    b, condition = bypass()
    at = ids(b)
    apply(b.installation, operate(b.installation.snapshot(), at["QII"], condition).edit)
    operated = operate(b.installation.snapshot(), at["QBP"], condition)
    assert operated.edit.words == "Close QBP, At anchor"
    apply(b.installation, operated.edit)
    positions = positions_in(b.installation.snapshot(), condition)
    assert (positions[at["QII"]], positions[at["QBP"]]) == ("open", "closed")
    assert positions_in(b.installation.snapshot(), "")[at["QII"]] == "closed", "as drawn nothing moved"


def test_a_setting_equal_to_the_drawing_is_dropped() -> None:
    b, condition = bypass()
    at = ids(b)
    apply(b.installation, operate(b.installation.snapshot(), at["QII"], condition).edit)
    settings = b.installation.tables["conditions"][condition].settings
    assert [(s.equipment, s.position) for s in settings] == [(at["QII"], "open"), (at["QBP"], "open")]
    apply(b.installation, operate(b.installation.snapshot(), at["QII"], condition).edit)
    settings = b.installation.tables["conditions"][condition].settings
    assert at["QII"] not in {s.equipment for s in settings}
    assert positions_in(b.installation.snapshot(), condition)[at["QII"]] == "closed"


def test_as_drawn_the_position_is_recorded() -> None:
    b, _condition = bypass()
    at = ids(b)
    operated = operate(b.installation.snapshot(), at["QII"], "")
    assert operated.edit.words == "Open QII"
    apply(b.installation, operated.edit)
    assert b.installation.equipment[at["QII"]].in_position == "open"


def test_a_selector_goes_round_and_a_changeover_reaches_both_sources() -> None:
    b, _condition = bypass()
    at = ids(b)
    seen: dict[str, list[str]] = {"Q1": [], "Q2": []}
    for name, positions in seen.items():
        for _n in range(5):
            apply(b.installation, operate(b.installation.snapshot(), at[name], "").edit)
            positions.append(b.installation.equipment[at[name]].in_position)
    assert seen == {"Q1": ["both", "2", "off", "1", "both"], "Q2": ["2", "0", "1", "2", "0"]}


def test_a_named_position_is_reached_unless_an_interlock_bars_the_way() -> None:
    b, _condition = bypass()
    at = ids(b)
    assert operate(b.installation.snapshot(), at["Q1"], "", "2").edit is not None
    b.add("selector", "Q9", in_position="both")
    b.interlock("Q1:both", "Q9:both", kind="electrical")
    assert operate(b.installation.snapshot(), at["Q1"], "", "2").edit is not None, "through off"
    b.interlock("Q1:off", "Q9:both", kind="electrical")
    operated = operate(b.installation.snapshot(), at["Q1"], "", "2")
    assert operated.edit is None
    assert operated.why.startswith("Q1 does not reach 2: its way leads through ")
    assert "an interlock (electrical) allows one of" in operated.why
    assert operated.why.endswith("and Q9 is both.")


def test_what_lessens_a_violation_is_allowed() -> None:
    b = Builder()
    for name in ("Q1", "Q2", "Q3"):
        b.add("battery_switch", name, in_position="closed")
    b.interlock("Q1", "Q2", "Q3", name="one of three")
    at = ids(b)
    for name in ("Q1", "Q2"):
        operated = operate(b.installation.snapshot(), at[name], "")
        assert operated.edit is not None, operated.why
        apply(b.installation, operated.edit)
    back = operate(b.installation.snapshot(), at["Q1"], "")
    assert back.edit is None
    assert back.why.endswith("and Q3 is closed.")


def test_none_at_all_is_told_so() -> None:
    b = Builder()
    b.add("battery_switch", "Q1", in_position="open")
    b.interlock("Q1", at_most=0, kind="captive key")
    why = operate(b.installation.snapshot(), ids(b)["Q1"], "").why
    assert why == "Q1 does not close: an interlock (captive key) allows none of Q1 closed."


def test_odd_questions_get_a_sentence() -> None:
    b, condition = bypass()
    at, snapshot = ids(b), b.installation.snapshot()
    assert operate(snapshot, at["F1"], "").why == "F1 has no positions: it is not a switch."
    assert operate(snapshot, at["Q1"], "", "3").why == "Q1 has no position “3”: it has off, 1, both, 2."
    assert operate(snapshot, at["QBP"], condition, "open").why == "QBP is open already."
    with pytest.raises(EditError, match="There is no operating condition 'c99'"):
        operate(snapshot, at["Q1"], "c99")
    with pytest.raises(EditError, match="There is no equipment 'e99'"):
        operate(snapshot, "e99", "")
