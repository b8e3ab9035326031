"""A battery balancer: keeps the halves of a series bank at one voltage."""

from __future__ import annotations

from typing import Annotated, ClassVar, Literal

from engine.equipment._facts import DcVolts, Efficiency, StandbyW
from engine.equipment._systems import System, figure, gaps, lines_of, negative
from engine.equipment.base import DC, Contact, Conversion, Draw, Equipment, Role, Source, Terminal
from engine.record import Fact
from engine.words import N_, _

__all__ = ["BatteryBalancer"]


class BatteryBalancer(Equipment, frozen=True, kw_only=True):
    """On the ends and the midpoint of a bank. An active one moves energy between the halves, a passive one burns it."""

    KIND: ClassVar[str] = "battery_balancer"
    NAME: ClassVar[str] = N_("Battery balancer")
    LETTERS: ClassVar[tuple[str, ...]] = ("T", "K")
    ROLE: ClassVar[Role] = "converter"
    OFF_TO_TEST_INSULATION: ClassVar[bool] = True

    dc_v: DcVolts = None
    method: Annotated[
        Literal["", "active", "passive"], Fact(N_("moves energy between the halves, or burns the surplus"))
    ] = ""
    balance_a: Annotated[float | None, Fact(N_("balancing current"), "A", low=0)] = None
    alarm: Annotated[bool | None, Fact(N_("gives an alarm when the halves differ: yes, no or not known"))] = None
    battery: Annotated[str, Fact(N_("bank it balances"), refers="equipment")] = ""
    efficiency: Efficiency = None
    standby_w: StandbyW = None

    def terminals(self) -> tuple[Terminal, ...]:
        """The whole bank on `pos` and `neg`, its midpoint on `mid`."""
        return (
            Terminal("pos", DC, "top", must=True, help=N_("positive end of the bank")),
            Terminal("mid", ("+",), "left", must=True, help=N_("midpoint of the bank")),
            Terminal("neg", ("-",), "bottom", help=N_("negative end of the bank")),
        )

    def contacts(self) -> tuple[Contact, ...]:
        """One negative; the midpoint conducts to nothing."""
        return (negative("pos"),)

    def sources(self, joined: frozenset[str]) -> tuple[Source, ...]:
        """An active balancer feeds the midpoint, up to its balancing current."""
        if self.method == "passive":
            return ()
        half = None if self.dc_v is None else self.dc_v / 2
        return (
            Source(
                "mid",
                "+",
                "dc",
                nominal_v=half,
                limited=None if self.balance_a is None else True,
                limit_a=self.balance_a,
                line="midpoint",
                missing=gaps(self, "dc_v", "balance_a"),
            ),
        )

    def conversions(self) -> tuple[Conversion, ...]:
        """From the whole bank to its lower half."""
        return () if self.method == "passive" else (Conversion("pos", "mid", self.efficiency),)

    def draws(self) -> tuple[Draw, ...]:
        """Its own consumption on the bank."""
        return (Draw("pos", "dc", "power", self.standby_w, DC, missing=gaps(self, "standby_w")),)

    def nominal_volts(self, terminal: str) -> System:
        """The bank's volts, half of them at the midpoint."""
        half = terminal == "mid" and self.dc_v is not None
        return "dc", self.dc_v / 2 if half and self.dc_v is not None else self.dc_v

    def balances(self) -> str:
        """The bank it is recorded for."""
        return self.battery

    def summary(self) -> tuple[str, ...]:
        """Volts and balancing current."""
        return lines_of(
            figure(self.dc_v, "V"),
            "" if self.balance_a is None else _("balances {amps}").format(amps=figure(self.balance_a, "A")),
        )
