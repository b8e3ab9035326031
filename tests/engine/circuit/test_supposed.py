"""What the record leaves open altogether counts neither as there nor as absent: nothing is judged by it, and told so.

Filled in, each of these fields decides: one answer is a finding, the other a pass. Book of the tests: 1 A a mm2.
"""

from __future__ import annotations

from typing import Any

import pytest

from engine.builder import Builder
from engine.check import CheckResult, check
from engine.circuit.coverage import SLUGS


def _checked(b: Builder) -> CheckResult:
    return check(b.installation.snapshot(), only=SLUGS)


def _dc(b: Builder, name: str, start: str, end: str, amps: float, inches: float) -> None:
    b.run(name, start, end, function="dc positive", size=f"{amps:g} mm2", length_m=inches * 0.0254, sheath="bare")


def _array(method: str, blocks_reverse: bool | None) -> CheckResult:
    """An array lead good for 10 A, a 100 A fuse at the battery."""
    b = Builder(book="k1")
    b.add("battery_bank", "G1", unit_v=12.8, charge_v=14.4)
    b.add("fuse", "F1", rating_a=100)
    b.add(
        "solar_controller", "T1", dc_v=12, charge_a=10, self_limiting=True, method=method, blocks_reverse=blocks_reverse
    )
    b.add("solar_array", "G2", module_short_a=9, open_cold_v=22)
    _dc(b, "W1", "G1.pos", "F1.in", 120, 3)
    _dc(b, "W2", "F1.out", "T1.dc", 120, 100)
    _dc(b, "W3", "T1.pv", "G2.pos", 10, 100)
    return _checked(b)


@pytest.mark.parametrize("method", ["", "series", "shunt"])
def test_whether_a_controller_keeps_the_battery_out_of_the_array(method: str) -> None:
    assert _array(method, True).findings == ()
    assert _array(method, True).not_judged == ()
    assert [(f.rule, f.designations[0]) for f in _array(method, False).findings] == [("rating-above-ampacity", "W3")]
    unknown = _array(method, None)
    assert unknown.findings == ()
    assert {(g.rule, g.designations[0], g.missing) for g in unknown.not_judged} == {
        ("rating-above-ampacity", "W3", ("T1.blocks_reverse",))
    }
    assert unknown.fails()


def test_a_tracking_controller_keeps_it_out_unless_it_says_no() -> None:
    assert _array("tracking", None).summary() == _array("tracking", True).summary() == "0 open, 0 waived, 0 not judged"
    assert len(_array("tracking", False).findings) == 1


def _converter(fuse_near_it: bool, **facts: Any) -> CheckResult:
    """A converter 100 in from its 30 A fuse, on a lead good for 40 A."""
    b = Builder(book="k1")
    b.add("battery_bank", "G1", unit_v=12.8, charge_v=14.4)
    b.add("fuse", "F1", rating_a=30)
    b.add("dc_dc_converter", "T1", in_v=12, out_v=24, output_a=10, self_limiting=True, **facts)
    b.add("load", "E1", dc_v=24, current_a=1)
    _dc(b, "W1", "G1.pos", "F1.in", 40, 3)
    if fuse_near_it:
        b.add("fuse", "F2", rating_a=30)
        _dc(b, "W2", "F1.out", "F2.in", 40, 100)
        _dc(b, "W3", "F2.out", "T1.in", 40, 3)
    else:
        _dc(b, "W2", "F1.out", "T1.in", 40, 100)
    _dc(b, "W4", "T1.out", "E1.in", 40, 100)
    return _checked(b)


def test_whether_a_converter_works_back() -> None:
    assert _converter(False, bidirectional=False).summary() == "0 open, 0 waived, 0 not judged"
    assert [f.designations[0] for f in _converter(False, bidirectional=True, reverse_a=50).findings] == ["W2"]
    unknown = _converter(False)
    assert unknown.findings == ()
    assert {(g.designations[0], g.missing) for g in unknown.not_judged} == {("W2", ("T1.bidirectional",))}


