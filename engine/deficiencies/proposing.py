"""Wordings to begin with: from earlier deficiencies of this drawing at the same kind of thing. Nothing is made up."""

from __future__ import annotations

from typing import NamedTuple

from engine.installation import Snapshot
from engine.installation.surveying import Basis, Deficiency, Grade

__all__ = ["Proposed", "proposals"]


class Proposed(NamedTuple):
    """Words that were used before, how often, and in which deficiency last."""

    grade: Grade
    observation: str
    risk: str
    recommendation: str
    basis: Basis
    standard: str
    standard_year: int | None
    clause: str
    times: int
    number: int | None

    @property
    def line(self) -> str:
        """As it is typed."""
        parts = [self.observation, self.risk, self.recommendation]
        while len(parts) > 1 and not parts[-1]:
            parts.pop()
        return f"{self.grade.lower()} {'; '.join(parts)}".strip()


def proposals(snapshot: Snapshot, at: str, begun: str = "", but: str = "") -> tuple[Proposed, ...]:
    """Earlier wordings, those at the same kind of thing first, then those used most often, then the newest.

    `begun`: only those whose observation holds these words. `but`: id of a deficiency that is left out. What was made
    from a finding is left out: its words speak of figures of one thing.
    """
    kind = _kind(snapshot, at)
    wanted = begun.casefold().split()
    met: dict[tuple[str, ...], list[Deficiency]] = {}
    for item, each in snapshot.deficiencies.items():
        if item == but or each.rule or not each.observation.strip() or ";" in each.observation:
            continue
        if all(word in each.observation.casefold() for word in wanted):
            met.setdefault((each.grade, each.observation, each.risk, each.recommendation), []).append(each)
    made: list[tuple[tuple[bool, int, int], Proposed]] = []
    for some in met.values():
        last = max(some, key=lambda d: d.number or 0)
        alike = any(_kind(snapshot, d.at) == kind for d in some)
        told = Proposed(
            last.grade, last.observation, last.risk, last.recommendation, last.basis, last.standard,
            last.standard_year, last.clause, len(some), last.number,
        )  # fmt: skip
        made.append(((not alike, -len(some), -(last.number or 0)), told))
    return tuple(told for _key, told in sorted(made, key=lambda each: each[0]))


def _kind(snapshot: Snapshot, at: str) -> str:
    if at in snapshot.equipment:
        return snapshot.equipment[at].KIND
    return "run" if at in snapshot.runs else ""
