"""A conductor end that is not covered: what the protection rules are given, and what is gathered about it before."""

from __future__ import annotations

from typing import Literal

import msgspec

from engine.circuit.conductors import Limits
from engine.circuit.placement import Placed
from engine.circuit.refine import Supplied, Witness
from engine.installation.records import Run

__all__ = ["SLUGS", "FailingEnd", "Uncovered", "merged"]

SLUGS = (
    "bypass-unprotected",
    "rating-above-ampacity",
    "far-end-unprotected",
    "far-from-source",
    "no-protection",
)


class Uncovered(msgspec.Struct, frozen=True, kw_only=True):
    """One end of a run that is not covered, or of which it cannot be told (`judged` false)."""

    slug: str
    run: str
    end: Literal["from", "to"]
    conductors: tuple[str, ...]
    judged: bool
    amps: float  # the feed cut
    limits: Limits
    supplied: Supplied | None  # what lets those amps through
    placed: Placed | None
    positions: tuple[tuple[str, str], ...] = ()  # none: as drawn
    undecided: bool = False
    missing: tuple[str, ...] = ()
    why: str = ""

    @property
    def allowed_a(self) -> float:
        """What the feed cut is compared with: more where a single device gives it."""
        one = self.supplied is not None and len(self.supplied.devices) == 1 and not self.supplied.sources
        return self.limits.single_high if one else self.limits.high


class FailingEnd(msgspec.Struct):
    """A conductor end that fails with every contact closed."""

    edge: int
    point: int
    run: Run
    run_id: str
    side: Literal["from", "to"]
    conductor: str
    limits: Limits
    is_sure: bool = True  # fails even with what is not known at its best
    is_proved: bool = False  # some permitted state does it
    as_drawn: bool = False
    was_covered: bool = False  # as drawn, and fed
    witness: Witness | None = None
    undecided: bool = False

    @property
    def arc(self) -> tuple[int, int]:
        """The edge, and the point at which it is fed."""
        return self.edge, self.point


def merged(every: list[Uncovered]) -> Uncovered:
    """One for an end of several conductors: the worst class, all conductors named."""
    first = min(every, key=lambda u: (not u.judged, SLUGS.index(u.slug)))
    if len(every) == 1:
        return first
    together = [u for u in every if u.judged == first.judged and u.slug == first.slug]
    missing = () if first.judged else tuple(dict.fromkeys(field for u in together for field in u.missing))
    return msgspec.structs.replace(first, conductors=tuple(c for u in together for c in u.conductors), missing=missing)
