"""A voltage-sensitive charging relay: joins two banks while one of them is being charged."""

from __future__ import annotations

from typing import Annotated, ClassVar, Literal

from engine.equipment._facts import ContinuousA, CrankingA, DcVolts, FiveMinuteA, ManualOverride, OnLoss, Poles
from engine.equipment._systems import System, figure, first, lines_of, opened, switch_ratings
from engine.equipment.base import ALL, CLOSED, OPEN_CLOSED, Contact, Equipment, Role, Terminal
from engine.equipment.behaviour import Carries, Remote
from engine.record import Fact
from engine.words import N_, _

__all__ = ["ChargingRelay"]


class ChargingRelay(Equipment, frozen=True, kw_only=True):
    """A controller moves it, so every position must be safe."""

    KIND: ClassVar[str] = "charging_relay"
    NAME: ClassVar[str] = N_("Charging relay")
    LETTERS: ClassVar[tuple[str, ...]] = ("Q", "K")
    ROLE: ClassVar[Role] = "switch"
    OFF_TO_TEST_INSULATION: ClassVar[bool] = True
    AUTOMATIC: ClassVar[bool] = True

    poles: Poles = ()
    dc_v: DcVolts = None
    continuous_a: ContinuousA = None
    five_minute_a: FiveMinuteA = None
    cranking_a: CrankingA = None
    senses: Annotated[Literal["", "side a", "side b", "both sides"], Fact(N_("side whose voltage moves it"))] = ""
    closes_above_v: Annotated[float | None, Fact(N_("closes above this voltage"), "V", low=0)] = None
    opens_below_v: Annotated[float | None, Fact(N_("opens below this voltage"), "V", low=0)] = None
    limits_current: Annotated[bool | None, Fact(N_("limits the current between the banks: yes, no or not known"))] = (
        None
    )
    limit_a: Annotated[float | None, Fact(N_("current it limits to"), "A", low=0)] = None
    opens_on_start: Annotated[bool | None, Fact(N_("opens while the engine is started: yes, no or not known"))] = None
    on_loss: OnLoss = ""
    manual_override: ManualOverride = None

    def terminals(self) -> tuple[Terminal, ...]:
        """Two banks."""
        return (
            Terminal("a", ALL, "left", must=True, help=N_("one bank")),
            Terminal("b", ALL, "right", must=True, help=N_("the other bank")),
        )

    def positions(self) -> tuple[str, ...]:
        """Open, closed."""
        return OPEN_CLOSED

    def remotes(self) -> tuple[Remote, ...]:
        """The whole of it."""
        return (Remote("", self.on_loss, self.manual_override),)

    def contacts(self) -> tuple[Contact, ...]:
        """Bank to bank when closed; every other conductor passes straight."""
        return (Contact("a", "b", opened(self.poles), CLOSED),)

    def nominal_volts(self, terminal: str) -> System:
        """The system it is made for."""
        return "dc", self.dc_v

    def through_limit(self, terminal: str) -> float | None:
        """Its continuous rating."""
        return first(self.through_a, self.continuous_a)

    def missing_for_current(self) -> tuple[str, ...]:
        """Its continuous rating."""
        return ("continuous_a",) if self.through_limit("a") is None else ()

    def carries(self) -> Carries:
        """Its ratings."""
        return Carries(first(self.continuous_a, self.through_a), self.five_minute_a, self.cranking_a)

    def summary(self) -> tuple[str, ...]:
        """Continuous rating; current it limits to; volts at which it closes and opens."""
        rating = switch_ratings(self.through_limit("a"), None, None)[0]
        closes, opens = figure(self.closes_above_v, "V"), figure(self.opens_below_v, "V")
        return lines_of(
            rating,
            "" if self.limit_a is None else _("limits to {amps}").format(amps=figure(self.limit_a, "A")),
            _("{closes} on, {opens} off").format(closes=closes, opens=opens) if closes and opens else "",
        )
