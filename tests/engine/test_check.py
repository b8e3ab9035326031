"""Selection, clauses, waivers, what was not judged, and what fails."""

from __future__ import annotations

import datetime
import logging
import weakref
from collections.abc import Iterator

import pytest

from engine.books import BookError, load
from engine.builder import Builder
from engine.check import UnknownRule, check
from engine.files.drawing import dump, read_bytes
from engine.findings import Figure, Finding, NotJudged
from engine.rules import rules
from engine.waivers import figure_text

TODAY = datetime.date(2026, 6, 1)


def fused(rated_dc_v: float | None = 32, unit_v: float = 12, series: int = 4, **vessel) -> Builder:
    """A bank of `unit_v` x `series` behind one fuse: 48 V on 32 V by default."""
    b = Builder(book="us-33cfr183", **vessel)
    b.add("battery_bank", "G1", unit_v=unit_v, series=series, charge_v=unit_v * series * 1.2)
    b.add("fuse", "F1", rating_a=100, rated_dc_v=rated_dc_v)
    b.add("load", "E1", dc_v=unit_v * series)
    b.run("W1", "G1.pos", "F1.in", size="2 AWG", length_m=0.1)
    b.run("W2", "F1.out", "E1.in", size="2 AWG", length_m=2)
    return b


def judged(b: Builder, *only: str, book: str | None = None, today: datetime.date = TODAY):
    return check(b.installation.snapshot(), book, only or ("rated-below-voltage",), today)


# -- clause and standing --------------------------------------------------------------------------------------------
def test_law_binds_a_petrol_boat_and_is_good_practice_on_a_diesel() -> None:
    for fuel, law in (("petrol", True), ("diesel", False), ("", None)):
        result = judged(fused(engine_fuel=fuel))
        (finding,) = result.findings
        assert (finding.clause, finding.confirmed) == ("33 CFR 183.455(d)", True)
        assert finding.law_here is law, fuel
        assert result.law is law


def test_a_rule_without_a_clause_runs_and_is_listed() -> None:
    b = fused()
    b.add("fuse", "F2", rating_a=10)
    result = judged(b, "unconnected", "rated-below-voltage")
    loose = next(f for f in result.findings if f.rule == "unconnected")
    assert (loose.clause, loose.confirmed, loose.law_here) == ("", False, False)
    assert result.no_clause == ("unconnected",)
    assert result.rules == ("rated-below-voltage", "unconnected")


def test_the_clause_for_fuses_is_not_cited_for_a_switch() -> None:
    """33 CFR 183.455(d), 2015 edition, speaks of fuses and circuit breakers."""
    b = Builder(book="us-33cfr183", engine_fuel="petrol")
    b.add("battery_bank", "G1", unit_v=48)
    b.add("battery_switch", "Q1", rated_dc_v=32)
    b.add("load", "E1", dc_v=48)
    b.run("W1", "G1.pos", "Q1.in", size="2 AWG", length_m=1)
    b.run("W2", "Q1.out", "E1.in", size="2 AWG", length_m=1)
    (finding,) = judged(b).findings
    assert finding.designations == ("Q1", "G1")
    assert (finding.clause, finding.confirmed, finding.law_here) == ("", False, False)


def test_the_drawings_own_book_unless_another_is_named() -> None:
    b = fused(rated_dc_v=24, series=2)  # nominal 24 V, charged at 28.8 V
    assert judged(b).book == "us-33cfr183"
    assert judged(b).findings == ()
    other = judged(b, book="trade-na")
    assert other.book == "trade-na"
    assert [f.designations for f in other.findings] == [("F1", "G1")]


def test_unknown_names_are_told_with_those_there_are() -> None:
    with pytest.raises(UnknownRule, match=r"there is no rule 'fuses'; there are: .*sources-meet"):
        judged(fused(), "fuses")
    with pytest.raises(BookError, match="there is no rule book 'lloyds'"):
        judged(fused(), book="lloyds")


def test_findings_are_ordered_by_word_rule_and_designation() -> None:
    b = fused()
    for name in ("F10", "F2"):
        b.add("fuse", name, rating_a=10)
    result = judged(b, "unconnected", "rated-below-voltage")
    assert [(f.word, f.designations[0]) for f in result.findings] == [
        ("danger", "F1"),
        ("caution", "F2"),
        ("caution", "F10"),
    ]
    assert result.counts() == {
        "danger": 1,
        "warning": 0,
        "caution": 2,
        "notice": 0,
        "waived": 0,
        "not_judged": 0,
    }
    assert result.summary() == "3 open, 0 waived, 0 not judged"


