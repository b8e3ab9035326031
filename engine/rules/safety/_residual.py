"""Residual-current protection: which of it suits a book's milliamperes and milliseconds."""

from __future__ import annotations

from typing import NamedTuple

from engine.books import Limit
from engine.equipment.behaviour import Residual
from engine.findings import Figure
from engine.study import Study
from engine.units import number
from engine.words import _

__all__ = ["Suited", "asked", "passes_unsuited", "protections", "suited"]


class Suited(NamedTuple):
    """Whether a protection suits: yes, no or not known; then the fields that would tell."""

    suits: bool | None
    missing: tuple[str, ...] = ()
    words: str = ""  # "40 mA, 50 ms"
    figures: tuple[Figure, ...] = ()


def suited(told: Residual, name: str, most_ma: Limit | None, within_ms: Limit | None) -> Suited:
    """By its plate. A book without a figure does not ask for it."""
    asked = []
    if most_ma is not None:
        asked.append(("residual_ma", told.trips_ma, most_ma.value, "mA"))
    if within_ms is not None:
        asked.append(("residual_ms", told.within_ms, within_ms.value, "ms"))
    words = ", ".join(f"{number(value, 6)} {unit}" for _field, value, _most, unit in asked if value is not None)
    figures = tuple(Figure(field, value, unit) for field, value, _most, unit in asked if value is not None)
    if any(value is not None and value > most for _field, value, most, _unit in asked):
        return Suited(False, (), words, figures)
    missing = tuple(f"{name}.{field}" for field, value, _most, _unit in asked if value is None)
    return Suited(None if missing else True, missing, words, figures)


def protections(study: Study) -> dict[str, Residual]:
    """Equipment with residual-current protection of what is beyond it."""
    made = {}
    for item in study.circuit.joined:
        told = study.snapshot.equipment[item].residual()
        if told is not None and told.onward:
            made[item] = told
    return made


def passes_unsuited(study: Study, stops: set[str]) -> set[int]:
    """Numbers of the contacts of the protections named, which a walk must not pass."""
    return {number for number, link in enumerate(study.circuit.links) if link.equipment in stops}


def asked(most_ma: Limit | None, within_ms: Limit | None) -> str:
    """*30 mA or less within 100 ms*."""
    parts = []
    if most_ma is not None:
        parts.append(_("{ma} mA or less").format(ma=number(most_ma.value, 6)))
    if within_ms is not None:
        parts.append(_("within {ms} ms").format(ms=number(within_ms.value, 6)))
    return " ".join(parts)
