"""A witness is shown in a full state: what it names stands so, what an interlock forbids beside it gives way."""

from __future__ import annotations

from engine.builder import Builder
from engine.circuit.states import states_of
from engine.circuit.switching.completing import completed


def boat(at_most: int = 1) -> tuple[Builder, dict[str, str]]:
    b = Builder()
    for name in ("Q1", "Q2", "Q3"):
        b.add("circuit_breaker", name, rating_a=30, poles=("L1", "N"))
    b.add("changeover", "S1", poles=("L1", "N"))
    b.interlock("Q1", "Q2", "Q3", at_most=at_most)
    return b, {r.designation: i for i, r in b.installation.snapshot().equipment.items()}


def test_what_the_interlock_forbids_gives_way_and_the_rest_stays() -> None:
    b, by_name = boat()
    standing = {by_name["Q1"]: "closed", by_name["Q2"]: "open", by_name["Q3"]: "open", by_name["S1"]: "2"}
    state = completed(b.installation.snapshot(), {by_name["Q2"]: "closed"}, standing)
    assert state == standing | {by_name["Q1"]: "open", by_name["Q2"]: "closed"}


def test_no_more_gives_way_than_must() -> None:
    b, by_name = boat(at_most=2)
    standing = {by_name["Q1"]: "closed", by_name["Q2"]: "closed", by_name["Q3"]: "open"}
    state = completed(b.installation.snapshot(), {by_name["Q3"]: "closed"}, standing)
    assert state is not None
    assert [state[by_name[n]] for n in ("Q1", "Q2", "Q3")] == ["closed", "open", "closed"]


def test_what_no_state_allows_is_told_and_what_is_gone_is_left_out() -> None:
    b, by_name = boat()
    both = {by_name["Q1"]: "closed", by_name["Q2"]: "closed"}
    assert completed(b.installation.snapshot(), both, {}) is None
    state = completed(b.installation.snapshot(), {"e99": "closed", by_name["S1"]: "no such"}, {by_name["S1"]: "1"})
    assert state is not None
    assert "e99" not in state
    assert state[by_name["S1"]] == "1"


def test_the_state_is_one_that_the_interlocks_allow() -> None:
    from engine.circuit.expand import expand

    b, by_name = boat()
    snapshot = b.installation.snapshot()
    states = states_of(snapshot, expand(snapshot), protection_opens=True)
    standing = {i: "closed" for n, i in by_name.items() if n != "S1"}  # as nothing allows
    state = completed(snapshot, {by_name["Q3"]: "closed"}, standing)
    assert state is not None
    assert states.allows(states.of_positions(state.items()))
