"""Deficiencies: numbers given once, the basis never told as a breach of what is younger than the vessel, closing."""

from __future__ import annotations

import msgspec
import pytest
from hypothesis import given
from hypothesis import strategies as st

from engine.builder import Builder
from engine.check import check
from engine.deficiencies import (
    BASES,
    Lacking,
    change,
    close,
    from_finding,
    grade_words,
    in_order,
    is_breach,
    mark,
    next_number,
    not_agreed,
    proposals,
    read_typed,
    reopen,
    standing_words,
    told_at,
)
from engine.edits import Edit, Put, apply
from engine.installation import Deficiency, Installation, Survey, Vessel

YEARS = st.one_of(st.none(), st.integers(1800, 2199))
WORDS = st.sampled_from(("", "ISO 13297:2020", "IEC 60092-507:2014", "the lug is burnt", "E-11 (2021)", "as in 1990"))


def do(i: Installation, edit: Edit) -> None:
    apply(i, edit)


def marked(i: Installation, **fields: object) -> str:
    item = i.new_id("deficiencies")
    do(i, mark(i.snapshot(), item, Deficiency(**{"observation": "burnt lug", **fields})))  # type: ignore[arg-type]
    return item


# -- numbers ---------------------------------------------------------------------------------------------------------
def test_numbers_go_up_and_a_closed_one_keeps_its_own() -> None:
    i = Installation()
    first, second = marked(i), marked(i)
    do(i, close(i.snapshot(), second, closed_by="R. Tern", closed="2026-05-02", evidence="new lug"))
    third = marked(i)
    of = i.snapshot().deficiencies
    assert [of[x].number for x in (first, second, third)] == [1, 2, 3]
    with pytest.raises(Lacking, match="Number 1 was given"):
        change(i.snapshot(), first, number=9)


def test_one_without_a_number_gets_the_next_with_its_first_change() -> None:
    i = Installation()
    marked(i)
    do(i, Put("deficiencies", "d70", Deficiency(observation="by another program")))
    do(i, change(i.snapshot(), "d70", risk="fire"))
    assert i.snapshot().deficiencies["d70"].number == 2


def test_class_first_then_number_and_of_one_survey_only() -> None:
    i = Installation()
    c, a2, none, a3 = marked(i, grade="C"), marked(i, grade="A"), marked(i), marked(i, grade="A")
    assert [item for item, _d in in_order(i.snapshot())] == [a2, a3, c, none]
    assert in_order(i.snapshot(), "y99") == []
    assert next_number(i.snapshot()) == 5


# -- the basis -------------------------------------------------------------------------------------------------------
@given(st.sampled_from(sorted(BASES)), YEARS, YEARS, WORDS, WORDS, WORDS)
def test_nothing_younger_than_the_vessel_is_told_as_a_breach(
    basis: str, edition: int | None, built: int | None, standard: str, clause: str, seen: str
) -> None:
    told_years = {"ISO 13297:2020": 2020, "IEC 60092-507:2014": 2014, "E-11 (2021)": 2021, "as in 1990": 1990}
    d = Deficiency(basis=basis, standard=standard, standard_year=edition, clause=clause, observation=seen)  # type: ignore[arg-type]
    words = standing_words(d, Vessel(build_year=built))
    years = [y for y in (edition, told_years.get(standard), told_years.get(clause)) if y is not None]
    breach = "is not met" in words
    assert breach == is_breach(d, Vessel(build_year=built))
    if built is None or not years or max(years) > built or basis not in ("law that binds her", "standard when built"):
        assert not breach
    if basis in ("law that binds her", "standard when built", "standard today") and not breach:
        assert "ecommended" in words
        assert (built is None) == ("year she was built is not recorded" in words)
    named = told_years.get(seen)
    if named is not None and "as in" not in seen:
        assert ("named here" in words) == (built is None or named > built)


