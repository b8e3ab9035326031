"""A quotation: the lines of the order joined to prices, their sums and taxes. Exact decimals, nothing converted.

The price list comes first, then what the drawing records. Each line is rounded to the currency's minor unit, halves
away from zero, and the sum is that of the rounded lines; each tax is taken of that sum and rounded likewise. Lines in
another currency are summed apart. A line without a price is in no sum, and is told.
"""

from __future__ import annotations

from collections.abc import Sequence
from decimal import Decimal
from typing import NamedTuple

from app.handover.labels.signs import Sign
from app.handover.parts.money import currency_code, rounded
from app.handover.parts.order import Line, lines
from app.handover.parts.prices import PriceList, unit_of
from app.handover.parts.wanted import PartsWanted, QuotationWanted, Tax
from engine.installation import Snapshot
from engine.words import _

__all__ = ["Offer", "Priced", "Sum", "Unpriced", "offer_of"]

_FOOT_M = Decimal("0.3048")  # exact


class Priced(NamedTuple):
    """A line with its price: so much per `per` (`pc`, `100 m`), together `sum`."""

    line: Line
    price: Decimal
    per: str
    currency: str
    sum: Decimal
    source: str  # where the price is from


class Unpriced(NamedTuple):
    """A line that is in no sum, and why."""

    line: Line
    why: str


class Sum(NamedTuple):
    """The sums of one currency."""

    currency: str
    net: Decimal
    taxes: tuple[tuple[Tax, Decimal], ...]
    total: Decimal


class Offer(NamedTuple):
    """All of a quotation."""

    priced: tuple[Priced, ...]
    unpriced: tuple[Unpriced, ...]
    sums: tuple[Sum, ...]
    usual: str  # currency of prices that name none; "" where nobody tells


def offer_of(snapshot: Snapshot, parts: PartsWanted, wanted: QuotationWanted, signs: Sequence[Sign] = ()) -> Offer:
    """Lines joined to prices."""
    usual = currency_code(wanted.currency) or currency_code(snapshot.settings.currency)
    drawn = currency_code(snapshot.settings.currency) or usual
    priced: list[Priced] = []
    unpriced: list[Unpriced] = []
    for line in lines(snapshot, parts, signs):
        made = _priced(line, wanted.prices, usual, drawn)
        if isinstance(made, Priced):
            priced.append(made)
        else:
            unpriced.append(made)
    return Offer(tuple(priced), tuple(unpriced), _sums(priced, wanted.taxes), usual)


def _priced(line: Line, prices: PriceList | None, usual: str, drawn: str) -> Priced | Unpriced:
    """One line with its price, or why there is none."""
    if line.unknown or line.quantity is None:
        return Unpriced(line, line.unknown or _("quantity not known"))
    found = None if prices is None else prices.find(line.key(), line.maker)
    if found is not None and found.price is not None:
        row = found.price
        times = _times(line.quantity, line.unit, row.unit)
        if times is None:
            if not row.unit:
                return Unpriced(line, _("the price list tells no unit, the quantity is in {own}").format(own=line.unit))
            return Unpriced(
                line, _("the price is per {unit}, the quantity in {own}").format(unit=row.unit, own=line.unit)
            )
        currency = _currency(row.currency, usual)
        together = rounded(row.price * times, currency)
        source = _("{name} row {row}").format(name=prices.name if prices else "", row=row.row)
        return Priced(line, row.price, row.unit or "pc", currency, together, source)
    if line.price is not None:
        per = "pc" if line.unit == "pc" else "m"
        times = _times(line.quantity, line.unit, per)
        if times is not None:
            return Priced(line, line.price, per, drawn, rounded(line.price * times, drawn), _("drawing"))
    if found is None:
        return Unpriced(line, _("no price in the drawing"))
    return Unpriced(line, found.why)


def _currency(named: str, usual: str) -> str:
    """The currency of a row: a dollar is the usual one where that is a dollar."""
    if not named or (named == "$" and usual.endswith("D") and len(usual) == 3):
        return usual
    return named


def _times(quantity: Decimal, unit: str, price_unit: str) -> Decimal | None:
    """How often a price is to be paid, `None` where pieces meet lengths or nobody knows the unit."""
    per = unit_of(price_unit)
    if unit == "pc":
        return None if per.pieces is None else quantity / per.pieces
    metres = quantity * (_FOOT_M if unit == "ft" else 1)
    return None if per.metres is None else metres / per.metres


def _sums(priced: list[Priced], taxes: tuple[Tax, ...]) -> tuple[Sum, ...]:
    made = []
    for currency in sorted({each.currency for each in priced}):
        net = sum((each.sum for each in priced if each.currency == currency), Decimal(0))
        due = tuple((tax, rounded(net * tax.percent / 100, currency)) for tax in taxes)
        made.append(Sum(currency, net, due, net + sum((each for _tax, each in due), Decimal(0))))
    return tuple(made)
