"""What equipment tells about being parted: how a switch opens, what a source does when its battery is taken away.

A part of `Equipment` in a file of its own. A field that a kind does not have is answered by what such a kind does; a
field that is there and empty is `None`: not known.
"""

from __future__ import annotations

from typing import Literal, NamedTuple

__all__ = ["BatteryLost", "Opens", "Parting"]


class BatteryLost(NamedTuple):
    """A charging source, at `terminal`, while its battery is taken away; or what takes the surge then.

    `form`: a machine an engine drives; sun, wind or water (`weather`); `mains`; another `battery`; or an `absorber`, no
    source at all.
    """

    form: Literal["machine", "weather", "mains", "battery", "absorber"]
    terminal: str
    harmed: bool | None = None  # it, or what it feeds, is harmed: yes, no or not known
    field: str = ""  # tells that; "": no field does
    field_first: bool | None = False  # its field is opened before its battery can be cut off
    obeys_stop: bool | None = None
    largest_a: float | None = None  # of an absorber: the output of the largest machine it is made for


class Opens(NamedTuple):
    """How a switch or a device opens."""

    field_first: bool | None = False  # an auxiliary contact opens the alternator's field first
    makes_first: bool | None = None  # makes the next contact before it breaks the last
    one_way: bool | None = False  # breaks direct current in one direction only
    line: str = ""  # terminal marked for the supply
    reached: bool | None = True  # can be reached in an emergency
    gentle: bool | None = False  # limits the current between what it joins
    limit_a: float | None = None


class Parting:
    """The two answers; every piece of equipment has them."""

    __slots__ = ()

    def battery_lost(self) -> BatteryLost | None:
        """What it does when its battery is taken away while it runs, `None` for what charges nothing."""
        return None

    def parts(self) -> Opens:
        """How it opens, as far as its kind records that."""

        def told(field: str, otherwise: bool | None) -> bool | None:
            found: bool | None = getattr(self, field, otherwise)
            return found

        return Opens(
            field_first=told("field_contact", False),
            makes_first=told("makes_before_breaks", None),
            one_way=told("polarised", False) if hasattr(self, "line_terminal") else False,
            line=getattr(self, "line_terminal", ""),
            reached=told("emergency_access", True),
            gentle=told("limits_current", False),
            limit_a=getattr(self, "limit_a", None),
        )
