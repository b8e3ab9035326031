"""What sizing answers, in plain values."""

from __future__ import annotations

import msgspec

__all__ = ["Answer", "Reason"]


class Reason(msgspec.Struct, frozen=True, kw_only=True):
    """One constraint and the least it asks for."""

    name: str  # "ampacity", "voltage drop", "smallest size", "fault withstand", ...
    needs: str  # the size or figure it asks for: "6 AWG", "" where it cannot be told
    arithmetic: str = ""
    clause: str = ""
    missing: tuple[str, ...] = ()


class Answer(msgspec.Struct, frozen=True, kw_only=True):
    """What to fit. `decided_by` names the constraint that asked for most."""

    item: str  # id of the run or equipment
    designation: str
    what: str  # "conductor", "protective device", "bank", "bus", "switch", "inverter feed"
    has: str  # what is recorded, "" where nothing is
    needs: str  # "4 AWG", "60 A", "400 Ah"; "" where it cannot be told
    suffices: bool | None  # what is recorded is enough; None: not known
    decided_by: str = ""
    reasons: tuple[Reason, ...] = ()
    device_a: float | None = None  # of a conductor: the device that suits it
    device_why: str = ""
    condition: str = ""  # name of the operating condition that asks for most
    fields: tuple[tuple[str, object], ...] = ()  # what an edit would set on `item`
    assumed: tuple[str, ...] = ()
    missing: tuple[str, ...] = ()
