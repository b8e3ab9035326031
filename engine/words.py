"""Translation of what a person sees: `_()` now, `N_()` later, one translation for the process.

The engine never chooses a language. `app` calls `speak()` once at the start; machine-readable output (JSON
keys, rule slugs, SARIF) stays English whatever the language.
"""

from __future__ import annotations

from collections.abc import Callable
from gettext import NullTranslations
from typing import Protocol, TypeVar

__all__ = ["N_", "_", "decimal_sign", "has_small_nouns", "in_words", "inward", "ngettext", "speak"]


class _Keeps(Protocol):
    def cache_clear(self) -> None: ...


_Cached = TypeVar("_Cached", bound=_Keeps)
_translation = NullTranslations()
_decimal = "."
_kept: list[Callable[[], None]] = []  # what was kept in words of the language before


def in_words(function: _Cached) -> _Cached:
    """A cached function whose results hold words: what it keeps is forgotten when another language is spoken."""
    _kept.append(function.cache_clear)
    return function


def speak(translation: NullTranslations, decimal: str = ".") -> None:
    """Use `translation` for every `_()` from now on, and `decimal` ("." or ",") in every number a person sees."""
    global _translation, _decimal
    _translation, _decimal = translation, decimal
    for forget in _kept:
        forget()


def decimal_sign() -> str:
    """What stands before the decimals of a number that a person sees: "." or ",". Machines always get a point."""
    return _decimal


def _(message: str) -> str:
    """Return `message` in the language in use."""
    return _translation.gettext(message)


def ngettext(one: str, many: str, n: int) -> str:
    """Return the singular or plural of a message in the language in use."""
    return _translation.ngettext(one, many, n)


def has_small_nouns() -> bool:
    """Whether the language writes nouns small, as English does; German does not."""
    return type(_translation) is NullTranslations


def inward(text: str) -> str:
    """A noun or signal word as it stands inside a sentence: small in English, as it is where nouns have capitals."""
    if has_small_nouns():
        return text.lower()
    return text.capitalize() if text.isupper() else text


def N_(message: str) -> str:
    """Mark a message for translation where it is declared; `_()` translates it where it is shown."""
    return message
