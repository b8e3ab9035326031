"""Typed phrases that place: what words and figures are understood as, and what is not guessed."""

from __future__ import annotations

from functools import cache
from typing import Any

import msgspec
import pytest

from engine.builder import Builder
from engine.edits import EditError, Put, apply
from engine.equipment import kinds
from engine.equipment.base import Breaking
from engine.installation import Snapshot
from engine.phrases import Proposal, place_phrases, record_with, template_phrases
from engine.record import field_specs


@cache
def boat(units: str = "metric") -> Snapshot:
    b = Builder(name="Dunlin")
    b.place("Engine room", "machinery", 50)
    b.add("battery_bank", "G1", unit_v=24)
    made = b.installation
    settings = msgspec.structs.replace(made.settings, units=units)
    apply(made, Put("settings", "settings", settings))
    return made.snapshot()


def first(text: str, units: str = "metric") -> Proposal:
    read = place_phrases(text, boat(units))
    assert read.proposals, (text, read.why)
    return read.proposals[0]


def values(proposal: Proposal) -> dict[str, Any]:
    return {g.field: g.value for g in proposal.given}


@pytest.mark.parametrize(
    ("text", "kind", "given"),
    [
        ("class t 300", "fuse", {"fuse_class": "class T", "rating_a": 300}),
        ("CLASS T 300 A", "fuse", {"fuse_class": "class T", "rating_a": 300}),
        ("fuse blade 7,5 a", "fuse", {"fuse_class": "blade ISO 8820-3", "rating_a": 7.5}),
        ("nh 0.25 kA", "fuse", {"fuse_class": "NH", "rating_a": 250}),
        ("mppt 30a", "solar_controller", {"method": "tracking", "charge_a": 30}),
        ("lfp 280ah 25.6v", "battery_bank", {"chemistry": "LFP", "unit_ah": 280, "unit_v": 25.6}),
        ("lfp 280ah 25,6v", "battery_bank", {"chemistry": "LFP", "unit_ah": 280, "unit_v": 25.6}),
        ("2s4p agm 100 ah", "battery_bank", {"series": 2, "parallel": 4, "chemistry": "AGM", "unit_ah": 100}),
        ("4x battery", "battery_bank", {"parallel": 4}),
        ("bus 600a positive", "bus_bar", {"rating_a": 600, "purpose": "positive"}),
        ("windlass 1500 w", "motor", {"service": "windlass", "power_w": 1500}),
        ("bilge pump 12 v 3.6 a", "motor", {"service": "bilge pump", "dc_v": 12, "running_a": 3.6}),
        ("C16 breaker", "circuit_breaker", {"curve": "C", "rating_a": 16}),
        ("rcd 30 ma type a 16a", "residual_current_device",
         {"residual_ma": 30, "residual_type": "A", "rating_a": 16}),
        ("inverter 24v 230v 2 kw", "inverter", {"dc_v": 24, "ac_v": 230, "power_w": 2000}),
        ("inverter peak 6 kw 3000 w", "inverter", {"peak_w": 6000, "power_w": 3000}),
        ("dc-dc 24 v to 12 v 30 a", "dc_dc_converter", {"in_v": 24, "out_v": 12, "output_a": 30}),
        ("dc-dc 24/12v", "dc_dc_converter", {"in_v": 24, "out_v": 12}),
        ("shore inlet 30 a 120 v 60 hz", "shore_inlet", {"rating_a": 30, "ac_v": 120, "frequency_hz": 60}),
        ("battery switch 225 a 600 a cranking", "battery_switch", {"continuous_a": 225, "cranking_a": 600}),
        ("generator 5 kva 230 v diesel", "generator", {"power_va": 5000, "ac_v": 230, "fuel": "diesel"}),
        ("solar 100 w", "solar_array", {"module_w": 100}),
        ("engine 3200 rpm cruise diesel", "engine", {"cruise_rpm": 3200, "fuel": "diesel"}),
        ("f 300", "fuse", {"rating_a": 300}),
        ("3x load 2 a", "load", {"quantity": 3, "current_a": 2}),
        ("alternator 55 a not self limiting", "alternator", {"rating_a": 55, "self_limiting": False}),
        ('fuse 10a "Cabin lights" new', "fuse", {"rating_a": 10, "label": "Cabin lights", "status": "new"}),
        ("fuse 10 a part_number=INV-7", "fuse", {"rating_a": 10, "part_number": "INV-7"}),
    ],
)  # fmt: skip
def test_words_and_figures_are_understood(text: str, kind: str, given: dict[str, Any]) -> None:
    proposal = first(text)
    assert proposal.kind == kind
    assert values(proposal) == given


def figures_of(cls: Any) -> list[Any]:
    return [s for s in field_specs(cls) if s.shape == "number" and s.fact.unit not in ("", "%")]


def check_named(kind: str, cls: Any, spec: Any) -> None:
    """ "NAME FIELD VALUE UNIT" gives that field that value."""
    low, high, above = spec.fact.low, spec.fact.high, spec.fact.above
    value = 7 if (high is None or high >= 7) else (high if above is None or high > above else low)
    read = place_phrases(f"{cls.NAME} {spec.name.replace('_', ' ')} {value} {spec.fact.unit}", boat())
    ours = [values(p) for p in read.proposals if p.kind == kind]
    assert {spec.name: value} in ours, (kind, spec.name, read.why, ours)


def test_every_kind_is_placed_by_its_name_and_a_figure_by_the_name_of_its_field() -> None:
    for kind, cls in kinds().items():
        assert kind in [p.kind for p in place_phrases(cls.NAME, boat()).proposals], kind
        check_named(kind, cls, figures_of(cls)[0])


