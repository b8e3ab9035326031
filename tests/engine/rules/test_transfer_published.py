"""Clauses on transfer, neutrals and poles of published texts, each named beside its check."""

from __future__ import annotations

from typing import Any

import pytest

from engine.builder import Builder
from engine.check import CheckResult, check

NEUTRALS = ("sources-meet", "neutral-not-switched", "wrong-neutral-bond")


def judged(b: Builder, book: str, *only: str) -> CheckResult:
    return check(b.installation.snapshot(), book, list(only))


def found(b: Builder, book: str, *only: str) -> list[tuple[str, str, tuple[str, ...]]]:
    return [(f.word, f.rule, f.designations) for f in judged(b, book, *only).findings]


def ac(b: Builder, name: str, start: str, end: str, **facts: Any) -> None:
    b.run(name, start, end, function="ac", size="10 AWG", length_m=1.0, **facts)


def on_one_bus(poles: tuple[str, ...] = ("L1", "N"), **generator: Any) -> Builder:
    """Shore and generator, each by its breaker, on one switchboard."""
    b = Builder()
    b.add("shore_supply", "G9", ac_v=120, breaker_a=30, neutral_earthed=True)
    b.add("generator", "G2", ac_v=120, rating_a=30, **({"bonds_neutral": True} | generator))
    b.add("bus_bar", "X2")
    b.add("load", "E1", ac_v=120, power_w=500)
    for name, source in (("F1", "G9"), ("F2", "G2")):
        b.add("circuit_breaker", name, rating_a=30, poles=poles)
        ac(b, f"W{name}", f"{source}.out", f"{name}.in")
        ac(b, f"V{name}", f"{name}.out", "X2.bar")
    ac(b, "W9", "X2.bar", "E1.in")
    return b


# -- 46 CFR 183.390(d), 2015 edition ---------------------------------------------------------------------------
def test_shore_feed_and_generator_breaker_without_interlock_fail() -> None:
    """One finding: the neutrals meet only while the lives do."""
    b = on_one_bus()
    assert found(b, "us-46cfr", *NEUTRALS) == [("danger", "sources-meet", ("G9", "G2"))]
    assert found(b, "trade-na", *NEUTRALS) == [("danger", "sources-meet", ("G9", "G2"))]
    b.interlock("F1", "F2", name="slide")
    assert found(b, "us-46cfr", *NEUTRALS) == []
    assert found(b, "trade-na", *NEUTRALS) == []


# -- ISO 13297:2020 6.8, secondary copy ------------------------------------------------------------------------
def test_a_neutral_tied_to_ground_aboard_and_fed_from_shore_fails() -> None:
    b = Builder()
    b.add("shore_supply", "G9", ac_v=230, breaker_a=16, neutral_earthed=True)
    b.add("bus_bar", "X2", bonds_neutral=True)
    b.add("load", "E1", ac_v=230, power_w=500)
    ac(b, "W1", "G9.out", "X2.bar")
    ac(b, "W2", "X2.bar", "E1.in")
    assert found(b, "metric", *NEUTRALS) == [("warning", "wrong-neutral-bond", ("G9", "X2"))]


@pytest.mark.parametrize("at_bus", [False, True])
def test_behind_an_isolation_transformer_the_secondary_is_bonded_aboard(at_bus: bool) -> None:
    """At the secondary, or at the main earth bus."""
    b = Builder()
    b.add("shore_supply", "G9", ac_v=230, breaker_a=16, neutral_earthed=True)
    b.add("isolation_transformer", "T1", primary_v=230, secondary_v=230, bonds_neutral=not at_bus)
    b.add("bus_bar", "X2", bonds_neutral=at_bus)
    b.add("load", "E1", ac_v=230, power_w=500)
    ac(b, "W1", "G9.out", "T1.primary")
    ac(b, "W2", "T1.secondary", "X2.bar")
    ac(b, "W3", "X2.bar", "E1.in")
    for book in ("metric", "trade-na", "us-46cfr"):
        assert found(b, book, *NEUTRALS) == []


