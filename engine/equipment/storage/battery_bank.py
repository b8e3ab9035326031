"""A battery bank: units in series and parallel, drawn as one."""

from __future__ import annotations

from typing import Annotated, ClassVar, Literal

from engine.equipment.base import DC, Contact, Equipment, Role, Source, Terminal
from engine.record import Fact
from engine.words import N_

__all__ = ["BatteryBank"]

Chemistry = Literal["", "flooded", "AGM", "gel", "carbon", "LFP", "NMC", "other lithium", "nickel"]


class BatteryBank(Equipment, frozen=True, kw_only=True):
    """Units of one type, `series` in a string and `parallel` strings. Limits are per unit and, for the bank, per BMS."""

    KIND: ClassVar[str] = "battery_bank"
    NAME: ClassVar[str] = N_("Battery bank")
    LETTERS: ClassVar[tuple[str, ...]] = ("G", "C")
    ROLE: ClassVar[Role] = "source"

    chemistry: Annotated[Chemistry, Fact(N_("chemistry"))] = ""
    unit_v: Annotated[float | None, Fact(N_("nominal voltage of one unit"), "V", low=0)] = None
    unit_ah: Annotated[float | None, Fact(N_("capacity of one unit"), "Ah", low=0)] = None
    series: Annotated[int, Fact(N_("units in series"), low=1)] = 1
    parallel: Annotated[int, Fact(N_("strings in parallel"), low=1)] = 1
    short_circuit_a: Annotated[
        float | None, Fact(N_("short-circuit current of one unit, maker's figure"), "A", low=0)
    ] = None
    internal_resistance_ohm: Annotated[
        float | None, Fact(N_("internal resistance of one unit"), "ohm", low=0)
    ] = None
    cca_a: Annotated[float | None, Fact(N_("cold cranking current of one unit"), "A", low=0)] = None
    charge_v: Annotated[float | None, Fact(N_("highest charging voltage of the bank"), "V", low=0)] = None
    cut_off_v: Annotated[float | None, Fact(N_("lowest voltage of the bank in use"), "V", low=0)] = None
    unit_charge_limit_a: Annotated[
        float | None, Fact(N_("largest charging current of one unit"), "A", low=0)
    ] = None
    unit_discharge_limit_a: Annotated[
        float | None, Fact(N_("largest continuous discharge current of one unit"), "A", low=0)
    ] = None
    bms_charge_limit_a: Annotated[float | None, Fact(N_("charging limit of the BMS"), "A", low=0)] = None
    bms_discharge_limit_a: Annotated[float | None, Fact(N_("discharge limit of the BMS"), "A", low=0)] = None
    lowest_charge_c: Annotated[
        float | None, Fact(N_("lowest temperature at which it may be charged"), "degC", low=-60, high=60)
    ] = None
    alarm_before_shutdown: Annotated[
        bool | None, Fact(N_("BMS gives an alarm before it disconnects: yes, no or not known"))
    ] = None
    bms_disconnects: Annotated[
        bool | None, Fact(N_("BMS can disconnect the bank: yes, no or not known"))
    ] = None
    buses: Annotated[
        Literal["", "one", "separate"], Fact(N_("charge and load buses: one, or separate"))
    ] = ""
    ventilation_m3_h: Annotated[float | None, Fact(N_("ventilation of its space"), "m3/h", low=0)] = None

    def nominal_v(self) -> float | None:
        """Nominal voltage of the bank, V."""
        return None if self.unit_v is None else self.unit_v * self.series

    def terminals(self) -> tuple[Terminal, ...]:
        """`pos` carries the pair, `neg` the negative alone, for runs drawn apart."""
        return (
            Terminal("pos", DC, "top", must=True, help=N_("positive post")),
            Terminal("neg", ("-",), "bottom", help=N_("negative post")),
        )

    def contacts(self) -> tuple[Contact, ...]:
        """One negative post serves both terminals."""
        return (Contact("pos", "neg", cross=("-", "-"), straight=False),)

    def sources(self, joined: frozenset[str]) -> tuple[Source, ...]:
        """A battery does not limit itself."""
        volts = self.nominal_v()
        return (
            Source(
                "pos",
                "+",
                "dc",
                nominal_v=volts,
                highest_v=self.charge_v,
                limited=False,
                battery=True,
                missing=("unit_v",) if volts is None else (),
            ),
        )

    def nominal_volts(self, terminal: str) -> tuple[Literal["dc", "ac"], float | None]:
        """The bank's own voltage."""
        return "dc", self.nominal_v()

    def summary(self) -> tuple[str, ...]:
        """Chemistry, volts and ampere-hours, short-circuit current."""
        volts = self.nominal_v()
        hours = None if self.unit_ah is None else self.unit_ah * self.parallel
        first = " ".join(
            part
            for part in (
                self.chemistry,
                "" if volts is None else f"{volts:g} V",
                "" if hours is None else f"{hours:g} Ah",
            )
            if part
        )
        fault = None if self.short_circuit_a is None else self.short_circuit_a * self.parallel / 1000
        return tuple(p for p in (first, "" if fault is None else f"fault {fault:.3g} kA") if p)