def test_order_of_drawing_does_not_matter() -> None:
    """The same installation entered in another order says the same."""

    def said(names: tuple[str, ...]):
        b = Builder()
        for name in names:
            b.add("fuse", name, rating_a=10)
        return [(f.rule, f.designations, f.message) for f in check(b.installation.snapshot(), today=TODAY).findings]

    assert said(("F1", "F2", "F3")) == said(("F3", "F1", "F2"))


# -- a book's own word ----------------------------------------------------------------------------------------------
def test_a_book_changes_the_ordinary_word_and_not_that_of_an_undecided_one(monkeypatch: pytest.MonkeyPatch) -> None:
    book = load("k1")
    entry = {**book.rules.get("unconnected", {}), "word": "warning"}
    monkeypatch.setitem(book.rules, "unconnected", entry)
    b = Builder(book="k1")
    b.add("fuse", "F1", rating_a=10)
    (finding,) = judged(b, "unconnected").findings
    assert finding.word == "warning"

    def undecided(study) -> Iterator[Finding]:
        yield Finding(
            rule="unconnected", word="caution", designations=(), ids=(), message="Not decided.", undecided=True
        )

    _replace(monkeypatch, "unconnected", undecided)
    (finding,) = judged(b, "unconnected").findings
    assert finding.word == "caution"


def _replace(monkeypatch: pytest.MonkeyPatch, slug: str, rule_check) -> None:
    monkeypatch.setitem(rules(), slug, rules()[slug]._replace(check=rule_check))


# -- failing --------------------------------------------------------------------------------------------------------
def test_fails_from_the_word_up() -> None:
    b = Builder()
    b.add("fuse", "F1", rating_a=10)
    result = judged(b, "unconnected")  # a caution
    assert not result.fails("danger")
    assert not result.fails()
    assert result.fails("caution")
    assert result.fails("notice")


def test_what_could_not_be_judged_fails_unless_allowed() -> None:
    result = judged(fused(rated_dc_v=None))
    assert result.findings == ()
    (gap,) = result.not_judged
    assert (gap.would_be, gap.missing) == ("danger", ("F1.rated_dc_v",))
    assert result.fails("danger")
    assert not result.fails("danger", allow_unknown=True)


def test_an_undecided_finding_counts_even_when_unknowns_are_allowed(monkeypatch: pytest.MonkeyPatch) -> None:
    def undecided(study) -> Iterator[Finding]:
        yield Finding(rule="unconnected", word="danger", designations=(), ids=(), message="?", undecided=True)

    _replace(monkeypatch, "unconnected", undecided)
    assert judged(fused(), "unconnected").fails("danger", allow_unknown=True)


def test_a_rule_that_stops_is_never_clean(monkeypatch: pytest.MonkeyPatch, caplog: pytest.LogCaptureFixture) -> None:
    def broken(study) -> Iterator[Finding]:
        yield Finding(rule="unconnected", word="caution", designations=("F9",), ids=("e9",), message="Before.")
        raise KeyError("F9")

    _replace(monkeypatch, "unconnected", broken)
    with caplog.at_level(logging.ERROR):
        result = judged(fused(), "unconnected", "rated-below-voltage")
    assert result.stopped == ("unconnected",)
    assert [f.designations for f in result.findings] == [("F1", "G1")]  # the others; what it had said is no judgement
    (gap,) = result.not_judged
    assert gap.rule == "unconnected"
    assert "KeyError" in gap.why
    assert result.fails("caution", allow_unknown=True)
    assert "unconnected" in caplog.text


def test_equipment_of_an_unknown_kind_blinds_every_rule_but_those_of_the_record() -> None:
    b = fused()
    text = dump(b.installation).decode().replace('"kind": "fuse"', '"kind": "fuse of tomorrow"')
    snapshot = read_bytes(text.encode(), "future.linewright").installation.snapshot()
    result = check(snapshot, only=["sources-meet", "rated-below-voltage", "unconnected"], today=TODAY)
    assert result.findings == ()
    assert [(g.rule, g.designations) for g in result.not_judged] == [
        ("rated-below-voltage", ("F1",)),
        ("sources-meet", ("F1",)),
    ]
    assert result.fails("danger")


# -- waivers --------------------------------------------------------------------------------------------------------
SIGNED = {"who": "A. Tern", "reason": "replaced at haul-out", "date": "2026-03-01", "review": "2026-10-31"}


def waived(*, designations=("G1", "F1"), **fields):
    b = fused()
    b.waive("rated-below-voltage", *designations, **{**SIGNED, **fields})
    return judged(b)


