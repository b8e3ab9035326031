"""What is typed on the command line for the bill and the quotation, read and refused in words."""

from __future__ import annotations

import argparse
import datetime
import re
from decimal import Decimal

from app.handover.parts.money import currency_code, is_currency, locale_of
from app.handover.parts.wanted import Tax
from engine.units import UnitError, read
from engine.words import _

__all__ = ["a_count", "a_currency", "a_date", "a_length_mm", "a_locale", "a_percent", "a_tax", "some_lengths"]

_LONGEST_M = 10_000.0


def some_lengths(text: str) -> tuple[str, ...]:
    """Lengths parted by `,` or `;`, each with or without a unit. A decimal is written with a point."""
    parts = tuple(part.strip() for part in re.split("[,;]", text) if part.strip())
    for part in parts:
        try:
            length_m = read(part, "m", "m")
        except UnitError as fault:
            raise argparse.ArgumentTypeError(str(fault)) from None
        if not 0.001 <= length_m <= _LONGEST_M:
            raise argparse.ArgumentTypeError(_("a drum is 1 mm to 10 km long, found {text!r}").format(text=part))
    if not parts:
        raise argparse.ArgumentTypeError(_("expected lengths such as 25,50,100, found {text!r}").format(text=text))
    return parts


def a_percent(text: str) -> float:
    """0 to 1000 %."""
    return _number(text, "%", 0, 1000)


def a_length_mm(text: str) -> float:
    """0 to 1000 mm."""
    return _number(text, "mm", 0, 1000)


def a_count(text: str) -> int:
    """0 to 1000 pieces."""
    if not (text.isascii() and text.isdecimal()) or int(text) > 1000:
        raise argparse.ArgumentTypeError(_("expected a whole number, 0 to 1000, found {text!r}").format(text=text))
    return int(text)


def _number(text: str, unit: str, low: float, high: float) -> float:
    try:
        value = read(text, unit, unit)
    except UnitError as fault:
        raise argparse.ArgumentTypeError(str(fault)) from None
    if not low <= value <= high:
        raise argparse.ArgumentTypeError(
            _("expected {low} to {high} {unit}, found {text!r}").format(low=low, high=high, unit=unit, text=text)
        )
    return value


def a_date(text: str) -> str:
    """A day, YYYY-MM-DD."""
    try:
        if re.fullmatch(r"\d{4}-\d{2}-\d{2}", text, re.ASCII):
            return datetime.date.fromisoformat(text).isoformat()
    except ValueError:
        pass  # no such day
    raise argparse.ArgumentTypeError(_("expected a date such as 2027-01-31, found {text!r}").format(text=text))


def a_tax(text: str) -> Tax:
    """A percentage with or without a name before it: `20`, `7,7 %`, `VAT=20`, `sales tax 8.25`."""
    found = re.fullmatch(r"(?:(.*\w)\s*[=:\s])?\s*(\d{1,3}(?:[.,]\d{1,6})?)\s*%?", text.strip(), re.DOTALL)
    if found is None or (percent := Decimal(found[2].replace(",", "."))) > 100:
        raise argparse.ArgumentTypeError(
            _("expected a tax of 0 to 100 % such as 20 or VAT=20, found {text!r}").format(text=text)
        )
    return Tax(" ".join((found[1] or "").split()), percent)


def a_locale(text: str) -> str:
    """A place whose formats are known."""
    try:
        locale_of(text)
    except ValueError as fault:
        raise argparse.ArgumentTypeError(str(fault)) from None
    return text


def a_currency(text: str) -> str:
    """An ISO 4217 code."""
    code = currency_code(text)
    if not is_currency(code):
        raise argparse.ArgumentTypeError(
            _("expected a currency code such as EUR or USD, found {text!r}").format(text=text)
        )
    return code