@pytest.mark.parametrize(
    ("poles", "kind", "passes"),
    [(("L1", "N"), "circuit_breaker", True), (("L1",), "circuit_breaker", False), (("L1",), "fuse", False)],
)
def test_a_secondary_may_be_unearthed_where_everything_opens_both_poles(poles: Any, kind: str, passes: bool) -> None:
    """6.8 and 13.1.2: no fuses there."""
    b = Builder()
    b.add("shore_supply", "G9", ac_v=230, breaker_a=16, neutral_earthed=True)
    b.add("isolation_transformer", "T1", primary_v=230, secondary_v=230, bonds_neutral=False)
    b.add(kind, "F1", rating_a=16, **({"conductor": "L1"} if kind == "fuse" else {"poles": poles}))
    b.add("load", "E1", ac_v=230, power_w=500)
    ac(b, "W1", "G9.out", "T1.primary")
    ac(b, "W2", "T1.secondary", "F1.in")
    ac(b, "W3", "F1.out", "E1.in")
    assert found(b, "metric", "wrong-neutral-bond") == ([] if passes else [("danger", "wrong-neutral-bond", ("T1",))])
    # the North American text asks for the bond whatever opens
    assert found(b, "trade-na", "wrong-neutral-bond") == [("danger", "wrong-neutral-bond", ("T1",))]


@pytest.mark.parametrize("isolated", [False, True])
def test_a_generator_may_be_unearthed_only_where_the_shore_comes_by_a_transformer(isolated: bool) -> None:
    b = Builder()
    b.add("generator", "G2", ac_v=230, rating_a=20, bonds_neutral=False)
    b.add("circuit_breaker", "F1", rating_a=20, poles=("L1", "N"))
    b.add("load", "E1", ac_v=230, power_w=500)
    ac(b, "W1", "G2.out", "F1.in")
    ac(b, "W2", "F1.out", "E1.in")
    if isolated:
        b.add("shore_supply", "G9", ac_v=230, breaker_a=16, neutral_earthed=True)
        b.add("isolation_transformer", "T1", primary_v=230, secondary_v=230, bonds_neutral=True)
        b.add("load", "E2", ac_v=230, power_w=500)
        ac(b, "W3", "G9.out", "T1.primary")
        ac(b, "W4", "T1.secondary", "E2.in")
    expected = [] if isolated else [("danger", "wrong-neutral-bond", ("G2",))]
    assert found(b, "metric", "wrong-neutral-bond") == expected


# -- 46 CFR 183.376(a), 2015 edition: exactly one --------------------------------------------------------------
@pytest.mark.parametrize(
    ("generator", "panel", "says"),
    [
        (True, True, [("warning", "wrong-neutral-bond", ("G2", "X2"))]),
        (True, False, []),
        (False, True, []),
    ],
)
def test_generator_and_panel_have_one_connection_to_ground(generator: bool, panel: bool, says: Any) -> None:
    b = Builder()
    b.add("generator", "G2", ac_v=120, rating_a=30, bonds_neutral=generator)
    b.add("bus_bar", "X2", bonds_neutral=panel)
    b.add("load", "E1", ac_v=120, power_w=500)
    ac(b, "W1", "G2.out", "X2.bar")
    ac(b, "W2", "X2.bar", "E1.in")
    for book in ("us-46cfr", "trade-na"):
        assert found(b, book, *NEUTRALS) == says


# -- E-11 11.5.5.6 and 11.5.5.2, secondary copy ---------------------------------------------------------------------
def test_breakers_that_leave_the_neutral_are_told_once_beside_a_slide() -> None:
    """The lives never meet; the neutrals always do. The two bonds on it are the same fault."""
    b = on_one_bus(poles=("L1",))
    b.interlock("F1", "F2", name="slide")
    assert found(b, "trade-na", *NEUTRALS) == [("danger", "neutral-not-switched", ("G9", "G2"))]
    # a text that lets neutrals be joined asks for one connection to ground alone
    assert found(b, "us-46cfr", *NEUTRALS) == [("warning", "wrong-neutral-bond", ("G9", "G2"))]


