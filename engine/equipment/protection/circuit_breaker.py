"""A circuit breaker: opens its poles together, by hand or when the current is too high for too long."""

from __future__ import annotations

from typing import Annotated, ClassVar, Literal

from engine.equipment._facts import (
    BreaksOneWay,
    ContinuousPercent,
    Curve,
    LetThrough,
    LineTerminal,
    Pole,
    Poles,
    RatingA,
    TimePoints,
)
from engine.equipment._systems import breaks, figure, lines_of, opened, poles_in_words, together, tripping
from engine.equipment.base import ALL, CLOSED, OPEN_CLOSED, Contact, Equipment, Protection, Role, Terminal
from engine.equipment.behaviour import Trip
from engine.record import Fact
from engine.words import N_

__all__ = ["CircuitBreaker"]


class CircuitBreaker(Equipment, frozen=True, kw_only=True):
    """`poles` lists the conductors it opens, `untripped` those of them that have no trip of their own."""

    KIND: ClassVar[str] = "circuit_breaker"
    NAME: ClassVar[str] = N_("Circuit breaker")
    LETTERS: ClassVar[tuple[str, ...]] = ("F", "Q")
    ROLE: ClassVar[Role] = "protection"

    rating_a: RatingA = None
    poles: Poles = ()
    untripped: Annotated[tuple[Pole, ...], Fact(N_("poles that open with the others and have no trip"))] = ()
    curve: Curve = ""
    instant_low_multiple: Annotated[
        float | None, Fact(N_("does not trip at once below this multiple of its rating"), low=0)
    ] = None
    instant_high_multiple: Annotated[
        float | None, Fact(N_("trips at once above this multiple of its rating"), low=0)
    ] = None
    time_points: TimePoints = ()
    let_through_a2s: LetThrough = None
    continuous_percent: ContinuousPercent = None
    frame_a: Annotated[float | None, Fact(N_("rating of its frame, where the trip can be set"), "A", low=0)] = None
    polarised: BreaksOneWay = None
    line_terminal: LineTerminal = ""
    trip_free: Annotated[bool | None, Fact(N_("trips even when held closed: yes, no or not known"))] = None
    manual_reset: Annotated[bool | None, Fact(N_("stays open until reset by hand: yes, no or not known"))] = None
    isolates: Annotated[bool | None, Fact(N_("may be relied on as an isolator: yes, no or not known"))] = None
    lockable: Annotated[bool | None, Fact(N_("can be locked open: yes, no or not known"))] = None
    remote_trip: Annotated[
        Literal["", "none", "shunt trip", "undervoltage release"], Fact(N_("how else it can be made to open"))
    ] = ""

    def terminals(self) -> tuple[Terminal, ...]:
        """Line side and load side."""
        return (
            Terminal("in", ALL, "bottom", must=True, help=N_("line side")),
            Terminal("out", ALL, "top", must=True, help=N_("load side")),
        )

    def positions(self) -> tuple[str, ...]:
        """Open, closed."""
        return OPEN_CLOSED

    def contacts(self) -> tuple[Contact, ...]:
        """Its poles when closed; every other conductor passes straight."""
        return tripping(opened(self.poles), self.untripped, Protection(self.rating_a, "breaker"), CLOSED)

    def breaks_load_now(self) -> bool | None:
        """It is made to break what it carries."""
        return True

    def trip(self) -> Trip:
        """Its curve and what its maker's sheet says."""
        return Trip(
            self.rating_a,
            self.curve,
            tuple((p.multiple, p.fastest_s, p.slowest_s) for p in self.time_points),
            self.instant_low_multiple,
            self.instant_high_multiple,
            self.let_through_a2s,
            self.continuous_percent,
            is_fuse=False,
            form_field="curve",
        )

    def summary(self) -> tuple[str, ...]:
        """Curve, rating and poles; breaking capacity."""
        rating = figure(self.rating_a, "A")
        letter = self.curve if len(self.curve) == 1 else ""
        return lines_of(together(letter, rating, poles_in_words(self.poles)), breaks(self.breaking, self.poles))
