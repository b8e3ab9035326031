"""A charger of several outputs: each bank's lead is judged by itself, and the banks are not joined through it."""

from __future__ import annotations

from engine.builder import Builder
from engine.check import CheckResult, check
from engine.circuit.coverage import SLUGS
from engine.circuit.expand import expand


def _boat(second: str, fuse_a: float = 50, charge_a: float = 40) -> Builder:
    b = Builder(book="k1")
    b.add("charger", "T1", dc_v=12, charge_a=charge_a, self_limiting=True)
    for n, output in ((1, "dc"), (2, second)):
        b.add("battery_bank", f"G{n}", unit_v=12.8)
        b.add("fuse", f"F{n}", rating_a=fuse_a)
        for name, start, end, inches in (
            (f"W{n}", f"G{n}.pos", f"F{n}.in", 3),
            (f"W{n}1", f"F{n}.out", f"T1.{output}", 100),
        ):
            b.run(name, start, end, size="60 mm2", length_m=inches * 0.0254, sheath="bare")
    return b


def _checked(b: Builder) -> CheckResult:
    return check(b.installation.snapshot(), only=SLUGS)


def test_isolated_outputs_each_behind_its_own_fuse_are_in_order() -> None:
    for output in ("dc2", "dc3"):
        assert _checked(_boat(output)).summary() == "0 open, 0 waived, 0 not judged"


def test_two_banks_on_one_output_are_fed_by_each_other() -> None:
    assert {f.rule for f in _checked(_boat("dc")).findings} == {"rating-above-ampacity"}


def test_each_output_is_held_to_the_whole_of_what_the_charger_gives() -> None:
    found = _checked(_boat("dc2", charge_a=70)).findings
    assert {f.designations[0] for f in found} == {"W11", "W21"}


def test_only_the_negative_is_one() -> None:
    circuit = expand(_boat("dc2").installation.snapshot())
    charger = next(i for i, r in circuit.snapshot.equipment.items() if r.KIND == "charger")
    assert {link.conductor for link in circuit.links if link.equipment == charger} == {"-"}