def test_neutrals_of_two_inlets_are_never_joined() -> None:
    b = Builder()
    for name in ("X1", "X2"):
        b.add("shore_inlet", name, ac_v=120, neutral_earthed=True)
    b.add("changeover", "S1", poles=("L1",))
    b.add("load", "E1", ac_v=120, power_w=500)
    ac(b, "W1", "X1.out", "S1.one")
    ac(b, "W2", "X2.out", "S1.two")
    ac(b, "W3", "S1.common", "E1.in")
    assert found(b, "trade-na", *NEUTRALS) == [("danger", "neutral-not-switched", ("X1", "X2"))]
    b.set("S1", poles=("L1", "N"))
    assert found(b, "trade-na", *NEUTRALS) == []


def test_sources_aboard_on_one_grounding_bus_need_not_switch_the_neutral() -> None:
    """The exception: transformer, generator and inverter, their neutrals tied to one bus, bonded there once."""
    b = Builder()
    b.add("isolation_transformer", "T1", primary_v=120, secondary_v=120, bonds_neutral=False)
    b.add("generator", "G2", ac_v=120, rating_a=30, bonds_neutral=False)
    b.add("shore_inlet", "X1", ac_v=120, neutral_earthed=True)
    b.add("changeover", "S1", poles=("L1",))
    b.add("bus_bar", "X2", bonds_neutral=True)
    b.add("load", "E1", ac_v=120, power_w=500)
    ac(b, "W0", "X1.out", "T1.primary")
    ac(b, "W1", "T1.secondary", "S1.one")
    ac(b, "W2", "G2.out", "S1.two")
    ac(b, "W3", "S1.common", "X2.bar")
    ac(b, "W4", "X2.bar", "E1.in")
    assert found(b, "trade-na", *NEUTRALS) == []
    b.set("T1", bonds_neutral=True)
    b.set("G2", bonds_neutral=True)
    b.set("X2", bonds_neutral=None)
    assert found(b, "trade-na", *NEUTRALS) == [("danger", "neutral-not-switched", ("T1", "G2"))]


# -- E-11 11.10.2.6.1, 11.10.2.8.2; ISO 13297:2020 13.1.1, 13.1.2, 13.2, secondary copies; 46 CFR 183.380(b) ---------
def branch(poles: Any, kind: str = "circuit_breaker", shown: bool = False, **inlet: Any) -> Builder:
    b = Builder()
    b.add("shore_inlet", "X1", ac_v=120, **inlet)
    b.add("circuit_breaker", "F1", rating_a=30, poles=("L1", "N"))
    b.add("bus_bar", "X2")
    b.add(kind, "F2", rating_a=15, **({"conductor": poles[0]} if kind == "fuse" else {"poles": poles}))
    b.add("load", "E1", ac_v=120, power_w=500)
    for name, start, end in (
        ("W1", "X1.out", "F1.in"),
        ("W2", "F1.out", "X2.bar"),
        ("W3", "X2.bar", "F2.in"),
        ("W4", "F2.out", "E1.in"),
    ):
        ac(b, name, start, end)
    if shown:
        b.add("polarity_indicator", "P1", impedance_ohm=25000)
        ac(b, "W5", "X2.bar", "P1.sense")
    return b


@pytest.mark.parametrize(
    ("kind", "poles", "polarised", "shown", "fails_in"),
    [
        ("circuit_breaker", ("L1",), True, False, ()),  # whether it is told is another rule
        ("circuit_breaker", ("L1",), False, False, ("trade-na", "metric", "us-46cfr")),
        ("circuit_breaker", ("L1",), False, True, ("metric", "us-46cfr")),  # single pole with an indicator: E-11
        ("circuit_breaker", ("L1", "N"), False, False, ()),
        ("fuse", ("L1",), False, False, ("trade-na", "metric", "us-46cfr")),  # 13.1.2
        ("fuse", ("L1",), True, False, ()),
    ],
)
def test_branches_of_a_supply_that_is_not_polarised_open_both_poles(
    kind: str, poles: Any, polarised: bool, shown: bool, fails_in: tuple[str, ...]
) -> None:
    b = branch(poles, kind, shown, polarised=polarised)
    for book in ("trade-na", "metric", "us-46cfr"):
        expected = [("danger", "poles-open-apart", ("X1", "F2"))] if book in fails_in else []
        assert found(b, book, "poles-open-apart") == expected


