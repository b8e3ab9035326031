"""A residual-current device, with or without an overcurrent trip."""

from __future__ import annotations

from typing import Annotated, ClassVar, Literal

from engine.equipment._facts import (
    ContinuousPercent,
    Curve,
    LetThrough,
    LineTerminal,
    Pole,
    Poles,
    RatingA,
    ResidualMa,
    ResidualMs,
    ResidualType,
    TimePoints,
)
from engine.equipment._systems import (
    breaks,
    figure,
    first,
    lines_of,
    poles_in_words,
    residual_type_in_words,
    together,
    tripping,
)
from engine.equipment.base import ALL, CLOSED, OPEN_CLOSED, Contact, Equipment, Protection, Role, Terminal
from engine.equipment.behaviour import Residual, Trip
from engine.record import Fact
from engine.words import N_

__all__ = ["ResidualCurrentDevice"]


class ResidualCurrentDevice(Equipment, frozen=True, kw_only=True):
    """It protects against overcurrent only where `overcurrent` says so; else `rating_a` is what it can carry."""

    KIND: ClassVar[str] = "residual_current_device"
    NAME: ClassVar[str] = N_("Residual-current device")
    LETTERS: ClassVar[tuple[str, ...]] = ("F", "Q")
    ROLE: ClassVar[Role] = "protection"
    OFF_TO_TEST_INSULATION: ClassVar[bool] = True

    rating_a: RatingA = None
    overcurrent: Annotated[bool | None, Fact(N_("combined with an overcurrent trip: yes, no or not known"))] = None
    poles: Poles = ("L1", "N")
    untripped: Annotated[tuple[Pole, ...], Fact(N_("poles that open with the others and have no trip"))] = ()
    residual_ma: ResidualMa = None
    residual_ms: ResidualMs = None
    residual_type: ResidualType = ""
    delayed: Annotated[bool | None, Fact(N_("opens with a delay, after devices below it: yes, no or not known"))] = None
    supply_dependent: Annotated[bool | None, Fact(N_("needs a healthy supply to trip: yes, no or not known"))] = None
    form: Annotated[
        Literal["", "in a panel", "in a socket outlet", "at the inlet", "portable"], Fact(N_("how it is built in"))
    ] = ""
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
    trip_free: Annotated[bool | None, Fact(N_("trips even when held closed: yes, no or not known"))] = None
    manual_reset: Annotated[bool | None, Fact(N_("stays open until reset by hand: yes, no or not known"))] = None
    line_terminal: LineTerminal = ""

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
        """Its poles when closed, through a protective device where it is a combined one or nobody knows."""
        if self.overcurrent is False:
            return (Contact("in", "out", self.poles, CLOSED),)
        trip = Protection(self.rating_a, "breaker") if self.overcurrent else Protection(None, "breaker", "overcurrent")
        return tripping(self.poles, self.untripped, trip, CLOSED)

    def breaks_load_now(self) -> bool | None:
        """It is made to break what it carries."""
        return True

    def trip(self) -> Trip | None:
        """As a breaker where it is a combined one; of unknown rating where nobody knows."""
        if self.overcurrent is False:
            return None
        if self.overcurrent is None:
            return Trip(None, is_fuse=False, form_field="curve", rating_field="overcurrent")
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

    def through_limit(self, terminal: str) -> float | None:
        """What one without overcurrent trip can carry; a combined one protects itself."""
        return self.through_a if self.overcurrent else first(self.through_a, self.rating_a)

    def missing_for_current(self) -> tuple[str, ...]:
        """Whether it is combined, and its rating."""
        if self.overcurrent or self.through_limit("in") is not None:
            return ()
        return ("rating_a",)

    def residual(self) -> Residual:
        """Its residual current, time and type."""
        return Residual("in", "out", self.residual_ma, self.residual_ms, self.residual_type, self.poles)

    def summary(self) -> tuple[str, ...]:
        """Rating and poles; residual current, time and type; breaking capacity."""
        kind = residual_type_in_words(self.residual_type)
        return lines_of(
            together(figure(self.rating_a, "A"), poles_in_words(self.poles)),
            together(figure(self.residual_ma, "mA"), figure(self.residual_ms, "ms"), kind),
            breaks(self.breaking, self.poles) if self.overcurrent else "",
        )