@pytest.mark.parametrize(
    ("basis", "year", "built", "told"),
    [
        ("standard when built", 1980, 1987, "It was in force when she was built (1987) and is not met."),
        ("standard when built", 1987, 1987, "It was in force when she was built (1987) and is not met."),
        ("standard when built", 1988, 1987, "This edition would not be asked of a vessel built 1987; recommended."),
        ("standard today", 1980, 1987, "Recommended."),
        ("law that binds her", 2015, 1987, "whether it is asked of her, the law itself must say: recommended."),
        ("law that binds her", None, 1987, "The year of the edition is not recorded"),
        ("law that binds her", 1980, None, "The year she was built is not recorded"),
    ],
)
def test_the_years_decide(basis: str, year: int | None, built: int | None, told: str) -> None:
    d = Deficiency(basis=basis, standard="ISO 10133", standard_year=year, clause="8.2")  # type: ignore[arg-type]
    words = standing_words(d, Vessel(build_year=built))
    assert told in words
    assert "8.2" in words
    assert year is None or str(year) in words


def test_a_year_in_the_name_of_the_standard_counts() -> None:
    d = Deficiency(basis="standard when built", standard="ISO 13297:2020")
    assert not is_breach(d, Vessel(build_year=2012))
    assert is_breach(d, Vessel(build_year=2021))


# -- classes -----------------------------------------------------------------------------------------------------------
def test_the_wording_of_a_class_is_the_surveys_where_it_has_one() -> None:
    own = Survey(grade_a="stop and repair")
    assert grade_words(own, "A") == "stop and repair"
    assert grade_words(own, "B") == grade_words(None, "B") == "to be put right soon"
    assert grade_words(None, "") == ""


# -- closing -----------------------------------------------------------------------------------------------------------
@pytest.mark.parametrize(
    ("given", "field"),
    [
        ({"closed_by": "R. Tern", "closed": "2026-05-02"}, "evidence"),
        ({"closed_by": " ", "closed": "2026-05-02", "evidence": "new lug"}, "closed_by"),
        ({"closed_by": "R. Tern", "closed": "", "evidence": "new lug"}, "closed"),
        ({"closed_by": "R. Tern", "closed": "yesterday", "evidence": "new lug"}, "closed"),
    ],
)
def test_closing_without_evidence_who_and_day_is_refused(given: dict[str, str], field: str) -> None:
    i = Installation()
    item = marked(i)
    with pytest.raises(Lacking) as refused:
        close(i.snapshot(), item, **given)
    assert refused.value.field == field
    with pytest.raises(Lacking):
        change(i.snapshot(), item, status="closed", **given)


def test_closed_opened_again_and_not_agreed_with_the_answer() -> None:
    i = Installation()
    item = marked(i)
    do(i, close(i.snapshot(), item, closed_by="R. Tern", closed="2026-05-02", evidence="new lug"))
    assert i.snapshot().deficiencies[item].status == "closed"
    do(i, reopen(i.snapshot(), item))
    assert i.snapshot().deficiencies[item].evidence == "new lug"
    with pytest.raises(Lacking, match="answer"):
        not_agreed(i.snapshot(), item, " ")
    do(i, not_agreed(i.snapshot(), item, "She is sold."))
    assert i.snapshot().deficiencies[item].answer == "She is sold."


# -- typed -------------------------------------------------------------------------------------------------------------
def test_a_line_says_all_of_it() -> None:
    assert read_typed("a burnt lug; fire; renew lug and torque")[:5] == (
        "A", "burnt lug", "fire", "renew lug and torque", "",
    )  # fmt: skip
    assert read_typed("Burnt lug")[:2] == ("", "Burnt lug")
    assert read_typed("B: chafe;; sleeve it; 2026-06-01")[:5] == ("B", "chafe", "", "sleeve it", "2026-06-01")
    assert read_typed("about to fail").grade == ""
    assert "written like" in read_typed("b x; y; z; soon").why
    assert read_typed("a").why == read_typed("  ").why == "What was seen is needed."
    assert "5 parts" in read_typed("x; y; z; 2026-01-01; more").why