@pytest.mark.parametrize("book", ["trade-na", "metric", "us-46cfr", "us-33cfr183"])
def test_a_grounded_conductor_is_not_opened_alone(book: str) -> None:
    """46 CFR 183.380(b): not unless all ungrounded conductors open with it."""
    assert found(branch(("N",), polarised=True), book, "poles-open-apart") == [("danger", "poles-open-apart", ("F2",))]
    assert found(branch(("L1", "N"), polarised=True), book, "poles-open-apart") == []


@pytest.mark.parametrize(("book", "fails"), [("trade-na", True), ("metric", True), ("us-46cfr", False)])
def test_the_shore_main_opens_both_conductors(book: str, fails: bool) -> None:
    b = branch(("L1", "N"), polarised=True)
    b.set("F1", poles=("L1",))
    expected = [("danger", "poles-open-apart", ("X1", "F1"))] if fails else []
    assert found(b, book, "poles-open-apart") == expected


@pytest.mark.parametrize(
    ("inside", "poles", "says"),
    [(None, None, "finding"), (20.0, 2, "nothing"), (20.0, 1, "finding"), (20.0, None, "not judged")],
)
def test_a_main_inside_a_generator_counts(inside: float | None, poles: int | None, says: str) -> None:
    """ISO 13297:2020 13.2, secondary copy: every supply has a breaker that opens both poles."""
    b = Builder()
    b.add("generator", "G2", ac_v=230, rating_a=20, bonds_neutral=True, breaker_a=inside, breaker_poles=poles)
    b.add("circuit_breaker", "F1", rating_a=20, poles=("L1",))
    b.add("load", "E1", ac_v=230, power_w=500)
    ac(b, "W1", "G2.out", "F1.in")
    ac(b, "W2", "F1.out", "E1.in")
    result = judged(b, "metric", "poles-open-apart")
    assert [f.designations for f in result.findings] == ([("G2", "F1")] if says == "finding" else [])
    assert [gap.missing for gap in result.not_judged] == ([("G2.breaker_poles",)] if says == "not judged" else [])


# -- 46 CFR 28.365 and 183.390: lives together; E-11 11.5.5.6: one open before the other closes ----------------------
def test_every_breaker_opens_all_ungrounded_conductors_together() -> None:
    b = Builder()
    b.add("generator", "G2", ac_v=120, phases="L1 L2", rating_a=30, bonds_neutral=True)
    b.add("circuit_breaker", "F1", rating_a=30, poles=("L1",))
    b.add("load", "E1", ac_v=240, phases="L1 L2", power_w=2000)
    ac(b, "W1", "G2.out", "F1.in", phases="L1 L2")
    ac(b, "W2", "F1.out", "E1.in", phases="L1 L2")
    assert found(b, "us-46cfr", "poles-open-apart") == [("danger", "poles-open-apart", ("F1",))]
    b.set("F1", poles=("L1", "L2"))
    assert found(b, "us-46cfr", "poles-open-apart") == []


def test_a_changeover_breaks_before_it_makes() -> None:
    b = Builder()
    b.add("shore_inlet", "X1", ac_v=120)
    b.add("generator", "G2", ac_v=120)
    b.add("changeover", "S1", poles=("L1", "N"), has_off=False, makes_before_breaks=True)
    b.add("load", "E1", ac_v=120)
    ac(b, "W1", "X1.out", "S1.one")
    ac(b, "W2", "G2.out", "S1.two")
    ac(b, "W3", "S1.common", "E1.in")
    both = ("make-before-break", "sources-meet")
    assert found(b, "trade-na", *both) == [("danger", "make-before-break", ("S1", "X1", "G2"))]
    b.set("S1", makes_before_breaks=False)
    assert found(b, "trade-na", *both) == []