def test_a_converter_that_may_work_back_is_no_matter_where_either_answer_passes() -> None:
    assert _converter(True).summary() == "0 open, 0 waived, 0 not judged"
    assert _converter(False, reverse_a=35).summary() == "0 open, 0 waived, 0 not judged"


def _adapter(feeds_both_legs: bool | None) -> CheckResult:
    """Shore on L1, an inverter on the L2 that leaves the adapter."""
    b = Builder(book="k1")
    ac: dict[str, Any] = {"function": "ac", "size": "60 mm2", "length_m": 1.0, "sheath": "sheathed"}
    b.add("shore_supply", "G1", ac_v=120, breaker_a=30)
    b.add("shore_adapter", "X1", rating_a=50, feeds_both_legs=feeds_both_legs)
    b.add("inverter", "T1", dc_v=12, ac_v=120, phases="L2", output_limit_a=20)
    b.add("load", "E1", ac_v=240, phases="L1 L2", power_w=1000)
    b.add("bus_bar", "X2")
    b.run("W1", "G1.out", "X1.in", phases="L1", **ac)
    b.run("W2", "X1.out", "X2.bar", phases="L1 L2", **ac)
    b.run("W3", "T1.ac_out", "X2.bar", phases="L2", **ac)
    b.run("W4", "X2.bar", "E1.in", phases="L1 L2", **ac)
    return check(b.installation.snapshot(), only=("sources-meet",))


def test_whether_an_adapter_puts_one_line_on_both_legs() -> None:
    assert _adapter(False).summary() == "0 open, 0 waived, 0 not judged"
    assert [f.rule for f in _adapter(True).findings] == ["sources-meet"]
    unknown = _adapter(None)
    assert unknown.findings == ()
    (gap,) = unknown.not_judged
    assert gap.missing == ("X1.feeds_both_legs",)
    assert "X1.feeds_both_legs" in gap.why


def test_what_several_equal_sources_give_adds_up() -> None:
    def charged(quantity: int) -> list[tuple[str, list[float]]]:
        b = Builder(book="k1")
        b.add("charger", "T1", quantity=quantity, dc_v=12, charge_a=40, self_limiting=True)
        b.add("battery_bank", "G1", unit_v=12.8)
        b.add("fuse", "F1", rating_a=50)
        _dc(b, "W1", "G1.pos", "F1.in", 60, 3)
        _dc(b, "W2", "F1.out", "T1.dc", 50, 100)
        return [(f.designations[0], [x.value for x in f.figures]) for f in _checked(b).findings]

    assert charged(1) == []
    assert charged(2) == [("W2", [80, 50, 50])]


def _marked_as_cranking(service: str, kind: str = "motor", onward: bool = False) -> CheckResult:
    """A run from the battery marked as part of a cranking circuit; a starter elsewhere on the same battery."""
    b = Builder(book="k1")
    b.add("battery_bank", "G1", unit_v=12.8)
    b.add(kind, "M1", dc_v=12, service=service)
    b.add("motor", "M2", dc_v=12, service="engine starter")
    b.add("battery_switch", "Q1")
    for name, start, end in (
        ("W1", "G1.pos", "Q1.in"),
        ("W2", "Q1.out", "M2.in"),
        ("W3", "Q1.out" if onward else "G1.pos", "M1.in"),
    ):
        b.run(name, start, end, function="dc positive", size="50 mm2", length_m=2.0, sheath="bare", exempt="cranking")
    return _checked(b)


def test_a_cranking_circuit_leads_to_a_cranking_motor() -> None:
    """33 CFR 183.455(e), 2015 edition: power supply conductors of cranking motor circuits."""
    for service in ("", "engine starter"):
        assert _marked_as_cranking(service).summary() == "0 open, 0 waived, 0 not judged"
    for service, kind, onward in (("lighting", "load", False), ("windlass", "motor", False), ("", "load", True)):
        result = _marked_as_cranking(service, kind, onward)
        assert result.findings == ()
        (gap,) = result.not_judged
        assert (gap.rule, gap.designations) == ("no-protection", ("W3",))
        assert "cranking motor" in gap.why
        assert result.fails()
