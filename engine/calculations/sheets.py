"""Every calculation of a boat, in the order of 46 CFR 110.25-1(a) and 177.202(b)(4)."""

from __future__ import annotations

from collections.abc import Callable

from engine.calculations.cables import cables, drops
from engine.calculations.devices import devices
from engine.calculations.faults import faults
from engine.calculations.judged import Judged
from engine.calculations.load import sources_and_banks
from engine.calculations.results import SECTIONS, VERDICTS, Calculation, Section
from engine.check import CheckResult
from engine.naming import natural
from engine.study import Study

__all__ = ["calculations", "worst_first"]


def calculations(
    study: Study,
    result: CheckResult,
    only: tuple[Section, ...] = SECTIONS,
    go_on: Callable[[], object] | None = None,
) -> tuple[Calculation, ...]:
    """The blocks of the sections asked for. Wants a proved study: `check(..., proving=True)`."""
    judged = Judged(study, result)
    made: list[Calculation] = []
    makers: dict[Section, tuple[Callable[[], tuple[Calculation, ...]], ...]] = {
        "load-analysis": (lambda: sources_and_banks(study, judged),),
        "short-circuit": (lambda: faults(study),),
        "devices": (lambda: devices(study, judged),),
        "cables": (lambda: cables(study, judged), lambda: drops(study, judged)),
    }
    for section in SECTIONS:
        for make in makers[section] if section in only else ():
            made += make()
            if go_on is not None:
                go_on()
    return tuple(made)


def worst_first(made: tuple[Calculation, ...]) -> tuple[Calculation, ...]:
    """What fails, then what could not be judged, then what is waived, then by margin."""

    def key(one: Calculation) -> tuple[int, float, int, tuple[tuple[int, str], ...], str]:
        margin = one.margin
        left = 1e9 if margin is None else margin
        return VERDICTS.index(one.verdict), left, SECTIONS.index(one.section), natural(one.designation), one.item

    return tuple(sorted(made, key=key))
