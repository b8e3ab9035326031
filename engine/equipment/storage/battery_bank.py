"""A battery bank: units in series and parallel, drawn as one."""

from __future__ import annotations

from typing import Annotated, ClassVar, Literal

from engine.equipment._facts import ChargeVolts, FloatVolts
from engine.equipment._systems import figure, gaps, lines_of, negative, together, word
from engine.equipment.base import DC, Contact, Equipment, Role, Source, Terminal
from engine.equipment.behaviour import Store
from engine.record import Fact
from engine.words import N_, _

__all__ = ["BatteryBank"]

Chemistry = Literal["", "flooded", "AGM", "gel", "carbon", "LFP", "NMC", "other lithium", "nickel"]


class BatteryBank(Equipment, frozen=True, kw_only=True):
    """Units of one type, `series` in a string and `parallel` strings. Limits are per unit and per BMS."""

    KIND: ClassVar[str] = "battery_bank"
    NAME: ClassVar[str] = N_("Battery bank")
    LETTERS: ClassVar[tuple[str, ...]] = ("G", "C")
    ROLE: ClassVar[Role] = "source"
    OFF_TO_TEST_INSULATION: ClassVar[bool] = True
    SPARKS: ClassVar[bool] = False

    chemistry: Annotated[Chemistry, Fact(N_("chemistry"))] = ""
    unit_v: Annotated[float | None, Fact(N_("nominal voltage of one unit"), "V", low=0)] = None
    unit_ah: Annotated[float | None, Fact(N_("capacity of one unit"), "Ah", low=0)] = None
    rated_hours_h: Annotated[float | None, Fact(N_("discharge time that capacity is stated for"), "h", low=0)] = None
    series: Annotated[int, Fact(N_("units in series"), low=1)] = 1
    parallel: Annotated[int, Fact(N_("strings in parallel"), low=1)] = 1
    cells_per_unit: Annotated[int | None, Fact(N_("cells in series in one unit"), low=1)] = None
    year: Annotated[int | None, Fact(N_("year the units were made"), low=1950, high=2200)] = None
    links_equal: Annotated[bool | None, Fact(N_("links between parallel strings are equal: yes, no or not known"))] = (
        None
    )
    # what it can give
    short_circuit_a: Annotated[
        float | None, Fact(N_("short-circuit current of one unit, maker's figure"), "A", low=0)
    ] = None
    internal_resistance_ohm: Annotated[float | None, Fact(N_("internal resistance of one unit"), "ohm", low=0)] = None
    cca_a: Annotated[float | None, Fact(N_("cold cranking current of one unit"), "A", low=0)] = None
    unit_protected: Annotated[
        bool | None, Fact(N_("every string has a protective device of its own: yes, no or not known"))
    ] = None
    unit_device_a: Annotated[float | None, Fact(N_("rating of each string's own device"), "A", low=0)] = None
    # volts
    charge_v: ChargeVolts = None
    lowest_charge_v: Annotated[
        float | None, Fact(N_("lowest voltage at which the bank still charges fully"), "V", low=0)
    ] = None
    float_v: FloatVolts = None
    cut_off_v: Annotated[float | None, Fact(N_("lowest voltage of the bank in use"), "V", low=0)] = None
    # limits
    unit_charge_limit_a: Annotated[float | None, Fact(N_("largest charging current of one unit"), "A", low=0)] = None
    unit_discharge_limit_a: Annotated[
        float | None, Fact(N_("largest continuous discharge current of one unit"), "A", low=0)
    ] = None
    lowest_charge_c: Annotated[
        float | None, Fact(N_("lowest temperature at which it may be charged"), "degC", low=-60, high=60)
    ] = None
    highest_charge_c: Annotated[
        float | None, Fact(N_("highest temperature at which it may be charged"), "degC", low=-60, high=100)
    ] = None
    # its own management
    bms: Annotated[
        Literal["", "none", "in every unit", "one for the bank"], Fact(N_("battery management built in"))
    ] = ""
    bms_charge_limit_a: Annotated[float | None, Fact(N_("charging limit of one BMS"), "A", low=0)] = None
    bms_discharge_limit_a: Annotated[float | None, Fact(N_("discharge limit of one BMS"), "A", low=0)] = None
    alarm_before_shutdown: Annotated[
        bool | None, Fact(N_("BMS gives an alarm before it disconnects: yes, no or not known"))
    ] = None
    bms_disconnects: Annotated[bool | None, Fact(N_("BMS can disconnect the bank: yes, no or not known"))] = None
    stops_sources_first: Annotated[
        bool | None, Fact(N_("BMS tells charging sources to stop before it disconnects: yes, no or not known"))
    ] = None
    buses: Annotated[Literal["", "one", "separate"], Fact(N_("charge and load buses: one, or separate"))] = ""
    midpoint_used: Annotated[
        bool | None, Fact(N_("something is fed from or charged at its midpoint: yes, no or not known"))
    ] = None
    # energy
    usable_percent: Annotated[float | None, Fact(N_("part of its capacity that is used"), "%", low=1, high=100)] = None
    remaining_percent: Annotated[
        float | None, Fact(N_("part of its capacity left after ageing"), "%", low=1, high=150)
    ] = None
    peukert: Annotated[float | None, Fact(N_("Peukert exponent"), low=1, high=2)] = None
    charge_efficiency: Annotated[
        float | None, Fact(N_("part of the charging current that is stored, as a share"), low=0, high=1)
    ] = None
    acceptance_slope: Annotated[
        float | None, Fact(N_("charging current it takes, a part of its capacity, per part of charge missing"), low=0)
    ] = None
    acceptance_floor: Annotated[
        float | None, Fact(N_("charging current it still takes when nearly full, a part of its capacity"), low=0)
    ] = None
    # its space
    ventilation_m3_h: Annotated[float | None, Fact(N_("ventilation of its space"), "m3/h", low=0)] = None
    gassing_a: Annotated[float | None, Fact(N_("charging current while it gasses"), "A", low=0)] = None

    def nominal_v(self) -> float | None:
        """Nominal voltage of the bank, V."""
        return None if self.unit_v is None else self.unit_v * self.series

    def capacity_ah(self) -> float | None:
        """Rated capacity of the bank, Ah."""
        return None if self.unit_ah is None else self.unit_ah * self.parallel

    def store(self) -> Store:
        """All its strings together; the least of what units and BMS allow."""
        strings = self.parallel * self.quantity
        management = {"in every unit": strings, "one for the bank": 1}.get(self.bms, 0)

        def together_a(unit_a: float | None, bms_a: float | None) -> float | None:
            limits = [
                limit * count
                for limit, count in ((unit_a, strings), (bms_a, management))
                if limit is not None and count
            ]
            return min(limits, default=None)

        def strings_a(unit_a: float | None) -> float | None:
            return None if unit_a is None else unit_a * strings

        ohm = self.internal_resistance_ohm
        hours = self.capacity_ah()
        return Store(
            chemistry=self.chemistry,
            nominal_v=self.nominal_v(),
            cells=None if self.cells_per_unit is None else self.cells_per_unit * self.series,
            series=self.series,
            strings=strings,
            capacity_ah=None if hours is None else hours * self.quantity,
            rated_hours_h=self.rated_hours_h,
            short_circuit_a=strings_a(self.short_circuit_a),
            resistance_ohm=None if ohm is None else ohm * self.series / strings,
            cranking_a=strings_a(self.cca_a),
            charge_v=self.charge_v,
            float_v=self.float_v,
            cut_off_v=self.cut_off_v,
            charge_limit_a=together_a(self.unit_charge_limit_a, self.bms_charge_limit_a),
            discharge_limit_a=together_a(self.unit_discharge_limit_a, self.bms_discharge_limit_a),
            string_device_a=self.unit_device_a,
            usable=None if self.usable_percent is None else self.usable_percent / 100,
            remaining=None if self.remaining_percent is None else self.remaining_percent / 100,
            peukert=self.peukert,
            charge_efficiency=self.charge_efficiency,
            acceptance_slope=self.acceptance_slope,
            acceptance_floor=self.acceptance_floor,
            bms=self.bms,
            stops_sources_first=self.stops_sources_first,
            disconnects=False if self.bms == "none" else self.bms_disconnects,
            alarm=self.alarm_before_shutdown,
            lowest_charge_v=self.lowest_charge_v,
            year=self.year,
            unit_protected=self.unit_protected,
            links_equal=self.links_equal,
            midpoint_used=self.midpoint_used,
            gassing_a=self.gassing_a,
            ventilation_m3_h=self.ventilation_m3_h,
        )

    def pieces(self) -> int:
        """Every unit is bought."""
        return self.quantity * self.series * self.parallel

    def terminals(self) -> tuple[Terminal, ...]:
        """`pos` carries the pair, `neg` the negative alone, for runs drawn apart."""
        return (
            Terminal("pos", DC, "top", must=True, help=N_("positive post")),
            Terminal("neg", ("-",), "bottom", help=N_("negative post")),
        )

    def contacts(self) -> tuple[Contact, ...]:
        """One negative post serves both terminals."""
        return (negative("pos"),)

    def sources(self, joined: frozenset[str]) -> tuple[Source, ...]:
        """A battery does not limit itself."""
        return (
            Source(
                "pos",
                "+",
                "dc",
                nominal_v=self.nominal_v(),
                highest_v=self.charge_v,
                limited=False,
                battery=True,
                missing=gaps(self, "unit_v"),
            ),
        )

    def nominal_volts(self, terminal: str) -> tuple[Literal["dc", "ac"], float | None]:
        """The bank's own voltage."""
        return "dc", self.nominal_v()

    def article(self) -> tuple[str, ...]:
        """Chemistry, volts and ampere-hours of one unit."""
        return lines_of(together(word(self.chemistry), figure(self.unit_v, "V"), figure(self.unit_ah, "Ah")))

    def summary(self) -> tuple[str, ...]:
        """Chemistry, volts and ampere-hours; energy; short-circuit current."""
        volts, hours = self.nominal_v(), self.capacity_ah()
        fault = None if self.short_circuit_a is None else self.short_circuit_a * self.parallel
        return lines_of(
            together(word(self.chemistry), figure(volts, "V"), figure(hours, "Ah")),
            "" if volts is None or hours is None else figure(volts * hours, "Wh"),
            _("fault {amps}").format(amps=figure(fault, "A") or _("not known")),
        )