@pytest.mark.long
def test_every_figure_of_every_kind_is_taken_by_the_name_of_its_field() -> None:
    for kind, cls in kinds().items():
        for spec in figures_of(cls):
            check_named(kind, cls, spec)


def test_a_figure_that_fits_two_fields_is_two_proposals() -> None:
    found = [values(p) for p in place_phrases("dc-dc 12 v", boat()).proposals if p.kind == "dc_dc_converter"]
    assert {"in_v": 12} in found
    assert {"out_v": 12} in found
    found = [values(p) for p in place_phrases("4x agm", boat()).proposals]
    assert found[:2] == [{"parallel": 4, "chemistry": "AGM"}, {"series": 4, "chemistry": "AGM"}]
    found = [values(p) for p in place_phrases("load 12", boat()).proposals if p.kind == "load"]
    assert {"current_a": 12} in found
    assert {"dc_v": 12} in found
    assert {"power_w": 12} in found


def test_what_a_breaker_breaks_is_asked_at_the_voltages_of_the_drawing() -> None:
    proposal = first("breaker 2p 32a 5ka")
    assert values(proposal) == {"poles": ("+", "-"), "rating_a": 32, "breaking": (Breaking(amps=5000, volts=24),)}
    said = values(first("breaker 2p 32a 5ka at 230 v ac"))
    assert said["breaking"] == (Breaking(amps=5000, volts=230, kind="AC"),)
    assert said["poles"] == ("L1", "N")
    several = values(first("fuse class t 10 ka at 125 v dc 20 ka at 58 v dc"))["breaking"]
    assert [(b.amps, b.volts) for b in several] == [(10_000, 125), (20_000, 58)]


@pytest.mark.parametrize(
    ("text", "why"),
    [
        ("fuse nonsense", "“nonsense” is not understood for Fuse."),
        ("fuse 30 ah", "“30 ah” is not understood for Fuse."),
        ("fuse 10 a 20 a 30 a 40 a", "is not understood for Fuse."),
        ("fuse 1,200 a", "'1,200' can be read as 1200 or as 1.200: write it without the comma."),
        ("fuse 0 a", "Rated current of the link: expected more than 0 A"),
        ("fuse place=Moon", "Where it stands: nothing here is called 'Moon'."),
        ("fuse ~guessed", "“~guessed” is not understood for Fuse."),
    ],
)
def test_what_is_not_understood_is_told_and_nothing_is_proposed(text: str, why: str) -> None:
    read = place_phrases(text, boat())
    assert read.proposals == ()
    assert why in read.why
    assert read.why.endswith((".", "empty."))


ODD = (
    *("", "   ", "300 a", "§%&", '"', "“”", "=", "~", ";;", 'fuse "', "a" * 500, "<b>&=1+1", "🙂", "مصهر 300"),
    *("1/0/0", "9" * 400, "fuse 1e999 a", "x4", "0x fuse", "fuse -5 a"),
)


@pytest.mark.parametrize("text", ODD)
def test_odd_texts_propose_nothing_that_could_not_be_placed(text: str) -> None:
    for proposal in place_phrases(text, boat()).proposals:
        record_with(proposal.kind, proposal.given, "typed", boat())


def test_half_typed_words_offer_what_they_may_become() -> None:
    told = [p.told for p in place_phrases("fuse cla", boat()).proposals]
    assert "Fuse, class T" in told
    assert "Fuse, class J" in told
    assert place_phrases("fuse cla ", boat()).proposals == ()  # the word is finished: it is none


def test_a_place_of_the_drawing_is_understood() -> None:
    (place,) = boat().tables["places"]
    assert values(first("fuse 10 a in engine room")) == {"rating_a": 10, "place": place}
    assert values(first("fuse 10 a Engine room")) == {"rating_a": 10, "place": place}


def test_it_is_told_what_will_be_placed() -> None:
    assert first("class t 300").told == "Fuse, class T, 300 A"
    assert first("lfp 280ah 25.6v").told == "Battery bank, LFP, 280 Ah, 25.6 V"
    assert first("battery switch 225 a 600 a cranking").told == "Battery switch, 225 A, cranking rating: 600 A"
    assert first("fuse 10a ~nameplate").told == "Fuse, 10 A (nameplate)"


def test_values_carry_where_they_come_from() -> None:
    record = record_with("fuse", first("class t 300 ~nameplate place=“Engine room”").given, "typed", boat())
    assert record.origin("rating_a") == "nameplate"
    assert record.origin("fuse_class") == "typed"
    assert record.origin("place") is None  # nobody measures where it stands
    with pytest.raises(EditError, match="G1 is there already"):
        record_with("battery_bank", first("battery G1").given, "typed", boat())


def test_templates_are_found_by_their_words() -> None:
    assert "solar" in [name for name, _title, _purpose in template_phrases("solar")]
    assert template_phrases("solar nonsense") == []
    assert template_phrases("") == []


def test_a_unit_that_fits_no_field_is_not_swallowed() -> None:
    for text in ("fuse 10 in", "fuse 30 h", "breaker 2p 32a 5k"):
        assert place_phrases(text, boat()).proposals == (), text
    told = "There is no place and no panel that “chain locker” could mean."
    assert place_phrases("fuse 10 a in the chain locker", boat()).why == told


def test_what_is_proposed_can_be_placed() -> None:
    """A current beyond all use was offered and could not be done."""
    assert place_phrases("nh 1000000000000000.25 kA", boat()).proposals == ()
    assert values(first("nh 120 kA at 12 v"))["breaking"][0].amps == 120_000


def test_what_is_not_understood_is_told_in_letters_that_show() -> None:
    told = place_phrases("class t \x7f300\x1b[2J", boat()).why
    assert told
    assert told.isprintable()
