"""What an energy budget tells, in plain values. `None`: not known, and `missing` names the fields."""

from __future__ import annotations

import msgspec

__all__ = ["BankEnergy", "Charging", "Energy", "Hour", "LoadEnergy"]


class LoadEnergy(msgspec.Struct, frozen=True, kw_only=True):
    """One consumer in a condition. `wh_a_day` is at its own terminals, `bank_wh` what the bank gives for it."""

    equipment: str
    designation: str
    label: str
    watts: float | None  # all pieces together
    hours_a_day: float | None
    share: float  # of those hours in which it really draws
    wh_a_day: float | None
    bank: str = ""  # equipment id of the bank it lives on, "" where it lives on none
    source: str = ""  # equipment id that feeds it where that is no bank
    chain: tuple[tuple[str, float], ...] = ()  # (converter id, efficiency) between it and the bank
    bank_wh: float | None = None
    missing: tuple[str, ...] = ()


class Charging(msgspec.Struct, frozen=True, kw_only=True):
    """One charging source of a bank."""

    equipment: str
    designation: str
    rated_a: float | None  # what its plate says
    given_a: float | None  # what counts: hot output, what its own supply can feed
    why: str = ""  # what decided, with its arithmetic
    wh_a_day: float | None = None  # of weather-driven ones
    is_running: bool = False  # runs in this condition
    from_bank: str = ""  # equipment id of the bank that gives it
    missing: tuple[str, ...] = ()


class Hour(msgspec.Struct, frozen=True):
    """State of charge at the end of a step of the day."""

    hour: float
    soc: float  # share of the capacity
    load_w: float
    charge_w: float


class BankEnergy(msgspec.Struct, frozen=True, kw_only=True):
    """A bank in a condition."""

    bank: str
    designation: str
    joined: str = ""  # in words, with which other banks it stands as one and what joins them
    nominal_v: float | None
    capacity_ah: float | None
    usable_ah: float | None
    load_wh: float | None  # a day, converters and their standby counted
    load_ah: float | None
    source_wh: float | None  # a day, from weather-driven sources
    mean_a: float | None
    autonomy_h: float | None  # on its own store, sun and wind; inf: what it gives is made good every day
    is_kept: bool = False  # what runs all day (not sun, wind or another bank) gives more than the loads take
    required_h: float | None = None
    unattended_days: float | None = None  # it keeps the bilge pumps and what stays on going
    charging: tuple[Charging, ...] = ()
    charge_a: float | None = None  # what reaches the bank, all limits applied
    charge_limit: str = ""  # what limits it, in words
    recharge_h: float | None = None  # from what is used to full (`to_soc`); inf: never
    recharge_curve: tuple[tuple[float, float], ...] = ()  # (hours, state of charge) while refilling
    from_soc: float | None = None
    to_soc: float | None = None
    required_recharge_h: float | None = None
    day: tuple[Hour, ...] = ()  # 24 h by step
    arithmetic: tuple[str, ...] = ()
    assumed: tuple[str, ...] = ()
    missing: tuple[str, ...] = ()  # then `load_wh` is a least value and `autonomy_h` a most one
    missing_weather: tuple[str, ...] = ()  # sun or wind not counted because these are not recorded
    missing_recharge: tuple[str, ...] = ()


class Energy(msgspec.Struct, frozen=True, kw_only=True):
    """Energy in one operating condition."""

    condition: str
    name: str
    loads: tuple[LoadEnergy, ...] = ()
    banks: tuple[BankEnergy, ...] = ()
    assumed: tuple[str, ...] = ()
