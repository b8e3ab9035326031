"""Money as people of a place write it: exact decimals, the currency's own minor unit, its ISO 4217 code.

Number formats and minor units are those of the Unicode CLDR, as the library babel carries them. A currency is written
by its code, which no two countries share and every font has.
"""

from __future__ import annotations

import datetime
import functools
from decimal import ROUND_HALF_UP, Decimal
from typing import TYPE_CHECKING

from engine.words import _

if TYPE_CHECKING:
    from babel import Locale

__all__ = [
    "amount",
    "as_date",
    "currency_code",
    "decimals_of",
    "is_currency",
    "locale_of",
    "money",
    "rounded",
    "usual_locale",
]

_SIGNS = {"€": "EUR", "£": "GBP", "EURO": "EUR", "EUROS": "EUR", "US$": "USD"}  # what means one currency only
# kinds of space the font lacks, and marks of direction, which are no ink
_PLAIN = str.maketrans({"\u202f": "\u00a0", "\u2009": "\u00a0", "\u200e": "", "\u200f": "", "\u061c": ""})
_DEFAULT = "en"


def locale_of(name: str) -> Locale:
    """The formats of a place, such as de_DE or en-US. Raises `ValueError` in words."""
    from babel import Locale, UnknownLocaleError

    text = name.strip().replace("-", "_")
    try:
        return Locale.parse(text)
    except (UnknownLocaleError, ValueError, TypeError, AttributeError):
        raise ValueError(
            _("there is no locale {name!r}; expected one such as de_DE or en_US").format(name=name)
        ) from None


def usual_locale(language: str) -> Locale:
    """The formats of a drawing's language, English ones where it is not known."""
    try:
        return locale_of(language)
    except ValueError:
        return locale_of(_DEFAULT)


@functools.cache
def _currencies() -> frozenset[str]:
    from babel.numbers import list_currencies

    return frozenset(list_currencies())


def currency_code(text: str) -> str:
    """The ISO 4217 code of what was written, as it was written where it is none; `""` for nothing."""
    plain = text.strip()
    code = _SIGNS.get(plain.upper(), plain.upper())
    return code if code in _currencies() else plain


def is_currency(code: str) -> bool:
    """Whether it is a code of ISO 4217, in use or not."""
    return code in _currencies()


def decimals_of(currency: str) -> int:
    """Places of a currency's minor unit (CLDR); two where it is not known."""
    from babel.numbers import get_currency_precision

    return get_currency_precision(currency) if currency in _currencies() else 2


def rounded(value: Decimal, currency: str) -> Decimal:
    """To the currency's minor unit, halves away from zero."""
    return value.quantize(Decimal(1).scaleb(-decimals_of(currency)), rounding=ROUND_HALF_UP)


def amount(value: Decimal, locale: Locale, places: int) -> str:
    """A number with so many places, grouped and pointed as the place does."""
    from babel.numbers import format_decimal

    pattern = "#,##0" + ("." + "0" * places if places else "")
    # the place's own grouping (of two digits in India) with our number of places
    grouped = locale.decimal_formats[None].pattern.partition(";")[0].partition(".")[0] or "#,##0"
    if set(grouped) <= set("#,0"):
        pattern = grouped + ("." + "0" * places if places else "")
    return format_decimal(value, format=pattern, locale=locale, decimal_quantization=True).translate(_PLAIN)


def money(value: Decimal, currency: str, locale: Locale) -> str:
    """An amount with its currency, where the place writes it: EUR 1,234.50 or 1.234,50 EUR."""
    number = amount(value, locale, decimals_of(currency))
    if not currency:
        return number
    first = locale.currency_formats["standard"].pattern.lstrip("\u200e\u200f").startswith("¤")
    return f"{currency}\u00a0{number}" if first else f"{number}\u00a0{currency}"


def as_date(text: str, locale: Locale) -> str:
    """A date, YYYY-MM-DD, in words of the place; as it is where it is no such date or the font lacks the words."""
    from babel.dates import format_date

    from engine.picture import missing_characters

    try:
        said = format_date(datetime.date.fromisoformat(text), "long", locale=locale).translate(_PLAIN)
    except ValueError:
        return text
    return text if missing_characters(said) else said
