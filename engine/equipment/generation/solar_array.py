"""A solar array: modules in series and strings in parallel, drawn as one."""

from __future__ import annotations

from typing import Annotated, ClassVar

import msgspec

from engine.equipment._facts import Yields
from engine.equipment._systems import System, figure, gaps, lines_of, negative, together
from engine.equipment.base import DC, Contact, Equipment, Role, Source, Terminal
from engine.equipment.behaviour import Array, Harvest
from engine.record import Fact
from engine.words import N_, _

__all__ = ["SolarArray"]


class SolarArray(Equipment, frozen=True, kw_only=True):
    """It never gives more than its short-circuit current. Module figures are those of the plate, at 25 °C."""

    KIND: ClassVar[str] = "solar_array"
    NAME: ClassVar[str] = N_("Solar array")
    LETTERS: ClassVar[tuple[str, ...]] = ("G",)
    ROLE: ClassVar[Role] = "source"
    OFF_TO_TEST_INSULATION: ClassVar[bool] = True

    module_w: Annotated[float | None, Fact(N_("power of one module"), "W", low=0)] = None
    series: Annotated[int, Fact(N_("modules in series"), low=1)] = 1
    strings: Annotated[int, Fact(N_("strings in parallel"), low=1)] = 1
    module_open_v: Annotated[float | None, Fact(N_("open-circuit voltage of one module"), "V", low=0)] = None
    module_short_a: Annotated[float | None, Fact(N_("short-circuit current of one module"), "A", low=0)] = None
    module_power_v: Annotated[float | None, Fact(N_("voltage of one module at its power"), "V", low=0)] = None
    module_power_a: Annotated[float | None, Fact(N_("current of one module at its power"), "A", low=0)] = None
    open_v_percent_per_c: Annotated[
        float | None, Fact(N_("change of open-circuit voltage for each degree"), "%", low=-2, high=0)
    ] = None
    open_cold_v: Annotated[float | None, Fact(N_("open-circuit voltage of the array at the coldest"), "V", low=0)] = (
        None
    )
    series_fuse_a: Annotated[
        float | None, Fact(N_("largest series fuse the maker of the module allows"), "A", low=0)
    ] = None
    string_fuse_a: Annotated[
        float | None, Fact(N_("fuse in each string; empty where there is none"), "A", low=0, above=0)
    ] = None
    blocking_diodes: Annotated[bool | None, Fact(N_("a diode blocks each string: yes, no or not known"))] = None
    yields: Yields = ()

    def short_circuit_a(self) -> float | None:
        """Short-circuit current of the array, A."""
        return None if self.module_short_a is None else self.module_short_a * self.strings

    def nominal_v(self) -> float | None:
        """Volts of the array at its power."""
        return None if self.module_power_v is None else self.module_power_v * self.series

    def pieces(self) -> int:
        """Every module is bought."""
        return self.quantity * self.series * self.strings

    def article(self) -> tuple[str, ...]:
        """One module."""
        return msgspec.structs.replace(self, series=1, strings=1).summary()

    def terminals(self) -> tuple[Terminal, ...]:
        """Output of all strings together."""
        return (
            Terminal("pos", DC, "bottom", must=True, help=N_("output")),
            Terminal("neg", ("-",), "bottom", help=N_("negative drawn apart")),
        )

    def contacts(self) -> tuple[Contact, ...]:
        """One negative."""
        return (negative("pos"),)

    def sources(self, joined: frozenset[str]) -> tuple[Source, ...]:
        """Limited by nature to its short-circuit current."""
        return (
            Source(
                "pos",
                "+",
                "dc",
                nominal_v=self.nominal_v(),
                highest_v=self.open_cold_v,
                limited=True,
                limit_a=self.short_circuit_a(),
                missing=gaps(self, "module_short_a", "open_cold_v"),
                adapts=True,
            ),
        )

    def harvest(self) -> Harvest:
        """Plate power of all its modules, yields recorded."""
        modules = self.series * self.strings * self.quantity
        watts = None if self.module_w is None else self.module_w * modules
        amps = self.module_power_a
        if amps is None and self.module_w is not None and self.module_power_v:
            amps = self.module_w / self.module_power_v
        return Harvest(
            watts,
            True,
            tuple((y.condition, y.wh_a_day) for y in self.yields),
            power_a=None if amps is None else amps * self.strings * self.quantity,
            missing=gaps(self, "module_power_v", "module_power_a"),
        )

    def nominal_volts(self, terminal: str) -> System:
        """Volts at its power."""
        return "dc", self.nominal_v()

    def array(self) -> Array:
        """Its modules in series and parallel."""
        open_v = None if self.module_open_v is None else self.module_open_v * self.series
        short_a = self.short_circuit_a()
        return Array(
            "pos",
            open_v,
            self.open_cold_v,
            self.open_v_percent_per_c,
            None if short_a is None else short_a * self.quantity,
        )

    def summary(self) -> tuple[str, ...]:
        """Power, open-circuit volts and short-circuit current."""
        power = None if self.module_w is None else self.module_w * self.series * self.strings
        open_v = None if self.module_open_v is None else self.module_open_v * self.series
        return lines_of(
            figure(power, "W"),
            together(
                "" if open_v is None else _("open {volts}").format(volts=figure(open_v, "V")),
                ""
                if self.short_circuit_a() is None
                else _("short {amps}").format(amps=figure(self.short_circuit_a(), "A")),
            ),
        )
