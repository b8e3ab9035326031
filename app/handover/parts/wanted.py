"""What may be asked of the bill of materials and the quotation. The usual answers are common practice."""

from __future__ import annotations

from decimal import Decimal
from typing import TYPE_CHECKING, NamedTuple

from engine.units import read

if TYPE_CHECKING:
    from app.handover.parts.prices import PriceList

__all__ = ["PartsWanted", "QuotationWanted", "Tax"]

_FOOT = 0.3048  # m, exact
# lengths that cable is commonly sold in on a drum or as a coil; common practice, no source
_METRIC_M = (5.0, 10.0, 25.0, 50.0, 100.0)
_US_FT = (10, 25, 50, 100, 250)


class PartsWanted(NamedTuple):
    """How the bill is made up. `drums`: lengths cable is sold in, as typed; none: the usual ones."""

    drums: tuple[str, ...] = ()  # a bare number is in the drawing's unit of length
    spare_percent: float = 20.0  # of the fuses fitted, rounded up
    spare_least: int = 2  # of each class and rating
    shrink_mm: float | None = None  # of heat-shrink on every lug; None: by conductor size

    def drums_m(self, units: str) -> tuple[float, ...]:
        """Lengths cable is sold in, m, the shortest first. `units`: the drawing's, metric or US."""
        if self.drums:
            bare = "ft" if units == "US" else "m"
            return tuple(sorted({read(text, "m", bare) for text in self.drums}))
        return tuple(feet * _FOOT for feet in _US_FT) if units == "US" else _METRIC_M


class Tax(NamedTuple):
    """A tax on the sum. `name` may be ""."""

    name: str
    percent: Decimal


class QuotationWanted(NamedTuple):
    """What is asked of the quotation. `""`: not stated."""

    prices: PriceList | None = None
    taxes: tuple[Tax, ...] = ()
    date: str = ""  # YYYY-MM-DD; never the day it is made
    valid_until: str = ""
    locale: str = ""  # "" that of the drawing's language
    currency: str = ""  # of prices that name none; "" the drawing's
    customer: str = ""
    supplier: str = ""  # "" the legal owner of the drawing
    number: str = ""
    terms: tuple[str, ...] = ()
