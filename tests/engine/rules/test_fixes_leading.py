"""Edits that lead conductors: what of the drawing they change, and what not."""

from __future__ import annotations

import pytest

from engine.books import load
from engine.edits import apply
from engine.findings import Finding
from engine.fixes import Fix, offered
from engine.installation import Installation
from engine.rules import rules
from engine.study import Study


def _first(slug: str, number: int = 0) -> tuple[Installation, tuple[Fix, ...]]:
    rule = rules()[slug]
    installation = rule.bad[number].build()
    study = Study(installation.snapshot(), load(rule.bad[number].book))
    finding = next(r for r in rule.check(study) if isinstance(r, Finding))
    return installation, offered(study, finding)


def _runs(installation: Installation) -> dict[str, tuple[str, str]]:
    names = {item: record.designation for item, record in installation.equipment.items()}
    return {
        run.designation: (names[run.from_end.equipment], names[run.to_end.equipment])
        for run in installation.runs.values()
    }


def test_a_negative_on_the_hull_is_led_to_the_negative_bus() -> None:
    installation, (fix,) = _first("hull-carries-current")
    assert fix.text == "lead the negative of M1, W5, to X1"
    apply(installation, fix.edit)
    assert _runs(installation)["W5"] == ("M1", "X1")
    run = next(r for r in installation.runs.values() if r.designation == "W5")
    assert (run.length_m, run.status) == (None, "new")  # how long it is now nobody has measured


def test_an_earth_is_led_along_up_to_where_there_is_one_and_no_farther() -> None:
    installation, (fix,) = _first("no-protective-earth")
    apply(installation, fix.edit)
    changed = {run.designation for run in installation.runs.values() if run.status == "new"}
    assert changed == {"WE11", "WE12"}
    assert all(run.earth for run in installation.runs.values() if run.designation in changed)


def test_a_breaker_that_opens_the_earth_is_one_that_does_not() -> None:
    installation, (fix,) = _first("earth-interrupted", 1)
    assert fix.text == "fit FE1 as one that leaves the earth whole"
    apply(installation, fix.edit)
    breaker = next(r for r in installation.equipment.values() if r.designation == "FE1")
    assert breaker.poles == ("L1", "N")


def test_earths_are_joined_by_a_new_conductor() -> None:
    installation, (fix,) = _first("earths-apart", 1)
    before = _runs(installation)
    apply(installation, fix.edit)
    (added,) = set(_runs(installation).items()) - set(before.items())
    assert added[1] == ("X1", "M1")


def test_a_main_is_brought_nearer_and_its_cables_are_as_long_together() -> None:
    installation, (moved, beside) = _first("shore-main-far")
    total = sum(run.length_m or 0.0 for run in installation.runs.values())
    back = apply(installation, moved.edit)
    assert sum(run.length_m or 0.0 for run in installation.runs.values()) == pytest.approx(total)
    # E-11, secondary copy: 10 ft
    assert next(r.length_m for r in installation.runs.values() if r.designation == "W1") == pytest.approx(3.048)
    apply(installation, back)
    apply(installation, beside.edit)
    assert _runs(installation)["W1"][1] == "Q1"
    assert ("X1", "F1") in _runs(installation).values()


def test_residual_current_protection_is_put_in_where_the_power_comes_aboard() -> None:
    installation, (instead, beside) = _first("no-residual-current")
    assert instead.text == "fit Q1 as one of 30 mA, 100 ms"
    apply(installation, beside.edit)
    new = next(r for r in installation.equipment.values() if r.KIND == "residual_current_device" and r.status == "new")
    assert (new.poles, new.residual_ma, new.residual_ms) == (("L1", "N"), 30.0, 100.0)
