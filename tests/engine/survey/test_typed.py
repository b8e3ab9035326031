"""Readings as they are typed aboard: any text gives a reading or one sentence; what is shown is read again."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from engine.installation.surveying import Reading
from engine.survey.results import FIELDS, UNIT_OF
from engine.survey.typed import read_reading
from engine.units import UnitError, show


@pytest.mark.parametrize(
    ("text", "values"),
    [
        ("12.3 V", {"volts": 12.3}),
        ("12,3 V", {"volts": 12.3}),
        ("850 mA", {"current_a": 0.85}),
        ("2 MΩ at 500 V", {"insulation_ohm": 2e6, "test_v": 500.0}),
        ("2 Mohm, 500 V", {"insulation_ohm": 2e6, "test_v": 500.0}),
        ("40 ms @ 30 mA", {"trip_s": 0.04, "test_a": 0.03}),
        ("58 °C, 20 A, 25 °C", {"temperature_c": 58.0, "current_a": 20.0, "ambient_c": 25.0}),
        ("23.4 V, 3 A", {"volts": 23.4, "current_a": 3.0}),
    ],
)
def test_a_line_is_a_reading(text: str, values: dict[str, float]) -> None:
    assert dict(read_reading(text).values) == pytest.approx(values)


def test_pound_inches_are_torque() -> None:
    # 1 lbf·in = 0.112 984 829 N·m (NIST SP 811, appendix B.8)
    assert dict(read_reading("106 lb in").values)["torque_nm"] == pytest.approx(106 * 0.112984829, rel=1e-8)


def test_more_than_the_instrument_shows_is_noted() -> None:
    typed = read_reading(">200 MΩ at 500 V")
    made = typed.onto(Reading(note="wet day"))
    assert (made.insulation_ohm, made.test_v, made.note) == (2e8, 500.0, "wet day more than the instrument shows")


@pytest.mark.parametrize(
    ("text", "sentence"),
    [
        ("", "expected a value with its unit"),
        ("12", "expected a value with its unit"),
        ("12 V at 3 s", "says nothing beside what was measured"),
        ("12 V, 13 V", "says nothing beside what was measured"),
        ("> 12 V", "only an insulation resistance"),
        ("-3 V", "0 V or more"),
        ("2000 °C", "1000 degC or less"),
    ],
)
def test_what_is_no_reading_is_told_in_a_sentence(text: str, sentence: str) -> None:
    with pytest.raises(UnitError, match=sentence):
        read_reading(text)


@given(st.text(max_size=60) | st.text("0123456789.,- VAΩsmMk°C@;>at", max_size=40))
def test_nothing_else_is_ever_raised(text: str) -> None:
    try:
        typed = read_reading(text)
    except UnitError:
        return
    assert typed.values
    typed.onto(Reading())


@given(st.sampled_from(sorted(FIELDS)), st.integers(1, 999))
def test_what_is_shown_is_read_again(quantity: str, value: int) -> None:
    shown = show(float(value), UNIT_OF[quantity])  # type: ignore[index]
    assert dict(read_reading(shown).values) == {FIELDS[quantity]: pytest.approx(value)}  # type: ignore[index]
