"""An alternator. With a separate rectifier it has `output` "three-phase AC": `pos` then carries the phases."""

from __future__ import annotations

from typing import Annotated, ClassVar, Literal

from engine.equipment._facts import ChargeVolts, DcVolts, ObeysStop, SelfLimiting
from engine.equipment._systems import System, ac_sources, figure, limit_gaps, lines_of, negative, together
from engine.equipment.base import DC, Contact, Equipment, Role, Source, Terminal
from engine.equipment.behaviour import Charging, Machine
from engine.equipment.parting import BatteryLost
from engine.record import Fact, Part
from engine.words import N_, _

__all__ = ["Alternator", "HotOutput"]

PHASES = "L1 L2 L3"


class HotOutput(Part, frozen=True, kw_only=True):
    """What it really gives when hot, at the speed of a condition."""

    condition: Annotated[str, Fact(N_("operating condition"), refers="conditions")]
    amps: Annotated[float | None, Fact(N_("hot output"), "A", low=0)] = None
    rpm: Annotated[float | None, Fact(N_("engine speed"), "rpm", low=0)] = None


class Alternator(Equipment, frozen=True, kw_only=True):
    """Engine-driven. Its plate current is a cold one; the hot output is lower and depends on the speed."""

    KIND: ClassVar[str] = "alternator"
    NAME: ClassVar[str] = N_("Alternator")
    LETTERS: ClassVar[tuple[str, ...]] = ("G",)
    ROLE: ClassVar[Role] = "source"
    OFF_TO_TEST_INSULATION: ClassVar[bool] = True
    TERMINALS_VARY: ClassVar[bool] = True
    WITH_ENGINE: ClassVar[bool] = True

    dc_v: DcVolts = None
    rating_a: Annotated[float | None, Fact(N_("rated output, cold"), "A", low=0)] = None
    output: Annotated[
        Literal["DC", "three-phase AC"], Fact(N_("what comes out; three-phase AC with a rectifier drawn apart"))
    ] = "DC"
    self_limiting: SelfLimiting = None
    hot_a: Annotated[float | None, Fact(N_("hot output where no condition says otherwise"), "A", low=0)] = None
    hot_outputs: Annotated[tuple[HotOutput, ...], Fact(N_("hot output at the speed of each condition"))] = ()
    charge_v: ChargeVolts = None
    regulator: Annotated[Literal["", "internal", "external"], Fact(N_("regulator"))] = ""
    obeys_stop: ObeysStop = None
    field_opens_first: Annotated[
        bool | None, Fact(N_("its field is opened before its battery can be cut off: yes, no or not known"))
    ] = None
    survives_cut_off: Annotated[
        bool | None, Fact(N_("maker says it survives losing its battery: yes, no or not known"))
    ] = None
    isolated_return: Annotated[bool | None, Fact(N_("negative isolated from its case: yes, no or not known"))] = None
    field_a: Annotated[float | None, Fact(N_("field current"), "A", low=0)] = None
    short_circuit_a: Annotated[float | None, Fact(N_("sustained short-circuit current"), "A", low=0)] = None
    engine: Annotated[str, Fact(N_("engine that drives it"), refers="equipment")] = ""

    def terminals(self) -> tuple[Terminal, ...]:
        """Output, negative drawn apart, field."""
        carried = DC if self.output == "DC" else tuple(PHASES.split())
        return (
            Terminal("pos", carried, "bottom", must=True, help=N_("output")),
            Terminal("neg", ("-",), "bottom", help=N_("negative drawn apart")),
            Terminal("field", ("S",), "right", help=N_("field")),
        )

    def contacts(self) -> tuple[Contact, ...]:
        """One negative."""
        return (negative("pos"),) if self.output == "DC" else ()

    def sources(self, joined: frozenset[str]) -> tuple[Source, ...]:
        """Up to its rating where it limits itself. A phase current never exceeds the DC it is rated at."""
        missing = limit_gaps(self, "self_limiting", "rating_a")
        if self.output == "DC":
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
                    missing=missing,
                ),
            )
        return ac_sources(
            "pos",
            PHASES,
            volts=None,  # it follows the speed
            frequency_hz=None,
            limited=self.self_limiting,
            limit_a=self.rating_a,
            line="stator",
            rotating=True,
            missing=missing,
        )

    def machine(self) -> Machine:
        """Rating, hot outputs, sustained short-circuit current."""
        hot = [("", self.hot_a), *((h.condition, h.amps) for h in self.hot_outputs)]
        count = self.quantity
        return Machine(
            rated_a=None if self.rating_a is None else self.rating_a * count,
            short_circuit_a=None if self.short_circuit_a is None else self.short_circuit_a * count,
            obeys_stop=self.obeys_stop,
            engine=self.engine,
            hot_a=tuple((condition, amps * count) for condition, amps in hot if amps is not None),
        )

    def nominal_volts(self, terminal: str) -> System | None:
        """DC at its output; the volts of bare phases follow the speed."""
        if terminal == "field" or (terminal == "pos" and self.output != "DC"):
            return None
        return "dc", self.dc_v

    def charging(self) -> Charging:
        """What its output is set to."""
        return Charging("pos", self.charge_v, None, None)

    def battery_lost(self) -> BatteryLost:
        """Its volts rise until its diodes break through, unless its maker says that it survives that."""
        harmed = None if self.survives_cut_off is None else not self.survives_cut_off
        return BatteryLost("machine", "pos", harmed, "survives_cut_off", self.field_opens_first, self.obeys_stop)

    def engine_mounted(self) -> str:
        """The engine recorded."""
        return self.engine

    def summary(self) -> tuple[str, ...]:
        """Volts, amperes, whether it limits itself."""
        limiting = {True: _("self-limiting"), False: _("not self-limiting"), None: ""}[self.self_limiting]
        return lines_of(together(figure(self.dc_v, "V"), figure(self.rating_a, "A")), limiting)
