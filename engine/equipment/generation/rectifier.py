"""A rectifier drawn apart from its machine: AC in, DC out."""

from __future__ import annotations

from typing import Annotated, ClassVar, Literal

from engine.equipment._facts import ChargeVolts, DcVolts, Efficiency, LivePhases, RatingA, SelfLimiting
from engine.equipment._systems import System, figure, limit_gaps, lines_of, negative, together
from engine.equipment.base import AC, DC, Contact, Conversion, Equipment, Role, Source, Terminal
from engine.equipment.behaviour import Charging
from engine.equipment.parting import BatteryLost
from engine.record import Fact
from engine.words import N_, _

__all__ = ["Rectifier"]


class Rectifier(Equipment, frozen=True, kw_only=True):
    """It limits nothing by itself: `self_limiting` is that of the machine behind it."""

    KIND: ClassVar[str] = "rectifier"
    NAME: ClassVar[str] = N_("Rectifier")
    LETTERS: ClassVar[tuple[str, ...]] = ("T",)
    ROLE: ClassVar[Role] = "converter"
    OFF_TO_TEST_INSULATION: ClassVar[bool] = True

    dc_v: DcVolts = None
    rating_a: RatingA = None
    phases: LivePhases = "L1 L2 L3"
    self_limiting: SelfLimiting = None
    charge_v: ChargeVolts = None
    clamps_surge: Annotated[
        bool | None, Fact(N_("its diodes absorb the surge when the battery is cut off: yes, no or not known"))
    ] = None
    cooling: Annotated[Literal["", "own heat sink", "fan", "water"], Fact(N_("cooling"))] = ""
    efficiency: Efficiency = None

    def terminals(self) -> tuple[Terminal, ...]:
        """AC above, DC below."""
        return (
            Terminal("ac", AC, "top", must=True, help=N_("from the machine")),
            Terminal("pos", DC, "bottom", must=True, help=N_("DC output")),
            Terminal("neg", ("-",), "bottom", help=N_("negative drawn apart")),
        )

    def contacts(self) -> tuple[Contact, ...]:
        """One negative; AC and DC do not conduct to each other."""
        return (negative("pos"),)

    def sources(self, joined: frozenset[str]) -> tuple[Source, ...]:
        """What the machine behind it gives."""
        return (
            Source(
                "pos",
                "+",
                "dc",
                nominal_v=self.dc_v,
                highest_v=self.charge_v,
                limited=self.self_limiting,
                limit_a=self.rating_a,
                rotating=True,
                missing=limit_gaps(self, "self_limiting", "rating_a"),
            ),
        )

    def conversions(self) -> tuple[Conversion, ...]:
        """AC to DC."""
        return (Conversion("ac", "pos", self.efficiency),)

    def battery_lost(self) -> BatteryLost:
        """Its diodes take the surge, or break through."""
        harmed = None if self.clamps_surge is None else not self.clamps_surge
        return BatteryLost("machine", "pos", harmed, "clamps_surge")

    def nominal_volts(self, terminal: str) -> System | None:
        """DC volts; the AC side follows the machine's speed."""
        return None if terminal == "ac" else ("dc", self.dc_v)

    def charging(self) -> Charging:
        """What its output is set to."""
        return Charging("pos", self.charge_v, None, None)

    def summary(self) -> tuple[str, ...]:
        """Volts, amperes, whether the machine limits itself."""
        limiting = {True: _("self-limiting"), False: _("not self-limiting"), None: ""}[self.self_limiting]
        return lines_of(together(figure(self.dc_v, "V"), figure(self.rating_a, "A")), limiting)
