"""What storage, machines and consumers are, in values that every analysis of currents asks for.

`Equipment.store`, `.machine`, `.use` and `.carries` give them. All figures are those of the whole symbol: `quantity`
pieces and the units of a bank are already taken together. Unknown is `None`; nothing here is assumed.
"""

from __future__ import annotations

from typing import NamedTuple

__all__ = ["Carries", "Governs", "Harvest", "Machine", "Store", "Trip", "Use"]


class Store(NamedTuple):
    """A battery bank as a whole."""

    chemistry: str = ""  # as `BatteryBank.chemistry`
    nominal_v: float | None = None
    cells: int | None = None  # in series, the whole string
    series: int = 1  # units in a string
    strings: int = 1
    capacity_ah: float | None = None
    rated_hours_h: float | None = None  # discharge time the capacity is stated for
    short_circuit_a: float | None = None  # maker's figure, strings added
    resistance_ohm: float | None = None  # units in series, strings in parallel
    cranking_a: float | None = None  # cold cranking current, strings added
    charge_v: float | None = None
    float_v: float | None = None
    cut_off_v: float | None = None
    charge_limit_a: float | None = None  # least of units' and BMS limits
    discharge_limit_a: float | None = None
    string_device_a: float | None = None  # device of each string
    usable: float | None = None  # share
    remaining: float | None = None  # share left after ageing
    peukert: float | None = None
    charge_efficiency: float | None = None
    acceptance_slope: float | None = None
    acceptance_floor: float | None = None
    bms: str = ""
    stops_sources_first: bool | None = None


class Machine(NamedTuple):
    """A generator, an alternator or a supply from ashore, as a fault sees it."""

    rated_a: float | None = None  # of a line
    rated_va: float | None = None
    subtransient_pu: float | None = None
    transient_pu: float | None = None
    synchronous_pu: float | None = None
    short_circuit_a: float | None = None  # recorded prospective or sustained current
    hot_a: tuple[tuple[str, float], ...] = ()  # (condition id, amperes); "" where no condition says otherwise


class Use(NamedTuple):
    """How a consumer is used. Currents are those of one line, all pieces of the symbol together."""

    service: str = ""
    essential: bool | None = None
    drop_class: str = ""  # "essential", "other", "" not recorded
    minimum_v: float | None = None
    highest_v: float | None = None
    duty: tuple[tuple[str, float], ...] = ()  # (condition id, hours a day)
    duty_share: float | None = None
    running_a: float | None = None
    starting_a: float | None = None
    starting_s: float | None = None
    starting_power_factor: float | None = None
    stalled_a: float | None = None
    stalled_s: float | None = None
    thermal_protection: bool | None = None
    soft_start: bool | None = None
    is_motor: bool = False
    starts: str = ""  # id of the engine it starts


class Carries(NamedTuple):
    """What a switch or a bus may carry, A."""

    continuous_a: float | None = None
    five_minute_a: float | None = None
    cranking_a: float | None = None
    short_time_a: float | None = None  # for a second


class Trip(NamedTuple):
    """How an overcurrent device opens, as recorded; the band of its class is a table's (`engine.books.curves`)."""

    rating_a: float | None
    form: str = ""  # class of a fuse, trip curve of a breaker
    points: tuple[tuple[float, float | None, float | None], ...] = ()  # (multiple, opens no sooner than, no later than)
    instant_low: float | None = None  # multiples of its rating
    instant_high: float | None = None
    let_through_a2s: float | None = None
    continuous_percent: float | None = None
    is_fuse: bool = True
    form_field: str = "fuse_class"  # field that names the form
    rating_field: str = "rating_a"


class Harvest(NamedTuple):
    """What sun, wind or water bring: the power at full sun or at rating, the energy recorded for conditions."""

    watts: float | None = None
    from_sun: bool = False
    yields: tuple[tuple[str, float], ...] = ()  # (condition id, Wh a day)


class Governs(NamedTuple):
    """What a battery management looks after, and what it can do. Ids of equipment."""

    banks: tuple[str, ...] = ()
    sets: tuple[str, ...] = ()  # charging sources whose current it sets
    stops: tuple[str, ...] = ()  # charging sources it can tell to stop
    charge_limit_a: float | None = None
    discharge_limit_a: float | None = None
