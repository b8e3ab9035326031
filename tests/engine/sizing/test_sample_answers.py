"""Sizing on the sample boats, looked at as an installer would."""

from __future__ import annotations

from pathlib import Path

import pytest

from engine.books import load as book
from engine.files.drawing import load
from engine.sizing import size, sizes
from engine.sizing.results import Answer
from engine.study import Study
from engine.units import area_mm2

SAMPLES = Path(__file__).parents[3] / "samples"


def study_of(name: str) -> Study:
    snapshot = load(SAMPLES / name / f"{name}.linewright").installation.snapshot()
    return Study(snapshot, book(snapshot.settings.book))


@pytest.fixture(scope="module")
def ketch() -> Study:
    return study_of("ketch")


def of(study: Study, designation: str) -> tuple[Answer, ...]:
    table = {**study.snapshot.equipment, **study.snapshot.runs}
    return size(study, next(item for item, record in table.items() if record.designation == designation))


def sane(study: Study) -> list[Answer]:
    """All answers, after looking at each: a few amperes never ask for a battery cable, and nothing is made thinner."""
    every = sizes(study)
    for answer in every:
        if answer.what != "conductor" or not answer.needs:
            continue
        assert answer.decided_by
        ampacity = next((r for r in answer.reasons if r.name == "ampacity"), None)
        # 18 and 16 AWG carry what a lamp, a pump or an instrument takes
        if ampacity is not None and answer.decided_by == "voltage drop" and ampacity.needs in ("18 AWG", "1 mm2"):
            assert area_mm2(answer.needs) <= 17, (answer.designation, answer.needs)
        for _field, value in answer.fields:
            assert not answer.has or area_mm2(str(value)) > area_mm2(answer.has)
    return list(every)


def test_the_launch() -> None:
    study = study_of("launch")
    every = sane(study)
    assert {a.what for a in every} == {"conductor", "protective device", "switch", "bus", "bank"}
    # the starter's cable is sized by what it loses while the engine starts
    assert of(study, "W1")[0].decided_by == "volts while starting"


def test_the_ketchs_windlass_cable(ketch: Study) -> None:
    """The old 6 AWG behind a fuse of 200 A: 1.5 x 120 A x 0.85 = 153 A; 4 AWG, 1.5 x 160 A x 0.85 = 204 A."""
    (cable,) = of(ketch, "W18")
    assert (cable.needs, cable.suffices, cable.decided_by) == ("4 AWG", False, "protective device")
    (fuse,) = of(ketch, "F5")
    assert fuse.suffices is False
    assert fuse.device_a is not None
    assert fuse.device_a <= 153
    (feed,) = of(ketch, "T1")
    assert feed.what == "inverter feed"
    assert feed.reasons[0].arithmetic == "3000 W / (0.92 × 21 V, at which it stops) = 155.3 A"


def test_a_size_nobody_could_read_is_proposed_in_the_drawings_series(ketch: Study) -> None:
    (found,) = of(ketch, "W122")
    assert found.needs.endswith("AWG")
    assert found.suffices is None


@pytest.mark.long
@pytest.mark.parametrize("name", ["ketch", "workboat"])
def test_the_larger_boats(name: str) -> None:
    sane(study_of(name))