def test_a_signed_waiver_hides_a_danger_and_does_not_count() -> None:
    result = waived()  # the set of designations counts, not their order
    assert result.findings == ()
    (finding,) = result.waived
    assert result.waivers[finding.waived].who == "A. Tern"
    assert not result.fails("notice")
    assert result.summary() == "0 open, 1 waived, 0 not judged"


@pytest.mark.parametrize(
    ("fields", "why"),
    [
        ({"who": " "}, "names nobody who decided"),
        ({"review": ""}, "has no review date"),
        ({"review": "2026-05-31"}, "its review date 2026-05-31 has passed"),
        ({"review": "next spring"}, "its review date 'next spring' is not a date like 2026-03-31"),
        ({"figures": ("voltage=36 V",)}, "voltage=36 V was waived, voltage=48 V is found"),
        ({"figures": ("voltage=48 A",)}, "voltage=48 A was waived, voltage=48 V is found"),
        ({"figures": ("length=2 m",)}, "no longer has the figure length"),
        ({"figures": ("about 48 V",)}, "not of the form name=value unit"),
    ],
)
def test_a_waiver_that_does_not_hold_says_why(fields, why: str) -> None:
    result = waived(**fields)
    (finding,) = result.findings
    assert why in finding.waiver_note
    assert result.waived == ()
    assert result.fails("danger")


def test_a_waiver_holds_on_its_review_day_and_while_its_figures_are_the_same() -> None:
    assert waived(review="2026-06-01").findings == ()
    assert waived(figures=("voltage=48 V", "rated voltage=32 V")).findings == ()
    assert waived(figures=("voltage=48.0 V",)).findings == ()


def test_a_waiver_names_exactly_what_the_finding_names() -> None:
    assert len(waived(designations=("F1",)).findings) == 1
    assert len(waived(designations=("F1", "G1", "E1")).findings) == 1


def test_a_lesser_finding_needs_no_signature() -> None:
    b = Builder()
    b.add("fuse", "F1", rating_a=10)
    b.waive("unconnected", "F1", reason="kept for the windlass")
    result = judged(b, "unconnected", "needless-waiver")
    assert result.findings == ()
    assert len(result.waived) == 1


def test_a_valid_waiver_beside_a_lapsed_one_holds() -> None:
    b = fused()
    b.waive("rated-below-voltage", "F1", "G1", **{**SIGNED, "review": "2025-01-01"})
    b.waive("rated-below-voltage", "F1", "G1", **SIGNED)
    assert judged(b).findings == ()


def test_figures_are_written_down_as_they_are_read() -> None:
    assert figure_text(Figure("share", 0.8)) == "share=0.8"
    assert figure_text(Figure("limit", None, "A")) == "limit=without limit A"
    assert figure_text(Figure("through", 1234567.0, "A")) == "through=1.23457e+06 A"
    b = fused()
    finding = judged(b).findings[0]
    b.waive("rated-below-voltage", "F1", "G1", **SIGNED, figures=tuple(map(figure_text, finding.figures)))
    assert judged(b).findings == ()


def test_needless_waiver_keeps_still_where_a_rule_could_not_judge() -> None:
    b = fused(rated_dc_v=None)
    b.waive("rated-below-voltage", "F1", "G1", **SIGNED)
    result = judged(b, "rated-below-voltage", "needless-waiver")
    assert result.findings == ()
    assert [g.rule for g in result.not_judged] == ["rated-below-voltage"]


def test_not_judged_takes_the_books_word(monkeypatch: pytest.MonkeyPatch) -> None:
    book = load("us-33cfr183")
    monkeypatch.setitem(book.rules, "rated-below-voltage", {**book.rules["rated-below-voltage"], "word": "warning"})
    (gap,) = judged(fused(rated_dc_v=None)).not_judged
    assert isinstance(gap, NotJudged)
    assert gap.would_be == "warning"


def test_what_a_stopped_rule_held_is_let_go(monkeypatch: pytest.MonkeyPatch, caplog: pytest.LogCaptureFixture) -> None:
    class Held:
        """Something large."""

    held: list[weakref.ref[Held]] = []

    def greedy(study) -> Iterator[Finding]:
        large = Held()
        held.append(weakref.ref(large))
        raise MemoryError
        yield

    _replace(monkeypatch, "unconnected", greedy)
    result = judged(fused(), "unconnected")
    assert result.stopped == ("unconnected",)
    assert "MemoryError" in result.not_judged[0].why
    assert "in greedy" in caplog.text  # the log still says where
    assert held[0]() is None