@given(st.text())
def test_whatever_is_typed_is_read_or_refused_with_a_sentence(text: str) -> None:
    read = read_typed(text)
    assert bool(read.why) != bool(read.observation and not read.why)
    assert ";" not in read.observation


# -- earlier wordings --------------------------------------------------------------------------------------------------
def test_earlier_words_at_the_same_kind_come_first() -> None:
    b = Builder()
    b.add("fuse", "F1", rating_a=10)
    b.add("fuse", "F2", rating_a=10)
    b.add("load", "E1", dc_v=12)
    i = b.installation
    f1, f2, e1 = (i.find(x)[0][1] for x in ("F1", "F2", "E1"))
    marked(i, at=e1, observation="loose screw", grade="C")
    marked(i, at=e1, observation="loose screw", grade="C")
    marked(i, at=f1, observation="burnt holder", risk="fire", recommendation="renew", grade="B")
    marked(i, at=f1, observation="rating too high for W3", rule="rating-above-ampacity")
    told = proposals(i.snapshot(), f2)
    assert [p.line for p in told] == ["b burnt holder; fire; renew", "c loose screw"]
    assert told[1].times == 2
    assert [p.observation for p in proposals(i.snapshot(), f2, "screw")] == ["loose screw"]
    assert read_typed(told[0].line).recommendation == "renew"


# -- from a finding ----------------------------------------------------------------------------------------------------
def small_boat() -> Builder:
    b = Builder(name="Dunlin")
    b.add("battery_bank", "G1", unit_v=12, charge_v=14.4)
    b.add("fuse", "F1", rating_a=200, rated_dc_v=32)
    b.add("load", "E1", dc_v=12, power_w=10)
    b.run("W1", "G1.pos", "F1.in", length_m=0.1, size="14 AWG", insulation_c=105, bundle=1)
    b.run("W2", "F1.out", "E1.in", length_m=2, size="14 AWG", insulation_c=105, bundle=1)
    return b


def test_a_finding_keeps_its_figures_arithmetic_clause_and_standing() -> None:
    i = small_boat().installation
    snapshot = i.snapshot()
    result = check(snapshot, "trade-na")
    finding = next(f for f in result.findings if f.rule == "rating-above-ampacity" and f.figures)
    d = from_finding(snapshot, result, finding, who="R. Tern", date="2026-05-01")
    assert d.grade == {"danger": "A", "warning": "B", "caution": "C", "notice": "C"}[finding.word]
    assert d.at == finding.ids[0]
    assert d.basis == "good practice"
    assert (d.rule, d.clause, d.arithmetic) == (finding.rule, finding.clause, finding.arithmetic)
    assert len(d.figures) == len(finding.figures)
    assert finding.message in d.observation
    assert d.recommendation == "; ".join(finding.fixes)
    assert "not met" not in standing_words(d, snapshot.vessel)


@pytest.mark.parametrize(("built", "breach"), [(None, False), (1987, False), (2015, True), (2024, True)])
def test_a_finding_by_law_is_a_breach_only_where_the_edition_is_no_younger(built: int | None, breach: bool) -> None:
    b = small_boat()
    vessel = msgspec.structs.replace(b.installation.vessel, engine_fuel="petrol", build_year=built)
    do(b.installation, Put("vessel", "vessel", vessel))
    snapshot = b.installation.snapshot()
    result = check(snapshot, "us-33cfr183")
    finding = next(f for f in result.findings if f.law_here)
    d = from_finding(snapshot, result, finding)
    assert d.basis == "law that binds her"
    assert d.standard_year == 2015  # edition of the book as it says itself
    assert is_breach(d, snapshot.vessel) is breach
    assert told_at(snapshot, d).startswith(snapshot.name(d.at))
