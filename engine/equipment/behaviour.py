"""What storage, machines and consumers are, in values that every analysis of currents asks for.

`Equipment.store`, `.machine`, `.use` and `.carries` give them. All figures are those of the whole symbol: `quantity`
pieces and the units of a bank are already taken together. Unknown is `None`; nothing here is assumed.
"""

from __future__ import annotations

from typing import NamedTuple

__all__ = [
    "Array",
    "ArrayInput",
    "Ashore",
    "Carries",
    "Charging",
    "Converter",
    "Governs",
    "Harvest",
    "Machine",
    "Remote",
    "Residual",
    "Store",
    "Touchable",
    "Trip",
    "Use",
]


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
    disconnects: bool | None = None  # its BMS can disconnect it; False where it has none
    alarm: bool | None = None  # its BMS gives an alarm before it does
    lowest_charge_v: float | None = None  # at which it still charges fully
    year: int | None = None
    unit_protected: bool | None = None  # every string has a device of its own
    links_equal: bool | None = None  # of the strings
    midpoint_used: bool | None = None
    gassing_a: float | None = None
    ventilation_m3_h: float | None = None


class Machine(NamedTuple):
    """A generator, an alternator or a supply from ashore, as a fault sees it."""

    rated_a: float | None = None  # of a line
    rated_va: float | None = None
    subtransient_pu: float | None = None
    transient_pu: float | None = None
    synchronous_pu: float | None = None
    short_circuit_a: float | None = None  # recorded prospective or sustained current
    hot_a: tuple[tuple[str, float], ...] = ()  # (condition id, amperes); "" where no condition says otherwise
    obeys_stop: bool | None = None  # stops charging when the battery says so
    engine: str = ""  # id of the engine that drives it


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
    leakage: str = ""  # shape of the residual current a fault in it gives


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
    power_a: float | None = None  # of a whole array at its power
    missing: tuple[str, ...] = ()  # fields that would tell its volts and current there


class Governs(NamedTuple):
    """What a battery management looks after, and what it can do. Ids of equipment."""

    banks: tuple[str, ...] = ()
    sets: tuple[str, ...] = ()  # charging sources whose current it sets
    stops: tuple[str, ...] = ()  # charging sources it can tell to stop
    opens: tuple[str, ...] = ()  # switches and contactors it opens
    charge_limit_a: float | None = None
    discharge_limit_a: float | None = None
    stops_first: bool | None = None  # tells charging sources to stop before it opens anything
    linked: bool | None = None  # there is something by which it can tell them
    alarm: bool | None = None  # gives an alarm before it opens anything
    remote_cuts_coil: bool | None = None  # a switch of its own breaks the current of the contactor's coil


class Converter(NamedTuple):
    """What a converter is besides its `conversions`: when it works, what it asks of its input, its winding."""

    runs_when: str = ""  # as `DcDcConverter.runs_when`
    charges: bool | None = None  # its output charges a battery
    charge_a: float | None = None  # what all outputs of one piece give together, by its plate
    obeys_stop: bool | None = None
    power_factor: float | None = 1.0  # of its AC input; `None`: not recorded
    lowest_dc_v: float | None = None  # at its input
    lowest_ac_v: float | None = None
    # of a transformer
    impedance_percent: float | None = None
    rated_va: float | None = None
    lines: int = 1  # of its secondary
    balances: bool = False  # it makes a neutral between two lines
    second_leg: str | None = None  # how the second of two legs stands to the first; `None`: there is none

    def winding_ohm(self, volts: float) -> float | None:
        """Impedance at a line of the secondary, ohm; `volts` line to neutral. `None` where it is not recorded."""
        if not self.impedance_percent or not self.rated_va:
            return None
        return self.impedance_percent / 100 * volts * volts * self.lines / self.rated_va


class Ashore(NamedTuple):
    """What stands for the shore: its outlet, or the boat's inlet."""

    terminal: str  # towards the boat
    inlet: bool  # it is on the boat
    polarised: bool | None = None
    labelled: bool | None = None


class Remote(NamedTuple):
    """Something that is switched from afar: what commands it, what it does without that, whether a hand can do it."""

    controlled_by: str = ""  # id; "" not recorded
    on_loss: str = ""  # "opens", "closes", "stays", a position; "" not recorded
    override: bool | None = None
    field: str = "on_loss"  # the field that tells what it does on loss
    override_field: str = "manual_override"
    terminal: str = ""  # of a module's channel; "" the whole
    network: str = ""  # it is commanded by a network of this name
    local: bool | None = None  # it goes on without that network


class Residual(NamedTuple):
    """Residual-current protection of what is beyond `onward`; `""`: of itself only."""

    inward: str
    onward: str
    trips_ma: float | None = None
    within_ms: float | None = None
    form: str = ""  # type, by what it sees: AC, A, F, B
    poles: tuple[str, ...] = ()
    covers_after: bool | None = False  # it covers what hangs from the same terminal farther on; None: not recorded


class Touchable(NamedTuple):
    """Metal that a person can touch, or a socket's earth contact, and the terminals its protective earth arrives at."""

    metal: bool | None
    terminals: tuple[str, ...]
    field: str = "exposed_metal"
    is_socket: bool = False


class Charging(NamedTuple):
    """What a charging source is set to, V, at `terminal`."""

    terminal: str
    highest_v: float | None = None
    float_v: float | None = None
    equalise_v: float | None = None


class Array(NamedTuple):
    """A solar array as its plate tells, at 25 degC: all strings together."""

    terminal: str
    open_v: float | None = None
    open_cold_v: float | None = None  # recorded for the coldest day
    percent_per_c: float | None = None  # change of open-circuit volts
    short_a: float | None = None


class ArrayInput(NamedTuple):
    """What an array may bring to `terminal`."""

    terminal: str
    highest_v: float | None = None
    largest_a: float | None = None
